"""Deeds on the bends of a joint: leaks stay where they are on the concrete."""

from __future__ import annotations

from dataclasses import replace
from math import hypot
from uuid import UUID

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from leakmap.base.errors import EditRefused
from leakmap.model.faults import faults
from leakmap.model.leak import IssuedStretch
from leakmap.model.words import Kind
from leakmap.work.edits.bends import add_bend, move_bend, remove_bend, shift_joint
from leakmap.work.edits.blinds import add_blind
from leakmap.work.edits.joints import draw_vertical_joint
from leakmap.work.edits.marks import add_cut, part_junction, set_relief_point
from tests.helpers.small_jobs import issued, one_line, one_sheet, stretches, with_leak, with_line

SQUARE = [(0, 0), (2.5, 0), (2.5, 2.5), (0, 2.5)]  # 10 m round
LINE = [(0, 0), (4, 0), (8, 0)]


def test_end_moved_in_shortens_what_reaches_past_it() -> None:
    """The end of 7 m moved 0.3 m in: a leak from 6 to 7 m is 0.3 m shorter, one at 1 m stays."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 6, 7)
    job, _ = with_leak(job, joint, 1, 2)
    edit = move_bend(job, joint=joint, bend=2, to=(4, 2.7))
    assert stretches(edit.job) == {"L-01": ("J-01", 6, 6.7), "L-02": ("J-01", 1, 2)}
    assert edit.said == ("L-01 is now 0.30 m shorter.",)
    assert edit.words == "move bend of J-01"


def test_start_moved_keeps_distances_from_the_end() -> None:
    """The start moved 1 m in: what lay at 3 to 5 m of 7 lies at 2 to 4 m of 6; out by 2 m it lies at 5 to 7 of 9."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 3, 5, worst_m=4)
    nearer = move_bend(job, joint=joint, bend=0, to=(1, 0))
    assert stretches(nearer.job) == {"L-01": ("J-01", 2, 4)}
    assert next(iter(nearer.job.leaks.values())).worst_m == 3
    assert nearer.said == ()
    farther = move_bend(job, joint=joint, bend=0, to=(-2, 0))
    assert stretches(farther.job) == {"L-01": ("J-01", 5, 7)}


def test_start_moved_in_drops_what_lay_before_it() -> None:
    """The start moved 1 m in: a leak from 0.4 to 1.5 m loses 0.6 m, a spot at 0.2 m is gone and said."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 0.4, 1.5, worst_m=0.5)
    job, _ = with_leak(job, joint, 0.2, 0.2)
    edit = move_bend(job, joint=joint, bend=0, to=(1, 0))
    assert stretches(edit.job) == {"L-01": ("J-01", 0, 0.5)}
    assert next(iter(edit.job.leaks.values())).worst_m is None
    assert edit.said == ("L-01 is now 0.60 m shorter.", "L-02 fell off J-01 and is gone.")


def test_bend_moved_leaves_both_sides_where_they_are() -> None:
    """The middle bend of 4 + 4 m pulled to (4, 3): pieces of 5 m. Before it chainages stay, after it they grow by 2 m."""
    job, joint = one_line(LINE)
    job, _ = with_leak(job, joint, 1, 2)
    job, _ = with_leak(job, joint, 6, 7)
    edit = move_bend(job, joint=joint, bend=1, to=(4, 3))
    assert stretches(edit.job) == {"L-01": ("J-01", 1, 2), "L-02": ("J-01", 8, 9)}
    assert edit.said == ()


def test_leak_round_a_bend_stays_one_leak() -> None:
    """From 3 m to 5 m round the bend that was pulled out: 3 to 7 m of 10, 2 m longer, and one leak still."""
    job, joint = one_line(LINE)
    job, _ = with_leak(job, joint, 3, 5)
    edit = move_bend(job, joint=joint, bend=1, to=(4, 3))
    assert stretches(edit.job) == {"L-01": ("J-01", 3, 7)}
    assert edit.said == ("L-01 is now 2.00 m longer.",)


def test_bend_moved_along_the_line_takes_from_one_side() -> None:
    """The bend of 4 + 4 m moved 1 m back along the line: what lay in the last metre before it falls off."""
    job, joint = one_line(LINE)
    job, _ = with_leak(job, joint, 2, 3.6)
    job, _ = with_leak(job, joint, 3.2, 3.8)
    job, _ = with_leak(job, joint, 5, 6)
    edit = move_bend(job, joint=joint, bend=1, to=(3, 0))
    assert stretches(edit.job) == {"L-01": ("J-01", 2, 3), "L-03": ("J-01", 5, 6)}
    assert edit.said == ("L-01 is now 0.60 m shorter.", "L-02 fell off J-01 and is gone.")


def test_everything_on_the_joint_is_carried() -> None:
    """Blind stretches, cuts, relief points, parted junctions and issued stretches move like leaks: here by 2 m."""
    job, joint = one_line(LINE)
    job, other = with_line(job, [(7, 0), (7, 5)])
    job, _ = with_leak(job, joint, 5, 6)
    job = add_blind(job, joint=joint, from_m=5, to_m=6, what="a tank").job
    job = add_cut(job, joint=joint, at_m=6.5).job
    job = set_relief_point(job, joint=joint, at_m=5.5).job
    job = part_junction(job, joint=other, at_m=0, other=joint, other_at_m=7).job
    zone = IssuedStretch(id=UUID(int=9), zone=1, joint=joint, from_m=4.7, to_m=6.3)
    job = replace(job, issued={zone.id: zone}, numbers=replace(job.numbers, zone=1))
    new = move_bend(job, joint=joint, bend=1, to=(4, 3)).job
    assert [(blind.from_m, blind.to_m) for blind in new.joints[joint].blind] == [(7, 8)]
    assert [cut.at_m for cut in new.cuts.values()] == [8.5]
    assert [relief.at_m for relief in new.reliefs.values()] == [7.5]
    assert [(parted.at_m, parted.other_at_m) for parted in new.parted.values()] == [(0, 9)]
    assert [(round(item.from_m, 9), round(item.to_m, 9)) for item in new.issued.values()] == [(6.7, 8.3)]


def test_lost_marks_are_said() -> None:
    """Whatever falls off with the end is said, each by its name."""
    job, joint = one_line(LINE)
    job, other = with_line(job, [(7.8, 0), (7.8, 5)])
    job, _ = with_leak(job, joint, 7, 8)
    job = add_blind(job, joint=joint, from_m=7.6, to_m=7.7, what="a tank").job
    job = add_cut(job, joint=joint, at_m=7.4).job
    job = set_relief_point(job, joint=joint, at_m=7.5).job
    job = part_junction(job, joint=other, at_m=0, other=joint, other_at_m=7.8).job
    edit = move_bend(job, joint=joint, bend=2, to=(6, 0))
    assert edit.said == (
        "L-01 fell off J-01 and is gone.",
        "A cut fell off J-01 and is gone.",
        "A relief point fell off J-01 and is gone.",
        "A parted junction fell off J-02 and is gone.",
        "The blind stretch (a tank) fell off J-01 and is gone.",
    )
    assert not edit.job.leaks
    assert not edit.job.parted


def test_start_of_a_closed_joint_moves() -> None:
    """The start of a square of 10 m moved 1 m out along x makes the first piece 3.5 m: chainages grow by 1 m.

    The leak that passes the start, 9 to 1 m, keeps both ends, and the one all round stays all round.
    """
    job, joint = one_line(SQUARE, closed=True)
    job, _ = with_leak(job, joint, 9, 1)
    job, _ = with_leak(job, joint, 0, 10)
    job, _ = with_leak(job, joint, 6, 7)
    edit = move_bend(job, joint=joint, bend=0, to=(-1, 0))
    last = hypot(1, 2.5)
    assert edit.job.joints[joint].length_m == pytest.approx(8.5 + last)
    assert stretches(edit.job) == {
        "L-01": ("J-01", 10, 2),
        "L-02": ("J-01", 0, round(8.5 + last, 6)),
        "L-03": ("J-01", 7, 8),
    }


def test_mark_at_the_start_of_a_closed_joint_goes_round() -> None:
    """The start moved 0.5 m in along the first piece: a cut and a spot at 0, which is 10, lie at 9.5 m now."""
    job, joint = one_line(SQUARE, closed=True)
    job, _ = with_leak(job, joint, 0, 0)
    job = add_cut(job, joint=joint, at_m=0).job
    new = move_bend(job, joint=joint, bend=0, to=(0.5, 0)).job
    assert [cut.at_m for cut in new.cuts.values()] == [9.5]
    assert stretches(new) == {"L-01": ("J-01", 9.5, 9.5)}


def test_issued_chainages_stay_on_the_concrete() -> None:
    """After an issue, a start that moved 1 m in begins at chainage 1; before it, at 0."""
    job, joint = one_line()
    before = move_bend(job, joint=joint, bend=0, to=(1, 0))
    assert before.job.joints[joint].start_m == 0
    after = move_bend(issued(job), joint=joint, bend=0, to=(1, 0))
    assert after.job.joints[joint].start_m == 1
    assert after.said == ("Issued chainages stay: J-01 now starts at 1.000 m.",)
    shorter = remove_bend(issued(job), joint=joint, bend=0)
    assert shorter.job.joints[joint].start_m == 4
    ring, key = one_line(SQUARE, closed=True)
    assert move_bend(issued(ring), joint=key, bend=0, to=(-1, 0)).job.joints[key].start_m == -1


def test_bend_on_the_line_changes_no_chainage() -> None:
    """A bend added on the line leaves everything as it was; removed again, the job is as before."""
    job, joint = one_line(LINE)
    job, _ = with_leak(job, joint, 3, 5)
    edit = add_bend(job, joint=joint, after=0, at=(2, 0))
    assert edit.job.joints[joint].path.points == ((0, 0), (2, 0), (4, 0), (8, 0))
    assert edit.job.leaks == job.leaks
    assert edit.words == "add bend to J-01"
    assert remove_bend(edit.job, joint=joint, bend=1).job == job


def test_bend_pulled_out_parts_at_its_foot() -> None:
    """A bend at (2, 1.5) on a piece of 4 m: two of 2.5 m. What lay before 2 m stays, what lay after grows by 1 m."""
    job, joint = one_line([(0, 0), (4, 0)])
    job, _ = with_leak(job, joint, 0.5, 1.5)
    job, _ = with_leak(job, joint, 2.5, 3.5)
    edit = add_bend(job, joint=joint, after=0, at=(2, 1.5))
    assert stretches(edit.job) == {"L-01": ("J-01", 0.5, 1.5), "L-02": ("J-01", 3.5, 4.5)}
    back = remove_bend(edit.job, joint=joint, bend=1)
    assert stretches(back.job) == stretches(job)


def test_bend_added_to_the_last_piece_of_a_closed_joint() -> None:
    """The piece that closes a joint follows its last point."""
    job, joint = one_line(SQUARE, closed=True)
    edit = add_bend(job, joint=joint, after=3, at=(0, 1))
    assert edit.job.joints[joint].path.points[-1] == (0, 1)
    assert edit.job.joints[joint].length_m == 10


def test_end_removed_shortens_the_joint() -> None:
    """Without its last point a joint of 4 + 3 m has 4 m; a leak from 3 to 5 m loses 1 m; without the first, 3 m."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 3, 5)
    edit = remove_bend(job, joint=joint, bend=2)
    assert stretches(edit.job) == {"L-01": ("J-01", 3, 4)}
    assert edit.said == ("L-01 is now 1.00 m shorter.",)
    assert edit.words == "remove bend of J-01"
    assert stretches(remove_bend(job, joint=joint, bend=0).job) == {"L-01": ("J-01", 0, 1)}


@pytest.mark.parametrize(
    ("deed", "given", "sentence"),
    [
        (move_bend, {"bend": 3, "to": (0, 0)}, "J-01 has no bend 3"),
        (move_bend, {"bend": -1, "to": (0, 0)}, "J-01 has no bend -1"),
        (move_bend, {"bend": 1, "to": (0, 0)}, "two equal points"),
        (move_bend, {"bend": 1, "to": (float("nan"), 0)}, "not a finite number"),
        (add_bend, {"after": 2, "at": (9, 9)}, "ends at its last point"),
        (add_bend, {"after": 0, "at": (4, 0)}, "two equal points"),
        (remove_bend, {"bend": 5}, "J-01 has no bend 5"),
    ],
)
def test_impossible_bend_is_refused(deed: object, given: dict[str, object], sentence: str) -> None:
    """A bend that is not there, falls on its neighbour or is no place is refused."""
    job, joint = one_line()
    with pytest.raises(EditRefused, match=sentence):
        deed(job, joint=joint, **given)


def test_course_must_remain() -> None:
    """Two points are the least of a line, three of a closed one, whose start stays; 10 mm are too short."""
    job, joint = one_line([(0, 0), (4, 0)])
    with pytest.raises(EditRefused, match="two points at least"):
        remove_bend(job, joint=joint, bend=1)
    with pytest.raises(EditRefused, match="longer than 10 mm"):
        move_bend(job, joint=joint, bend=1, to=(0.01, 0))
    job, joint = one_line(SQUARE[:3], closed=True)
    with pytest.raises(EditRefused, match="closed one three"):
        remove_bend(job, joint=joint, bend=1)
    with pytest.raises(EditRefused, match="can be moved but not removed"):
        remove_bend(job, joint=joint, bend=0)


def test_point_has_no_bends() -> None:
    """A vertical joint is moved as a whole."""
    job, sheet = one_sheet()
    edit = draw_vertical_joint(job, sheet=sheet, kind=Kind.CRACK, point=(0, 0), rise_m=2)
    with pytest.raises(EditRefused, match="V-01 is a point and has no bends"):
        move_bend(edit.job, joint=edit.made[0], bend=0, to=(1, 1))


@given(
    closed=st.booleans(),
    bend=st.integers(0, 3),
    to=st.tuples(st.floats(-20, 20), st.floats(-20, 20)),
    marks=st.lists(st.tuples(st.floats(0, 1), st.floats(0, 1)), max_size=4),
)
def test_move_and_back_restores_leaks_away_from_the_bend(
    closed: bool,  # noqa: FBT001 - a case
    bend: int,
    to: tuple[float, float],
    marks: list[tuple[float, float]],
) -> None:
    """A bend moved and moved back leaves every leak on unmoved concrete where it was, and no fault between."""
    job, joint = one_line([(0, 0), (6, 0), (6, 6), (0, 6)], closed=closed)
    length = job.joints[joint].length_m
    for a, b in marks:
        job, _ = with_leak(job, joint, min(a, b) * length, max(a, b) * length)
    try:
        there = move_bend(job, joint=joint, bend=bend, to=to).job
    except EditRefused:
        assume(False)
    back = move_bend(there, joint=joint, bend=bend, to=job.joints[joint].path.points[bend]).job
    assert not faults(there)
    assert not faults(back)
    moved = [(6 * (bend - 1), 6 * (bend + 1))] + ([(18, 24)] if closed and bend == 0 else [])
    for leak in job.leaks.values():
        if all(leak.to_m < low or leak.from_m > high for low, high in moved):
            new = back.leaks[leak.id]
            assert (new.from_m, new.to_m) == pytest.approx((leak.from_m, leak.to_m), abs=1e-6)


def test_a_joint_moved_as_a_whole_takes_along_what_lies_on_it() -> None:
    """Moved 1 cm to the right and 10 cm up: every corner is, length, leak and hidden stretch stay as they were."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 1, 2)
    job = add_blind(job, joint=joint, from_m=3, to_m=4, what="tank").job
    edit = shift_joint(job, joint=joint, across_m=0.01, up_m=0.1)
    new = edit.job.joints[joint]
    assert new.path is not None
    assert new.path.points == ((0.01, 0.1), (4.01, 0.1), (4.01, 3.1))
    assert new.blind == job.joints[joint].blind
    assert stretches(edit.job) == {"L-01": ("J-01", 1, 2)}
    assert (edit.words, edit.said) == ("move J-01", ())


def test_an_upright_is_moved_as_a_whole() -> None:
    """A vertical joint is a point in plan; ten steps of a centimetre are ten centimetres."""
    job, sheet = one_sheet()
    edit = draw_vertical_joint(job, sheet=sheet, kind=Kind.CONSTRUCTION, point=(1, 2), rise_m=3.0)
    job = edit.job
    for _ in range(10):
        job = shift_joint(job, joint=edit.made[0], across_m=0.01, up_m=0.0).job
    assert job.joints[edit.made[0]].point == (1.1, 2.0)
