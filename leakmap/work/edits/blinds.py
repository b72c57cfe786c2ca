"""Deeds on blind stretches: what is hidden, so that no slot can be opened there."""

from __future__ import annotations

from dataclasses import replace
from uuid import UUID

from leakmap.geometry.tolerance import MICRON_M
from leakmap.model.job import Job
from leakmap.model.joint import Blind, Joint
from leakmap.work.edits.edit import Changes, Edit, deed, edited, joint_of, refused
from leakmap.work.edits.places import placed_stretch


@deed
def add_blind(job: Job, *, joint: UUID, from_m: float, to_m: float, what: str, cleared_by: str = "") -> Edit:
    """Say that a stretch of a joint is hidden, by what, and who clears it.

    Raises:
        EditRefused: The stretch has no length, lies past the end, or is hidden already; or nobody says
            what hides it.
    """
    old = joint_of(job, joint)
    if not what.strip():
        raise refused(f"Say what hides the stretch of {old.ref}.", where=old.ref)
    start, stop = placed_stretch(job, old, from_m, to_m)
    new = Blind(from_m=start, to_m=stop, what=what.strip(), cleared_by=cleared_by.strip())
    for other in old.blind:
        if _overlap(old, new, other):
            raise refused(f"A part of this stretch of {old.ref} is hidden already: {other.what}.", where=old.ref)
    blind = tuple(sorted((*old.blind, new), key=lambda item: item.from_m))
    return edited(job, Changes(joints={joint: replace(old, blind=blind)}), words=f"hide a stretch of {old.ref}")


@deed
def remove_blind(job: Job, *, joint: UUID, blind: Blind) -> Edit:
    """Say that a stretch of a joint is no longer hidden.

    Raises:
        EditRefused: The joint has no such blind stretch.
    """
    old = joint_of(job, joint)
    if blind not in old.blind:
        raise refused(f"{old.ref} has no such blind stretch.", where=old.ref)
    left = tuple(item for item in old.blind if item != blind)
    return edited(job, Changes(joints={joint: replace(old, blind=left)}), words=f"uncover a stretch of {old.ref}")


def _overlap(joint: Joint, one: Blind, two: Blind) -> bool:
    return any(min(b, d) - max(a, c) > MICRON_M for a, b in _intervals(joint, one) for c, d in _intervals(joint, two))


def _intervals(joint: Joint, blind: Blind) -> tuple[tuple[float, float], ...]:
    if blind.from_m <= blind.to_m:
        return ((blind.from_m, blind.to_m),)
    return (blind.from_m, joint.length_m), (0.0, blind.to_m)
