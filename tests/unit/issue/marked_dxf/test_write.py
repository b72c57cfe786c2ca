"""The marked drawing as a whole: marks, blocks, notes, files."""

from __future__ import annotations

import hashlib
import io
import logging
import re
import subprocess
import sys
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from math import cos, hypot, radians, sin
from pathlib import Path as FilePath

import ezdxf
import ezdxf.document
import pytest
from ezdxf.entities import Hatch, Insert, LWPolyline

from leakmap.base.errors import BadValue
from leakmap.geometry.placement import Placement
from leakmap.issue.heading import provisional_heading
from leakmap.issue.marked_dxf.document import fixed_metadata, read_document
from leakmap.issue.marked_dxf.write import MarkedDrawings, marked_dxf
from leakmap.issue.marks.course import shape_of
from leakmap.model.job import Job, OtherItem
from leakmap.model.joint import Blind, Joint
from leakmap.model.leak import Leak
from leakmap.model.sheet import Sheet
from leakmap.model.words import Kind
from tests.helpers.marked_job import HEADING, job_on, joints, key, leaks, plan_bytes, repairs, sheet_b1, sheet_b2

MILLIMETRES = Placement(x_m_per_unit=0.001, y_m_per_unit=0.001)
NAME = "Tern Quay C02 marked plan quay b2.dxf"


WET = [leak for leak in leaks() if leak.ref in {"L-01", "L-02"}]
FEW = [joint for joint in joints() if joint.ref in {"J-01", "J-02"}]
ONE = replace(repairs(), zones=repairs().zones[:1], another_method=())


def _small(sheet: Sheet, *, name: str = "Tern Quay", wet: Iterable[Leak] = WET, few: Iterable[Joint] = FEW) -> Job:
    """A job with two joints, two leaks and one zone, which is quick to mark."""
    return job_on([sheet], name=name, with_joints=few, with_leaks=wet)


@cache
def _marked(placement: Placement = MILLIMETRES) -> MarkedDrawings:
    unit = 1 / placement.x_m_per_unit
    source = plan_bytes(unit=unit, origin=placement.origin)
    sheet = sheet_b2(source, placement)
    assert sheet.source is not None
    job = job_on([sheet, sheet_b1()])
    return marked_dxf(job, repairs(), sources={sheet.source.sha256: source}, heading=HEADING)


def _document(data: bytes) -> ezdxf.document.Drawing:
    with fixed_metadata():
        return read_document(data, "marked.dxf")[0]


@cache
def _sample() -> ezdxf.document.Drawing:
    return _document(_marked().files[NAME])


def _blocks(doc: ezdxf.document.Drawing, name: str) -> dict[str, Insert]:
    found = doc.modelspace().query(f'INSERT[name=="WP-{name}"]')
    return {insert.get_attrib_text("REF"): insert for insert in found if isinstance(insert, Insert)}


def _shapes(doc: ezdxf.document.Drawing, content: str) -> list[LWPolyline]:
    return [e for e in doc.modelspace().query(f'LWPOLYLINE[layer=="WP-{content}"]') if isinstance(e, LWPolyline)]


def test_each_source_and_each_blank_sheet_has_a_file_named_for_job_and_revision() -> None:
    """Level B2 lies in its drawing; level B1 has none and gets a new file. Nothing had to be said."""
    made = _marked()
    assert list(made.files) == [NAME, "Tern Quay C02 marked plan B1.dxf"]
    assert made.findings == ()


@pytest.mark.slow
def test_the_same_job_gives_the_same_bytes() -> None:
    """Twice the same input, twice the same file."""
    assert _marked.__wrapped__().files == _marked().files


@pytest.mark.slow
def test_bytes_do_not_depend_on_the_process() -> None:
    """Another process with another hash seed writes the same bytes."""
    root = FilePath(__file__).parents[4]
    script = (
        "import hashlib; from tests.unit.issue.marked_dxf.test_write import _marked;"
        "print([hashlib.sha256(d).hexdigest() for d in _marked().files.values()])"
    )
    seen = {
        subprocess.run(
            [sys.executable, "-c", script], cwd=root, env={"PYTHONHASHSEED": seed, "PYTHONPATH": str(root)},
            capture_output=True, text=True, check=True,
        ).stdout
        for seed in ("1", "77")
    }  # fmt: skip
    assert len(seen) == 1


@pytest.mark.slow
def test_the_library_is_left_as_it_was() -> None:
    """Neither its setting for metadata nor the level of its log is changed."""
    log = logging.getLogger("ezdxf")
    before = ezdxf.options.write_fixed_meta_data_for_testing, log.level
    _marked.__wrapped__()
    assert (ezdxf.options.write_fixed_meta_data_for_testing, log.level) == before


def test_the_audit_finds_nothing() -> None:
    """The library's own audit of the saved and opened file has no error and no fix, in both files."""
    for data in _marked().files.values():
        audit = _document(data).audit()
        assert (audit.errors, audit.fixes) == ([], [])


def test_every_leak_is_a_block_with_its_facts() -> None:
    """A leak's block says where, how long and how wet; the worked example is L-02 on J-02, 3.6 to 4.6 m, a seep."""
    found = _blocks(_sample(), "LEAK")
    assert set(found) == {leak.ref for leak in leaks()}
    seep = {attrib.dxf.tag: attrib.dxf.text for attrib in found["L-02"].attribs}
    assert seep == {
        "REF": "L-02", "SHEET": "B2", "JOINT": "J-02", "FROM_M": "3.600", "TO_M": "4.600", "LENGTH_M": "1.000",
        "WETNESS": "2", "WETNESS_WORD": "seep", "WORST_M": "", "FLOW_L_MIN": "", "SEEN": "2026-11-02", "ZONE": "",
        "NOTE": "", "REVISION": "C02",
    }  # fmt: skip
    assert found["L-11"].get_attrib_text("LENGTH_M") == "0.000"


def test_every_zone_is_a_block_with_its_facts() -> None:
    """A zone's block has the figures of the work-out, its rows in words and the revision."""
    found = _blocks(_sample(), "ZONE")
    for zone in repairs().zones:
        insert = found[zone.ref]
        assert insert.get_attrib_text("LENGTH_M") == f"{zone.length_m:.3f}"
        assert insert.get_attrib_text("CHARGEABLE_M") == f"{zone.chargeable_m:.3f}"
        assert insert.get_attrib_text("REVISION") == "C02"
    assert found["Z-01"].get_attrib_text("ROWS") == "J-02 0.600-4.900"
    assert found["Z-01"].get_attrib_text("DEPTH_MM") == "37"
    assert found["Z-04"].get_attrib_text("PROVISIONAL") == "It holds only suspects."
    assert found["Z-04"].get_attrib_text("LABEL") == "Z-04 provisional"


def test_every_joint_vertical_joint_relief_blind_stretch_and_cut_is_a_block() -> None:
    """Nothing that is marked lacks its block."""
    doc = _sample()
    assert set(_blocks(doc, "JOINT")) == {f"J-0{number}" for number in range(1, 8)}
    rises = {ref: insert.get_attrib_text("RISE_M") for ref, insert in _blocks(doc, "VERTICAL").items()}
    assert rises == {"V-01": "4.200", "V-02": "3.600"}
    assert _blocks(doc, "VERTICAL")["V-01"].get_attrib_text("HEAD_SHEET") == "B1"
    assert {ref: insert.get_attrib_text("AT_M") for ref, insert in _blocks(doc, "RELIEF").items()} == {
        "Z-02": "11.700", "Z-03": "5.000", "Z-08": "0.200",
    }  # fmt: skip
    assert _blocks(doc, "BLIND")["J-06"].get_attrib_text("HIDDEN_BY") == "pump plinth"
    assert _blocks(doc, "CUT")["J-02"].get_attrib_text("AT_M") == "4.850"


def test_only_the_reference_of_a_block_is_seen() -> None:
    """One attribute of each labelled block shows, with the words that stand on the plan; the rest is hidden."""
    for name in ("LEAK", "ZONE", "JOINT", "VERTICAL"):
        for ref, insert in _blocks(_sample(), name).items():
            shown = [attrib for attrib in insert.attribs if not attrib.is_invisible]
            assert len(shown) == 1
            assert shown[0].dxf.text.startswith(ref)
            assert shown[0].dxf.style == "WP-TEXT"


def test_paper_sizes_are_true_at_the_plot_scale() -> None:
    """At 1:50 in millimetres a reference is 3.5 mm * 50 = 175 units high, a name 2.5 mm * 50 = 125."""
    doc = _sample()
    heights = {
        name: {round(attrib.dxf.height, 6) for ins in _blocks(doc, name).values() for attrib in ins.attribs
               if not attrib.is_invisible}
        for name in ("ZONE", "JOINT")
    }  # fmt: skip
    assert sorted(heights["ZONE"]) == pytest.approx([175.0])
    assert sorted(heights["JOINT"]) == pytest.approx([125.0])
    relief = _blocks(doc, "RELIEF")["Z-02"]
    assert (relief.dxf.insert.x, relief.dxf.insert.y) == pytest.approx((12_000.0, 7_500.0))  # J-02 at 11.7 m
    assert (relief.dxf.xscale, relief.dxf.yscale) == pytest.approx((50.0, 50.0))


def test_joints_lie_exactly_where_they_were_drawn() -> None:
    """J-02 in drawing units is its path in metres times 1000; the wall-base joint is closed."""
    doc = _sample()
    lines = [[(x, y) for x, y, *_ in line.get_points()] for line in _shapes(doc, "JOINT-CONSTRUCTION")]
    assert any(
        len(line) == 3 and all(hypot(x - a, y - b) < 1e-6 for (x, y), (a, b) in zip(line, drawn, strict=True))
        for line in lines
        for drawn in [[(300, 7500), (12000, 7500), (12000, 14700)]]
        if len(line) == 3
    )
    assert any(line.closed and len(line) == 4 for line in _shapes(doc, "JOINT-WALLBASE"))


@pytest.mark.slow
@pytest.mark.parametrize("turn_deg", [0.0, 30.0, 90.0])
def test_a_drawing_at_survey_coordinates_and_turned_is_marked_exactly(turn_deg: float) -> None:
    """The corners of J-02 lie within 0.1 mm of the drawing points that the placement gives.

    The drawing lies at 3,450,000 / 5,680,000 m and the site plane is turned against it.
    """
    placement = Placement(
        origin=(3_450_000_000.0, 5_680_000_000.0), x_m_per_unit=0.001, y_m_per_unit=0.001, turn_deg=turn_deg,
        at_m=(3.0, -2.0),
    )  # fmt: skip
    doc = _document(_marked(placement).files[NAME])
    joint = next(joint for joint in joints() if joint.ref == "J-02")
    assert joint.path is not None
    wanted = [placement.to_drawing(point) for point in joint.path.points]
    found = [[(x, y) for x, y, *_ in line.get_points()] for line in _shapes(doc, "JOINT-CONSTRUCTION")]
    near = [
        line for line in found if len(line) == 3 and hypot(line[0][0] - wanted[0][0], line[0][1] - wanted[0][1]) < 1
    ]
    assert near
    for (x, y), (a, b) in zip(near[0], wanted, strict=True):
        assert hypot(x - a, y - b) < 0.1
    texts = [attrib.dxf.rotation for insert in _blocks(doc, "ZONE").values() for attrib in insert.attribs]
    assert set(texts) == {0.0}


def test_coat_bands_have_their_true_width() -> None:
    """The outline of Z-06 is 2.6 m by the coat width of 0.325 m, in millimetres."""
    doc = _sample()
    outlines = [[(x, y) for x, y, *_ in line.get_points()] for line in _shapes(doc, "ZONE-OUTLINE")]
    boxes = [
        (min(x for x, _ in ring), min(y for _, y in ring), max(x for x, _ in ring), max(y for _, y in ring))
        for ring in outlines
    ]
    wanted = (16_700.0, 9_000 - 162.5, 19_300.0, 9_000 + 162.5)
    assert any(box == pytest.approx(wanted, abs=1e-3) for box in boxes)


def test_hatches_tell_the_parts_of_a_zone_apart_and_hang_on_their_borders() -> None:
    """Overrun: one family of lines. Merged and bridged: two. Wet: a solid tint. Each is tied to its border."""
    doc = _sample()
    space = doc.modelspace()
    families = {
        content: {len(hatch.pattern.lines) for hatch in space.query(f'HATCH[layer=="WP-{content}"]')}
        for content in ("ZONE-OVERRUN", "ZONE-MERGED")
    }
    assert families == {"ZONE-OVERRUN": {1}, "ZONE-MERGED": {2}}
    assert {round(hatch.dxf.pattern_scale, 6) for hatch in space.query('HATCH[layer=="WP-ZONE-OVERRUN"]')} == {57.5}
    assert all(hatch.dxf.solid_fill for hatch in space.query('HATCH[layer=="WP-ZONE-WET"]'))
    for hatch in space.query("HATCH"):
        assert isinstance(hatch, Hatch)
        if hatch.dxf.layer.startswith("WP-ZONE") and hatch.dxf.associative:
            for path in hatch.paths:
                (handle,) = path.source_boundary_objects
                border = doc.entitydb[handle]
                assert isinstance(border, LWPolyline)
                assert [(x, y) for x, y, *_ in border.get_points()] == [(x, y) for x, y, _ in path.vertices]
    assert all(hatch.dxf.associative for hatch in space.query('HATCH[layer=="WP-ZONE-OVERRUN"]'))


def test_hatch_areas_together_fill_the_outline_of_a_zone() -> None:
    """Wet, overrun, merged and bridged parts of Z-01 cover its 4.3 m by 0.325 m once."""
    doc = _sample()
    rings = []
    for content in ("ZONE-WET", "ZONE-OVERRUN", "ZONE-MERGED"):
        for hatch in doc.modelspace().query(f'HATCH[layer=="WP-{content}"]'):
            assert isinstance(hatch, Hatch)
            ring = tuple((x / 1000, y / 1000) for x, y, _ in hatch.paths[0].vertices)
            if 0.8 < ring[0][0] < 5.3 and 7.3 < ring[0][1] < 7.7:
                rings.append(((*ring, ring[0]),))
    single = sum(shape_of([ring]).area for ring in rings)
    assert single == pytest.approx(4.3 * 0.325, abs=1e-6)
    assert shape_of(rings).area == pytest.approx(single, abs=1e-6)


def test_the_table_adds_up_and_names_what_needs_another_method() -> None:
    """The total of the table is the sum of its rows; the leak on the movement joint is listed apart."""
    words = [text.plain_text() for text in _sample().modelspace().query('MTEXT[layer=="WP-NOTE-TABLE"]')]
    lengths = [zone.length_m for zone in repairs().zones]
    assert f"{sum(lengths):.3f}" in words
    assert f"{sum(zone.chargeable_m for zone in repairs().zones):.2f}" in words
    assert all(f"{length:.3f}" in words for length in lengths)
    assert "Needs another method" in words
    assert "L-06" in words


def test_the_heading_says_revision_day_people_and_where_the_cautions_are() -> None:
    """Whoever opens the file sees what it is, for whom, and that the repair schedule holds the cautions."""
    words = " ".join(text.plain_text() for text in _sample().modelspace().query('MTEXT[layer=="WP-NOTE-HEADING"]'))
    for part in ("Tern Quay", "level B2", "Revision C02, for work, 25 Nov 2026", "to crew 2 by R. Vale"):
        assert part in words
    assert "see the repair schedule of the same revision" in words
    assert "Overrun: extension of the repair past visible water." in words


def test_a_provisional_file_says_that_nobody_may_work_to_it() -> None:
    """Without an issue the heading says provisional, and the file's name that nothing was issued."""
    job = _small(sheet_b2())
    heading = provisional_heading(job, datetime(2026, 11, 1, tzinfo=UTC))
    made = marked_dxf(job, ONE, sources={}, heading=heading)
    assert next(iter(made.files)) == "Tern Quay not issued marked plan B2.dxf"
    doc = _document(next(iter(made.files.values())))
    words = [text.plain_text() for text in doc.modelspace().query('MTEXT[layer=="WP-NOTE-HEADING"]')]
    assert "Revision not issued, provisional, not for work, 01 Nov 2026" in words


def test_typed_text_comes_back_as_typed() -> None:
    """Formatting codes, emoji, Cyrillic, line ends and 5,000 letters in notes are read back from the block."""
    notes = [r"{\H5;x} 5^2 \P", "насос 💧", "first\nsecond", "long " * 1000]
    refs = [f"L-9{number}" for number in range(len(notes))]
    wet = [replace(WET[0], id=key(ref), ref=ref, note=note) for ref, note in zip(refs, notes, strict=True)]
    job = _small(replace(sheet_b2(), name="{B2}"), name="Tern\nQuay {1}", wet=[*WET, *wet])
    made = marked_dxf(job, ONE, sources={}, heading=replace(HEADING, job_name=job.name))
    found = _blocks(_document(next(iter(made.files.values()))), "LEAK")
    for leak, note in zip(wet, notes, strict=True):
        attrib = found[leak.ref].get_attrib("NOTE")
        assert attrib is not None
        many = attrib.virtual_mtext_entity().plain_text() if attrib.has_embedded_mtext_entity else attrib.plain_text()
        assert many == note
    assert made.findings == ()


def test_look_alikes_are_said() -> None:
    """Text that a drawing would read as a symbol is shown by look-alikes, and a finding names where."""
    made = marked_dxf(_small(sheet_b2(), wet=[replace(WET[0], note="50%%u")]), ONE, sources={}, heading=HEADING)
    assert [(finding.code, finding.where) for finding in made.findings] == [("look-alike", "L-01")]


def test_printed_chainages_add_the_start_of_the_joint() -> None:
    """A joint that was split keeps its chainages: J-02 starting at 20 m has L-02 at 23.6 to 24.6 m."""
    moved = [replace(joint, start_m=20.0) if joint.ref == "J-02" else joint for joint in FEW]
    made = marked_dxf(_small(sheet_b2(), few=moved), ONE, sources={}, heading=HEADING)
    found = _blocks(_document(next(iter(made.files.values()))), "LEAK")["L-02"]
    assert (found.get_attrib_text("FROM_M"), found.get_attrib_text("TO_M")) == ("23.600", "24.600")


@pytest.mark.slow
def test_a_drawing_that_was_marked_before_is_marked_again_beside_the_old_marks() -> None:
    """Names of ours that are taken get a number, a finding says so, and the old marks stay."""
    first = _marked().files[NAME]
    sheet = sheet_b2(first, MILLIMETRES)
    assert sheet.source is not None
    made = marked_dxf(_small(sheet), ONE, sources={sheet.source.sha256: first}, heading=HEADING)
    doc = _document(made.files[NAME])
    assert [finding.code for finding in made.findings] == ["layers-renamed"]
    layers = {entity.dxf.layer for entity in doc.modelspace()}
    assert {"WP-ZONE-OUTLINE", "WP2-ZONE-OUTLINE"} <= layers
    assert len(_blocks(doc, "ZONE")) == len(repairs().zones)
    assert doc.audit().errors == []


def test_two_sheets_side_by_side_in_one_drawing_share_a_file() -> None:
    """Both levels drawn in one file: one marked file, each sheet with its own notes and its own joints."""
    source = plan_bytes()
    lower = sheet_b2(source, MILLIMETRES)
    upper = replace(lower, id=key("B1"), name="B1", placement=replace(MILLIMETRES, origin=(40_000.0, 0.0)))
    raised = replace(joints()[4], id=key("J-09"), ref="J-09", sheet=key("B1"))
    job = job_on([lower, upper], with_joints=[*FEW, raised], with_leaks=WET)
    assert lower.source is not None
    made = marked_dxf(job, ONE, sources={lower.source.sha256: source}, heading=HEADING)
    assert list(made.files) == [NAME]
    doc = _document(made.files[NAME])
    starts = [line.get_points()[0][0] for line in _shapes(doc, "JOINT-CRACK")]
    assert any(x == pytest.approx(42_000.0) for x in starts)
    assert {insert.get_attrib_text("SHEET") for insert in _blocks(doc, "JOINT").values()} == {"B1", "B2"}


def test_two_sheets_in_the_same_place_of_a_drawing_get_a_file_each() -> None:
    """One typical floor used for two levels: marks would lie over each other, so each has its own file, said so."""
    source = plan_bytes()
    lower = sheet_b2(source, MILLIMETRES)
    upper = replace(lower, id=key("B1"), name="B1")
    raised = replace(joints()[4], id=key("J-09"), ref="J-09", sheet=key("B1"))
    assert lower.source is not None
    made = marked_dxf(
        job_on([lower, upper], with_joints=[*FEW, raised], with_leaks=WET), ONE,
        sources={lower.source.sha256: source}, heading=HEADING,
    )  # fmt: skip
    assert list(made.files) == [NAME, "Tern Quay C02 marked plan quay b2 2.dxf"]
    assert [finding.code for finding in made.findings] == ["own-file"]


@pytest.mark.parametrize("source", [None, b"%PDF-1.7", b"no ENTITIES here"])
def test_a_drawing_that_cannot_be_marked_leaves_the_marks_in_a_new_file(source: bytes | None) -> None:
    """A PDF, a damaged or a missing drawing: the marks are in a new file in metres, and a finding says so."""
    sheet = sheet_b2(source or b"gone", MILLIMETRES)
    assert sheet.source is not None
    given = {} if source is None else {sheet.source.sha256: source}
    made = marked_dxf(_small(sheet), ONE, sources=given, heading=HEADING)
    assert [finding.code for finding in made.findings] == ["drawing-not-marked"]
    assert "without the drawing" in made.findings[0].text
    doc = _document(made.files["Tern Quay C02 marked plan B2.dxf"])
    assert doc.header["$INSUNITS"] == 6
    (wall,) = [line for line in _shapes(doc, "JOINT-WALLBASE") if len(line) == 4 and line.closed]
    assert wall.get_points()[2][:2] == pytest.approx((23.7, 14.7))


def test_a_name_with_forbidden_characters_is_refused_before_anything_is_written() -> None:
    """The discipline is a part of every layer's name."""
    with pytest.raises(BadValue, match="layer's name"):
        marked_dxf(job_on([sheet_b2(), sheet_b1()]), repairs(), sources={}, heading=HEADING, discipline="A:B")


def test_a_job_without_anything_marked_still_gives_its_drawing() -> None:
    """No joints, no leaks: the file has the heading, the key and a table that says none."""
    empty = replace(repairs(), zones=(), another_method=())
    job = replace(job_on([sheet_b1()], with_joints=(), with_leaks=()), cuts={})
    made = marked_dxf(job, empty, sources={}, heading=HEADING)
    (data,) = made.files.values()
    words = [text.plain_text() for text in _document(data).modelspace().query("MTEXT")]
    assert "none" in words


def test_tie_holes_are_listed_under_another_method() -> None:
    """What is counted and not drawn stands in the table of its sheet."""
    holes = OtherItem(id=key("holes"), sheet=key("B2"), what="tie holes", quantity=12, unit="no.")
    job = replace(_small(sheet_b2()), others={holes.id: holes})
    made = marked_dxf(job, ONE, sources={}, heading=HEADING)
    space = _document(next(iter(made.files.values()))).modelspace()
    assert "tie holes: 12 no." in [text.plain_text() for text in space.query("MTEXT")]


def test_two_sources_of_one_name_give_two_files() -> None:
    """Two drawings that are both called quay b2.dxf do not overwrite each other."""
    sources = [plan_bytes(), plan_bytes(unit=1.0)]
    sheets = [sheet_b2(sources[0], MILLIMETRES), replace(sheet_b2(sources[1]), id=key("B1"), name="B1")]
    job = job_on(sheets, with_joints=FEW, with_leaks=WET)
    given = {hashlib.sha256(source).hexdigest(): source for source in sources}
    made = marked_dxf(job, ONE, sources=given, heading=HEADING)
    assert list(made.files) == [NAME, NAME.replace(".dxf", " 2.dxf")]


def test_what_shows_twice_has_its_block_once() -> None:
    """A vertical joint between two levels in one drawing has words on both, and one block, so nobody counts it twice."""
    source = plan_bytes()
    lower = sheet_b2(source, MILLIMETRES)
    upper = replace(lower, id=key("B1"), name="B1", placement=replace(MILLIMETRES, origin=(40_000.0, 0.0)))
    rising = [joint for joint in joints() if joint.ref == "V-01"]
    assert lower.source is not None
    job = job_on([lower, upper], with_joints=[*FEW, *rising], with_leaks=WET)
    made = marked_dxf(job, ONE, sources={lower.source.sha256: source}, heading=HEADING)
    space = _document(made.files[NAME]).modelspace()
    assert [insert.get_attrib_text("REF") for insert in space.query('INSERT[name=="WP-VERTICAL"]')] == ["V-01"]
    assert len(space.query('INSERT[name=="WP-VERTICAL-UP"]')) == 1
    assert len(space.query('INSERT[name=="WP-VERTICAL-DOWN"]')) == 1
    assert "V-01  4.20 from B2" in [text.plain_text() for text in space.query("TEXT")]


def test_no_layer_of_the_drawing_is_changed() -> None:
    """Names, colours and states of the drawing's own layers are as before."""
    before, _ = read_document(plan_bytes(), "plan.dxf")
    after = _sample()
    for layer in before.layers:
        kept = after.layers.get(layer.dxf.name)
        assert (kept.dxf.color, kept.dxf.flags, kept.dxf.linetype) == (
            layer.dxf.color, layer.dxf.flags, layer.dxf.linetype,
        )  # fmt: skip


def test_no_record_holds_a_line_end() -> None:
    """A line end inside a string of extended data would make the file unreadable: every odd line is a group code."""
    text = _marked().files[NAME].decode("utf-8")
    lines = text.split("\n")
    assert all(re.fullmatch(r"\s*-?\d+", line) for line in lines[:-1:2])


def test_paper_space_and_solids_of_the_drawing_stay() -> None:
    """A layout with texts and a mesh in space are still there."""
    doc = ezdxf.new("R2013")
    doc.modelspace().add_line((0, 0, 5), (1000, 0, 7))
    doc.layout("Layout1").add_text("PAPER NOTE")
    stream = io.StringIO()
    doc.write(stream)
    source = doc.encode(stream.getvalue())
    sheet = sheet_b2(source, MILLIMETRES)
    assert sheet.source is not None
    made = marked_dxf(_small(sheet), ONE, sources={sheet.source.sha256: source}, heading=HEADING)
    kept = _document(made.files[NAME])
    assert [text.dxf.text for text in kept.layout("Layout1").query("TEXT")] == ["PAPER NOTE"]
    line = kept.modelspace().query("LINE")[0]
    assert (line.dxf.start.z, line.dxf.end.z) == (5, 7)


@pytest.mark.slow
def test_turned_by_the_placement_means_turned_on_the_drawing() -> None:
    """The stem of a relief point stands square to its joint in the drawing, whatever the site plane's turn."""
    placement = replace(MILLIMETRES, turn_deg=30.0)
    relief = _blocks(_document(_marked(placement).files[NAME]), "RELIEF")["Z-03"]
    along = radians(-30.0)
    stem = radians(relief.dxf.rotation + 90)
    assert cos(along) * cos(stem) + sin(along) * sin(stem) == pytest.approx(0.0, abs=1e-9)


def test_a_blind_stretch_that_passes_the_start_of_a_closed_joint_has_its_true_length() -> None:
    """Hidden from 40 m round to 2 m on a closed joint of 75.6 m: 37.6 m."""
    moved = [
        replace(joint, blind=(Blind(from_m=40.0, to_m=2.0, what="tank"),)) if joint.kind is Kind.WALL_BASE else joint
        for joint in FEW
    ]
    made = marked_dxf(_small(sheet_b2(), few=moved), ONE, sources={}, heading=HEADING)
    found = _blocks(_document(next(iter(made.files.values()))), "BLIND")["J-01"]
    assert found.get_attrib_text("LENGTH_M") == "37.600"


def test_each_sheet_has_a_layout_at_its_plot_scale_on_a_sheet_of_paper() -> None:
    """The layout of B2 lies on ISO A1; its two viewports show 50 mm of the drawing on each millimetre of paper.

    Its line types are not scaled by the viewports: our lengths are real.
    """
    layout = _sample().layout("WP B2")
    assert (layout.dxf.paper_width, layout.dxf.paper_height) == (841.0, 594.0)
    views = [view for view in layout.query("VIEWPORT") if view.dxf.id > 1]
    assert [view.dxf.view_height / view.dxf.height for view in views] == pytest.approx([50.0, 50.0])
    assert layout.dxf.layout_flags % 2 == 0


def test_a_layout_never_takes_a_forbidden_name() -> None:
    """A sheet called A/B: 1 gets a layout whose name the format takes."""
    sheet = replace(sheet_b2(), name="A/B: 1")
    made = marked_dxf(_small(sheet), ONE, sources={}, heading=HEADING)
    assert "WP A_B_ 1" in _document(next(iter(made.files.values()))).layout_names()
