"""How high a place on a joint lies, and the order in which joints are listed."""

from __future__ import annotations

from math import cos, pi
from uuid import UUID

from leakmap.model.job import Job
from leakmap.model.joint import Joint, height_of
from leakmap.model.words import Face


def height_at(job: Job, joint: Joint, at_m: float) -> float:
    """Height of a place over the floor of the joint's sheet, in metres.

    A vertical joint rises with its chainage from the foot. A pipe collar in a wall starts at the
    top and runs round its centre, which lies at the joint's height.
    """
    height = height_of(joint, job.sheet_of(joint).storey_height_m)
    if joint.vertical:
        return height + at_m
    if joint.diameter_m is not None and joint.face is Face.WALL:
        return height + joint.diameter_m / 2 * cos(2 * pi * at_m / joint.length_m)
    return height


def is_level(joint: Joint) -> bool:
    """Whether every place of a joint lies at one height."""
    return not joint.vertical and (joint.diameter_m is None or joint.face is not Face.WALL)


def level_at(job: Job, joint: Joint, at_m: float) -> float | None:
    """Level of a place over the job's datum; None where the sheet's floor level is not known."""
    floor = job.sheet_of(joint).floor_level_m
    return None if floor is None else floor + height_at(job, joint, at_m)


def lowest_of(joint: Joint, from_m: float, to_m: float) -> float:
    """Chainage of the lowest place of a stretch; its start where all of it is level."""
    if joint.diameter_m is not None and joint.face is Face.WALL:
        return min(max(from_m, joint.length_m / 2), to_m)
    return from_m


def listing_order(job: Job) -> dict[UUID, tuple[int, int]]:
    """Place of each joint in every list: by sheet, then in the order drawn."""
    sheets = {sheet: number for number, sheet in enumerate(job.sheets)}
    return {joint.id: (sheets[joint.sheet], number) for number, joint in enumerate(job.joints.values())}
