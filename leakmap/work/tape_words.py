"""A joint laid out straight, in words: what the tape says to those who cannot see it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal
from typing import Final, TypeVar

from leakmap.base.trade_words import in_trade_words
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.printed import chainage_m
from leakmap.repair.junctions import repairable
from leakmap.repair.tape_layout import Run, TapeLayout

T = TypeVar("T")
_MOST: Final = 40


def described(job: Job, layout: TapeLayout) -> str:
    """What lies on a joint, one sentence for each sort of thing.

    Args:
        job: The job.
        layout: The joint laid out.
    """
    joint, row = layout.joint, layout.row
    sorts = (
        ("Leaks", _some(row.leaks, lambda wet: _leak(job, joint, wet.leak))),
        ("Zones", _some(row.runs, lambda run: _run(job, joint, run))),
        ("Relief points", _some(row.reliefs, lambda one: _at(job, joint, one[1].at_m))),
        ("Kept apart", _some(row.cuts, lambda at_m: _at(job, joint, at_m))),
        ("Set by hand", _some(row.by_hand, lambda one: f"the end at {_shown(job, joint, one.end.at_m)}")),
        ("Hidden", _some(row.blind, lambda one: f"{one.what} {_from_to(job, joint, one.from_m, one.to_m)}")),
        ("Joints that meet it", _met(job, layout, movement=False)),
        ("Stops at movement joint" if repairable(joint) else "Crossed by", _met(job, layout, movement=True)),
        ("Bends", _some(layout.bends, lambda at_m: _at(job, joint, at_m))),
        ("Axes", _some(layout.bubbles, lambda one: f"{one.name} {_at(job, joint, one.at_m)}")),
    )
    kind = in_trade_words(job.units, joint.kind)
    start = f"{joint.ref}, {kind}, {job.units.with_unit(joint.length_m)}"
    return ". ".join([start, *(f"{name}: {words}" for name, words in sorts if words)]) + "."


def _some(things: Sequence[T], words_of: Callable[[T], str]) -> str:
    """Words of the first things, and how many there are besides; a list without end tells nobody anything."""
    more = len(things) - _MOST
    return ", ".join(map(words_of, things[:_MOST])) + (f" and {more:,} more" if more > 0 else "")


def _leak(job: Job, joint: Joint, leak: Leak) -> str:
    return f"{leak.ref} {leak.wetness.word} {_from_to(job, joint, leak.from_m, leak.to_m)}"


def _run(job: Job, joint: Joint, run: Run) -> str:
    return f"{run.zone.ref} {_from_to(job, joint, run.from_m, run.to_m)}, {job.units.with_unit(run.length_m)}"


def _met(job: Job, layout: TapeLayout, *, movement: bool) -> str:
    met = [one for one in layout.branches if one.movement is movement]
    return _some(met, lambda one: f"{one.joint.ref} {_at(job, layout.joint, one.at_m)}")


def _from_to(job: Job, joint: Joint, from_m: float, to_m: float) -> str:
    return f"from {_shown(job, joint, from_m)} to {_shown(job, joint, to_m)}"


def _at(job: Job, joint: Joint, at_m: float) -> str:
    return f"at {_shown(job, joint, at_m)}"


def _shown(job: Job, joint: Joint, at_m: float | Decimal) -> str:
    return job.units.shown(chainage_m(job, joint, at_m))
