"""Deeds on a zone as a whole: what is set on a zone is set on its leaks, for a zone is worked out and never kept."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from leakmap.base.trade_words import in_trade_words
from leakmap.model.job import Job
from leakmap.model.leak import Leak
from leakmap.model.printed import raw_m
from leakmap.model.words import Method
from leakmap.repair.results import End, Why, Zone
from leakmap.work.edits.edit import Edit, refused, together
from leakmap.work.edits.ends import drag_end
from leakmap.work.edits.leaks import LeakEnd, give_overruns_back, set_method, set_overrun

_SAME_M = 0.001


def leaks_of_zone(job: Job, zone: Zone) -> tuple[Leak, ...]:
    """The leaks of a zone, in the order of the job; those that only reach into it by their overrun too."""
    inside = {leak for piece in zone.pieces if piece.why in {Why.LEAK, Why.BLIND} for leak in piece.leaks}
    inside |= {end.owner for end in zone.ends if end.owner is not None}
    return tuple(leak for leak in job.leaks.values() if leak.id in inside)


def set_zone_method(job: Job, zone: Zone, method: Method | None) -> Edit:
    """Set the method on every leak of a zone, because the heaviest decides; None gives it back to the rules."""
    edits = _each(job, zone, lambda job, leak: set_method(job, leak=leak.id, method=method))
    return together(edits, words=f"set method of {zone.ref}")


def set_zone_overrun(job: Job, zone: Zone, overrun_m: float) -> Edit:
    """Set the overrun at both ends of every leak of a zone."""

    def both(job: Job, leak: Leak) -> Edit:
        ends: list[Edit] = []
        for end in LeakEnd:
            ends.append(set_overrun(job, leak=leak.id, end=end, overrun_m=overrun_m))
            job = ends[-1].job
        return together(ends, words="set overruns")

    edits = _each(job, zone, both)
    return together(edits, words=f"set overruns of {zone.ref}")


def give_zone_back(job: Job, zone: Zone) -> Edit:
    """Give overruns and method of every leak of a zone back to the rules."""
    edits = _each(job, zone, lambda job, leak: give_overruns_back(job, leak=leak.id))
    edits += _each(edits[-1].job, zone, lambda job, leak: set_method(job, leak=leak.id, method=None))
    return together(edits, words=f"give {zone.ref} back to the rules")


def move_zone_end(job: Job, zone: Zone, printed_m: Fraction, *, first: bool) -> Edit:
    """Move the end of a zone that its first row starts at, or its last row stops at, to a printed chainage.

    Raises:
        EditRefused: No overrun decides that end, or it cannot go there.
    """
    row = zone.rows[0 if first else -1]
    at_m = float(row.from_m if first else row.to_m)
    end = next((end for end in zone.ends if _is_at(end, row.joint, at_m, up=not first)), None)
    if end is None:
        ref = in_trade_words(job.units, f"{zone.ref} {'starts' if first else 'stops'} at a joint end or a junction")
        raise refused(f"{ref}, where no overrun can be moved.")
    edit = drag_end(job, end=end, to_m=raw_m(job, job.joints[row.joint], printed_m))
    return together([edit], words=f"move end of {zone.ref}")


def _is_at(end: End, joint: object, at_m: float, *, up: bool) -> bool:
    return end.joint == joint and end.up is up and abs(end.at_m - at_m) <= _SAME_M


def _each(job: Job, zone: Zone, deed: Callable[[Job, Leak], Edit]) -> list[Edit]:
    edits: list[Edit] = []
    for leak in leaks_of_zone(job, zone):
        edits.append(deed(job, leak))
        job = edits[-1].job
    return edits
