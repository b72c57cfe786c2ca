"""A joint laid out straight, in words: what the tape says to those who cannot see it."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from itertools import islice
from typing import Final

from leakmap.base.trade_words import in_trade_words
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.printed import chainage_m
from leakmap.repair.junctions import repairable
from leakmap.repair.tape_layout import Row, TapeLayout

_MOST: Final = 40


def described(job: Job, layout: TapeLayout) -> str:
    """What lies on a joint, one sentence for each sort of thing.

    Args:
        job: The job.
        layout: The joint laid out.
    """
    joint, row = layout.joint, layout.row
    sorts = (
        ("Leaks", _leaks(job, row)),
        ("Zones", _zones(job, row)),
        ("Relief points", (_at(job, joint, one.at_m) for _, one in row.reliefs)),
        ("Kept apart", (_at(job, joint, at_m) for at_m in row.cuts)),
        ("Set by hand", (f"the end at {_shown(job, joint, one.end.at_m)}" for one in row.by_hand)),
        ("Hidden", (f"{blind.what} {_from_to(job, joint, blind.from_m, blind.to_m)}" for blind in row.blind)),
        ("Joints that meet it", _met(job, layout, movement=False)),
        ("Stops at movement joint" if repairable(joint) else "Crossed by", _met(job, layout, movement=True)),
        ("Bends", (_at(job, joint, at_m) for at_m in layout.bends)),
        ("Axes", (f"{one.name} {_at(job, joint, one.at_m)}" for one in layout.bubbles)),
    )
    kind = in_trade_words(job.units, joint.kind)
    start = f"{joint.ref}, {kind}, {job.units.with_unit(joint.length_m)}"
    told = [(name, _joined(words)) for name, words in sorts]
    return ". ".join([start, *(f"{name}: {words}" for name, words in told if words)]) + "."


def _joined(words: Iterator[str]) -> str:
    """The first words, and how many there are besides; a list without end tells nobody anything."""
    first = list(islice(words, _MOST))
    more = sum(1 for _ in words) if len(first) == _MOST else 0
    return ", ".join(first) + (f" and {more:,} more" if more else "")


def _leaks(job: Job, row: Row) -> Iterator[str]:
    for wet in row.leaks:
        leak = wet.leak
        yield f"{leak.ref} {leak.wetness.word} {_from_to(job, row.joint, leak.from_m, leak.to_m)}"


def _zones(job: Job, row: Row) -> Iterator[str]:
    for run in row.runs:
        length = job.units.with_unit(run.length_m)
        yield f"{run.zone.ref} {_from_to(job, row.joint, run.from_m, run.to_m)}, {length}"


def _met(job: Job, layout: TapeLayout, *, movement: bool) -> Iterator[str]:
    for one in layout.branches:
        if one.movement is movement:
            yield f"{one.joint.ref} {_at(job, layout.joint, one.at_m)}"


def _from_to(job: Job, joint: Joint, from_m: float, to_m: float) -> str:
    return f"from {_shown(job, joint, from_m)} to {_shown(job, joint, to_m)}"


def _at(job: Job, joint: Joint, at_m: float) -> str:
    return f"at {_shown(job, joint, at_m)}"


def _shown(job: Job, joint: Joint, at_m: float | Decimal) -> str:
    return job.units.shown(chainage_m(job, joint, at_m))
