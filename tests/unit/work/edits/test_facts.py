"""Deeds that set one fact of a joint."""

from __future__ import annotations

from datetime import date

import pytest

from leakmap.base.errors import EditRefused
from leakmap.model.joint import Signed
from leakmap.model.words import Face, Kind, Side, Waterstop
from leakmap.work.edits import facts
from leakmap.work.edits.joints import draw_collar, draw_vertical_joint
from leakmap.work.edits.marks import add_cut
from leakmap.work.edits.sheets import add_sheet
from tests.helpers.small_jobs import one_line, one_sheet, stretches, with_leak

SIGNED = Signed(name="A. Rook", reason="the gap is grouted", on=date(2024, 5, 2))


def one_upright(rise_m: float = 3.0) -> tuple[object, object]:
    """A job with one vertical joint, V-01, and its id."""
    job, sheet = one_sheet()
    edit = draw_vertical_joint(job, sheet=sheet, kind=Kind.CRACK, point=(1, 1), rise_m=rise_m)
    return edit.job, edit.made[0]


def one_collar(diameter_m: float = 0.2) -> tuple[object, object]:
    """A job with one pipe collar, J-01, and its id."""
    job, sheet = one_sheet()
    edit = draw_collar(job, sheet=sheet, point=(1, 1), diameter_m=diameter_m)
    return edit.job, edit.made[0]


@pytest.mark.parametrize(
    ("deed", "kind", "given"),
    [
        (facts.set_room_side, Kind.WALL_BASE, {"room_side": Side.LEFT}),
        (facts.set_start, Kind.CONSTRUCTION, {"start_m": 12.5}),
        (facts.set_dormant, Kind.CRACK, {"dormant": True}),
        (facts.set_repair_anyway, Kind.MOVEMENT, {"signed": SIGNED}),
        (facts.set_clearance, Kind.MOVEMENT, {"clearance_m": 0.15}),
        (facts.set_thickness, Kind.CONSTRUCTION, {"thickness_m": 0.4}),
        (facts.set_cover, Kind.CONSTRUCTION, {"cover_m": 0.05}),
        (facts.set_tendons, Kind.CONSTRUCTION, {"tendons": True}),
        (facts.set_seen_from, Kind.CONSTRUCTION, {"seen_from": "below"}),
        (facts.set_repaired_from, Kind.CONSTRUCTION, {"repaired_from": "above"}),
        (facts.set_access, Kind.CONSTRUCTION, {"access": "ladder, 4 m"}),
    ],
)
def test_fact_is_set_and_taken_back(deed: object, kind: Kind, given: dict[str, object]) -> None:
    """Each deed sets its own fact and no other, and the step names the joint."""
    job, joint = one_line(kind=kind)
    edit = deed(job, joint=joint, **given)
    ((name, value),) = given.items()
    name = {"signed": "repair_anyway"}.get(name, name)
    differing = {
        key
        for key in job.joints[joint].__slots__
        if getattr(edit.job.joints[joint], key) != getattr(job.joints[joint], key)
    }
    assert differing == {name}
    assert getattr(edit.job.joints[joint], name) == value
    assert edit.words.endswith("of J-01")
    old = getattr(job.joints[joint], name)
    assert deed(edit.job, joint=joint, **{next(iter(given)): old}).job == job


@pytest.mark.parametrize(
    ("deed", "given", "sentence"),
    [
        (facts.set_room_side, {"room_side": Side.LEFT}, "J-01 is no corner joint"),
        (facts.set_height, {"height_m": 1.0}, "follows from its face, floor"),
        (facts.set_height, {"height_m": float("nan")}, "follows from its face"),
        (facts.set_rise, {"rise_m": 1.0}, "J-01 is no vertical joint"),
        (facts.set_diameter, {"diameter_m": 1.0}, "has no diameter"),
        (facts.move_point, {"to": (0, 0)}, "J-01 is a line; move its bends"),
        (facts.set_start, {"start_m": float("inf")}, "start chainage of J-01 is not a finite number"),
        (facts.set_dormant, {"dormant": True}, "only a contraction joint or a crack"),
        (facts.set_repair_anyway, {"signed": SIGNED}, "J-01 is no movement joint"),
        (facts.set_clearance, {"clearance_m": 0.1}, "J-01 is no movement joint"),
        (facts.set_thickness, {"thickness_m": 0.0}, "must be greater than zero"),
        (facts.set_thickness, {"thickness_m": 0.04}, "cover to steel of J-01 must be less than the thickness"),
        (facts.set_cover, {"cover_m": -1.0}, "must be greater than zero"),
        (facts.set_cover, {"cover_m": 0.3}, "must be less than the thickness"),
        (facts.set_waterstop, {"waterstop": Waterstop.AT_DEPTH}, "depth belongs to a waterstop"),
        (facts.set_waterstop, {"waterstop": Waterstop.NONE, "depth_m": 0.1}, "depth belongs to a waterstop"),
        (facts.set_waterstop, {"waterstop": Waterstop.AT_DEPTH, "depth_m": 0.0}, "must be greater than zero"),
        (facts.set_kind, {"kind": Kind.PIPE_COLLAR}, "does not return to its start"),
    ],
)
def test_fact_that_does_not_fit_is_refused(deed: object, given: dict[str, object], sentence: str) -> None:
    """A fact that the joint cannot have is refused with one sentence."""
    job, joint = one_line()
    job = facts.set_thickness(job, joint=joint, thickness_m=0.3).job
    job = facts.set_cover(job, joint=joint, cover_m=0.05).job
    with pytest.raises(EditRefused, match=sentence) as caught:
        deed(job, joint=joint, **given)
    assert "Nothing was changed." in str(caught.value)


def test_negative_clearance_is_refused() -> None:
    """A distance is not negative."""
    job, joint = one_line(kind=Kind.MOVEMENT)
    with pytest.raises(EditRefused, match="clearance of J-01"):
        facts.set_clearance(job, joint=joint, clearance_m=-0.1)


def test_kind_takes_its_decisions_with_it() -> None:
    """Dormancy belongs to cracks and contraction joints, the decision to repair to movement joints."""
    job, joint = one_line(kind=Kind.CRACK, dormant=True)
    assert facts.set_kind(job, joint=joint, kind=Kind.CONTRACTION).job.joints[joint].dormant
    edit = facts.set_kind(job, joint=joint, kind=Kind.MOVEMENT)
    assert not edit.job.joints[joint].dormant
    assert edit.said == ("J-01 is no longer marked as dormant.",)
    signed = facts.set_repair_anyway(edit.job, joint=joint, signed=SIGNED).job
    back = facts.set_kind(signed, joint=joint, kind=Kind.CRACK)
    assert back.job.joints[joint].repair_anyway is None
    assert back.said == ("The decision to repair J-01 as a movement joint is taken back.",)


def test_face_takes_the_room_side_with_it() -> None:
    """A joint that is no corner joint any more has no room side."""
    job, joint = one_line(kind=Kind.WALL_BASE, room_side=Side.RIGHT)
    edit = facts.set_face(job, joint=joint, face=Face.WALL)
    assert (edit.job.joints[joint].face, edit.job.joints[joint].room_side) == (Face.WALL, None)
    assert edit.said == ("J-01 is no corner joint any more, so it has no room side.",)
    assert facts.set_face(job, joint=joint, face=Face.CORNER).changed == frozenset()


def test_wall_joint_has_its_own_height() -> None:
    """A joint on a wall, and the foot of a vertical joint, have a height of their own; no foot lies below the floor."""
    job, joint = one_line(face=Face.WALL)
    assert facts.set_height(job, joint=joint, height_m=1.2).job.joints[joint].height_m == 1.2
    job, upright = one_upright()
    assert facts.set_height(job, joint=upright, height_m=0.5).job.joints[upright].height_m == 0.5
    with pytest.raises(EditRefused, match="below its sheet's floor"):
        facts.set_height(job, joint=upright, height_m=-0.5)


def test_shorter_rise_drops_what_lies_past_it() -> None:
    """From 3 m to 2 m: a leak from 1.5 to 2.5 m gets 0.5 m shorter, a spot at 2.8 m and a cut at 2.2 m are gone."""
    job, joint = one_upright()
    job, _ = with_leak(job, joint, 1.5, 2.5)
    job, _ = with_leak(job, joint, 2.8, 2.8)
    job = add_cut(job, joint=joint, at_m=2.2).job
    edit = facts.set_rise(job, joint=joint, rise_m=2.0)
    assert stretches(edit.job) == {"L-01": ("V-01", 1.5, 2.0)}
    assert not edit.job.cuts
    assert edit.said == (
        "L-01 is now 0.50 m shorter.",
        "L-02 fell off V-01 and is gone.",
        "A cut fell off V-01 and is gone.",
    )
    longer = facts.set_rise(job, joint=joint, rise_m=4.0)
    assert longer.said == ()
    assert longer.job.leaks == job.leaks
    with pytest.raises(EditRefused, match="rise of V-01"):
        facts.set_rise(job, joint=joint, rise_m=0.0)


def test_larger_pipe_keeps_the_clock() -> None:
    """Leaks of a collar keep their place on the clock: twice the pipe, twice the chainage."""
    job, joint = one_collar()
    job, _ = with_leak(job, joint, 0.1, 0.2)
    edit = facts.set_diameter(job, joint=joint, diameter_m=0.4)
    assert stretches(edit.job) == {"L-01": ("J-01", 0.2, 0.4)}
    with pytest.raises(EditRefused, match="diameter of J-01"):
        facts.set_diameter(job, joint=joint, diameter_m=float("nan"))


def test_collar_keeps_its_kind() -> None:
    """A ring round a pipe is a pipe collar and nothing else."""
    job, joint = one_collar()
    with pytest.raises(EditRefused, match="its kind must be pipe collar"):
        facts.set_kind(job, joint=joint, kind=Kind.CRACK)


def test_point_moves_with_all_that_lies_on_it() -> None:
    """A vertical joint moves as a whole."""
    job, joint = one_upright()
    job, _ = with_leak(job, joint, 1, 2)
    edit = facts.move_point(job, joint=joint, to=(3, 4))
    assert edit.job.joints[joint].point == (3.0, 4.0)
    assert edit.job.leaks == job.leaks
    with pytest.raises(EditRefused, match="position of V-01"):
        facts.move_point(job, joint=joint, to=(float("nan"), 0))


def test_head_sheet_is_set() -> None:
    """The head of a vertical joint lies on another sheet of the job; a line has no head."""
    job, joint = one_upright()
    edit = add_sheet(job, name="B1")
    job, high = edit.job, edit.made[0]
    assert facts.set_head_sheet(job, joint=joint, head_sheet=high).job.joints[joint].head_sheet == high
    with pytest.raises(EditRefused, match="sheet of its foot"):
        facts.set_head_sheet(job, joint=joint, head_sheet=job.joints[joint].sheet)
    with pytest.raises(EditRefused, match="This sheet is not in the job"):
        facts.set_head_sheet(job, joint=joint, head_sheet=joint)
    line, key = one_line()
    sheet = add_sheet(line, name="B1")
    with pytest.raises(EditRefused, match="no vertical joint"):
        facts.set_head_sheet(sheet.job, joint=key, head_sheet=sheet.made[0])


def test_waterstop_has_its_depth() -> None:
    """A waterstop at a depth has one; saying that there is none takes the depth away."""
    job, joint = one_line()
    job = facts.set_waterstop(job, joint=joint, waterstop=Waterstop.AT_DEPTH, depth_m=0.15).job
    assert (job.joints[joint].waterstop, job.joints[joint].waterstop_depth_m) == (Waterstop.AT_DEPTH, 0.15)
    job = facts.set_waterstop(job, joint=joint, waterstop=Waterstop.NONE).job
    assert job.joints[joint].waterstop_depth_m is None
