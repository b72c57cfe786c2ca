"""Deeds on cuts, relief points and parted junctions."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import hypot
from uuid import UUID, uuid4

from leakmap.geometry.path import Box, Point
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, NEARLY_MEET_M, TIE_M, within
from leakmap.model.faults import in_stretch
from leakmap.model.job import Job
from leakmap.model.joint import Joint, plan_box, plan_point
from leakmap.model.leak import Cut, Parted, ReliefPoint
from leakmap.model.printed import printed
from leakmap.model.words import Wetness
from leakmap.repair.junctions import junctions_of
from leakmap.repair.network import Network
from leakmap.work.edits.edit import Changes, Edit, deed, edited, item_of, joint_of, refused
from leakmap.work.edits.places import placed, to_step


@deed
def add_cut(job: Job, *, joint: UUID, at_m: float, new_id: Callable[[], UUID] = uuid4) -> Edit:
    """Keep two zones apart at a place, which is snapped to 1 mm, or 1/8 inch.

    Raises:
        EditRefused: It lies within 10 mm of an end or a junction, or where a cut is already.
    """
    on = joint_of(job, joint)
    at = to_step(job, placed(job, on, at_m))
    for node in nodes_m(job, on):
        if within(_along(on, node, at), DRAWING_TOLERANCE_M):
            raise refused(
                f"A cut must lie more than 10 mm from ends and junctions; there is one at {printed(job, on, node)} of {on.ref}.",
                where=on.ref,
            )
    for cut in job.cuts.values():
        if cut.joint == joint and abs(cut.at_m - at) < TIE_M:
            raise refused(f"There is a cut at {printed(job, on, at)} of {on.ref} already.", where=on.ref)
    new = Cut(id=new_id(), joint=joint, at_m=at)
    return edited(job, Changes(cuts={new.id: new}), words=f"cut {on.ref}", made=(new.id,))


@deed
def remove_cut(job: Job, *, cut: UUID) -> Edit:
    """Let two zones be one again."""
    old = item_of(job.cuts, cut, "cut")
    return edited(job, Changes(cuts={cut: None}), words=f"remove a cut of {joint_of(job, old.joint).ref}")


@deed
def set_relief_point(job: Job, *, joint: UUID, at_m: float, new_id: Callable[[], UUID] = uuid4) -> Edit:
    """Set a relief point by hand on a wet stretch.

    Raises:
        EditRefused: There is no wet leak at the place, or a relief point is there already.
    """
    return _relief(job, joint, at_m, new_id, dropped=False)


@deed
def drop_relief_point(job: Job, *, joint: UUID, at_m: float, new_id: Callable[[], UUID] = uuid4) -> Edit:
    """Say that the wet stretch at a place gets no relief point.

    Raises:
        EditRefused: There is no wet leak at the place, or this was said already.
    """
    return _relief(job, joint, at_m, new_id, dropped=True)


@deed
def move_relief_point(job: Job, *, relief: UUID, at_m: float) -> Edit:
    """Move a relief point that was set by hand along its joint.

    Raises:
        EditRefused: There is no wet leak at the place.
    """
    old = item_of(job.reliefs, relief, "relief point")
    on = joint_of(job, old.joint)
    new = replace(old, at_m=_wet_place(job, on, at_m))
    return edited(job, Changes(reliefs={relief: new}), words=f"move relief point of {on.ref}")


@deed
def give_relief_back(job: Job, *, relief: UUID) -> Edit:
    """Give a relief point that was set or dropped by hand back to the rule."""
    old = item_of(job.reliefs, relief, "relief point")
    words = f"give relief point of {joint_of(job, old.joint).ref} back to the rule"
    return edited(job, Changes(reliefs={relief: None}), words=words)


@deed
def part_junction(
    job: Job, *, joint: UUID, at_m: float, other: UUID, other_at_m: float, new_id: Callable[[], UUID] = uuid4
) -> Edit:
    """Take a meeting of two joints, or of one with itself, apart.

    Raises:
        EditRefused: They do not meet there, or are parted already.
    """
    one, two = joint_of(job, joint), joint_of(job, other)
    at, other_at = placed(job, one, at_m), placed(job, two, other_at_m)
    new = Parted(id=new_id(), joint=joint, at_m=at, other=other, other_at_m=other_at)
    if any(_same_meeting(new, old) for old in job.parted.values()):
        raise refused(f"{one.ref} and {two.ref} are parted there already.", where=one.ref)
    if not _meet(job, one, at, two, other_at):
        raise refused(
            f"{one.ref} at {printed(job, one, at)} and {two.ref} at {printed(job, two, other_at)} do not meet."
        )
    return edited(job, Changes(parted={new.id: new}), words=f"part {one.ref} and {two.ref}", made=(new.id,))


@deed
def rejoin_junction(job: Job, *, parted: UUID) -> Edit:
    """Put a parted meeting together again."""
    old = item_of(job.parted, parted, "parted junction")
    words = f"rejoin {joint_of(job, old.joint).ref} and {joint_of(job, old.other).ref}"
    return edited(job, Changes(parted={parted: None}), words=words)


def nodes_m(job: Job, joint: Joint) -> tuple[float, ...]:
    """Chainages of a joint's ends and of its junctions, from which cuts keep away; parted ones too."""
    network = network_near(job, joint)
    if joint.id in network:
        return tuple(at_m for at_m, _ in network.marks(joint.id))
    return () if joint.closed else (0.0, joint.length_m)


def network_near(job: Job, *joints: Joint) -> Network:
    """The network of the joints that may meet one of some joints: what does not come near in plan is left out."""
    boxes = [_box(joint, NEARLY_MEET_M) for joint in joints]
    near = {
        key: joint
        for key, joint in job.joints.items()
        if any(_overlap(_box(joint, NEARLY_MEET_M), box) for box in boxes)
    }
    return junctions_of(replace(job, joints=near)).network


def _relief(job: Job, joint: UUID, at_m: float, new_id: Callable[[], UUID], *, dropped: bool) -> Edit:
    on = joint_of(job, joint)
    at = _wet_place(job, on, at_m)
    for old in job.reliefs.values():
        if old.joint == joint and old.dropped == dropped and abs(old.at_m - at) < TIE_M:
            raise refused(f"This was said of {on.ref} at {printed(job, on, at)} already.", where=on.ref)
    new = ReliefPoint(id=new_id(), joint=joint, at_m=at, dropped=dropped)
    words = f"{'drop' if dropped else 'set'} relief point of {on.ref}"
    return edited(job, Changes(reliefs={new.id: new}), words=words, made=(new.id,))


def _wet_place(job: Job, joint: Joint, at_m: float) -> float:
    """A place on a leak that is wet.

    Raises:
        EditRefused: There is none.
    """
    at = placed(job, joint, at_m)
    for leak in job.leaks.values():
        if leak.joint == joint.id and leak.wetness > Wetness.SUSPECT and in_stretch(joint, leak.from_m, leak.to_m, at):
            return at
    raise refused(f"There is no wet leak at {printed(job, joint, at)} of {joint.ref}; a relief point needs one.")


def _same_meeting(one: Parted, two: Parted) -> bool:
    ends = ((two.joint, two.at_m, two.other, two.other_at_m), (two.other, two.other_at_m, two.joint, two.at_m))
    return any(
        (one.joint, one.other) == (a, b)
        and within(abs(one.at_m - x), DRAWING_TOLERANCE_M)
        and within(abs(one.other_at_m - y), DRAWING_TOLERANCE_M)
        for a, x, b, y in ends
    )


def _meet(job: Job, one: Joint, at_m: float, two: Joint, other_at_m: float) -> bool:
    """Whether two places are one: a node of the network, or, where one is no part of it, one point in plan."""
    network = network_near(job, one, two)
    if one.id not in network or two.id not in network:
        return within(_apart(plan_point(one, at_m), plan_point(two, other_at_m)), DRAWING_TOLERANCE_M)
    nodes = [
        {
            node
            for mark_m, node in network.marks(joint.id)
            if within(_along(joint, mark_m, place_m), DRAWING_TOLERANCE_M)
        }
        for joint, place_m in ((one, at_m), (two, other_at_m))
    ]
    return bool(nodes[0] & nodes[1])


def _along(joint: Joint, one_m: float, two_m: float) -> float:
    apart = abs(one_m - two_m)
    return min(apart, joint.length_m - apart) if joint.closed else apart


def _box(joint: Joint, margin_m: float) -> Box:
    low_x, low_y, high_x, high_y = plan_box(joint)
    return low_x - margin_m, low_y - margin_m, high_x + margin_m, high_y + margin_m


def _overlap(one: Box, two: Box) -> bool:
    return one[0] <= two[2] and two[0] <= one[2] and one[1] <= two[3] and two[1] <= one[3]


def _apart(a: Point, b: Point) -> float:
    return hypot(a[0] - b[0], a[1] - b[1])
