"""Deeds on leaks: add, remove, move their ends, and what is seen of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import date
from enum import StrEnum
from typing import Any, Final
from uuid import UUID, uuid4

from leakmap.base.counted import many
from leakmap.geometry.tolerance import MICRON_M
from leakmap.model.faults import in_stretch
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak, Photo
from leakmap.model.printed import printed
from leakmap.model.words import Method, Series, Wetness
from leakmap.work.edits.edit import Changes, Edit, deed, edited, joint_of, leak_of, refused
from leakmap.work.edits.numbering import taken_ref
from leakmap.work.edits.places import placed, placed_stretch

_DECIMALS: Final = 9
"""Decimals of metres that a moved chainage keeps, so that steps of a centimetre add up."""


class LeakEnd(StrEnum):
    """An end of a leak, by the field that holds its chainage."""

    FROM = "from"
    TO = "to"


@deed
def add_leak(
    job: Job,
    *,
    joint: UUID,
    from_m: float,
    to_m: float,
    wetness: Wetness,
    seen: date | None = None,
    worst_m: float | None = None,
    flow_l_min: float | None = None,
    overrun_from_m: float | None = None,
    overrun_to_m: float | None = None,
    method: Method | None = None,
    note: str = "",
    photos: Iterable[Photo] = (),
    ref: str | None = None,
    new_id: Callable[[], UUID] = uuid4,
) -> Edit:
    """Mark a leak; equal chainages make a spot, and on a closed joint ``from_m > to_m`` passes the start.

    Args:
        job: The job.
        joint: The joint it lies on.
        from_m: Chainage where it starts, from the joint's first point.
        to_m: Chainage where it stops; up to 1 mm past the end is the end.
        wetness: How wet.
        seen: Day it was seen.
        worst_m: Chainage of highest flow.
        flow_l_min: Flow, litres a minute.
        overrun_from_m: Overrun before its start by hand; None: by the rule.
        overrun_to_m: Overrun after its end by hand; None: by the rule.
        method: Method by hand; None: by the rule.
        note: Free words.
        photos: Pictures of it, whose files the job keeps.
        ref: Its reference; None: the next L number.
        new_id: Gives its id.

    Raises:
        EditRefused: It lies on nothing, past the end, or runs backwards; or a value is not usable.
    """
    on = joint_of(job, joint)
    start, stop = placed_stretch(job, on, from_m, to_m)
    name, numbers = taken_ref(job.numbers, Series.LEAK, ref, job.leaks, job.revisions.values())
    leak = Leak(
        id=new_id(),
        ref=name,
        joint=joint,
        from_m=start,
        to_m=stop,
        wetness=_wetness(wetness),
        seen=seen,
        worst_m=None if worst_m is None else placed(job, on, worst_m),
        flow_l_min=flow_l_min,
        overrun_from_m=overrun_from_m,
        overrun_to_m=overrun_to_m,
        method=method,
        note=note,
        photos=tuple(photos),
    )
    return edited(job, Changes(leaks={leak.id: leak}), words=f"add {name}", numbers=numbers, made=(leak.id,))


@deed
def add_leak_all_round(
    job: Job,
    *,
    joint: UUID,
    wetness: Wetness,
    seen: date | None = None,
    ref: str | None = None,
    new_id: Callable[[], UUID] = uuid4,
) -> Edit:
    """Mark a closed joint as wet all round.

    Raises:
        EditRefused: The joint is open.
    """
    on = joint_of(job, joint)
    if not on.closed:
        raise refused(f"{on.ref} is open; only a closed joint is wet all round.", where=on.ref)
    return add_leak(job, joint=joint, from_m=0.0, to_m=on.length_m, wetness=wetness, seen=seen, ref=ref, new_id=new_id)


@deed
def remove_leak(job: Job, *, leak: UUID) -> Edit:
    """Remove a leak; its number is not used again."""
    return edited(job, Changes(leaks={leak: None}), words=f"remove {leak_of(job, leak).ref}")


@deed
def move_leak_ends(job: Job, *, leak: UUID, from_m: float | None = None, to_m: float | None = None) -> Edit:
    """Move one end of a leak, or both; a worst point that is left outside is forgotten, and said.

    Raises:
        EditRefused: An end would lie past the joint's end, or the leak would run backwards.
    """
    old = leak_of(job, leak)
    joint = joint_of(job, old.joint)
    start, stop = placed_stretch(
        job, joint, old.from_m if from_m is None else from_m, old.to_m if to_m is None else to_m
    )
    worst = old.worst_m
    outside = worst is not None and not in_stretch(joint, start, stop, worst)
    said = [f"The worst point of {old.ref} lay outside its new ends and is forgotten."] if outside else []
    what = "ends" if from_m is not None and to_m is not None else "end"
    return _with(
        job, leak, f"move {what} of {old.ref}", said, from_m=start, to_m=stop, worst_m=None if outside else worst
    )


@deed
def shift_leak(job: Job, *, leak: UUID, by_m: float) -> Edit:
    """Move a whole leak along its joint, with its worst point; it stops at the end of an open joint.

    Args:
        job: The job.
        leak: The leak.
        by_m: How far towards larger chainages; below zero the other way.

    Raises:
        EditRefused: It lies at that end already, or runs all round its joint.
    """
    old = leak_of(job, leak)
    joint = joint_of(job, old.joint)
    if is_all_round(job, leak):
        raise refused(f"{old.ref} runs all round {joint.ref}, so it cannot be moved along it.", where=old.ref)
    if not joint.closed:
        by_m = min(max(by_m, -old.from_m), joint.length_m - old.to_m)
        if abs(by_m) <= MICRON_M:
            raise refused(f"{old.ref} lies at the end of {joint.ref} already.", where=old.ref)
    from_m, to_m = placed_stretch(job, joint, *(_shifted(joint, at_m, by_m) for at_m in (old.from_m, old.to_m)))
    worst = None if old.worst_m is None else placed(job, joint, _shifted(joint, old.worst_m, by_m))
    return _with(job, leak, f"move {old.ref}", (), from_m=from_m, to_m=to_m, worst_m=worst)


@deed
def set_wetness(job: Job, *, leak: UUID, wetness: Wetness) -> Edit:
    """Say how wet a leak is."""
    return _set(job, leak, "wetness", wetness=_wetness(wetness))


@deed
def set_worst_point(job: Job, *, leak: UUID, worst_m: float | None) -> Edit:
    """Say where the flow is highest; None: nobody knows.

    Raises:
        EditRefused: It lies outside the leak.
    """
    old = leak_of(job, leak)
    joint = joint_of(job, old.joint)
    if worst_m is not None:
        worst_m = placed(job, joint, worst_m)
        if not in_stretch(joint, old.from_m, old.to_m, worst_m):
            raise refused(
                f"{printed(job, joint, worst_m)} lies outside {old.ref}, which runs from {printed(job, joint, old.from_m)} to"
                f" {printed(job, joint, old.to_m)}.",
                where=old.ref,
            )
    return _set(job, leak, "worst point", worst_m=worst_m)


@deed
def set_seen(job: Job, *, leak: UUID, seen: date | None) -> Edit:
    """Set the day on which a leak was seen."""
    return _set(job, leak, "date", seen=seen)


@deed
def set_flow(job: Job, *, leak: UUID, flow_l_min: float | None) -> Edit:
    """Set the measured flow, litres a minute; None: not measured."""
    return _set(job, leak, "flow", flow_l_min=flow_l_min)


@deed
def set_note(job: Job, *, leak: UUID, note: str) -> Edit:
    """Set the note."""
    return _set(job, leak, "note", note=note)


@deed
def describe_leak(job: Job, *, leak: UUID, seen: date | None, flow_l_min: float | None, note: str) -> Edit:
    """Set what was seen of a leak, as one step that names what differs: its date, its flow, its note.

    Raises:
        EditRefused: The flow is negative or no number.
    """
    old = leak_of(job, leak)
    facts = {"date": old.seen != seen, "flow": old.flow_l_min != flow_l_min, "note": old.note != note}
    *others, last = [fact for fact, differs in facts.items() if differs] or facts
    named = f"{', '.join(others)} and {last}" if others else last
    return _set(job, leak, named, seen=seen, flow_l_min=flow_l_min, note=note)


@deed
def add_photos(job: Job, *, leak: UUID, photos: Iterable[Photo]) -> Edit:
    """Add photos whose files the job keeps already; one that is there is not added twice."""
    old = leak_of(job, leak)
    there = {photo.sha256 for photo in old.photos}
    new = {photo.sha256: photo for photo in photos if photo.sha256 not in there}
    words = f"add {many(len(new), 'photo')} to {old.ref}"
    return _with(job, leak, words, (), photos=(*old.photos, *new.values()))


@deed
def remove_photo(job: Job, *, leak: UUID, sha256: str) -> Edit:
    """Remove a photo of a leak; its file stays, so that this can be undone.

    Raises:
        EditRefused: The leak has no such photo.
    """
    old = leak_of(job, leak)
    kept = tuple(photo for photo in old.photos if photo.sha256 != sha256)
    if len(kept) == len(old.photos):
        raise refused(f"{old.ref} has no such photo.", where=old.ref)
    return _with(job, leak, f"remove a photo of {old.ref}", (), photos=kept)


@deed
def set_overrun(job: Job, *, leak: UUID, end: LeakEnd, overrun_m: float | None) -> Edit:
    """Set the overrun at one end by hand; None gives it back to the rule.

    Raises:
        EditRefused: It is negative or no number.
    """
    return _set(job, leak, "overrun", **{f"overrun_{end}_m": overrun_m})


@deed
def give_overruns_back(job: Job, *, leak: UUID) -> Edit:
    """Give both overruns of a leak back to the rule."""
    return _set(job, leak, "overruns", overrun_from_m=None, overrun_to_m=None)


@deed
def set_method(job: Job, *, leak: UUID, method: Method | None) -> Edit:
    """Set the method of a leak by hand; None gives it back to the rule."""
    return _set(job, leak, "method", method=method)


def is_all_round(job: Job, leak: UUID) -> bool:
    """Whether a leak runs all round a closed joint."""
    mark = leak_of(job, leak)
    joint = joint_of(job, mark.joint)
    return joint.closed and mark.to_m - mark.from_m >= joint.length_m - MICRON_M


def _shifted(joint: Joint, at_m: float, by_m: float) -> float:
    """A chainage moved along a joint; round a closed one it goes on past the start."""
    at_m = round(at_m + by_m, _DECIMALS)
    return at_m % joint.length_m if joint.closed else min(max(at_m, 0.0), joint.length_m)


def _wetness(value: int) -> Wetness:
    if value not in set(Wetness):
        raise refused(f"{value} is no wetness; give 0 to 5.")
    return Wetness(value)


def _set(job: Job, leak: UUID, fact: str, **facts: Any) -> Edit:  # noqa: ANN401 - a leak's fields
    return _with(job, leak, f"set {fact} of {leak_of(job, leak).ref}", (), **facts)


def _with(job: Job, leak: UUID, words: str, said: Iterable[str], **facts: Any) -> Edit:  # noqa: ANN401 - a leak's fields
    new = replace(leak_of(job, leak), **facts)
    return edited(job, Changes(leaks={leak: new}), words=words, said=said)
