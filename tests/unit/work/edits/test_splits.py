"""Deeds that split a joint and combine two."""

from __future__ import annotations

from dataclasses import replace
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leakmap.base.errors import EditRefused
from leakmap.model.faults import faults
from leakmap.model.leak import IssuedStretch
from leakmap.model.words import Face, Kind, Side, Wetness
from leakmap.work.edits.blinds import add_blind
from leakmap.work.edits.facts import set_cover, set_kind
from leakmap.work.edits.joints import draw_collar, draw_vertical_joint
from leakmap.work.edits.leaks import LeakEnd, set_overrun
from leakmap.work.edits.marks import add_cut, part_junction, set_relief_point
from leakmap.work.edits.sheets import add_sheet
from leakmap.work.edits.splits import combine_joints, split_joint
from tests.helpers.small_jobs import (
    issued,
    joint_named,
    leak_named,
    one_line,
    one_sheet,
    photo,
    stretches,
    with_leak,
    with_line,
)

SQUARE = [(0, 0), (2.5, 0), (2.5, 2.5), (0, 2.5)]  # 10 m round


def test_split_continues_the_chainages() -> None:
    """7 m that start at 1.5 split at 4.5: the second part is J-02, 2.5 m long and starts at 6."""
    job, joint = one_line(start_m=1.5, kind=Kind.WALL_BASE, room_side=Side.LEFT)
    edit = split_joint(job, joint=joint, at_m=4.5)
    first, second = joint_named(edit.job, "J-01"), joint_named(edit.job, "J-02")
    assert first.path.points == ((0, 0), (4, 0), (4, 0.5))
    assert second.path.points == ((4, 0.5), (4, 3))
    assert (first.start_m, second.start_m) == (1.5, 6.0)
    assert second.room_side is Side.LEFT
    assert edit.words == "split J-01"
    assert edit.made == (second.id,)
    assert edit.said == ("The part from 6.000 m is now J-02.",)


def test_place_snaps_to_a_millimetre() -> None:
    """4.50049 m is split at 4.500 m."""
    job, joint = one_line()
    assert joint_named(split_joint(job, joint=joint, at_m=4.50049).job, "J-02").start_m == 4.5


def test_split_at_a_bend_makes_no_short_piece() -> None:
    """A split at the bend gives 4 m and 3 m of one piece each."""
    job, joint = one_line()
    new = split_joint(job, joint=joint, at_m=4).job
    assert joint_named(new, "J-01").path.points == ((0, 0), (4, 0))
    assert joint_named(new, "J-02").path.points == ((4, 0), (4, 3))


def test_leak_across_is_cut_and_keeps_its_overruns() -> None:
    """A leak from 3 to 5 m split at 4 m: both halves keep wetness and both overruns; by the rule stays by the rule."""
    job, joint = one_line()
    job, leak = with_leak(
        job, joint, 3, 5, Wetness.RUN, worst_m=4.6, flow_l_min=2.0, note="cold", photos=(photo("a.jpg"),)
    )
    job = set_overrun(job, leak=leak, end=LeakEnd.FROM, overrun_m=0.6).job
    edit = split_joint(job, joint=joint, at_m=4)
    assert stretches(edit.job) == {"L-01": ("J-01", 3, 4), "L-02": ("J-02", 0, 1)}
    first, second = leak_named(edit.job, "L-01"), leak_named(edit.job, "L-02")
    for half in (first, second):
        assert (half.wetness, half.overrun_from_m, half.overrun_to_m) == (Wetness.RUN, 0.6, None)
        assert (half.note, half.photos) == ("cold", (photo("a.jpg"),))
    assert (first.worst_m, first.flow_l_min) == (None, None)
    assert (second.worst_m, second.flow_l_min) == (pytest.approx(0.6), 2.0)
    assert edit.said[1] == "L-01 was cut in two; the other part is L-02."
    assert edit.made == (joint_named(edit.job, "J-02").id, second.id)
    assert edit.job.numbers.leak == 2


def test_marks_go_with_their_part() -> None:
    """Everything on the joint lies on the part that holds its place, at its chainage less 4 m on the second."""
    job, joint = one_line([(0, 0), (8, 0)])
    job, other = with_line(job, [(6, 0), (6, 5)])
    job, _ = with_leak(job, joint, 1, 1)
    job, _ = with_leak(job, joint, 5, 6)
    job = add_blind(job, joint=joint, from_m=3.5, to_m=4.5, what="a tank").job
    job = add_cut(job, joint=joint, at_m=2).job
    job = add_cut(job, joint=joint, at_m=7).job
    job = set_relief_point(job, joint=joint, at_m=5.5).job
    job = part_junction(job, joint=joint, at_m=6, other=other, other_at_m=0).job
    zone = IssuedStretch(id=UUID(int=9), zone=1, joint=joint, from_m=3, to_m=6)
    job = replace(job, issued={zone.id: zone}, numbers=replace(job.numbers, zone=1))
    new = split_joint(job, joint=joint, at_m=4).job
    second = joint_named(new, "J-03")
    assert stretches(new) == {"L-01": ("J-01", 1, 1), "L-02": ("J-03", 1, 2)}
    assert [(b.from_m, b.to_m) for b in new.joints[joint].blind] == [(3.5, 4)]
    assert [(b.from_m, b.to_m) for b in second.blind] == [(0, 0.5)]
    assert [(cut.joint, cut.at_m) for cut in new.cuts.values()] == [(joint, 2), (second.id, 3)]
    assert [(item.joint, item.at_m) for item in new.reliefs.values()] == [(second.id, 1.5)]
    assert [(item.joint, item.at_m, item.other) for item in new.parted.values()] == [(second.id, 2, other)]
    parts = {(item.zone, item.joint, item.from_m, item.to_m) for item in new.issued.values()}
    assert parts == {(1, joint, 3, 4), (1, second.id, 0, 2)}
    assert not faults(new)


def test_vertical_joint_is_split() -> None:
    """A rise of 3 m from 0.5 m up, split at 1 m: the upper part stands 1.5 m up, has 2 m and the head sheet."""
    job, low = one_sheet()
    edit = add_sheet(job, name="B1")
    edit = draw_vertical_joint(
        edit.job, sheet=low, kind=Kind.CRACK, point=(1, 1), foot_m=0.5, rise_m=3, head_sheet=edit.made[0]
    )
    new = split_joint(edit.job, joint=edit.made[0], at_m=1).job
    lower, upper = joint_named(new, "V-01"), joint_named(new, "V-02")
    assert (lower.height_m, lower.rise_m, lower.head_sheet) == (0.5, 1.0, None)
    assert (upper.height_m, upper.rise_m, upper.start_m) == (1.5, 2.0, 1.0)
    assert upper.head_sheet is not None


def test_closed_joint_is_split_at_its_start_too() -> None:
    """10 m round split at 4: 0 to 4 and 4 to 10, so that no printed chainage moves; a leak past the start is cut there."""
    job, joint = one_line(SQUARE, closed=True)
    job, _ = with_leak(job, joint, 9, 1)
    job, _ = with_leak(job, joint, 0, 10)
    edit = split_joint(job, joint=joint, at_m=4)
    first, second = joint_named(edit.job, "J-01"), joint_named(edit.job, "J-02")
    assert (first.closed, first.length_m, second.closed, second.length_m, second.start_m) == (False, 4, False, 6, 4)
    assert sorted(stretches(edit.job).values()) == [
        ("J-01", 0, 1),
        ("J-01", 0, 4),
        ("J-02", 0, 6),
        ("J-02", 5, 6),
    ]


def test_split_at_the_start_only_opens() -> None:
    """Split at 0, or at its length, a closed joint is open from there; no chainage changes."""
    job, joint = one_line(SQUARE, closed=True)
    job, _ = with_leak(job, joint, 9, 1)
    for at_m in (0, 10):
        edit = split_joint(job, joint=joint, at_m=at_m)
        assert not edit.job.joints[joint].closed
        assert edit.job.joints[joint].length_m == 10
        assert stretches(edit.job) == {"L-01": ("J-01", 9, 10), "L-02": ("J-01", 0, 1)}
        assert edit.said[0] == "J-01 is now open at its start."
        assert edit.words == "open J-01"


@pytest.mark.parametrize(
    ("at_m", "sentence"),
    [
        (0.010, "within 10 mm of an end of J-01"),
        (6.995, "within 10 mm of an end of J-01"),
        (7.5, "past the end of J-01"),
        (-1, "negative"),
        (float("nan"), "not a finite number"),
        (2.008, r"There is a cut at 2\.000 m"),
    ],
)
def test_impossible_split_is_refused(at_m: float, sentence: str) -> None:
    """A split needs more than 10 mm on both sides and to the next cut."""
    job, joint = one_line()
    job = add_cut(job, joint=joint, at_m=2).job
    with pytest.raises(EditRefused, match=sentence):
        split_joint(job, joint=joint, at_m=at_m)


def test_collar_is_not_split() -> None:
    """A pipe collar is closed by its nature."""
    job, sheet = one_sheet()
    edit = draw_collar(job, sheet=sheet, point=(0, 0), diameter_m=0.5)
    with pytest.raises(EditRefused, match="J-01 is a pipe collar"):
        split_joint(edit.job, joint=edit.made[0], at_m=0.5)
    job, joint = one_line(SQUARE, closed=True, kind=Kind.PIPE_COLLAR)
    with pytest.raises(EditRefused, match="J-01 is a pipe collar"):
        split_joint(job, joint=joint, at_m=5)


@pytest.mark.parametrize(
    ("points", "leak", "points_after"),
    [
        ([(4, 0), (6, 0)], ("J-01", 4.5, 5), ((0, 0), (6, 0))),  # its start on the first's end
        ([(6, 0), (4, 0)], ("J-01", 5, 5.5), ((0, 0), (6, 0))),  # turned
        ([(4, 0), (4, 2)], ("J-01", 4.5, 5), ((0, 0), (4, 0), (4, 2))),  # round a bend
    ],
)
def test_second_joint_follows_the_first(
    points: list[tuple[float, float]], leak: tuple[str, float, float], points_after: tuple[tuple[float, float], ...]
) -> None:
    """4 m and 2 m make 6 m; a leak from 0.5 to 1 m of the second lies 4 m on, or, turned over, at 6 − 1 to 6 − 0.5."""
    job, first = one_line([(0, 0), (4, 0)])
    job, second = with_line(job, points)
    job, _ = with_leak(job, second, 0.5, 1)
    edit = combine_joints(job, first=first, second=second)
    assert stretches(edit.job) == {"L-01": leak}
    assert edit.job.joints[first].path.points == points_after
    assert second not in edit.job.joints
    assert (edit.words, edit.said) == ("combine J-01 and J-02", ())


def test_turned_leaks_change_their_overruns_over() -> None:
    """On a joint that is turned over, the overrun before a leak becomes the one after it, and its worst point turns."""
    job, first = one_line([(0, 0), (4, 0)])
    job, second = with_line(job, [(6, 0), (4, 0)])
    job, leak = with_leak(job, second, 0.5, 1, worst_m=0.6, overrun_from_m=0.7, overrun_to_m=0.35)
    mark = combine_joints(job, first=first, second=second).job.leaks[leak]
    assert (mark.overrun_from_m, mark.overrun_to_m) == (0.35, 0.7)
    assert mark.worst_m == pytest.approx(5.4)


@pytest.mark.parametrize(("points", "at"), [([(-2, 0), (0, 0)], (0.5, 1.0)), ([(0, 0), (-2, 0)], (1.0, 1.5))])
def test_second_joint_comes_before_the_first(points: list[tuple[float, float]], at: tuple[float, float]) -> None:
    """2 m before the first of 4 m: leaks of the first move by 2 m, and its printed chainages stay where they were."""
    job, first = one_line([(0, 0), (4, 0)], start_m=5.0)
    job, second = with_line(job, points)
    job, _ = with_leak(job, first, 1, 2)
    job, _ = with_leak(job, second, 0.5, 1)
    new = combine_joints(job, first=first, second=second).job
    assert stretches(new) == {"L-01": ("J-01", 3, 4), "L-02": ("J-01", *at)}
    assert new.joints[first].start_m == 3.0
    assert new.joints[first].path.points == ((-2, 0), (4, 0))


def test_no_chainage_below_zero_before_an_issue() -> None:
    """Before the first issue a combined joint starts at 0, not at −2."""
    job, first = one_line([(0, 0), (4, 0)])
    job, second = with_line(job, [(-2, 0), (0, 0)])
    assert combine_joints(job, first=first, second=second).job.joints[first].start_m == 0
    assert combine_joints(issued(job), first=first, second=second).job.joints[first].start_m == -2


def test_flow_goes_with_the_middle_where_nobody_said() -> None:
    """A leak from 9 round to 3 m on 10 m has its middle at 1 m: split at 4, the flow goes with the first part."""
    job, joint = one_line(SQUARE, closed=True)
    job, _ = with_leak(job, joint, 9, 3, flow_l_min=2.0)
    new = split_joint(job, joint=joint, at_m=4).job
    flows = {new.joints[leak.joint].ref: leak.flow_l_min for leak in new.leaks.values()}
    assert flows == {"J-01": 2.0, "J-02": None}
    assert all(leak.worst_m is None for leak in new.leaks.values())


@pytest.mark.parametrize(("what", "count"), [("a tank", 1), ("a pump", 2)])
def test_blind_stretches_join_when_one_thing_hides_them(what: str, count: int) -> None:
    """Blind stretches on both sides of a weld are one when the same thing hides them."""
    job, first = one_line([(0, 0), (4, 0)])
    job, second = with_line(job, [(4, 0), (6, 0)])
    job = add_blind(job, joint=first, from_m=3, to_m=4, what="a tank").job
    job = add_blind(job, joint=second, from_m=0, to_m=1, what=what).job
    blind = combine_joints(job, first=first, second=second).job.joints[first].blind
    assert (len(blind), blind[0].from_m, blind[-1].to_m) == (count, 3, 5)


@pytest.mark.parametrize(("gap", "said"), [(0.04, ()), (0.3, ("A gap of 0.30 m is now a straight piece of J-01.",))])
def test_gap_is_closed_by_a_straight_piece(gap: float, said: tuple[str, ...]) -> None:
    """A gap is closed by a straight piece, said above 5 cm; leaks beyond it lie as much farther on."""
    job, first = one_line([(0, 0), (4, 0)])
    job, second = with_line(job, [(4 + gap, 0), (6, 0)])
    job, _ = with_leak(job, second, 0.5, 1)
    edit = combine_joints(job, first=first, second=second)
    assert edit.job.joints[first].length_m == pytest.approx(6)
    assert stretches(edit.job) == {"L-01": ("J-01", 4.5 + gap, 5 + gap)}
    assert edit.said == said


def test_differing_facts_are_said() -> None:
    """The first joint's facts are taken, and what differed is said; room sides are compared as they now run."""
    job, first = one_line([(0, 0), (4, 0)], kind=Kind.WALL_BASE)
    job, second = with_line(job, [(6, 0), (4, 0)], kind=Kind.WALL_BASE, room_side=Side.LEFT)
    assert combine_joints(job, first=first, second=second).job.joints[first].room_side is Side.RIGHT
    job = set_cover(job, joint=second, cover_m=0.04).job
    edit = combine_joints(job, first=first, second=second)
    assert edit.job.joints[first].cover_m is None
    assert edit.said == ("J-02 differed from J-01 in cover; J-01 was taken.",)


def test_vertical_joints_are_stacked() -> None:
    """1.5 m from the floor and 1 m above it make 2.5 m; chainage runs from the lower foot whichever was first."""
    job, sheet = one_sheet()
    one = draw_vertical_joint(job, sheet=sheet, kind=Kind.CRACK, point=(1, 1), rise_m=1.5)
    two = draw_vertical_joint(one.job, sheet=sheet, kind=Kind.CRACK, point=(1, 1), foot_m=1.5, rise_m=1)
    job, _ = with_leak(two.job, two.made[0], 0.2, 0.4)
    for first, second in ((one.made[0], two.made[0]), (two.made[0], one.made[0])):
        new = combine_joints(job, first=first, second=second).job
        assert (new.joints[first].height_m, new.joints[first].rise_m) == (0, 2.5)
        assert stretches(new) == {"L-01": (new.joints[first].ref, 1.7, 1.9)}
        assert not faults(new)


def test_unlike_joints_are_not_combined() -> None:
    """Joints of different kind, face, height or sheet, closed ones and the same one are refused."""
    job, first = one_line([(0, 0), (4, 0)])
    ring = with_line(job, [(4, 0), (5, 0), (5, 1)], closed=True)
    crack = with_line(job, [(4, 0), (6, 0)], kind=Kind.CRACK)
    wall = with_line(job, [(4, 0), (6, 0)], face=Face.WALL)
    far = with_line(job, [(5.5, 0), (6, 0)])
    upstairs = add_sheet(job, name="B1")
    above = with_line(upstairs.job, [(4, 0), (6, 0)], sheet=upstairs.made[0])
    upright = draw_vertical_joint(
        job, sheet=next(iter(job.sheets)), kind=Kind.CONSTRUCTION, point=(4, 0), rise_m=2, face=Face.FLOOR
    )
    for (new, second), sentence in (
        ((job, first), "cannot be combined with itself"),
        (ring, "J-02 is closed"),
        (crack, "differ in kind"),
        (wall, "differ in face"),
        (far, r"lie 1\.50 m apart"),
        (above, "lie on different sheets"),
        ((upright.job, upright.made[0]), "do not both stand upright"),
    ):
        with pytest.raises(EditRefused, match=sentence):
            combine_joints(new, first=first, second=second)


def test_heights_must_agree() -> None:
    """Wall joints at heights that differ by more than 10 mm, and vertical joints that do not meet, are refused."""
    job, first = one_line([(0, 0), (4, 0)], face=Face.WALL, height_m=1.0)
    job, second = with_line(job, [(4, 0), (6, 0)], face=Face.WALL, height_m=1.02)
    with pytest.raises(EditRefused, match="different heights"):
        combine_joints(job, first=first, second=second)
    job, sheet = one_sheet()
    for point, foot, sentence in (
        ((1.5, 1), 1.5, "do not stand over each other"),
        ((1, 1), 1.0, "lie beside each other"),
        ((1, 1), 2.9, r"lie 1\.40 m apart"),
    ):
        one = draw_vertical_joint(job, sheet=sheet, kind=Kind.CRACK, point=(1, 1), rise_m=1.5)
        two = draw_vertical_joint(one.job, sheet=sheet, kind=Kind.CRACK, point=point, foot_m=foot, rise_m=1)
        with pytest.raises(EditRefused, match=sentence):
            combine_joints(two.job, first=one.made[0], second=two.made[0])


def test_parted_meeting_of_the_two_goes() -> None:
    """What was parted at the weld is one joint now, so nothing is left to part there."""
    job, first = one_line([(0, 0), (4, 0)])
    job, second = with_line(job, [(4, 0), (6, 0)])
    job = part_junction(job, joint=first, at_m=4, other=second, other_at_m=0).job
    assert not combine_joints(job, first=first, second=second).job.parted


@given(
    at_mm=st.integers(11, 6989),
    marks=st.lists(st.tuples(st.integers(0, 70), st.integers(0, 70)), max_size=4),
)
def test_combine_after_split_restores(at_mm: int, marks: list[tuple[int, int]]) -> None:
    """Split anywhere and combined again, a joint has its course, and its leaks cover what they covered."""
    job, joint = one_line()
    for a, b in marks:
        job, _ = with_leak(job, joint, min(a, b) / 10, max(a, b) / 10)
    split = split_joint(job, joint=joint, at_m=at_mm / 1000)
    new = combine_joints(split.job, first=joint, second=split.made[0]).job
    assert not faults(split.job)
    assert not faults(new)
    old_path, path = job.joints[joint].path, new.joints[joint].path
    assert len(path.points) == len(old_path.points)
    for point, old in zip(path.points, old_path.points, strict=True):
        assert point == pytest.approx(old, abs=1e-9)
    assert union(new, joint) == pytest.approx(union(job, joint), abs=1e-9)


def union(job: object, joint: object) -> list[float]:
    """Ends of the merged leaks of a joint, spots left out."""
    ends: list[float] = []
    for start, stop in sorted((leak.from_m, leak.to_m) for leak in job.leaks.values() if leak.from_m < leak.to_m):
        if ends and start <= ends[-1] + 1e-9:
            ends[-1] = max(ends[-1], stop)
        else:
            ends += [start, stop]
    assert all(leak.joint == joint for leak in job.leaks.values())
    return ends


@given(at_mm=st.integers(11, 9989))
def test_closed_joint_closes_again(at_mm: int) -> None:
    """Both parts of a closed joint combined are the closed joint again, and this is said."""
    job, joint = one_line(SQUARE, closed=True)
    split = split_joint(job, joint=joint, at_m=at_mm / 1000)
    edit = combine_joints(split.job, first=joint, second=split.made[0])
    path = edit.job.joints[joint].path
    assert path.closed
    assert path.points == job.joints[joint].path.points
    assert edit.said == ("J-01 is now closed.",)


def test_split_of_a_dormant_crack_keeps_its_decisions() -> None:
    """Both parts keep what was decided of the joint."""
    job, joint = one_line(kind=Kind.CRACK, dormant=True)
    new = split_joint(job, joint=joint, at_m=3).job
    assert joint_named(new, "J-02").dormant
    assert not joint_named(set_kind(new, joint=joint, kind=Kind.MOVEMENT).job, "J-01").dormant
