"""Connected parts, and what cuts and parted junctions keep apart (definitions 5 and 6), by hand."""

from __future__ import annotations

import pytest

from leakmap.repair.cover import covered
from tests.helpers.jobs import cut, job_of, leak, line, parted, upright
from tests.helpers.reading_cover import codes, joints_of, length, spans

ALONG = line((0, 0), (5, 0))
STEM = line((2, 0), (2, 3))
SQUARE = line((0, 0), (1, 0), (1, 1), (0, 1), closed=True)


def test_cover_that_is_joined_at_a_covered_node_is_one_part() -> None:
    """Two leaks that both reach the junction; a third, 1 m off, is another part."""
    found = covered(job_of([ALONG, STEM], [leak(1, 1, 1.8), leak(2, 0.2, 0.5), leak(1, 3.5, 4)]))
    assert joints_of(found.parts) == [[1, 2], [1]]
    assert [part.whole for part in found.parts] == [0, 1]
    assert found.apart == frozenset()


def test_a_cut_parts_cover_and_changes_no_metres() -> None:
    """A leak of 2 m cut in the middle: two parts of one whole, kept apart, 2.6 m as before."""
    found = covered(job_of([ALONG], [leak(1, 1, 3)], cuts=[cut(1, 2.0)]))
    assert [spans(part) for part in found.parts] == [{1: [(0.7, 2.0)]}, {1: [(2.0, 3.3)]}]
    assert [part.whole for part in found.parts] == [0, 0]
    assert found.apart == {(0, 1)}
    assert length(found) == 2.6
    assert found.findings == ()


def test_every_two_parts_of_a_whole_are_apart() -> None:
    """Two cuts make three parts; the outer two are kept apart as well."""
    found = covered(job_of([ALONG], [leak(1, 1, 4)], cuts=[cut(1, 3.0), cut(1, 2.0)]))
    assert found.apart == {(0, 1), (0, 2), (1, 2)}


def test_a_loop_needs_two_cuts() -> None:
    """A square wet all round: one cut separates nothing and is told; two do."""
    one = covered(job_of([SQUARE], [leak(1, 0, 4)], cuts=[cut(1, 1.5)]))
    assert len(one.parts) == 1
    assert codes(one) == ["cut-separates-nothing"]
    assert "a loop needs two cuts" in one.findings[0].text
    two = covered(job_of([SQUARE], [leak(1, 0, 4)], cuts=[cut(1, 1.5), cut(1, 3.5)]))
    assert [spans(part) for part in two.parts] == [{1: [(0.0, 1.5), (3.5, 4.0)]}, {1: [(1.5, 3.5)]}]
    assert two.findings == ()


def test_a_cut_may_lie_at_the_start_of_a_closed_joint() -> None:
    """Cuts at 0 and at 2 m part a square that is wet all round; at 4 m is the same place."""
    for start in (0.0, 4.0):
        found = covered(job_of([SQUARE], [leak(1, 0, 4)], cuts=[cut(1, start), cut(1, 2)]))
        assert [spans(part) for part in found.parts] == [{1: [(0.0, 2.0)]}, {1: [(2.0, 4.0)]}]


@pytest.mark.parametrize(
    ("place", "why"),
    [
        (cut(1, 4.5), "no repair passes there"),
        (cut(1, 3.3), "no repair passes there"),
        (cut(1, 2.01), "it lies at a junction or an end"),
        (cut(2, 0.0), "it lies at a junction or an end"),
        (cut(9, 1.0), "its joint is not repaired by this method"),
    ],
)
def test_a_cut_that_separates_nothing_is_told(place: object, why: str) -> None:
    """Outside cover, at the end of cover, within 10 mm of a node, on no joint of the network."""
    found = covered(job_of([ALONG, STEM], [leak(1, 1, 3)], cuts=[place]))  # type: ignore[list-item] - a cut
    assert len(found.parts) == 1
    (finding,) = found.findings
    assert finding.code == "cut-separates-nothing"
    assert why in finding.text


def test_a_parted_crossing_keeps_its_two_parts_apart() -> None:
    """Both joints are wet where they cross and the crossing is taken apart: two wholes, kept apart."""
    joints = [ALONG, line((2, -1), (2, 3))]
    leaks = [leak(1, 1.5, 2.5), leak(2, 0.5, 1.5)]
    joined = covered(job_of(joints, leaks))
    assert joints_of(joined.parts) == [[1, 2]]
    found = covered(job_of(joints, leaks, parted=[parted(1, 2, 2, 1)]))
    assert joints_of(found.parts) == [[1], [2]]
    assert [part.whole for part in found.parts] == [0, 1]
    assert found.apart == {(0, 1)}


def test_parts_that_do_not_come_to_a_parted_crossing_are_not_separated_by_it() -> None:
    """The second joint is wet only far from the crossing."""
    joints = [ALONG, line((2, -1), (2, 3))]
    found = covered(job_of(joints, [leak(1, 1.5, 2.5), leak(2, 3, 3.5)], parted=[parted(1, 2, 2, 1)]))
    assert len(found.parts) == 2
    assert found.apart == frozenset()


def test_parts_are_in_sheet_joint_chainage_order() -> None:
    """Joints drawn on sheet B2 first come after those on B1; a part lies where its first piece lies."""
    joints = [line((0, 0), (5, 0), on=2), line((0, 0), (5, 0)), line((0, 1), (5, 1))]
    leaks = [leak(1, 1, 2), leak(3, 1, 2), leak(2, 4, 4.5), leak(2, 1, 2)]
    assert [spans(part) for part in covered(job_of(joints, leaks)).parts] == [
        {2: [(0.7, 2.3)]},
        {2: [(3.7, 5.0)]},
        {3: [(0.7, 2.3)]},
        {1: [(0.7, 2.3)]},
    ]


def test_a_part_may_lie_on_two_sheets() -> None:
    """Floor, vertical joint and floor above, wet through: one part."""
    joints = [ALONG, upright((2, 0), 1.0, head=2), line((0, 0), (5, 0), on=2)]
    found = covered(job_of(joints, [leak(2, 0, 1)]))
    assert joints_of(found.parts) == [[1, 2, 3]]
    assert length(found) == 1 + 4 * 0.3
