"""What every deed gives back, and the one way in which a changed job is made.

A *deed* is a plain function: it takes a job and keywords and gives an `Edit`. What cannot be done
is refused with one sentence (`EditRefused`) and the job stays as it was.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, fields, replace
from functools import wraps
from types import MappingProxyType
from typing import Any, ParamSpec, TypeVar
from uuid import UUID

from leakmap.base.errors import BadValue, EditRefused
from leakmap.model.faults import Row, faults_in
from leakmap.model.job import Job, Numbers, OtherItem
from leakmap.model.joint import Joint
from leakmap.model.leak import Cut, IssuedStretch, Leak, Parted, ReliefPoint
from leakmap.model.sheet import Sheet

NOTHING_CHANGED = "Nothing was changed."
JOB_ROW = "job"
"""The collection name that stands for the job's own fields: name, rules, numbers, water level, grid, units."""

P = ParamSpec("P")
T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """One deed done.

    Attributes:
        job: The new job.
        changed: Rows that differ from the old job: collection name and id; ``("job", id)`` for the
            job's own fields.
        words: What was done, so that "Undo " + words reads well.
        said: Sentences for the user: what the deed did besides what was asked.
        made: Ids of the items that the deed made, in order: what was asked for comes first.
    """

    job: Job
    changed: frozenset[Row]
    words: str
    said: tuple[str, ...] = ()
    made: tuple[UUID, ...] = ()


def _none() -> Any:  # noqa: ANN401 - a field stands for a value of any type
    return field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Changes:
    """Items to put in a job, by id; None takes the item out."""

    sheets: Mapping[UUID, Sheet | None] = _none()
    joints: Mapping[UUID, Joint | None] = _none()
    leaks: Mapping[UUID, Leak | None] = _none()
    cuts: Mapping[UUID, Cut | None] = _none()
    reliefs: Mapping[UUID, ReliefPoint | None] = _none()
    parted: Mapping[UUID, Parted | None] = _none()
    others: Mapping[UUID, OtherItem | None] = _none()
    issued: Mapping[UUID, IssuedStretch | None] = _none()


def deed(function: Callable[P, Edit]) -> Callable[P, Edit]:
    """Make a function a deed: a value that no job can hold refuses the edit."""

    @wraps(function)
    def done(*args: P.args, **kwargs: P.kwargs) -> Edit:
        try:
            return function(*args, **kwargs)
        except BadValue as bad:
            raise EditRefused(bad.message, hint=bad.hint or NOTHING_CHANGED, where=bad.where) from bad

    return done


def edited(
    job: Job,
    changes: Changes | None = None,
    *,
    words: str,
    said: Iterable[str] = (),
    made: Iterable[UUID] = (),
    numbers: Numbers | None = None,
    **own: Any,  # noqa: ANN401 - the job's own fields: name, rules, units, water, grid
) -> Edit:
    """The edit that puts changes into a job.

    Raises:
        EditRefused: The changed job would have a fault.
    """
    changes = changes or Changes()
    if numbers is not None:
        own["numbers"] = numbers
    put = {item.name: getattr(changes, item.name) for item in fields(changes)}
    changed = {
        (name, key) for name, items in put.items() for key, item in items.items() if getattr(job, name).get(key) != item
    }
    if any(getattr(job, name) != value for name, value in own.items()):
        changed.add((JOB_ROW, job.id))
    merged: dict[str, Any] = {name: _merged(getattr(job, name), items) for name, items in put.items() if items}
    new = replace(job, **merged, **own)
    for fault in faults_in(new, sorted(changed, key=str), before=job):
        raise EditRefused(fault.text, hint=NOTHING_CHANGED, where=fault.where)
    return Edit(job=new, changed=frozenset(changed), words=words, said=tuple(said), made=tuple(made))


def _merged(old: Mapping[UUID, T], put: Mapping[UUID, T | None]) -> Mapping[UUID, T]:
    merged: dict[UUID, T] = old.copy() if isinstance(old, MappingProxyType) else dict(old)  # a copy hashes no id anew
    for key, item in put.items():
        if item is None:
            merged.pop(key, None)
        else:
            merged[key] = item
    return MappingProxyType(merged)


def in_turn(job: Job, deeds: Iterable[Callable[[Job], Edit]]) -> Iterator[Edit]:
    """The edits of several deeds, each done on the job of the one before.

    Raises:
        EditRefused: One of them cannot be done.
    """
    for each in deeds:
        edit = each(job)
        yield edit
        job = edit.job


def together(edits: Iterable[Edit], *, words: str) -> Edit:
    """Several edits, each made on the job of the one before, as one step of undo.

    Raises:
        ValueError: There are no edits.
    """
    every = tuple(edits)
    if not every:
        raise ValueError("There are no edits to put together.")
    return Edit(
        job=every[-1].job,
        changed=frozenset().union(*(edit.changed for edit in every)),
        words=words,
        said=tuple(sentence for edit in every for sentence in edit.said),
        made=tuple(key for edit in every for key in edit.made),
    )


def sheet_of(job: Job, key: UUID) -> Sheet:
    """The sheet of an id, or the edit is refused."""
    return item_of(job.sheets, key, "sheet")


def joint_of(job: Job, key: UUID) -> Joint:
    """The joint of an id, or the edit is refused."""
    return item_of(job.joints, key, "joint")


def leak_of(job: Job, key: UUID) -> Leak:
    """The leak of an id, or the edit is refused."""
    return item_of(job.leaks, key, "leak")


def item_of(items: Mapping[UUID, T], key: UUID, what: str) -> T:
    """The item of an id in a collection, or the edit is refused."""
    found = items.get(key)
    if found is None:
        raise EditRefused(f"This {what} is not in the job any more.", hint=NOTHING_CHANGED)
    return found


def refused(sentence: str, *, where: str = "") -> EditRefused:
    """A refusal that says that nothing was changed."""
    return EditRefused(sentence, hint=NOTHING_CHANGED, where=where)
