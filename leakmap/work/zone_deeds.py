"""Deeds on a zone as a whole: what is set on a zone is set on its leaks, for a zone is worked out and never kept."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from functools import partial
from itertools import chain
from uuid import UUID

from leakmap.base.trade_words import in_trade_words
from leakmap.geometry.tolerance import TIE_M
from leakmap.model.job import Job
from leakmap.model.leak import Leak
from leakmap.model.printed import raw_m
from leakmap.model.words import Method
from leakmap.repair.results import End, Why, Zone
from leakmap.work.edits.edit import Edit, in_turn, refused, together
from leakmap.work.edits.ends import drag_end
from leakmap.work.edits.leaks import LeakEnd, give_overruns_back, set_method, set_overrun

_Deed = Callable[[Job], Edit]


def leaks_of_zone(job: Job, zone: Zone) -> tuple[Leak, ...]:
    """The leaks of a zone, in the order of the job; those that only reach into it by their overrun too."""
    inside = {leak for piece in zone.pieces if piece.why in {Why.LEAK, Why.BLIND} for leak in piece.leaks}
    inside |= {end.owner for end in zone.ends if end.owner is not None}
    return tuple(leak for leak in job.leaks.values() if leak.id in inside)


def set_zone_method(job: Job, zone: Zone, method: Method | None) -> Edit:
    """Set the method on every leak of a zone, because the heaviest decides; None gives it back to the rules."""
    return together(in_turn(job, _methods(job, zone, method)), words=f"set method of {zone.ref}")


def set_zone_overrun(job: Job, zone: Zone, overrun_m: float) -> Edit:
    """Set the overrun at both ends of every leak of a zone."""
    deeds = (
        partial(set_overrun, leak=leak.id, end=end, overrun_m=overrun_m)
        for leak in leaks_of_zone(job, zone)
        for end in LeakEnd
    )
    return together(in_turn(job, deeds), words=f"set overruns of {zone.ref}")


def give_zone_back(job: Job, zone: Zone) -> Edit:
    """Give overruns and method of every leak of a zone back to the rules."""
    overruns: Iterator[_Deed] = (partial(give_overruns_back, leak=leak.id) for leak in leaks_of_zone(job, zone))
    return together(
        in_turn(job, chain(overruns, _methods(job, zone, None))), words=f"give {zone.ref} back to the rules"
    )


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


def _is_at(end: End, joint: UUID, at_m: float, *, up: bool) -> bool:
    return end.joint == joint and end.up is up and abs(end.at_m - at_m) <= TIE_M


def _methods(job: Job, zone: Zone, method: Method | None) -> Iterator[_Deed]:
    return (partial(set_method, leak=leak.id, method=method) for leak in leaks_of_zone(job, zone))
