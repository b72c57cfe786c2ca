"""All marks of a sheet."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest

from leakmap.issue.marks.plan import Marks, marks_on, unplaced_leaks
from leakmap.issue.marks.primitives import Coat, Label, Mark, What
from tests.helpers.hand_made import joint_id
from tests.helpers.paper_job import B1, B2, paper_job, paper_repairs

JOB = paper_job()
REPAIRS = paper_repairs(JOB)


@pytest.fixture(scope="module")
def lower() -> Marks:
    """Marks of B2 at 1:100."""
    return marks_on(JOB, REPAIRS, B2, scale=100)


def of(marks: Marks, what: What) -> list[Mark]:
    """Marks of one thing."""
    return [mark for mark in marks if mark.what is what]


def test_every_thing_of_the_sheet_is_marked_with_its_reference(lower: Marks) -> None:
    """Each joint, leak, zone and relief point of B2 has a mark, and nothing of B1 has."""
    on_b2 = {joint.ref for joint in JOB.joints.values() if joint.sheet == B2}
    assert {mark.ref for mark in [*of(lower, What.JOINT), *of(lower, What.VERTICAL)]} == on_b2
    leaks = {leak.ref for leak in JOB.leaks.values() if JOB.joints[leak.joint].sheet == B2}
    assert {mark.ref for mark in of(lower, What.LEAK)} == leaks
    assert {mark.ref for mark in of(lower, What.ZONE)} == {zone.ref for zone in REPAIRS.zones if B2 in zone.sheets}
    assert len(of(lower, What.RELIEF)) == 2
    assert len(of(lower, What.BLIND)) == 1
    assert len(of(lower, What.CUT)) == 1


def test_marks_come_in_paint_order(lower: Marks) -> None:
    """Tints first, labels last."""
    coats = [mark.coat for mark in lower]
    assert coats == sorted(coats)
    assert coats[0] is Coat.TINT
    assert coats[-1] is Coat.LABEL


def labels(marks: Marks) -> list[Label]:
    """All labels."""
    return [item for mark in marks for item in mark.primitives if isinstance(item, Label)]


def test_every_reference_is_written_once_and_none_over_another(lower: Marks) -> None:
    """Names of joints, leaks and zones, the 0 at each joint's start; provisional zones say so."""
    words = [label.words for label in labels(lower)]
    assert words.count("0") == sum(joint.sheet == B2 and not joint.vertical for joint in JOB.joints.values())
    assert len(set(words)) == len(words) - words.count("0") + 1
    assert {"J-05", "L-05", "Z-05", "V-01  4.20", "Z-06 provisional", "Z-07 provisional"} <= set(words)
    boxes = [(i.at[0], i.at[1], i.at[0] + i.width_m, i.at[1] + i.cap_height_m) for i in labels(lower)]
    assert not [1 for a, b in combinations(boxes, 2) if a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]]


def test_a_head_sheet_shows_what_comes_up_from_below() -> None:
    """On B1 the point of V-01 and V-02 passes through, and V-01 says where it comes from."""
    upper = marks_on(JOB, REPAIRS, B1, scale=50)
    signs = [mark.part for mark in of(upper, What.VERTICAL) if mark.coat is Coat.VERTICAL]
    assert signs == ["through"]
    assert "V-01  4.20 from B2" in {label.words for label in labels(upper)}


def test_only_wet_or_repaired_vertical_joints_have_a_staff(lower: Marks) -> None:
    """V-01 leaks and has a staff; V-03 is dry and has none."""
    assert [mark.ref for mark in of(lower, What.VERTICAL) if mark.part == "staff"] == ["V-01"]


def test_the_same_job_gives_the_same_marks(lower: Marks) -> None:
    """Nothing depends on chance or on the order of ids."""
    assert marks_on(JOB, REPAIRS, B2, scale=100) == lower


def test_a_zone_that_is_moved_moves_its_marks() -> None:
    """The band of a zone starts where the zone starts: a shorter zone has a smaller tint."""
    zone = REPAIRS.zones[0]
    short = replace(REPAIRS, zones=(replace(zone, pieces=zone.pieces[:2], bands=()), *REPAIRS.zones[1:]))
    before, after = (of(marks_on(JOB, work, B2, scale=100), What.ZONE) for work in (REPAIRS, short))
    assert [mark for mark in before if mark.ref == "Z-01"] != [mark for mark in after if mark.ref == "Z-01"]


def test_an_empty_sheet_has_no_marks() -> None:
    """A job without joints draws nothing."""
    bare = replace(JOB, joints={}, leaks={}, cuts={})
    assert marks_on(bare, replace(REPAIRS, zones=()), B2, scale=100) == ()
    assert joint_id(JOB, "J-01") in JOB.joints


def test_leaks_without_a_place_are_named() -> None:
    """A leak whose label is missing among the marks is told; on the sample none is."""
    marks = marks_on(JOB, REPAIRS, B2, scale=100, all_named=False)
    assert unplaced_leaks(JOB, B2, marks) == []
    assert unplaced_leaks(JOB, B2, ()) == [
        leak.ref for leak in JOB.leaks.values() if JOB.joints[leak.joint].sheet == B2
    ]
