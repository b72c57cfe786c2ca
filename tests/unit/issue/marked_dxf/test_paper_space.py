"""Layouts of the marked drawing: paper, plot settings, viewports, title block."""

from __future__ import annotations

import hashlib
import io
from dataclasses import replace
from functools import cache
from math import cos, radians, sin

import ezdxf
import ezdxf.document
import pytest
from ezdxf.entities import Insert
from ezdxf.layouts import Paperspace

from leakmap.issue.marked_dxf.document import bytes_of, fixed_metadata
from leakmap.issue.marked_dxf.on_paper import paper_for
from leakmap.issue.marked_dxf.paper_space import AIR_MM
from leakmap.issue.marked_dxf.sheet_marks import BESIDE_MM
from leakmap.issue.marked_dxf.table_pages import TableRow, table_columns
from leakmap.issue.marked_dxf.write import marked_dxf
from leakmap.issue.plan_set.paper import frame_fields
from leakmap.model.rules import Rules
from leakmap.model.sheet import Sheet
from tests.helpers.marked_files import MILLIMETRES, NAME, ONE, document_of, sample, small_job
from tests.helpers.marked_job import HEADING, plan_bytes, sheet_b2

PLAN_B2 = (0.0, 0.0, 24_000.0, 15_000.0)


def plan_layout() -> Paperspace:
    """The plan of level B2."""
    layout = sample().layout("WP B2")
    assert isinstance(layout, Paperspace)
    return layout


def fields(layout: Paperspace) -> dict[str, str]:
    """Attributes of the title block."""
    (block,) = (insert for insert in layout.query("INSERT") if "TITLE" in insert.dxf.name)
    assert isinstance(block, Insert)
    return {attrib.dxf.tag: attrib.dxf.text for attrib in block.attribs}


def test_the_plan_is_seen_at_its_scale_through_a_locked_viewport() -> None:
    """At 1:50 in millimetres each millimetre of paper shows 50 units; line types keep their real lengths.

    Bit 0x4000 of a viewport locks its scale (from memory of the DXF reference).
    """
    (view,) = (view for view in plan_layout().query("VIEWPORT") if view.dxf.id > 1)
    assert view.dxf.view_height / view.dxf.height == pytest.approx(50.0)
    assert view.dxf.flags & 0x4000
    assert view.dxf.layer == "WP-NOTE-FRAME"
    assert plan_layout().dxf.layout_flags & 1 == 0


def test_all_words_of_the_plan_are_seen_and_nothing_of_the_notes_beside_it() -> None:
    """Each reference lies in the viewport's window on model space, each line of heading and tables outside."""
    (view,) = (view for view in plan_layout().query("VIEWPORT") if view.dxf.id > 1)
    (x, y, *_), high = view.dxf.view_center_point, view.dxf.view_height
    wide = high * view.dxf.width / view.dxf.height

    def shown(at: tuple[float, ...]) -> bool:
        return abs(at[0] - x) <= wide / 2 and abs(at[1] - y) <= high / 2

    space = sample().modelspace()
    assert all(shown(text.dxf.insert) for text in space.query("TEXT") if not text.dxf.layer.startswith("WP-"))
    names = [insert.dxf.insert for insert in space.query("INSERT") if isinstance(insert, Insert) and insert.attribs]
    assert len(names) > 25
    assert all(shown(at) for at in names)
    assert not any(
        shown(text.dxf.insert) for text in space.query('MTEXT[layer=="WP-NOTE-HEADING" | layer=="WP-NOTE-TABLE"]')
    )
    assert AIR_MM < BESIDE_MM


def test_plot_settings_print_the_whole_sheet_as_it_is() -> None:
    """ISO A1 lying across, no margins, 1:1 in millimetres, the layout as plot area, with line weights (bit 128)."""
    found = plan_layout().dxf
    assert (found.paper_width, found.paper_height) == (841.0, 594.0)
    assert {found.left_margin, found.right_margin, found.top_margin, found.bottom_margin} == {0.0}
    assert (found.scale_numerator, found.scale_denominator, found.plot_paper_units) == (1.0, 1.0, 1)
    assert found.plot_type == 5
    assert found.plot_layout_flags & 128
    assert found.paper_size == "A1_(841.00_x_594.00_MM)"
    assert not found.plot_configuration_file


def test_frame_and_fields_are_those_of_iso_5457() -> None:
    """The drawing space is 20 mm from the left edge and 10 mm from the others; A1 has 16 by 12 fields.

    ISO 5457:1999, borders from memory, counts of fields read in a table of a drawing course.
    """
    boxes = [
        (min(xs), min(ys), max(xs), max(ys))
        for xs, ys in (
            zip(*[(x, y) for x, y, *_ in line.get_points()], strict=True) for line in plan_layout().query("LWPOLYLINE")
        )
    ]
    assert (20.0, 10.0, 831.0, 584.0) in boxes
    words = [text.dxf.text for text in plan_layout().query("TEXT")]
    assert words.count("16") == words.count("M") == 2
    assert "17" not in words


def test_the_title_block_is_a_block_whose_fields_are_attributes() -> None:
    """Every field of ISO 7200 has its tag; each value is that of the heading, and each tag is defined in the block."""
    found = fields(plan_layout())
    assert found["TITLE"] == "Leak repair, level B2"
    assert (found["TITLE_NOTE"], found["NUMBER"]) == ("Tern Quay", "MARKED-001")
    assert (found["REVISION"], found["DATE"], found["CREATED_BY"]) == ("C02", "25 Nov 2026", "R. Vale")
    assert (found["SCALE"], found["STATUS"], found["SHEET"]) == ("1:50 on A1", "for work", "1 of 2")
    assert {"OWNER", "APPROVED_BY", "DOCUMENT"} <= set(found)
    (block,) = (block for block in sample().blocks if "TITLE" in block.name)
    assert {attdef.dxf.tag for attdef in block.attdefs()} == set(found)


def test_tables_have_a_layout_of_their_own() -> None:
    """The second sheet shows the tables at true size under the same title block, and says that nothing is to scale."""
    layout = sample().layout("WP B2 repair zones")
    assert isinstance(layout, Paperspace)
    views = [view for view in layout.query("VIEWPORT") if view.dxf.id > 1]
    assert views
    assert all(view.dxf.view_height / view.dxf.height == pytest.approx(50.0) for view in views)
    assert (fields(layout)["SCALE"], fields(layout)["SHEET"]) == ("none", "2 of 2")


def test_a_long_table_is_cut_between_rows_under_its_own_head() -> None:
    """Twelve rows of 10 mm in two tables on 45 mm: no row is cut, and each column bears the head of its table."""
    rows = [TableRow((10.0 * k, 10.0 * k + 10), (0.0, 10.0)) for k in range(1, 7)]
    rows += [TableRow((10.0 * k, 10.0 * k + 10), (80.0, 90.0)) for k in range(9, 15)]
    columns = list(table_columns(rows, 45.0))
    assert [column.span for column in columns] == [(0, 40), (40, 70), (80, 120), (120, 150)]
    assert [column.head for column in columns] == [None, (0, 10), None, (80, 90)]
    assert all(column.height_mm <= 45 for column in columns)


@pytest.mark.parametrize(
    ("largest", "name", "sides", "scale"),
    [("A1", "A2", (594, 420), 50), ("ARCH D", "ARCH C", (609.6, 457.2), 50), ("ANSI C", "ANSI B", (431.8, 279.4), 100)],
)
def test_the_paper_is_of_the_series_of_the_office(
    largest: str, name: str, sides: tuple[float, float], scale: float
) -> None:
    """24 m by 15 m are 480 by 300 mm at 1:50; of a sheet 108 mm of its width and 84 of its height are no room.

    A2 has 486 by 336, so it takes them, and so does the architectural C (24 by 18 in) with 501 by 373. ANSI C (22 by 17 in)
    has but 450 of width: 1:100, for which ANSI B (17 by 11 in) is enough. Sizes: ISO 216; ASME Y14.1 and the
    architectural series, both from memory.
    """
    job = replace(small_job(sheet_b2(None, MILLIMETRES)), rules=Rules(largest_paper=largest))
    paper, found = paper_for(job, next(iter(job.sheets.values())), PLAN_B2)
    assert (paper.name, found) == (name, scale)
    assert (paper.width_mm, paper.height_mm) == pytest.approx(sides)
    assert all(len(each) > 3 for each in frame_fields(paper))


def test_a_scale_that_is_asked_for_gets_a_sheet_or_a_roll() -> None:
    """At 1:100 an A3 takes the plan; at 1:10 nothing of the series does, and a roll of that size is made."""
    job = small_job(sheet_b2(None, MILLIMETRES))
    sheet = next(iter(job.sheets.values()))
    assert paper_for(job, sheet, PLAN_B2, 100.0)[0].name == "A3"
    roll, scale = paper_for(job, sheet, PLAN_B2, 10.0)
    assert (roll.name, scale) == ("roll", 10.0)
    assert roll.room_mm == pytest.approx((2400.0, 1500.0))


@cache
def _with_layouts() -> tuple[bytes, Sheet]:
    """A plan with a layout of its own that has a viewport and a text."""
    with fixed_metadata():
        doc = ezdxf.read(io.StringIO(plan_bytes().decode("utf-8")))
        layout = doc.new_layout("WP B2")
        layout.page_setup(size=(420, 297))
        layout.add_viewport((200, 150), (300, 200), (12_000, 7_500), 20_000)
        layout.add_text("AS BUILT", height=5.0).set_placement((30, 30))
        data = bytes_of(doc)
    return data, replace(sheet_b2(data, replace(MILLIMETRES, turn_deg=30.0)), north_deg=20.0)


@cache
def _marked_with_layouts() -> ezdxf.document.Drawing:
    """The same, marked on a site plane that is turned and knows north."""
    data, sheet = _with_layouts()
    made = marked_dxf(small_job(sheet), ONE, sources={hashlib.sha256(data).hexdigest(): data}, heading=HEADING)
    return document_of(made.files[NAME])


def test_layouts_of_the_drawing_stay_as_they_were() -> None:
    """A layout that even bears the name of ours keeps its name, its settings and every entity; ours get another name."""
    before, after = document_of(_with_layouts()[0]), _marked_with_layouts()
    for name in set(before.layout_names()) - {"Model"}:
        old, new = before.layout(name), after.layout(name)
        assert [entity.dxfattribs() for entity in old] == [entity.dxfattribs() for entity in new]
        assert old.dxf_layout.dxfattribs() == new.dxf_layout.dxfattribs()
    assert {"WP B2", "WP B2 2", "WP B2 repair zones"} <= set(after.layout_names())


def test_a_new_file_has_no_empty_layout() -> None:
    """A level without a drawing gets a file whose layouts are ours alone."""
    made = marked_dxf(small_job(sheet_b2()), ONE, sources={}, heading=HEADING)
    doc = document_of(next(iter(made.files.values())))
    assert doc.layout_names_in_taborder() == ["Model", "WP B2", "WP B2 repair zones"]
    assert doc.audit().errors == []


def test_north_points_on_the_layout_where_it_points_in_the_drawing() -> None:
    """North 20 degrees clockwise of up in a site plane turned by 30: the 11 mm shaft lies along it as it is placed."""
    placement = _with_layouts()[1].placement
    north = (sin(radians(20.0)), cos(radians(20.0)))
    (x0, y0), (x1, y1) = placement.to_drawing((0.0, 0.0)), placement.to_drawing(north)
    lines = _marked_with_layouts().layout("WP B2 2").query("LINE")
    shafts = [
        line.dxf.end - line.dxf.start
        for line in lines
        if (line.dxf.end - line.dxf.start).magnitude == pytest.approx(11)
    ]
    (shaft,) = shafts
    assert (shaft.x / 11, shaft.y / 11) == pytest.approx(((x1 - x0) / 1000, (y1 - y0) / 1000))
