"""Deeds that draw, remove and rename joints.

A vertical joint belongs to the sheet of its foot. One that is drawn downwards therefore belongs to
the sheet below, with this sheet as its head sheet. One drawn through a floor becomes two joints, one
each way, because chainage runs from one foot on one sheet.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import replace
from enum import StrEnum
from typing import Final
from uuid import UUID, uuid4

from leakmap.base.counted import many
from leakmap.base.sentences import listed
from leakmap.geometry.path import Point, path_of
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, MICRON_M, within
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.sheet import Sheet
from leakmap.model.words import Face, Kind, Series, Side, Waterstop
from leakmap.work.carrying import carried
from leakmap.work.edits.edit import Changes, Edit, deed, edited, joint_of, refused, sheet_of, together
from leakmap.work.edits.numbering import renamed_ref, taken_ref

_USUAL_FACE: Final = {
    Kind.CONSTRUCTION: Face.FLOOR,
    Kind.CONTRACTION: Face.FLOOR,
    Kind.MOVEMENT: Face.FLOOR,
    Kind.WALL_BASE: Face.CORNER,
    Kind.CRACK: Face.FLOOR,
    Kind.PIPE_COLLAR: Face.WALL,
}


class Direction(StrEnum):
    """Which way a vertical joint runs from the floor of the sheet that it is drawn on."""

    UP = "up"
    DOWN = "down"


def usual_face(kind: Kind) -> Face:
    """The face that a joint of a kind usually lies on, where nobody said.

    Source: common practice, no published source.
    """
    return _USUAL_FACE[kind]


@deed
def draw_joint(
    job: Job,
    *,
    sheet: UUID,
    kind: Kind,
    points: Iterable[Point],
    closed: bool = False,
    face: Face | None = None,
    height_m: float = 0.0,
    room_side: Side | None = None,
    start_m: float = 0.0,
    dormant: bool = False,
    waterstop: Waterstop = Waterstop.UNKNOWN,
    ref: str | None = None,
    new_id: Callable[[], UUID] = uuid4,
) -> Edit:
    """Draw a joint as a line in metres of the site plane; repeated points are left out.

    Args:
        job: The job.
        sheet: The sheet it is drawn on.
        kind: What sort of joint it is.
        points: Its corners; chainage runs from the first.
        closed: Whether the last corner is joined to the first.
        face: The face; None: the usual one of the kind.
        height_m: Height over the floor, on a wall only.
        room_side: Side of the room; left out, and said, where it is no corner joint.
        start_m: Printed chainage of the first point.
        dormant: Whether it is confirmed not to move (contraction joint, crack).
        waterstop: What is known of a waterstop.
        ref: Its reference; None: the next J number.
        new_id: Gives its id.

    Raises:
        EditRefused: The line has no usable course, or a value does not fit the joint.
    """
    name, numbers = taken_ref(job.numbers, Series.JOINT, ref, job.joints, job.revisions.values())
    joint = Joint(
        id=new_id(),
        ref=name,
        sheet=sheet_of(job, sheet).id,
        kind=kind,
        face=face or usual_face(kind),
        path=path_of(points, closed=closed),
        height_m=height_m,
        room_side=room_side if (face or usual_face(kind)) is Face.CORNER else None,
        start_m=start_m,
        dormant=dormant,
        waterstop=waterstop,
    )
    refuse_unfit(job, joint)
    said = () if joint.room_side is room_side else (f"{name} is no corner joint, so its room side was left out.",)
    changes = Changes(joints={joint.id: joint})
    return edited(job, changes, words=f"draw {name}", said=said, numbers=numbers, made=(joint.id,))


@deed
def draw_vertical_joint(
    job: Job,
    *,
    sheet: UUID,
    kind: Kind,
    point: Point,
    rise_m: float | None = None,
    direction: Direction = Direction.UP,
    foot_m: float = 0.0,
    head_sheet: UUID | None = None,
    sheet_below: UUID | None = None,
    face: Face = Face.WALL,
    start_m: float = 0.0,
    dormant: bool = False,
    waterstop: Waterstop = Waterstop.UNKNOWN,
    ref: str | None = None,
    new_id: Callable[[], UUID] = uuid4,
) -> Edit:
    """Draw a vertical joint as a point with a rise; chainage runs from its foot.

    Args:
        job: The job.
        sheet: The sheet it is drawn on.
        kind: What sort of joint it is.
        point: Where it stands, metres of the site plane.
        rise_m: Its length; None: up to the soffit of the sheet that its foot is on, or, downwards, to
            the floor below.
        direction: Up from this sheet's floor, or down from it: then it belongs to the sheet below and
            has its head here.
        foot_m: Height of its foot over this sheet's floor, upwards only.
        head_sheet: Sheet where its head is met, upwards only.
        sheet_below: The sheet below, downwards only; None: the next lower floor level.
        face: The face, a wall.
        start_m: Printed chainage of its foot.
        dormant: Whether it is confirmed not to move.
        waterstop: What is known of a waterstop.
        ref: Its reference; None: the next V number.
        new_id: Gives its id.

    Raises:
        EditRefused: The sheet below is not known, it drops past the floor below, or a value does not fit.
    """
    here = sheet_of(job, sheet)
    head: UUID | None = here.id
    if direction is Direction.DOWN:
        home = sheet_of(job, sheet_below) if sheet_below else _below(job, here)
        foot, rise = _hanging_m(job, home, here, rise_m)
    else:
        home, head, foot = here, head_sheet, foot_m
        rise = here.storey_height_m - foot if rise_m is None else rise_m
    name, numbers = taken_ref(job.numbers, Series.VERTICAL, ref, job.joints, job.revisions.values())
    joint = Joint(
        id=new_id(),
        ref=name,
        sheet=home.id,
        kind=kind,
        face=face,
        point=point,
        rise_m=rise,
        height_m=foot,
        head_sheet=head,
        start_m=start_m,
        dormant=dormant,
        waterstop=waterstop,
    )
    refuse_unfit(job, joint)
    said = (f"{name} belongs to {home.name} and has its head on {here.name}.",) if home is not here else ()
    changes = Changes(joints={joint.id: joint})
    return edited(job, changes, words=f"draw {name}", said=said, numbers=numbers, made=(joint.id,))


@deed
def draw_through_joint(
    job: Job,
    *,
    sheet: UUID,
    kind: Kind,
    point: Point,
    down_m: float | None = None,
    up_m: float | None = None,
    sheet_below: UUID | None = None,
    head_sheet: UUID | None = None,
    new_id: Callable[[], UUID] = uuid4,
) -> Edit:
    """Draw a vertical joint through a sheet's floor: two joints, one down and one up, that meet there.

    Raises:
        EditRefused: As for one of them.
    """
    lower = draw_vertical_joint(
        job,
        sheet=sheet,
        kind=kind,
        point=point,
        rise_m=down_m,
        direction=Direction.DOWN,
        sheet_below=sheet_below,
        new_id=new_id,
    )
    upper = draw_vertical_joint(
        lower.job, sheet=sheet, kind=kind, point=point, rise_m=up_m, head_sheet=head_sheet, new_id=new_id
    )
    one, two = (upper.job.joints[edit.made[0]].ref for edit in (lower, upper))
    both = together((lower, upper), words=f"draw {one} and {two}")
    return replace(both, said=(*both.said, f"It is two joints: {one} below the floor and {two} above it."))


@deed
def draw_collar(
    job: Job,
    *,
    sheet: UUID,
    point: Point,
    diameter_m: float,
    face: Face | None = None,
    height_m: float = 0.0,
    start_m: float = 0.0,
    waterstop: Waterstop = Waterstop.UNKNOWN,
    ref: str | None = None,
    new_id: Callable[[], UUID] = uuid4,
) -> Edit:
    """Draw a pipe collar as a point with the pipe's diameter; chainage 0 is at the top, clockwise.

    Raises:
        EditRefused: The diameter is not greater than zero, or a value does not fit.
    """
    name, numbers = taken_ref(job.numbers, Series.JOINT, ref, job.joints, job.revisions.values())
    joint = Joint(
        id=new_id(),
        ref=name,
        sheet=sheet_of(job, sheet).id,
        kind=Kind.PIPE_COLLAR,
        face=face or usual_face(Kind.PIPE_COLLAR),
        point=point,
        diameter_m=diameter_m,
        height_m=height_m,
        start_m=start_m,
        waterstop=waterstop,
    )
    refuse_unfit(job, joint)
    return edited(job, Changes(joints={joint.id: joint}), words=f"draw {name}", numbers=numbers, made=(joint.id,))


@deed
def remove_joint(job: Job, *, joint: UUID) -> Edit:
    """Remove a joint with everything on it, which is said."""
    gone = joint_of(job, joint)
    result = carried(job, joints={joint: None}, spans={joint: ()}, numbers=job.numbers, new_id=uuid4)
    lost = _listed(result.changes, [leak.ref for leak in job.leaks.values() if leak.joint == joint])
    said = (f"With {gone.ref} went {lost}.",) if lost else ()
    return edited(job, result.changes, words=f"remove {gone.ref}", said=said)


@deed
def rename_joint(job: Job, *, joint: UUID, ref: str) -> Edit:
    """Give a joint another reference.

    Raises:
        EditRefused: It is empty, in use, or may have been used before.
    """
    old = joint_of(job, joint)
    if ref.strip() == old.ref:
        return edited(job, words=f"rename {old.ref}")
    name, numbers = renamed_ref(job.numbers, ref, job.joints.values(), job.revisions.values(), item=joint)
    return edited(job, Changes(joints={joint: replace(old, ref=name)}), words=f"rename {old.ref}", numbers=numbers)


def refuse_unfit(job: Job, joint: Joint) -> None:
    """Refuse a joint whose facts do not fit each other.

    Raises:
        EditRefused: It is as short as the drawing tolerance, or a vertical joint below its sheet's floor.
    """
    if within(joint.length_m, DRAWING_TOLERANCE_M):
        raise refused(f"{joint.ref} would be {job.units.said(joint.length_m)} long; a joint must be longer than 10 mm.")
    if joint.vertical and joint.height_m < 0:
        raise refused(f"{joint.ref} would lie below its sheet's floor; draw it on the sheet below.", where=joint.ref)


def _below(job: Job, here: Sheet) -> Sheet:
    """The sheet with the next lower floor level."""
    level = here.floor_level_m
    lower = [
        (sheet.floor_level_m, sheet)
        for sheet in job.sheets.values()
        if level is not None and sheet.floor_level_m is not None and sheet.floor_level_m < level
    ]
    if not lower:
        raise refused(f"Which sheet lies below {here.name} is not known; give floor levels, or name the sheet below.")
    return max(lower, key=lambda pair: pair[0])[1]


def _hanging_m(job: Job, lower: Sheet, upper: Sheet, rise_m: float | None) -> tuple[float, float]:
    """Height of the foot over the lower floor, and the rise, of a joint that hangs down from the upper one.

    Raises:
        EditRefused: It would drop past the lower floor.
    """
    drop = _drop_m(lower, upper)
    rise = drop if rise_m is None else rise_m
    if drop - rise < -MICRON_M:
        raise refused(
            f"It would drop past the floor of {lower.name}, {job.units.said(drop)} below; draw the rest from there."
        )
    return max(drop - rise, 0.0), rise


def _drop_m(lower: Sheet, upper: Sheet) -> float:
    """From floor to floor: by their levels, or the storey height where a level is not known."""
    if lower.id == upper.id:
        raise refused(f"Sheet {upper.name} does not lie below itself; name the sheet below.")
    if lower.floor_level_m is None or upper.floor_level_m is None:
        return lower.storey_height_m
    if lower.floor_level_m >= upper.floor_level_m:
        raise refused(f"The floor of {lower.name} does not lie below that of {upper.name}; check the floor levels.")
    return upper.floor_level_m - lower.floor_level_m


def _listed(changes: Changes, leaks: list[str]) -> str:
    """What went with a joint, such as "2 leaks (L-01, L-06) and 1 cut"."""
    counts = Counter(
        {"cut": len(changes.cuts), "relief point": len(changes.reliefs), "parted junction": len(changes.parted)}
    )
    words = [many(count, what) for what, count in counts.items() if count]
    if leaks:
        words.insert(0, f"{many(len(leaks), 'leak')} ({', '.join(leaks)})")
    return listed(words)
