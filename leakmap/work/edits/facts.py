"""Deeds that set one fact of a joint: kind, face, heights, what is known of the member, access."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any
from uuid import UUID, uuid4

from leakmap.base.numbers import not_negative, positive
from leakmap.base.trade_words import in_trade_words
from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.model.joint import Joint, Signed
from leakmap.model.printed import printed
from leakmap.model.words import Face, Kind, Side, Waterstop
from leakmap.work.carrying import bent, carried, proportional
from leakmap.work.edits.edit import Changes, Edit, deed, edited, joint_of, refused, sheet_of
from leakmap.work.edits.joints import refuse_unfit

_MAY_BE_DORMANT = frozenset({Kind.CONTRACTION, Kind.CRACK})


@deed
def set_kind(job: Job, *, joint: UUID, kind: Kind) -> Edit:
    """Say what sort of joint it is; decisions that only the old kind can have are taken back, and said.

    Raises:
        EditRefused: It is a pipe's ring and the kind is another, or the other way round.
    """
    old = joint_of(job, joint)
    facts: dict[str, Any] = {"kind": kind}
    said = []
    if old.dormant and kind not in _MAY_BE_DORMANT:
        facts["dormant"] = False
        said.append(f"{old.ref} is no longer marked as dormant.")
    if old.repair_anyway is not None and kind is not Kind.MOVEMENT:
        facts["repair_anyway"] = None
        said.append(f"The decision to repair {old.ref} as a movement joint is taken back.")
    return _with(job, joint, "kind", said, **facts)


@deed
def set_face(job: Job, *, joint: UUID, face: Face) -> Edit:
    """Say which face it is repaired on; only a corner joint keeps its room side."""
    old = joint_of(job, joint)
    lost = old.room_side is not None and face is not Face.CORNER
    said = [f"{old.ref} is no corner joint any more, so it has no room side."] if lost else []
    return _with(job, joint, "face", said, face=face, room_side=None if lost else old.room_side)


@deed
def set_room_side(job: Job, *, joint: UUID, room_side: Side | None) -> Edit:
    """Say on which side of a corner joint the room lies; None: not known.

    Raises:
        EditRefused: It is no corner joint.
    """
    old = joint_of(job, joint)
    if room_side is not None and old.face is not Face.CORNER:
        raise refused(f"{old.ref} is no corner joint, so it has no room side.", where=old.ref)
    return _with(job, joint, "room side", room_side=room_side)


@deed
def set_height(job: Job, *, joint: UUID, height_m: float) -> Edit:
    """Set the height over the sheet's floor of a joint on a wall, or of the foot of a vertical joint.

    Raises:
        EditRefused: Its height follows from its face, or its foot would lie below the floor.
    """
    old = joint_of(job, joint)
    if not old.vertical and old.face is not Face.WALL:
        face = in_trade_words(job.units, old.face)
        raise refused(f"The height of {old.ref} follows from its face, {face}; only a wall joint has its own.")
    return _with(job, joint, "height", height_m=height_m)


@deed
def set_rise(job: Job, *, joint: UUID, rise_m: float) -> Edit:
    """Set the length of a vertical joint; its foot stays, and what lies past the new head falls off, and is said.

    Raises:
        EditRefused: It is no vertical joint, or the rise is not greater than zero.
    """
    old = joint_of(job, joint)
    if not old.vertical:
        raise refused(f"{old.ref} is no vertical joint, so it has no rise.", where=old.ref)
    new = replace(old, rise_m=rise_m, blind=())
    return redrawn(job, new, bent(old, old.length_m, new, new.length_m), f"set rise of {old.ref}")


@deed
def set_diameter(job: Job, *, joint: UUID, diameter_m: float) -> Edit:
    """Set the pipe's diameter of a collar; leaks keep their place on the clock face.

    Raises:
        EditRefused: It is no collar drawn as a point, or the diameter is not greater than zero.
    """
    old = joint_of(job, joint)
    if old.diameter_m is None:
        raise refused(f"{old.ref} is not drawn as a pipe's point, so it has no diameter.", where=old.ref)
    new = replace(old, diameter_m=diameter_m, blind=())
    return redrawn(job, new, proportional(old, new), f"set diameter of {old.ref}")


@deed
def move_point(job: Job, *, joint: UUID, to: Point) -> Edit:
    """Move a vertical joint, or a pipe collar that is drawn as a point.

    Raises:
        EditRefused: It is a line, whose bends are moved one by one.
    """
    old = joint_of(job, joint)
    if old.point is None:
        raise refused(f"{old.ref} is a line; move its bends.", where=old.ref)
    return _changed(job, joint, f"move {old.ref}", point=(float(to[0]), float(to[1])))


@deed
def set_head_sheet(job: Job, *, joint: UUID, head_sheet: UUID | None) -> Edit:
    """Say on which sheet the head of a vertical joint is met.

    Raises:
        EditRefused: It is no vertical joint, or the sheet is that of its foot.
    """
    return _with(job, joint, "head sheet", head_sheet=None if head_sheet is None else sheet_of(job, head_sheet).id)


@deed
def set_start(job: Job, *, joint: UUID, start_m: float) -> Edit:
    """Set the printed chainage of the first point."""
    return _with(job, joint, in_trade_words(job.units, "start chainage"), start_m=start_m)


@deed
def set_dormant(job: Job, *, joint: UUID, dormant: bool) -> Edit:
    """Say whether a contraction joint or a crack is confirmed not to move.

    Raises:
        EditRefused: It is of another kind.
    """
    old = joint_of(job, joint)
    if dormant and old.kind not in _MAY_BE_DORMANT:
        kind = in_trade_words(job.units, old.kind)
        raise refused(f"{old.ref} is of kind {kind}; only a contraction joint or a crack is confirmed dormant.")
    return _with(job, joint, "dormancy", dormant=dormant)


@deed
def set_repair_anyway(job: Job, *, joint: UUID, signed: Signed | None) -> Edit:
    """Decide to repair a movement joint by this method all the same, or take that back.

    Raises:
        EditRefused: It is no movement joint.
    """
    old = joint_of(job, joint)
    if signed is not None and old.kind is not Kind.MOVEMENT:
        raise refused(f"{old.ref} is no movement joint; it needs no such decision.", where=old.ref)
    return _with(job, joint, "decision to repair", repair_anyway=signed)


@deed
def set_clearance(job: Job, *, joint: UUID, clearance_m: float | None) -> Edit:
    """Set the distance that slots keep on each side of a movement joint; None: not yet given.

    Raises:
        EditRefused: It is no movement joint, or the distance is negative.
    """
    old = joint_of(job, joint)
    if clearance_m is not None and old.kind is not Kind.MOVEMENT:
        slots = in_trade_words(job.units, "slots")
        raise refused(f"{old.ref} is no movement joint; {slots} keep no distance from it.", where=old.ref)
    return _with(job, joint, "clearance", clearance_m=clearance_m)


@deed
def set_thickness(job: Job, *, joint: UUID, thickness_m: float | None) -> Edit:
    """Set the thickness of the concrete member; None: not known.

    Raises:
        EditRefused: It is not greater than zero, or not greater than the cover.
    """
    old = joint_of(job, joint)
    _refuse_thick_cover(old.ref, thickness_m, old.cover_m)
    return _with(job, joint, "thickness", thickness_m=thickness_m)


@deed
def set_cover(job: Job, *, joint: UUID, cover_m: float | None) -> Edit:
    """Set the cover to steel; None: not known.

    Raises:
        EditRefused: It is not greater than zero, or not less than the thickness.
    """
    old = joint_of(job, joint)
    _refuse_thick_cover(old.ref, old.thickness_m, cover_m)
    return _with(job, joint, "cover", cover_m=cover_m)


@deed
def set_waterstop(job: Job, *, joint: UUID, waterstop: Waterstop, depth_m: float | None = None) -> Edit:
    """Say what is known of a waterstop; its depth belongs to a waterstop at a depth only.

    Raises:
        EditRefused: The depth is missing, not greater than zero, or given where there is none.
    """
    old = joint_of(job, joint)
    if (waterstop is Waterstop.AT_DEPTH) != (depth_m is not None):
        raise refused(f"A depth belongs to a waterstop at a depth, and to no other; check {old.ref}.", where=old.ref)
    return _with(job, joint, "waterstop", waterstop=waterstop, waterstop_depth_m=depth_m)


@deed
def set_tendons(job: Job, *, joint: UUID, tendons: bool | None) -> Edit:
    """Say whether there are tendons in the member; None: not known."""
    return _with(job, joint, "tendons", tendons=tendons)


@deed
def set_seen_from(job: Job, *, joint: UUID, seen_from: str) -> Edit:
    """Say where the joint is seen from."""
    return _with(job, joint, "where it is seen from", seen_from=seen_from.strip())


@deed
def set_repaired_from(job: Job, *, joint: UUID, repaired_from: str) -> Edit:
    """Say where the joint is repaired from."""
    return _with(job, joint, "where it is repaired from", repaired_from=repaired_from.strip())


@deed
def set_access(job: Job, *, joint: UUID, access: str) -> Edit:
    """Say what it takes to get at the joint."""
    return _with(job, joint, "access", access=access.strip())


def redrawn(job: Job, new: Joint, spans: tuple[Any, ...], words: str, said: tuple[str, ...] = ()) -> Edit:
    """The edit that gives a joint another course, with what lies on it carried by spans.

    Raises:
        EditRefused: The joint would be too short.
    """
    refuse_unfit(job, new)
    result = carried(job, joints={new.id: new}, spans={new.id: spans}, numbers=job.numbers, new_id=uuid4)
    return edited(
        job, result.changes, words=words, said=(*said, *result.said), numbers=result.numbers, made=result.made
    )


def start_kept(job: Job, joint: Joint, by_m: float) -> tuple[float, tuple[str, ...]]:
    """Start value of a joint whose start moved by a length, and what is to be said.

    Issued chainages stay on the concrete; before the first issue chainage runs from the first point.
    """
    if not job.revisions or by_m == 0:
        return joint.start_m, ()
    moved = replace(joint, start_m=joint.start_m + by_m)
    stay = in_trade_words(job.units, "Issued chainages stay")
    return moved.start_m, (f"{stay}: {joint.ref} now starts at {printed(job, moved, 0.0)}.",)


def _refuse_thick_cover(ref: str, thickness_m: float | None, cover_m: float | None) -> None:
    for value, name in ((thickness_m, "thickness"), (cover_m, "cover to steel")):
        if value is not None:
            positive(value, f"{name} of {ref}")
    if thickness_m is not None and not_negative(thickness_m, "thickness") <= (cover_m or 0.0):
        raise refused(f"The cover to steel of {ref} must be less than the thickness of the member.", where=ref)


def _with(job: Job, joint: UUID, fact: str, said: list[str] | None = None, **facts: Any) -> Edit:  # noqa: ANN401 - a joint's fields
    return _changed(job, joint, f"set {fact} of {joint_of(job, joint).ref}", said, **facts)


def _changed(job: Job, joint: UUID, words: str, said: list[str] | None = None, **facts: Any) -> Edit:  # noqa: ANN401 - a joint's fields
    new = replace(joint_of(job, joint), **facts)
    refuse_unfit(job, new)
    joints: Mapping[UUID, Joint | None] = {joint: new}
    return edited(job, Changes(joints=joints), words=words, said=said or ())
