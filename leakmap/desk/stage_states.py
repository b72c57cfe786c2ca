"""How far each stage of the job is: one sentence, and the true share that is done.

The sentence always says what the share counts, and both count the whole job:

* Drawing: levels whose scale is checked.
* Joints: levels that have a joint.
* Leaks: levels with joints that have a leak; a level where none was seen is not told from one where nobody looked.
* Repair: zones that are firm, not provisional.
* Issue: zones that are as the last revision issued them.
* As-built: zones recorded; none can be yet.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import partial
from operator import attrgetter
from typing import TypeAlias
from uuid import UUID

from leakmap.base.differing import counting
from leakmap.base.micrometres import to_um
from leakmap.model.job import Job
from leakmap.model.revision import Revision
from leakmap.model.sheet import scale_is_checked
from leakmap.repair.results import Repairs, Zone
from leakmap.work.issuing import next_number
from leakmap.work.kept import Kept

_Lengths: TypeAlias = Mapping[int, Mapping[UUID, int]]
"""Length of zones on joints, µm, by the number of the zone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StageState:
    """How far a stage is.

    Attributes:
        share: Done part, 0 to 1.
    """

    sentence: str
    share: float


NO_JOB = (StageState(sentence="start here", share=0.0), *(StageState(sentence="", share=0.0),) * 5)
"""The states where no job is open."""


def stage_states(job: Job, repairs: Repairs, kept: Kept | None = None) -> tuple[StageState, ...]:
    """Sentence and share of the six stages, in their order.

    Args:
        job: The job.
        repairs: Its work-out.
        kept: What was counted before.
    """
    kept = kept or Kept()
    return (
        _drawing(job),
        _joints(job),
        _leaks(job, kept),
        _repair(repairs),
        _issue(job, repairs, kept),
        _as_built(job, repairs),
    )


def _drawing(job: Job) -> StageState:
    levels = len(job.sheets)
    unchecked = sum(not scale_is_checked(sheet) for sheet in job.sheets.values())
    if not levels:
        return StageState(sentence="start here", share=0.0)
    checked = "checked" if levels == 1 else "all checked"
    rest = f"{unchecked} to check" if unchecked else checked
    return StageState(sentence=f"{_many(levels, 'level')}, {rest}", share=1 - unchecked / levels)


def _joints(job: Job) -> StageState:
    upright = sum(joint.vertical for joint in job.joints.values())
    if not job.joints:
        return StageState(sentence="none yet", share=0.0)
    flat = len(job.joints) - upright
    with_some = {joint.sheet for joint in job.joints.values()}
    words = ", ".join(
        part for part in (_many(flat, "joint") if flat else "", f"{upright} vertical" if upright else "") if part
    )
    return _by_level(job, words, job.sheets, with_some)


def _leaks(job: Job, kept: Kept) -> StageState:
    if not job.leaks:
        return StageState(sentence="none yet", share=0.0)
    worst = max(leak.wetness for leak in job.leaks.values())
    leaks_of: dict[UUID, int] = kept.of("leaks of joints", (), lambda: counting(attrgetter("joint"))).of(job.leaks)
    with_some = {job.joints[joint].sheet for joint in leaks_of}
    jointed = {joint.sheet for joint in job.joints.values()}
    return _by_level(job, f"{_many(len(job.leaks), 'leak')}, worst: {worst.word}", jointed, with_some)


def _by_level(job: Job, words: str, levels: Iterable[UUID], with_some: set[UUID]) -> StageState:
    """State of a stage that counts levels; levels without are named, or counted where they are many."""
    every = [key for key in job.sheets if key in set(levels)]
    without = [job.sheets[key].name for key in every if key not in with_some]
    if len(without) > 1:
        words += f", {len(without)} levels without"
    elif without:
        words += f", none on {without[0]}"
    return StageState(sentence=words, share=1 - len(without) / len(every) if every else 0.0)


def _repair(repairs: Repairs) -> StageState:
    zones = len(repairs.zones)
    if not zones:
        return StageState(sentence="nothing yet", share=0.0)
    provisional = sum(zone.provisional for zone in repairs.zones)
    rest = f"{provisional} provisional" if provisional else "all firm" if zones > 1 else "firm"
    return StageState(sentence=f"{_many(zones, 'zone')}, {rest}", share=1 - provisional / zones)


def _issue(job: Job, repairs: Repairs, kept: Kept) -> StageState:
    last = job.last_revision
    if last is None:
        return StageState(sentence="nothing issued", share=0.0)
    share = _as_issued(job, repairs.zones, kept)
    if share == 1.0:
        return StageState(sentence=f"{last.name} issued", share=1.0)
    return StageState(sentence=f"{last.name} issued, {_next_name(job, last)} not", share=share)


def _next_name(job: Job, last: Revision) -> str:
    return f"{last.purpose.letter}{next_number(job, last.purpose):02d}"


def _as_issued(job: Job, zones: tuple[Zone, ...], kept: Kept) -> float:
    """Share of zones that lie where they were issued; a zone that is gone counts as one that is not."""
    issued: _Lengths = kept.of("issued", (job.issued,), partial(_issued_lengths, job))
    same = kept.of("as issued", (issued,), lambda: counting(partial(_lies_as, issued))).of(zones).get(True, 0)
    every = issued.keys() | {zone.number for zone in zones}
    return same / len(every) if every else 1.0


def _issued_lengths(job: Job) -> _Lengths:
    """Length of each zone on each joint as it was issued, µm."""
    issued: dict[int, dict[UUID, int]] = {}
    for stretch in job.issued.values():
        of = issued.setdefault(stretch.zone, {})
        of[stretch.joint] = of.get(stretch.joint, 0) + to_um(stretch.to_m) - to_um(stretch.from_m)
    return issued


def _lies_as(issued: _Lengths, zone: Zone) -> bool:
    """Whether a zone lies where it was issued."""
    return zone.number in issued and _alike(issued[zone.number], _lengths(zone))


def _lengths(zone: Zone) -> dict[UUID, int]:
    """Length on each joint, µm."""
    found: dict[UUID, int] = {}
    for piece in zone.pieces:
        found[piece.joint] = found.get(piece.joint, 0) + to_um(piece.to_m) - to_um(piece.from_m)
    return found


def _alike(one: Mapping[UUID, int], two: Mapping[UUID, int]) -> bool:
    """Whether two zones have the same length on every joint, to a millimetre."""
    return all(abs(one.get(joint, 0) - two.get(joint, 0)) < 1000 for joint in one.keys() | two.keys())


def _as_built(job: Job, repairs: Repairs) -> StageState:
    if not job.revisions:
        return StageState(sentence="nothing to record yet", share=0.0)
    return StageState(sentence=f"0 of {_many(len(repairs.zones), 'zone')} recorded", share=0.0)


def _many(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"
