"""Deeds that draw, remove and rename joints."""

from __future__ import annotations

from math import pi

import pytest

from leakmap.base.errors import EditRefused
from leakmap.model.words import Face, Kind, Side, Waterstop
from leakmap.work.edits.joints import (
    Direction,
    draw_collar,
    draw_joint,
    draw_through_joint,
    draw_vertical_joint,
    remove_joint,
    rename_joint,
    usual_face,
)
from leakmap.work.edits.leaks import remove_leak
from leakmap.work.edits.marks import add_cut, part_junction
from leakmap.work.edits.sheets import add_sheet, set_floor_level
from tests.helpers.small_jobs import joint_named, one_line, one_sheet, with_leak, with_line


def two_levels(*, low_m: float | None = -6.5, high_m: float | None = -3.0) -> tuple[object, object, object]:
    """A job with sheets B2 and B1 above it, and their ids."""
    job = one_sheet()[0]
    low = next(iter(job.sheets))
    job = set_floor_level(job, sheet=low, floor_level_m=low_m).job
    edit = add_sheet(job, name="B1", floor_level_m=high_m)
    return edit.job, low, edit.made[0]


@pytest.mark.parametrize(
    ("kind", "face"),
    [
        (Kind.CONSTRUCTION, Face.FLOOR),
        (Kind.CONTRACTION, Face.FLOOR),
        (Kind.MOVEMENT, Face.FLOOR),
        (Kind.WALL_BASE, Face.CORNER),
        (Kind.CRACK, Face.FLOOR),
        (Kind.PIPE_COLLAR, Face.WALL),
    ],
)
def test_kind_has_its_usual_face(kind: Kind, face: Face) -> None:
    """Where nobody said, a joint lies on the face that its kind usually has (common practice, no published source)."""
    assert usual_face(kind) is face


def test_line_is_drawn() -> None:
    """A line has its points, the next J number and the usual face of its kind; 4 + 3 = 7 m."""
    job, sheet = one_sheet()
    edit = draw_joint(
        job,
        sheet=sheet,
        kind=Kind.WALL_BASE,
        points=[(0, 0), (4, 0), (4, 0), (4, 3)],
        room_side=Side.LEFT,
        waterstop=Waterstop.NONE,
    )
    joint = edit.job.joints[edit.made[0]]
    assert (joint.ref, joint.face, joint.room_side, joint.waterstop) == ("J-01", Face.CORNER, Side.LEFT, Waterstop.NONE)
    assert joint.path.points == ((0, 0), (4, 0), (4, 3))
    assert joint.length_m == 7.0
    assert (edit.words, edit.said) == ("draw J-01", ())


def test_closed_line_is_drawn() -> None:
    """A closed line returns to its start: 2 · (4 + 3) = 14 m."""
    job, joint = one_line([(0, 0), (4, 0), (4, 3), (0, 3), (0, 0)], closed=True)
    assert job.joints[joint].closed
    assert job.joints[joint].length_m == 14.0


def test_room_side_of_a_flat_joint_is_left_out() -> None:
    """Only a corner joint has a room side; another's is left out and said."""
    job, sheet = one_sheet()
    edit = draw_joint(job, sheet=sheet, kind=Kind.CRACK, points=[(0, 0), (1, 0)], room_side=Side.LEFT)
    assert edit.job.joints[edit.made[0]].room_side is None
    assert edit.said == ("J-01 is no corner joint, so its room side was left out.",)


@pytest.mark.parametrize(
    ("points", "closed", "sentence"),
    [
        ([(1, 1), (1, 1)], False, "two points at least"),
        ([], False, "two points at least"),
        ([(0, 0), (1, 0)], True, "closed one three"),
        ([(0, 0), (float("nan"), 0)], False, "not a finite number"),
        ([(0, 0), (0.01, 0)], False, "J-01 would be 0.01 m long; a joint must be longer than 10 mm"),
    ],
)
def test_line_without_a_course_is_refused(points: list[tuple[float, float]], closed: bool, sentence: str) -> None:  # noqa: FBT001 - a case
    """A line of no length, of one point, or with a coordinate that is no number is refused."""
    job, sheet = one_sheet()
    with pytest.raises(EditRefused, match=sentence):
        draw_joint(job, sheet=sheet, kind=Kind.CRACK, points=points, closed=closed)


def test_numbers_are_never_used_twice() -> None:
    """After J-02 was removed the next joint is J-03; a given J-09 lifts the counter, so J-10 follows."""
    job, _ = one_line()
    job, second = with_line(job, [(0, 5), (1, 5)])
    job = remove_joint(job, joint=second).job
    job, _ = with_line(job, [(0, 5), (1, 5)])
    job, _ = with_line(job, [(0, 6), (1, 6)], ref=" J-09 ")
    job, _ = with_line(job, [(0, 7), (1, 7)])
    assert [joint.ref for joint in job.joints.values()] == ["J-01", "J-03", "J-09", "J-10"]


def test_given_reference_must_be_free() -> None:
    """A given reference in use, or empty, is refused; a lower one that is free now is taken, for tables in any order."""
    job, _ = one_line(ref="J-07")
    for ref in ("J-07", " J-07", " "):
        with pytest.raises(EditRefused, match=r"J-07 is in use|needs a reference"):
            with_line(job, [(0, 5), (1, 5)], ref=ref)
    assert joint_named(with_line(job, [(0, 5), (1, 5)], ref="J-02")[0], "J-02")
    assert joint_named(with_line(job, [(0, 5), (1, 5)], ref="north stair")[0], "north stair")


def test_joint_is_renamed() -> None:
    """A new reference must be free, and its number must lie above the counter: no number is used twice."""
    job, joint = one_line(ref="J-07")
    assert rename_joint(job, joint=joint, ref="stair").job.joints[joint].ref == "stair"
    lifted = rename_joint(job, joint=joint, ref="J-11")
    assert lifted.job.numbers.joint == 11
    assert lifted.words == "rename J-07"
    assert not rename_joint(job, joint=joint, ref="J-07").changed
    with pytest.raises(EditRefused, match="J-03 may have been used before"):
        rename_joint(job, joint=joint, ref="J-03")
    with pytest.raises(EditRefused, match="must not be empty"):
        rename_joint(job, joint=joint, ref="  ")
    job, _ = with_line(job, [(0, 5), (1, 5)], ref="ramp")
    with pytest.raises(EditRefused, match="ramp is in use"):
        rename_joint(job, joint=joint, ref="ramp")


def test_vertical_joint_stands_on_its_sheet() -> None:
    """Upwards, a joint has its foot on the floor and reaches the soffit where no rise is given: 3 m."""
    job, low, high = two_levels()
    edit = draw_vertical_joint(job, sheet=low, kind=Kind.CONSTRUCTION, point=(2, 1), head_sheet=high)
    joint = edit.job.joints[edit.made[0]]
    assert (joint.ref, joint.face, joint.height_m, joint.rise_m, joint.head_sheet) == ("V-01", Face.WALL, 0, 3.0, high)
    higher = draw_vertical_joint(job, sheet=low, kind=Kind.CRACK, point=(2, 1), foot_m=1.0).job
    assert joint_named(higher, "V-01").rise_m == 2.0


def test_joint_that_drops_belongs_to_the_sheet_below() -> None:
    """From −3.0 m down to −6.5 m are 3.5 m: its foot is on B2, the next below, its head on B1; 1 m starts 2.5 m up."""
    job, low, high = two_levels()
    edit = draw_vertical_joint(job, sheet=high, kind=Kind.CRACK, point=(2, 1), direction=Direction.DOWN)
    joint = edit.job.joints[edit.made[0]]
    assert (joint.sheet, joint.head_sheet, joint.height_m, joint.rise_m) == (low, high, 0.0, 3.5)
    assert edit.said == ("V-01 belongs to B2 and has its head on B1.",)
    deeper = add_sheet(job, name="B3", floor_level_m=-9.0).job
    assert (
        joint_named(
            draw_vertical_joint(deeper, sheet=high, kind=Kind.CRACK, point=(0, 0), direction=Direction.DOWN).job, "V-01"
        ).sheet
        == low
    )
    short = draw_vertical_joint(job, sheet=high, kind=Kind.CRACK, point=(2, 1), direction=Direction.DOWN, rise_m=1.0)
    assert joint_named(short.job, "V-01").height_m == 2.5


def test_drop_is_refused_where_it_cannot_be_known() -> None:
    """A drop needs a sheet below, and ends at its floor."""
    job, low, high = two_levels()
    with pytest.raises(EditRefused, match=r"past the floor of B2, 3\.50 m below"):
        draw_vertical_joint(job, sheet=high, kind=Kind.CRACK, point=(0, 0), direction=Direction.DOWN, rise_m=3.6)
    with pytest.raises(EditRefused, match="Which sheet lies below B2 is not known"):
        draw_vertical_joint(job, sheet=low, kind=Kind.CRACK, point=(0, 0), direction=Direction.DOWN)
    for below, sentence in ((high, "does not lie below that of B2"), (low, "does not lie below itself")):
        with pytest.raises(EditRefused, match=sentence):
            draw_vertical_joint(
                job, sheet=low, kind=Kind.CRACK, point=(0, 0), direction=Direction.DOWN, sheet_below=below
            )


def test_drop_without_levels_is_a_storey() -> None:
    """Where levels are not known the named sheet below counts with its storey height, 3 m."""
    job, low, high = two_levels(low_m=None, high_m=None)
    edit = draw_vertical_joint(
        job, sheet=high, kind=Kind.CRACK, point=(0, 0), direction=Direction.DOWN, sheet_below=low
    )
    assert joint_named(edit.job, "V-01").rise_m == 3.0


def test_joint_through_a_floor_is_two_joints() -> None:
    """Chainage runs from one foot on one sheet, so a joint through a floor is two, in one step, and this is said."""
    job, low, high = two_levels()
    edit = draw_through_joint(job, sheet=high, kind=Kind.CRACK, point=(2, 1), down_m=1.5, up_m=2.0)
    lower, upper = (edit.job.joints[key] for key in edit.made)
    assert (lower.sheet, lower.head_sheet, lower.height_m, lower.rise_m) == (low, high, 2.0, 1.5)
    assert (upper.sheet, upper.height_m, upper.rise_m) == (high, 0.0, 2.0)
    assert edit.words == "draw V-01 and V-02"
    assert edit.said[-1] == "It is two joints: V-01 below the floor and V-02 above it."


@pytest.mark.parametrize(("foot", "rise"), [(-0.5, 2.0), (0.0, 0.0), (0.0, -1.0), (0.0, 0.005), (3.0, None)])
def test_vertical_joint_needs_a_usable_rise(foot: float, rise: float | None) -> None:
    """A foot below the floor, a rise that is not greater than 10 mm: refused."""
    job, sheet = one_sheet()
    with pytest.raises(EditRefused):
        draw_vertical_joint(job, sheet=sheet, kind=Kind.CRACK, point=(0, 0), foot_m=foot, rise_m=rise)


def test_collar_is_drawn() -> None:
    """A pipe of 0.2 m in a wall has a ring of π · 0.2 m and the next J number."""
    job, sheet = one_sheet()
    edit = draw_collar(job, sheet=sheet, point=(1, 1), diameter_m=0.2, height_m=1.4)
    joint = edit.job.joints[edit.made[0]]
    assert (joint.ref, joint.kind, joint.face, joint.height_m) == ("J-01", Kind.PIPE_COLLAR, Face.WALL, 1.4)
    assert joint.length_m == pytest.approx(0.2 * pi)
    assert joint.closed


@pytest.mark.parametrize("diameter", [0.0, -0.2, float("nan"), 0.003])
def test_collar_needs_a_diameter(diameter: float) -> None:
    """A pipe of no diameter is refused; so is one whose ring is 10 mm or less (π · 3 mm = 9.4 mm)."""
    job, sheet = one_sheet()
    with pytest.raises(EditRefused):
        draw_collar(job, sheet=sheet, point=(0, 0), diameter_m=diameter)


def test_open_collar_is_refused() -> None:
    """A pipe collar that is drawn as a line returns to its start."""
    job, sheet = one_sheet()
    with pytest.raises(EditRefused, match="does not return to its start"):
        draw_joint(job, sheet=sheet, kind=Kind.PIPE_COLLAR, points=[(0, 0), (1, 0), (1, 1)])


def test_removed_joint_takes_everything_with_it() -> None:
    """Leaks, cuts and parted junctions of a removed joint go, and this is said."""
    job, joint = one_line()
    job, other = with_line(job, [(4, 3), (8, 3)])
    job, _ = with_leak(job, joint, 1, 2)
    job, _ = with_leak(job, joint, 3, 4)
    job, kept = with_leak(job, other, 1, 2)
    job = add_cut(job, joint=joint, at_m=2.5).job
    job = part_junction(job, joint=other, at_m=0, other=joint, other_at_m=7).job
    edit = remove_joint(job, joint=joint)
    assert list(edit.job.joints) == [other]
    assert list(edit.job.leaks) == [kept]
    assert not edit.job.cuts
    assert not edit.job.parted
    assert edit.said == ("With J-01 went 2 leaks (L-01, L-02), 1 cut and 1 parted junction.",)
    assert edit.words == "remove J-01"


def test_bare_joint_goes_without_words() -> None:
    """Nothing is said where nothing lay on the joint, and the numbers stay used."""
    job, joint = one_line()
    job, leak = with_leak(job, joint, 1, 2)
    job = remove_leak(job, leak=leak).job
    edit = remove_joint(job, joint=joint)
    assert edit.said == ()
    assert (edit.job.numbers.joint, edit.job.numbers.leak) == (1, 1)
