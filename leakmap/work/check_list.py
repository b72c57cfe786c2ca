"""What needs a look before the next issue, and what is in order: a list for people, worked out afresh each time.

Three things limit an issue: without a leak there is nothing to issue, a scale that is not checked keeps it from
work, and a provisional zone may be issued for price only. Everything else warns.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final, NamedTuple
from uuid import UUID

from leakmap.base.trade_words import in_trade_words
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.rules import Suspects
from leakmap.model.sheet import Sheet
from leakmap.model.words import Face, Kind, Method, Purpose, Wetness
from leakmap.repair.price import zones_not_priced
from leakmap.repair.results import Repairs, Zone
from leakmap.work.issuing import next_number, unchecked_sheets
from leakmap.work.left_behind import joints_left_behind
from leakmap.work.whereabouts import at_words

NOT_FOR_WORK: Final = "nothing can be issued for work"
PRICE_ONLY: Final = "for price only"
NOTHING_TO_ISSUE: Final = "there is nothing to issue"


class Where(NamedTuple):
    """Where to look.

    Attributes:
        sort: "sheet", "joint", "leak" or "zone".
        key: Its id; a zone's is its number.
    """

    sort: str
    key: UUID | int


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One line of the check list.

    Attributes:
        words: What is the matter, or what is in order.
        done: Whether it is in order.
        limits: How it limits an issue, in words; empty when it merely warns.
        where: Where to look; None when there is no one place.
        at: Where that lies on the grid; empty without a grid.
    """

    words: str
    done: bool = False
    limits: str = ""
    where: Where | None = None
    at: str = ""


def check_list(job: Job, repairs: Repairs) -> tuple[Check, ...]:
    """Everything to look at before an issue, what limits it first, then what is in order.

    Args:
        job: The job.
        repairs: Its work-out.
    """
    every = [
        *_nothing(job),
        *_scales(job),
        *_left_behind(job),
        *_provisional(repairs.zones),
        *_holds(repairs.zones),
        *_relief(job, repairs.zones),
        *_clearances(job),
        *_room_sides(job),
        *_suspects(job, repairs),
        *_findings(job, repairs),
        *_price(job, repairs),
        *_references(job),
        *_title_block(job),
    ]
    located = (
        check if check.where is None else replace(check, at=at_words(job, repairs, check.where)) for check in every
    )
    return tuple(sorted(located, key=lambda check: (check.done, not check.limits)))


def open_checks(checks: Iterable[Check]) -> tuple[Check, ...]:
    """The checks that need a look."""
    return tuple(check for check in checks if not check.done)


def next_name(job: Job, purpose: Purpose) -> str:
    """Name of the next revision for a purpose.

    >>> next_name(Job(id=UUID(int=1), name="Heron Wharf"), Purpose.WORK)
    'C01'
    """
    return f"{purpose.letter}{next_number(job, purpose):02d}"


def place_of(job: Job, repairs: Repairs, ref: str) -> Where | None:
    """Where a reference or a level's name lies; None when there is no such thing."""
    named: tuple[tuple[str, Iterable[Sheet | Joint | Leak]], ...] = (
        ("joint", job.joints.values()),
        ("leak", job.leaks.values()),
        ("sheet", job.sheets.values()),
    )
    for sort, things in named:
        for thing in things:
            if (thing.name if isinstance(thing, Sheet) else thing.ref) == ref:
                return Where(sort, thing.id)
    return next((Where("zone", zone.number) for zone in repairs.zones if zone.ref == ref), None)


def levels_of(job: Job, repairs: Repairs, where: Where) -> tuple[UUID, ...]:
    """The levels that a thing lies on; none for a revision, or for what is no longer there."""
    if where.sort == "zone":
        return next((zone.sheets for zone in repairs.zones if zone.number == where.key), ())
    if not isinstance(where.key, UUID):
        return ()
    if where.sort == "sheet":
        return (where.key,) if where.key in job.sheets else ()
    leak = job.leaks.get(where.key) if where.sort == "leak" else None
    joint = job.joints.get(leak.joint if leak is not None else where.key)
    return (joint.sheet,) if joint is not None else ()


def _nothing(job: Job) -> Iterator[Check]:
    if not job.leaks:
        yield Check(words="No leak is marked", limits=NOTHING_TO_ISSUE)


def _scales(job: Job) -> Iterator[Check]:
    used = {joint.sheet for joint in job.joints.values()}
    drawn = [sheet for sheet in job.sheets.values() if sheet.id in used and sheet.source is not None]
    unchecked = unchecked_sheets(job)
    for sheet in unchecked:
        words = f"The scale of {sheet.name} has not been checked"
        yield Check(words=words, limits=NOT_FOR_WORK, where=Where("sheet", sheet.id))
    if drawn and not unchecked:
        yield Check(words="Scale checked on two sides", done=True)


def _left_behind(job: Job) -> Iterator[Check]:
    for joint in joints_left_behind(job):
        words = f"{joint.ref} lay on a line that the new drawing of {job.sheets[joint.sheet].name} does not have"
        yield Check(words=words, where=Where("joint", joint.id))


def _provisional(zones: Iterable[Zone]) -> Iterator[Check]:
    for zone in zones:
        if zone.provisional:
            why = zone.why_provisional.removeprefix("Provisional: ").removesuffix(".")
            yield Check(words=f"{zone.ref} is provisional: {why}", limits=PRICE_ONLY, where=Where("zone", zone.number))


def _holds(zones: Iterable[Zone]) -> Iterator[Check]:
    for zone in zones:
        for hold in zone.holds:
            words = f"{zone.ref}: {hold[:1].lower()}{hold[1:].removesuffix('.')}"
            yield Check(words=words, where=Where("zone", zone.number))


def _relief(job: Job, zones: Iterable[Zone]) -> Iterator[Check]:
    """Zones that run or jet and let no water out, and relief points that a person dropped elsewhere."""
    told: set[UUID] = set()
    for zone in zones:
        held = {leak for piece in zone.pieces for leak in piece.leaks}
        flowing = [
            leak
            for leak in map(job.leaks.__getitem__, held)
            if leak.wetness >= Wetness.RUN and leak.method in (None, Method.DEEP_PLUG_RELIEF)
        ]
        if flowing and not zone.relief:
            wettest = max(flowing, key=lambda leak: leak.wetness)
            verb = "jets" if wettest.wetness is Wetness.JET else "runs"
            yield Check(words=f"{zone.ref} {verb} and has no relief point", where=Where("zone", zone.number))
            told |= {piece.joint for piece in zone.pieces}
    for relief in job.reliefs.values():
        if relief.dropped and relief.joint in job.joints and relief.joint not in told:
            ref = job.joints[relief.joint].ref
            yield Check(words=f"A relief point on {ref} was dropped by hand", where=Where("joint", relief.joint))


def _clearances(job: Job) -> Iterator[Check]:
    moving = [joint for joint in job.joints.values() if joint.kind is Kind.MOVEMENT and joint.repair_anyway is None]
    unknown = [joint for joint in moving if joint.clearance_m is None]
    for joint in unknown:
        words = f"No clearance is given for movement joint {joint.ref}"
        yield Check(words=words, where=Where("joint", joint.id))
    if moving and not unknown:
        yield Check(words="Every movement joint has its clearance", done=True)


def _room_sides(job: Job) -> Iterator[Check]:
    """Corner joints whose coat cannot be laid to one side."""
    corners = [joint for joint in job.joints.values() if joint.face is Face.CORNER]
    unknown = [joint for joint in corners if joint.room_side is None]
    for joint in unknown:
        yield Check(words=f"The room side of {joint.ref} is not known", where=Where("joint", joint.id))
    if corners and not unknown:
        yield Check(words="Every corner joint has its room side", done=True)


def _suspects(job: Job, repairs: Repairs) -> Iterator[Check]:
    suspects = [leak for leak in job.leaks.values() if leak.wetness is Wetness.SUSPECT]
    if job.rules.suspects is Suspects.WATCH:
        suspects = [leak for leak in suspects if leak.id in repairs.watched]
    if suspects:
        yield Check(words=suspect_words(len(suspects), job.rules.suspects), where=Where("leak", suspects[0].id))


def suspect_words(count: int, rule: Suspects) -> str:
    """What is done with suspect stretches, as a sentence without its stop.

    >>> suspect_words(2, Suspects.WATCH), suspect_words(1, Suspects.REPAIR)
    ('2 suspect stretches are watched, not repaired', '1 suspect stretch is repaired although dry today')
    """
    stretches = "1 suspect stretch is" if count == 1 else f"{count} suspect stretches are"
    done = "watched, not repaired" if rule is Suspects.WATCH else "repaired although dry today"
    return f"{stretches} {done}"


def _findings(job: Job, repairs: Repairs) -> Iterator[Check]:
    """Findings of the work-out; a missing clearance is told once, by its movement joint."""
    for finding in repairs.findings:
        if finding.code != "no-clearance":
            yield Check(words=finding.text.removesuffix("."), where=place_of(job, repairs, finding.where))


def _price(job: Job, repairs: Repairs) -> Iterator[Check]:
    """Zones that no rate is for, where the job has rates; an issue for price goes out without them."""
    if not job.rates.known or not repairs.zones:
        return
    without = tuple(zones_not_priced(job, repairs))
    for words, first in without:
        said = in_trade_words(job.units, words.removesuffix("."))
        yield Check(words=said, where=Where("zone", first.number))
    if not without:
        yield Check(words="Every zone is priced", done=True)


def _references(job: Job) -> Iterator[Check]:
    refs = Counter([joint.ref for joint in job.joints.values()] + [leak.ref for leak in job.leaks.values()])
    repeated = [ref for ref, count in refs.items() if count > 1]
    for ref in repeated:
        yield Check(words=f"Two things are called {ref}")
    if refs and not repeated:
        yield Check(words="All references are unique", done=True)


def _title_block(job: Job) -> Iterator[Check]:
    """Who is to stand in the title blocks of plans; an issue goes out without, as many offices sign by hand."""
    names = {"legal owner": job.legal_owner, "approver": job.approver}
    missing = [what for what, name in names.items() if not name]
    if missing:
        yield Check(words=f"Title blocks print a dash: no {' and no '.join(missing)} is named")
    else:
        yield Check(words="Title blocks name legal owner and approver", done=True)
