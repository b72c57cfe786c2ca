"""What a query finds in a job: spots of the grid and chainages first, then what is called so."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass
from fractions import Fraction
from typing import Final
from uuid import UUID

from leakmap.base.errors import BadValue
from leakmap.base.length_text import metres_of
from leakmap.base.trade_words import in_trade_words
from leakmap.geometry.tolerance import MICRON_M
from leakmap.model.grid import point_of_words, position_words
from leakmap.model.job import Job
from leakmap.model.joint import plan_point
from leakmap.model.printed import chainage_m, printed
from leakmap.work.check_list import Where
from leakmap.work.find.folding import asked, folded
from leakmap.work.find.index import Index, understood
from leakmap.work.find.places import Place, Places
from leakmap.work.ledger_rows import kind_words

NOTHING: Final = "Nothing called that. Try a reference such as Z-07, or a word such as scale."

_CHAINAGE: Final = re.compile(r"(?P<ref>\S+(?:\s+\S*[^\W\d]\S*)*?)\s+(?P<at>-?[0-9].*)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What a query found.

    Attributes:
        places: On the plan, the best first.
        in_all: How many places there are in all.
        actions: Numbers of what can be done, in the index of actions, the best first.
    """

    places: tuple[Place, ...] = ()
    in_all: int = 0
    actions: tuple[int, ...] = ()


def find(query: str, job: Job | None, places: Places | None, actions: Index, *, level: UUID | None, most: int) -> Found:
    """What a query finds.

    Args:
        query: What was typed; empty finds nothing.
        job: The job; None where none is open.
        places: Its places; None while they are not gathered.
        actions: What can be done.
        level: The level on the plan, whose places come before others that fit as well.
        most: So many are given of each.
    """
    indexes: Collection[Index] = (actions, *((places.index,) if places is not None else ()))
    words = understood(query, indexes)
    doings, _ = actions.found(words, most=most)
    spots = _spots(query, job, level) if job is not None and words else ()
    if places is None:
        return Found(places=spots, in_all=len(spots), actions=tuple(doings))
    numbers, count = places.index.found(words, most=most, later=places.later(level))
    things = tuple(places.each[number] for number in numbers)
    whole = "".join(asked(query))
    called = sum(whole in folded(place.title) for place in things)  # those come first among things
    best = (*things[:called], *spots, *things[called:])[:most]
    return Found(places=best, in_all=len(spots) + count, actions=tuple(doings))


def _spots(query: str, job: Job, level: UUID | None) -> tuple[Place, ...]:
    at = point_of_words(job.grid, query.strip(), job.units) if job.grid is not None and level is not None else None
    spots = []
    if at is not None and job.grid is not None:
        name = job.sheets[level].name if level is not None and level in job.sheets else ""
        spots.append(Place(position_words(job.grid, at, job.units), at=at, sheet=level, words=f"on the grid, {name}"))
    chainage = _chainage(query.strip(), job)
    return (*spots, *((chainage,) if chainage is not None else ()))


def _chainage(query: str, job: Job) -> Place | None:
    """A place on a joint by its reference and a printed chainage; past an end, that end."""
    parts = _CHAINAGE.fullmatch(query)
    wanted = set(folded(parts["ref"])) if parts is not None else set()
    if parts is None or not wanted:
        return None
    joint = next((joint for joint in job.joints.values() if set(folded(joint.ref)) & wanted), None)
    if joint is None:
        return None
    try:
        asked_m = float(metres_of(parts["at"], job.units) - Fraction(joint.start_m))
    except BadValue:
        return None
    at_m = min(max(asked_m, 0.0), joint.length_m)
    title = f"{joint.ref} {job.units.shown(chainage_m(job, joint, at_m))}"
    words = f"on the {in_trade_words(job.units, kind_words(joint).lower())} joint"
    if abs(asked_m - at_m) > MICRON_M:
        words = f"the end of {joint.ref}, which goes from {printed(job, joint, 0.0)} to {printed(job, joint, joint.length_m)}"
    return Place(title, Where("joint", joint.id), plan_point(joint, at_m), joint.sheet, words, at_m)
