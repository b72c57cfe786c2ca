"""Faults: what makes a job inconsistent although each of its values is sound by itself.

Edits refuse to make a job with a fault, and the check of a job file lists them. What merely
deserves a look (joints that nearly meet, short overruns) is found by the repair engine instead.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import chain
from math import isfinite
from operator import attrgetter, countOf
from typing import Any, Final
from uuid import UUID

from leakmap.base.findings import Finding
from leakmap.base.trade_words import in_trade_words
from leakmap.geometry.tolerance import MICRON_M
from leakmap.model.job import Job, OtherItem
from leakmap.model.joint import Joint
from leakmap.model.leak import Cut, IssuedStretch, Leak, Parted, ReliefPoint
from leakmap.model.printed import printed
from leakmap.model.references import highest, number_of
from leakmap.model.sheet import Sheet
from leakmap.model.words import Kind, Series

Row = tuple[str, UUID]
"""Name of a collection of the job, and the id of an item in it."""


def faults(job: Job) -> tuple[Finding, ...]:
    """Every fault of a job, in the order of its collections; empty for a consistent job."""
    every = ((name, key) for name in _FAULTS_OF for key in getattr(job, name))
    return (*_repeats(job), *chain.from_iterable(_row_faults(job, row) for row in every))


def faults_in(job: Job, rows: Iterable[Row], before: Job | None = None) -> tuple[Finding, ...]:
    """Faults of some items only, equal references included; items that are gone have none.

    Args:
        job: The job.
        rows: The items.
        before: An earlier job; what is called there as here is not looked at for equal references.
    """
    found: list[Finding] = []
    for name, key in rows:
        if name in _FAULTS_OF and key in getattr(job, name):
            found += _row_faults(job, (name, key))
            if name in _LABELLED and not (before and _called_alike(before, job, name, key)):
                found += _repeated(job, name, key)
    return tuple(found)


def _called_alike(before: Job, job: Job, name: str, key: UUID) -> bool:
    old = getattr(before, name).get(key)
    return old is not None and _label(old) == _label(getattr(job, name)[key])


def _row_faults(job: Job, row: Row) -> Iterator[Finding]:
    name, key = row
    item = getattr(job, name)[key]
    if item.id != key:
        yield Finding("wrong-key", getattr(item, "ref", ""), f"An item of {name} is kept under another item's id.")
    yield from _FAULTS_OF[name](job, item)


def _label(item: Any) -> str:  # noqa: ANN401 - a sheet, a joint or a leak
    label: str = item.name if isinstance(item, Sheet) else item.ref
    return label


def _same(name: str, label: str) -> Finding:
    return Finding("equal-references", label, f"Two {name} are called {label}; give one of them another name.")


def _repeats(job: Job) -> Iterator[Finding]:
    for name in _LABELLED:
        seen: set[str] = set()
        for label in map(_label, getattr(job, name).values()):
            if label in seen:
                yield _same(name, label)
            seen.add(label)


def _repeated(job: Job, name: str, key: UUID) -> Iterator[Finding]:
    items: Mapping[UUID, Any] = getattr(job, name)
    label = _label(items[key])
    if countOf(map(attrgetter("name" if name == "sheets" else "ref"), items.values()), label) > 1:
        yield _same(name, label)


def _counted(job: Job, ref: str) -> Iterator[Finding]:
    found = number_of(ref)
    if found is not None and found[1] > highest(job.numbers, found[0]):
        yield Finding(
            "number-behind", ref, f"{ref} is in use but the job counts only to {highest(job.numbers, found[0])}."
        )


def _sheet_faults(_job: Job, _sheet: Sheet) -> Iterator[Finding]:
    return iter(())


def _joint_faults(job: Job, joint: Joint) -> Iterator[Finding]:
    ref = joint.ref
    yield from _counted(job, ref)
    if joint.sheet not in job.sheets:
        yield Finding("unknown-sheet", ref, f"{ref} is drawn on a sheet that is not in the job.")
    if joint.head_sheet is not None:
        yield from _head_faults(job, joint, joint.head_sheet)
    if joint.diameter_m is not None and joint.kind is not Kind.PIPE_COLLAR:
        yield Finding("collar-kind", ref, f"{ref} has a pipe's diameter, so its kind must be pipe collar.")
    if joint.kind is Kind.PIPE_COLLAR and not joint.closed:
        yield Finding("open-collar", ref, f"{ref} is a pipe collar but does not return to its start.")
    for blind in joint.blind:
        yield from _stretch_faults(job, f"The blind stretch ({blind.what}) of {ref}", joint, blind.from_m, blind.to_m)


def _head_faults(job: Job, joint: Joint, head: UUID) -> Iterator[Finding]:
    ref = joint.ref
    if head not in job.sheets:
        yield Finding("unknown-head-sheet", ref, f"The head of {ref} lies on a sheet that is not in the job.")
    if head == joint.sheet:
        yield Finding("own-head-sheet", ref, f"The head of {ref} cannot lie on the sheet of its foot.")
    if not joint.vertical:
        yield Finding("head-sheet", ref, f"{ref} is no vertical joint, so it has no head sheet.")


def _stretch_faults(job: Job, what: str, joint: Joint, from_m: float, to_m: float) -> Iterator[Finding]:
    if not (isfinite(from_m) and isfinite(to_m) and min(from_m, to_m) >= 0):
        yield Finding(
            "bad-chainage",
            joint.ref,
            f"{what} has a {in_trade_words(job.units, 'chainage')} that is negative or no number.",
        )
        return
    if max(from_m, to_m) > joint.length_m + MICRON_M:
        yield Finding(
            "past-end",
            joint.ref,
            f"{what} reaches {printed(job, joint, max(from_m, to_m))}, past the end of {joint.ref} at"
            f" {printed(job, joint, joint.length_m)}.",
        )
    if from_m > to_m and not joint.closed:
        yield Finding(
            "runs-backwards",
            joint.ref,
            f"{what} runs from {printed(job, joint, from_m)} back to {printed(job, joint, to_m)}; on an open joint the smaller"
            f" {in_trade_words(job.units, 'chainage')} comes first.",
        )


def _place_faults(job: Job, what: str, key: UUID, at_m: float) -> Iterator[Finding]:
    joint = job.joints.get(key)
    if joint is None:
        yield _on_nothing(what, "")
    elif at_m > joint.length_m + MICRON_M:
        yield Finding(
            "past-end",
            joint.ref,
            f"{what} at {printed(job, joint, at_m)} lies past the end of {joint.ref} at {printed(job, joint, joint.length_m)}.",
        )


def _on_nothing(what: str, where: str) -> Finding:
    return Finding("unknown-joint", where, f"{what} lies on a joint that is not in the job.")


def _leak_faults(job: Job, leak: Leak) -> Iterator[Finding]:
    yield from _counted(job, leak.ref)
    joint = job.joints.get(leak.joint)
    if joint is None:
        yield _on_nothing(leak.ref, leak.ref)
        return
    yield from _stretch_faults(job, leak.ref, joint, leak.from_m, leak.to_m)
    if leak.worst_m is not None and not in_stretch(joint, leak.from_m, leak.to_m, leak.worst_m):
        yield Finding("worst-outside", leak.ref, f"The worst point of {leak.ref} lies outside the leak.")


def in_stretch(joint: Joint, from_m: float, to_m: float, at_m: float) -> bool:
    """Whether a place lies in a stretch of a joint, ends included, within 1 µm; 0 and the end of a closed joint are one."""
    places = (at_m, at_m - joint.length_m, at_m + joint.length_m) if joint.closed else (at_m,)
    if from_m <= to_m:
        return any(from_m - MICRON_M <= place <= to_m + MICRON_M for place in places)
    return at_m >= from_m - MICRON_M or at_m <= to_m + MICRON_M


def _cut_faults(job: Job, cut: Cut) -> Iterator[Finding]:
    return _place_faults(job, "A cut", cut.joint, cut.at_m)


def _relief_faults(job: Job, relief: ReliefPoint) -> Iterator[Finding]:
    return _place_faults(job, "A relief point", relief.joint, relief.at_m)


def _parted_faults(job: Job, parted: Parted) -> Iterator[Finding]:
    yield from _place_faults(job, "A parted junction", parted.joint, parted.at_m)
    yield from _place_faults(job, "A parted junction", parted.other, parted.other_at_m)


def _other_faults(job: Job, other: OtherItem) -> Iterator[Finding]:
    if other.sheet not in job.sheets:
        yield Finding("unknown-sheet", other.what, f"{other.what} is listed on a sheet that is not in the job.")


def _issued_faults(job: Job, issued: IssuedStretch) -> Iterator[Finding]:
    what = f"An issued stretch of {Series.ZONE.value}-{issued.zone:02d}"
    joint = job.joints.get(issued.joint)
    if joint is None:
        yield _on_nothing(what, "")
        return
    yield from _stretch_faults(job, what, joint, issued.from_m, issued.to_m)
    if issued.zone > job.numbers.zone:
        yield Finding("number-behind", what, f"{what} is in use but the job counts zones only to {job.numbers.zone}.")


_FAULTS_OF: Final[dict[str, Callable[[Job, Any], Iterator[Finding]]]] = {
    "sheets": _sheet_faults,
    "joints": _joint_faults,
    "leaks": _leak_faults,
    "cuts": _cut_faults,
    "reliefs": _relief_faults,
    "parted": _parted_faults,
    "others": _other_faults,
    "issued": _issued_faults,
}
_LABELLED: Final = ("sheets", "joints", "leaks")
