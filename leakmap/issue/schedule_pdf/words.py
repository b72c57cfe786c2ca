"""Sentences and short words that several parts of the paper use."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from uuid import UUID

from leakmap.base.measures import PRESSURE, Units
from leakmap.base.trade_words import in_trade_words
from leakmap.base.units import KILOPASCAL_PER_METRE_OF_WATER
from leakmap.geometry.tolerance import MICRON_M
from leakmap.issue.schedule_pdf.lettering import NO_BREAK
from leakmap.model.grid import position_words
from leakmap.model.job import Job
from leakmap.model.joint import Joint, plan_path
from leakmap.model.leak import Leak
from leakmap.model.printed import chainage_m
from leakmap.model.words import Wetness
from leakmap.repair.results import Piece, Zone

OVERRUN_WORDS = "Overrun: extension of the repair past visible water, beyond each end of a leak."


def at(job: Job, joint: UUID, raw: Decimal | float) -> str:
    """A chainage as printed: the joint's start value added; unbroken, without a unit."""
    return length(job.units, chainage_m(job, job.joints[joint], raw))


def length(units: Units, value: Decimal | float) -> str:
    """A length as tables print it, unbroken, without the sign of the metre."""
    return units.measured(value).replace(" ", NO_BREAK)


def said(units: Units, value: Decimal | float) -> str:
    """A length as sentences print it, unbroken, with its unit."""
    return units.printed(value).replace(" ", NO_BREAK)


def stretch(job: Job, joint: UUID, from_m: Decimal | float, to_m: Decimal | float) -> str:
    """A stretch as sentences give it, unbroken: J-05 1.200–2.400; a spot has one chainage."""
    start, end = at(job, joint, from_m), at(job, joint, to_m)
    ends = start if start == end else f"{start}–{end}"
    return f"{job.joints[joint].ref}{NO_BREAK}{ends}"


def from_grid(job: Job, joint: UUID, raw: Decimal | float) -> str:
    """A place on a joint as the grid says it, unbroken: C+1.20 / 4+0.35; empty where the job has no grid."""
    marked = job.joints[joint]
    path = plan_path(marked)
    place = marked.point if path is None else path.point_at(float(raw))
    words = "" if job.grid is None or place is None else position_words(job.grid, place, job.units)
    return words.replace(" ", NO_BREAK)


def zone_from_grid(job: Job, zone: Zone) -> str:
    """Where a zone's first row begins and its last one ends, by the grid; empty where the job has no grid."""
    if not zone.rows:
        return ""
    first, last = zone.rows[0], zone.rows[-1]
    start, end = from_grid(job, first.joint, first.from_m), from_grid(job, last.joint, last.to_m)
    return start if start == end else f"{start} to {end}"


def leak_words(job: Job, leak: Leak) -> str:
    """A leak as sentences give it: L-03 drip, J-05 2.100–3.400."""
    where = stretch(job, leak.joint, leak.from_m, leak.to_m)
    return f"{leak.ref}{NO_BREAK}{leak.wetness.word}{NO_BREAK}on {where}"


def leaks_of(job: Job, zone: Zone) -> list[Leak]:
    """Leaks that lie in a zone themselves, wholly or in part, in the order of its pieces.

    A leak on the other side of a cut, whose overrun alone reaches the zone, is none of them.
    """
    found = (job.leaks[leak] for piece in zone.pieces for leak in piece.leaks if _lies_on(job.leaks[leak], piece))
    return list({leak.id: leak for leak in found}.values())


def _lies_on(leak: Leak, piece: Piece) -> bool:
    if leak.joint != piece.joint:
        return False
    if leak.from_m == leak.to_m:
        return piece.from_m - MICRON_M <= leak.from_m <= piece.to_m + MICRON_M
    after_start, before_end = piece.to_m > leak.from_m + MICRON_M, piece.from_m < leak.to_m - MICRON_M
    return after_start and before_end if leak.from_m < leak.to_m else after_start or before_end


def joint_words(job: Job, joint: Joint) -> tuple[str, str, str, str]:
    """Reference, level, kind and face of a joint, as tables give them."""
    face = "vertical" if joint.vertical else in_trade_words(job.units, joint.face)
    return joint.ref, job.sheet_of(joint).name, in_trade_words(job.units, joint.kind), face


def head_words(units: Units, head_kpa: float) -> str:
    """A head of water: 43.1 kPa (4.40 m of water)."""
    metres = head_kpa / KILOPASCAL_PER_METRE_OF_WATER
    return f"{PRESSURE[units].said(head_kpa)} ({units.with_unit(metres)} of water)"


def wetness_words(wetness: Wetness) -> str:
    """A wetness with its number: 3 drip."""
    return f"{int(wetness)} {wetness.word}"


def date_words(units: Units, day: date) -> str:
    """A day, unbroken: 02 Nov 2026."""
    return units.day(day).replace(" ", NO_BREAK)
