"""What must be asked before a zone is opened, how high the water stands there, and whether it is firm."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from uuid import UUID

from leakmap.base.measures import Units
from leakmap.base.rounding import rounded
from leakmap.base.trade_words import in_trade_words
from leakmap.base.units import KILOPASCAL_PER_METRE_OF_WATER
from leakmap.geometry.tolerance import MICRON_M
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.words import Kind, Waterstop, Wetness
from leakmap.repair.levels import level_at, lowest_of
from leakmap.repair.relief import deepest_mm
from leakmap.repair.results import Piece, Relief, Row

_MM_PER_M = 1000
_TENTH = Decimal("0.1")


def holds_of(job: Job, rows: Sequence[Row], relief: Sequence[Relief]) -> tuple[str, ...]:
    """Sentences that start with "Hold, ask the engineer", joint by joint; empty when nothing is to be asked."""
    asking = {joint for joint in {row.joint for row in rows} if _may_ask(job.joints[joint])}
    deepest: dict[UUID, Decimal] = {}
    for row in rows if asking else ():
        deepest[row.joint] = max(deepest.get(row.joint, Decimal(0)), row.depth_mm)
    sentences = []
    for joint_id, slot_mm in deepest.items():
        joint, relief_mm = job.joints[joint_id], deepest_mm(relief, joint_id)
        slot = in_trade_words(job.units, "slot")
        what, depth_mm = ("relief point", relief_mm) if relief_mm > slot_mm else (slot, slot_mm)
        asked = _over_cover(job.units, joint, what, depth_mm), _tendons(joint), _waterstop(job, joint, what, depth_mm)
        sentences += [f"Hold, ask the engineer: {why}." for why in asked if why]
    return tuple(sentences)


def _may_ask(joint: Joint) -> bool:
    """Whether anything is known of a joint that a slot could be too deep for."""
    return joint.cover_m is not None or bool(joint.tendons) or joint.waterstop is Waterstop.AT_DEPTH


def _over_cover(units: Units, joint: Joint, what: str, depth_mm: Decimal) -> str:
    if joint.cover_m is None or _metres(depth_mm) <= joint.cover_m + MICRON_M:
        return ""
    deep, cover = units.depth_said(depth_mm), units.depth_said(_millimetres(joint.cover_m))
    return f"the {what} on {joint.ref} is {deep} deep, the cover to steel only {cover}"


def _tendons(joint: Joint) -> str:
    if not joint.tendons or joint.cover_m is not None:
        return ""
    return f"there are tendons at {joint.ref} and their cover is not known"


def _waterstop(job: Job, joint: Joint, what: str, depth_mm: Decimal) -> str:
    if joint.waterstop is not Waterstop.AT_DEPTH:
        return ""
    if joint.waterstop_depth_m is None:
        return f"the waterstop in {joint.ref} lies at a depth that is not known"
    if _metres(depth_mm) < joint.waterstop_depth_m - job.rules.near_waterstop_m - MICRON_M:
        return ""
    at = job.units.depth_said(_millimetres(joint.waterstop_depth_m))
    return f"the {what} on {joint.ref} is {job.units.depth_said(depth_mm)} deep, near the waterstop at {at}"


def _metres(depth_mm: Decimal) -> float:
    return float(depth_mm) / _MM_PER_M


def _millimetres(depth_m: float) -> Decimal:
    return rounded(depth_m * _MM_PER_M, _TENTH)


def head_kpa(job: Job, pieces: Iterable[Piece]) -> float | None:
    """Head of water over the lowest place of a zone, never below 0.

    None when no water level is given, or when the floor level of a sheet of the zone is not known.
    """
    if job.water is None:
        return None
    levels = [
        level_at(job, job.joints[piece.joint], lowest_of(job.joints[piece.joint], piece.from_m, piece.to_m))
        for piece in pieces
    ]
    known = [level for level in levels if level is not None]
    if not known or len(known) < len(levels):
        return None
    return max(job.water.level_m - min(known), 0.0) * KILOPASCAL_PER_METRE_OF_WATER


def why_provisional(job: Job, pieces: Iterable[Piece]) -> str:
    """One sentence that says why a zone is provisional; empty when it is firm."""
    seen = list(pieces)
    reasons = []
    leaks = (leak for piece in seen for leak in piece.leaks)
    if any(piece.leaks for piece in seen) and all(job.leaks[leak].wetness is Wetness.SUSPECT for leak in leaks):
        reasons.append("it holds only suspects")
    moving = [joint for joint in dict.fromkeys(piece.joint for piece in seen) if _may_move(job.joints[joint])]
    reasons += [
        f"{job.joints[joint].ref} is a {_kind_words(job.joints[joint])} not confirmed dormant" for joint in moving
    ]
    return f"Provisional: {'; '.join(reasons)}." if reasons else ""


def _may_move(joint: Joint) -> bool:
    return joint.kind in (Kind.CONTRACTION, Kind.CRACK) and not joint.dormant


def _kind_words(joint: Joint) -> str:
    return "crack" if joint.kind is Kind.CRACK else f"{joint.kind} joint"
