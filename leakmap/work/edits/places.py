"""Places and stretches on a joint as a user gives them, brought into the form that a job stores."""

from __future__ import annotations

from leakmap.base.numbers import not_negative
from leakmap.base.rounding import rounded
from leakmap.base.trade_words import in_trade_words
from leakmap.geometry.tolerance import MICRON_M, TIE_M, within
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.printed import printed
from leakmap.work.edits.edit import refused


def to_step(job: Job, at_m: float) -> float:
    """A chainage snapped to the least that the job's units show, half up: 1 mm, or 1/8 inch."""
    return float(rounded(at_m, job.units.step_m))


def placed(job: Job, joint: Joint, at_m: float) -> float:
    """A chainage on a joint; up to 1 mm past its end, which rounding makes, is its end.

    Raises:
        BadValue: It is negative or not finite.
        EditRefused: It lies past the end.
    """
    not_negative(at_m, f"{in_trade_words(job.units, 'chainage')} on {joint.ref}")
    if not within(at_m - joint.length_m, TIE_M):
        raise refused(
            f"{printed(job, joint, at_m)} lies past the end of {joint.ref} at {printed(job, joint, joint.length_m)}.",
            where=joint.ref,
        )
    return min(float(at_m), joint.length_m)


def placed_stretch(job: Job, joint: Joint, from_m: float, to_m: float) -> tuple[float, float]:
    """A stretch of a joint in stored form; see `Leak`.

    Raises:
        BadValue: A chainage is negative or not finite.
        EditRefused: It lies past the end, or runs backwards on an open joint.
    """
    start, stop = placed(job, joint, from_m), placed(job, joint, to_m)
    if start > stop and not joint.closed:
        raise refused(
            f"A stretch of {joint.ref}, which is open, runs from the smaller {in_trade_words(job.units, 'chainage')} to the larger:"
            f" swap {printed(job, joint, start)} and {printed(job, joint, stop)}.",
            where=joint.ref,
        )
    return stored(joint, start, stop)


def stored(joint: Joint, from_m: float, to_m: float) -> tuple[float, float]:
    """A stretch in stored form.

    Up to 1 µm is a spot. On a closed joint the start is 0, never its length, and an end there the length.
    """
    if joint.closed and from_m >= joint.length_m - MICRON_M:
        from_m, to_m = 0.0, max(to_m - joint.length_m, 0.0) if to_m >= from_m else to_m
    if abs(from_m - to_m) <= MICRON_M:
        return from_m, from_m
    return from_m, joint.length_m if to_m <= MICRON_M and from_m > to_m else to_m


def stretch_length_m(joint: Joint, from_m: float, to_m: float) -> float:
    """Length of a stretch; on a closed joint it may pass the start."""
    return to_m - from_m if from_m <= to_m else joint.length_m - from_m + to_m
