"""What became of issued zones: which joined another, fell apart, or is gone; history that every later paper can print."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TypeAlias

from leakmap.model.job import Job
from leakmap.model.revision import Fate, ZoneFate
from leakmap.model.words import Series, reference
from leakmap.repair.references import cover_of, issued_of
from leakmap.repair.results import Repairs

Shares: TypeAlias = Mapping[int, Mapping[int, float]]
"""Of each old number, how much of its zone each new number has."""


def fates_of(job: Job, repairs: Repairs) -> tuple[ZoneFate, ...]:
    """What became of the zones of a job's last issue, lowest number first; zones that merely grew or shrank have no fate.

    Args:
        job: The job, with the stretches of its last issue as deeds carried them.
        repairs: Its work-out.
    """
    issued = issued_of(job)
    last = job.last_revision
    shares: dict[int, dict[int, float]] = {number: {} for number in (*issued.covers, *(last.zones if last else ()))}
    for zone in repairs.zones:
        for less, number in issued.shared_with(cover_of(zone)):
            shares[number][zone.number] = -less
    return tuple(fates_from(shares, frozenset(zone.number for zone in repairs.zones)))


def fates_from(shares: Shares, now: frozenset[int]) -> Iterator[ZoneFate]:
    """What became of old zones.

    Args:
        shares: Of each old number, how much of its zone each new number has.
        now: Numbers that there are now.
    """
    for number, heirs in sorted(shares.items()):
        if number not in now:
            most = sorted(heirs, key=lambda each: (-heirs[each], each))
            yield ZoneFate(Fate.JOINED if most else Fate.GONE, number, tuple(most))
        elif fresh := sorted(each for each in heirs if each not in shares):
            yield ZoneFate(Fate.PARTED, number, (number, *fresh))


def fate_words(fate: ZoneFate, revision: str = "") -> str:
    """What became of a zone, as one sentence without its stop.

    Args:
        fate: What became of it.
        revision: The revision that says so; empty while none does.

    >>> fate_words(ZoneFate(Fate.JOINED, 9, (7,)), "C02"), fate_words(ZoneFate(Fate.PARTED, 4, (4, 11)))
    ('Z-09 joined Z-07 in C02', 'Z-04 parted into Z-04 and Z-11')
    >>> fate_words(ZoneFate(Fate.GONE, 5), "C02")
    'Z-05 gone since C02'
    """
    name = reference(Series.ZONE, fate.zone)
    if fate.fate is Fate.GONE:
        return f"{name} gone since {revision}" if revision else f"{name} is gone"
    *first, last = (reference(Series.ZONE, number) for number in fate.heirs)
    heirs = f"{', '.join(first)} and {last}" if first else last
    verb = "joined" if fate.fate is Fate.JOINED else "parted into"
    return f"{name} {verb} {heirs}{f' in {revision}' if revision else ''}"


def history_of(job: Job, number: int) -> Iterator[str]:
    """What the revisions of a job say of a zone: its own fate, and those of zones that became a part of it."""
    for revision in job.revisions.values():
        for fate in revision.fates:
            if number in (fate.zone, *fate.heirs):
                yield fate_words(fate, revision.name)
