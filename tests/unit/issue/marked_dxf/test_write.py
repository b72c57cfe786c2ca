"""The marked drawing: marks, blocks with attributes, notes beside the plan."""

from __future__ import annotations

from dataclasses import replace
from math import cos, hypot, radians, sin

import pytest
from ezdxf.entities import Hatch, LWPolyline

from leakmap.geometry.placement import Placement
from leakmap.issue.marked_dxf.write import marked_dxf
from leakmap.issue.marks.course import shape_of
from leakmap.model.job import OtherItem
from leakmap.model.joint import Blind
from leakmap.model.words import Kind
from tests.helpers.marked_files import (
    FEW,
    MILLIMETRES,
    NAME,
    ONE,
    WET,
    blocks_of,
    document_of,
    marked_sample,
    sample,
    shapes_of,
    small_job,
)
from tests.helpers.marked_job import HEADING, joints, key, leaks, plan_bytes, repairs, sheet_b2


def test_the_audit_finds_nothing() -> None:
    """The library's own audit of the saved and opened file has no error and no fix, in both files."""
    for data in marked_sample().files.values():
        audit = document_of(data).audit()
        assert (audit.errors, audit.fixes) == ([], [])


def test_whatever_is_added_lies_on_a_layer_of_ours() -> None:
    """Model space holds the handles of the source on its own layers, and besides only our marks, covers included."""
    before = {entity.dxf.handle: entity.dxf.layer for entity in document_of(plan_bytes()).modelspace()}
    after = {entity.dxf.handle: entity.dxf.layer for entity in sample().modelspace()}
    assert before.items() <= after.items()
    assert all(after[handle].startswith("WP-") for handle in after.keys() - before.keys())


def test_every_leak_is_a_block_with_its_facts() -> None:
    """A leak's block says where, how long and how wet; the worked example is L-02 on J-02, 3.6 to 4.6 m, a seep."""
    found = blocks_of(sample(), "LEAK")
    assert set(found) == {leak.ref for leak in leaks()}
    seep = {attrib.dxf.tag: attrib.dxf.text for attrib in found["L-02"].attribs}
    assert seep == {
        "REF": "L-02", "SHEET": "B2", "JOINT": "J-02", "FROM_M": "3.600", "TO_M": "4.600", "LENGTH_M": "1.000",
        "WETNESS": "2", "WETNESS_WORD": "seep", "WORST_M": "", "FLOW_L_MIN": "", "SEEN": "2026-11-02", "ZONE": "",
        "STATUS": "in no zone", "NOTE": "", "REVISION": "C02",
    }  # fmt: skip
    assert found["L-11"].get_attrib_text("LENGTH_M") == "0.000"


def test_every_zone_is_a_block_with_its_facts() -> None:
    """A zone's block has the figures of the work-out, its rows in words and the revision."""
    found = blocks_of(sample(), "ZONE")
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
    doc = sample()
    assert set(blocks_of(doc, "JOINT")) == {f"J-0{number}" for number in range(1, 8)}
    rises = {ref: insert.get_attrib_text("RISE_M") for ref, insert in blocks_of(doc, "VERTICAL").items()}
    assert rises == {"V-01": "4.200", "V-02": "3.600"}
    assert blocks_of(doc, "VERTICAL")["V-01"].get_attrib_text("HEAD_SHEET") == "B1"
    assert {ref: insert.get_attrib_text("AT_M") for ref, insert in blocks_of(doc, "RELIEF").items()} == {
        "Z-02": "11.700", "Z-03": "5.000", "Z-08": "0.200",
    }  # fmt: skip
    assert blocks_of(doc, "BLIND")["J-06"].get_attrib_text("HIDDEN_BY") == "pump plinth"
    assert blocks_of(doc, "CUT")["J-02"].get_attrib_text("AT_M") == "4.850"


def test_only_the_reference_of_a_block_is_seen() -> None:
    """One attribute of each labelled block shows, with the words that stand on the plan; the rest is hidden."""
    for name in ("LEAK", "ZONE", "JOINT", "VERTICAL"):
        for ref, insert in blocks_of(sample(), name).items():
            shown = [attrib for attrib in insert.attribs if not attrib.is_invisible]
            assert len(shown) == 1
            assert shown[0].dxf.text.startswith(ref)
            assert shown[0].dxf.style == "WP-TEXT"


def test_paper_sizes_are_true_at_the_plot_scale() -> None:
    """At 1:50 in millimetres a reference is 3.5 mm * 50 = 175 units high, a name 2.5 mm * 50 = 125."""
    doc = sample()
    heights = {
        name: {round(attrib.dxf.height, 6) for ins in blocks_of(doc, name).values() for attrib in ins.attribs
               if not attrib.is_invisible}
        for name in ("ZONE", "JOINT")
    }  # fmt: skip
    assert sorted(heights["ZONE"]) == pytest.approx([175.0])
    assert sorted(heights["JOINT"]) == pytest.approx([125.0])
    relief = blocks_of(doc, "RELIEF")["Z-02"]
    assert (relief.dxf.insert.x, relief.dxf.insert.y) == pytest.approx((12_000.0, 7_500.0))  # J-02 at 11.7 m
    assert (relief.dxf.xscale, relief.dxf.yscale) == pytest.approx((50.0, 50.0))


def test_joints_lie_exactly_where_they_were_drawn() -> None:
    """J-02 in drawing units is its path in metres times 1000; the wall-base joint is closed."""
    doc = sample()
    lines = [[(x, y) for x, y, *_ in line.get_points()] for line in shapes_of(doc, "JOINT-CONSTRUCTION")]
    assert any(
        len(line) == 3 and all(hypot(x - a, y - b) < 1e-6 for (x, y), (a, b) in zip(line, drawn, strict=True))
        for line in lines
        for drawn in [[(300, 7500), (12000, 7500), (12000, 14700)]]
        if len(line) == 3
    )
    assert any(line.closed and len(line) == 4 for line in shapes_of(doc, "JOINT-WALLBASE"))


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
    doc = document_of(marked_sample(placement).files[NAME])
    joint = next(joint for joint in joints() if joint.ref == "J-02")
    assert joint.path is not None
    wanted = [placement.to_drawing(point) for point in joint.path.points]
    found = [[(x, y) for x, y, *_ in line.get_points()] for line in shapes_of(doc, "JOINT-CONSTRUCTION")]
    near = [
        line for line in found if len(line) == 3 and hypot(line[0][0] - wanted[0][0], line[0][1] - wanted[0][1]) < 1
    ]
    assert near
    for (x, y), (a, b) in zip(near[0], wanted, strict=True):
        assert hypot(x - a, y - b) < 0.1
    texts = [attrib.dxf.rotation for insert in blocks_of(doc, "ZONE").values() for attrib in insert.attribs]
    assert set(texts) == {0.0}


def test_coat_bands_have_their_true_width() -> None:
    """The outline of Z-06 is 2.6 m by the coat width of 0.325 m, in millimetres."""
    doc = sample()
    outlines = [[(x, y) for x, y, *_ in line.get_points()] for line in shapes_of(doc, "ZONE-OUTLINE")]
    boxes = [
        (min(x for x, _ in ring), min(y for _, y in ring), max(x for x, _ in ring), max(y for _, y in ring))
        for ring in outlines
    ]
    wanted = (16_700.0, 9_000 - 162.5, 19_300.0, 9_000 + 162.5)
    assert any(box == pytest.approx(wanted, abs=1e-3) for box in boxes)


def test_hatches_tell_the_parts_of_a_zone_apart_and_hang_on_their_borders() -> None:
    """Overrun: one family of lines. Merged and bridged: two. Wet: a solid tint. Each is tied to its border."""
    doc = sample()
    space = doc.modelspace()
    families = {
        content: {len(hatch.pattern.lines) for hatch in space.query(f'HATCH[layer=="WP-{content}"]')}
        for content in ("ZONE-OVERRUN", "ZONE-MERGED")
    }
    assert families == {"ZONE-OVERRUN": {1}, "ZONE-MERGED": {2}}
    assert {round(hatch.dxf.pattern_scale, 6) for hatch in space.query('HATCH[layer=="WP-ZONE-OVERRUN"]')} == {57.5}
    assert all(hatch.dxf.solid_fill for hatch in space.query('HATCH[layer=="WP-ZONE-WET"]'))


def test_every_fill_of_ours_hangs_on_its_border() -> None:
    """In model space, in blocks and on layouts: each path of each hatch names one polyline with the same corners and bends."""
    doc = sample()
    spaces = [doc.modelspace(), *(block for block in doc.blocks if block.name.startswith("WP-")), doc.layout("WP B2")]
    counts = []
    for space in spaces:
        hatches = [hatch for hatch in space.query("HATCH") if hatch.dxf.layer.startswith("WP-")]
        counts.append(len(hatches))
        for hatch in hatches:
            assert isinstance(hatch, Hatch)
            assert hatch.dxf.associative
            for path in hatch.paths:
                (handle,) = path.source_boundary_objects
                border = doc.entitydb[handle]
                assert isinstance(border, LWPolyline)
                assert border.get_points("xyb") == path.vertices
    assert min(counts[0], counts[-1]) > 10
    assert sum(counts[1:-1]) >= 4  # the relief point and three lozenges


def test_hatch_areas_together_fill_the_outline_of_a_zone() -> None:
    """Wet, overrun, merged and bridged parts of Z-01 cover its 4.3 m by 0.325 m once."""
    doc = sample()
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


def test_the_heading_says_revision_day_people_and_where_the_cautions_are() -> None:
    """Whoever opens the file sees what it is, for whom, and that the repair schedule holds the cautions."""
    words = " ".join(text.plain_text() for text in sample().modelspace().query('MTEXT[layer=="WP-NOTE-HEADING"]'))
    for part in ("Tern Quay", "level B2", "Revision C02, for work, 25 Nov 2026", "to crew 2 by R. Vale"):
        assert part in words
    assert "see the repair schedule of the same revision" in words
    assert "Overrun: extension of the repair past visible water." in words


def test_typed_text_comes_back_as_typed() -> None:
    """Formatting codes, emoji, Cyrillic, line ends and 5,000 letters in notes are read back from the block."""
    notes = [r"{\H5;x} 5^2 \P", "насос 💧", "first\nsecond", "long " * 1000]
    refs = [f"L-9{number}" for number in range(len(notes))]
    wet = [replace(WET[0], id=key(ref), ref=ref, note=note) for ref, note in zip(refs, notes, strict=True)]
    job = small_job(replace(sheet_b2(), name="{B2}"), name="Tern\nQuay {1}", wet=[*WET, *wet])
    made = marked_dxf(job, ONE, sources={}, heading=replace(HEADING, job_name=job.name))
    found = blocks_of(document_of(next(iter(made.files.values()))), "LEAK")
    for leak, note in zip(wet, notes, strict=True):
        attrib = found[leak.ref].get_attrib("NOTE")
        assert attrib is not None
        many = attrib.virtual_mtext_entity().plain_text() if attrib.has_embedded_mtext_entity else attrib.plain_text()
        assert many == note
    assert made.findings == ()


def test_look_alikes_are_said() -> None:
    """Text that a drawing would read as a symbol is shown by look-alikes, and a finding names where."""
    made = marked_dxf(small_job(sheet_b2(), wet=[replace(WET[0], note="50%%u")]), ONE, sources={}, heading=HEADING)
    assert [(finding.code, finding.where) for finding in made.findings] == [("look-alike", "L-01")]


def test_printed_chainages_add_the_start_of_the_joint() -> None:
    """A joint that was split keeps its chainages: J-02 starting at 20 m has L-02 at 23.6 to 24.6 m."""
    moved = [replace(joint, start_m=20.0) if joint.ref == "J-02" else joint for joint in FEW]
    made = marked_dxf(small_job(sheet_b2(), few=moved), ONE, sources={}, heading=HEADING)
    found = blocks_of(document_of(next(iter(made.files.values()))), "LEAK")["L-02"]
    assert (found.get_attrib_text("FROM_M"), found.get_attrib_text("TO_M")) == ("23.600", "24.600")


def test_tie_holes_are_listed_under_another_method() -> None:
    """What is counted and not drawn stands in the table of its sheet."""
    holes = OtherItem(id=key("holes"), sheet=key("B2"), what="tie holes", quantity=12, unit="no.")
    job = replace(small_job(sheet_b2()), others={holes.id: holes})
    made = marked_dxf(job, ONE, sources={}, heading=HEADING)
    space = document_of(next(iter(made.files.values()))).modelspace()
    assert "tie holes: 12 no." in [text.plain_text() for text in space.query("MTEXT")]


@pytest.mark.slow
def test_turned_by_the_placement_means_turned_on_the_drawing() -> None:
    """The stem of a relief point stands square to its joint in the drawing, whatever the site plane's turn."""
    placement = replace(MILLIMETRES, turn_deg=30.0)
    relief = blocks_of(document_of(marked_sample(placement).files[NAME]), "RELIEF")["Z-03"]
    along = radians(-30.0)
    stem = radians(relief.dxf.rotation + 90)
    assert cos(along) * cos(stem) + sin(along) * sin(stem) == pytest.approx(0.0, abs=1e-9)


def test_a_blind_stretch_that_passes_the_start_of_a_closed_joint_has_its_true_length() -> None:
    """Hidden from 40 m round to 2 m on a closed joint of 75.6 m: 37.6 m."""
    moved = [
        replace(joint, blind=(Blind(from_m=40.0, to_m=2.0, what="tank"),)) if joint.kind is Kind.WALL_BASE else joint
        for joint in FEW
    ]
    made = marked_dxf(small_job(sheet_b2(), few=moved), ONE, sources={}, heading=HEADING)
    found = blocks_of(document_of(next(iter(made.files.values()))), "BLIND")["J-01"]
    assert found.get_attrib_text("LENGTH_M") == "37.600"
