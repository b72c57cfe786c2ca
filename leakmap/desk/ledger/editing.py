"""Editing a cell in place: what was typed becomes the deed that it means, or one sentence says why not."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final
from uuid import UUID

from leakmap.base.errors import EditRefused
from leakmap.base.length_text import metres_of
from leakmap.model.job import Job
from leakmap.model.printed import raw_m
from leakmap.model.words import Wetness
from leakmap.work.check_list import Where
from leakmap.work.edits.edit import Edit, refused
from leakmap.work.edits.joints import rename_joint
from leakmap.work.edits.leaks import move_leak_ends, set_seen, set_wetness
from leakmap.work.edits.sheets import rename_sheet
from leakmap.work.typed import day_of


def _level(job: Job, key: UUID, words: str) -> Edit:
    return rename_sheet(job, sheet=key, name=words)


def _joint(job: Job, key: UUID, words: str) -> Edit:
    return rename_joint(job, joint=key, ref=words)


def _from(job: Job, key: UUID, words: str) -> Edit:
    return move_leak_ends(job, leak=key, from_m=_raw_m(job, key, words))


def _to(job: Job, key: UUID, words: str) -> Edit:
    return move_leak_ends(job, leak=key, to_m=_raw_m(job, key, words))


def _wetness(job: Job, key: UUID, words: str) -> Edit:
    return set_wetness(job, leak=key, wetness=wetness_of(words))


def _seen(job: Job, key: UUID, words: str) -> Edit:
    return set_seen(job, leak=key, seen=day_of(words) if words else None)


_EDITS: Final[dict[tuple[str, str], Callable[[Job, UUID, str], Edit]]] = {
    ("sheet", "level"): _level,
    ("joint", "ref"): _joint,
    ("leak", "from"): _from,
    ("leak", "to"): _to,
    ("leak", "wetness"): _wetness,
    ("leak", "seen"): _seen,
}
"""What can be edited: sort of thing and column."""


def can_edit(where: Where | None, column: str) -> bool:
    """Whether a cell can be edited in place."""
    return where is not None and (where.sort, column) in _EDITS


def edit_of(job: Job, where: Where, column: str, words: str) -> Edit:
    """The deed that typed words mean in a cell.

    Raises:
        LeakmapError: The words cannot be read, or the deed cannot be done.
    """
    assert isinstance(where.key, UUID)
    return _EDITS[where.sort, column](job, where.key, words.strip())


def wetness_of(words: str) -> Wetness:
    """A wetness as typed: its digit or its word.

    >>> wetness_of("3").word, wetness_of("Jet").word
    ('drip', 'jet')

    Raises:
        EditRefused: It is neither.
    """
    for wetness in Wetness:
        if words.casefold() in (str(int(wetness)), wetness.word):
            return wetness
    raise refused(f"“{words}” is no wetness; type 0 suspect, 1 damp, 2 seep, 3 drip, 4 run or 5 jet.")


def _raw_m(job: Job, leak: UUID, words: str) -> float:
    """A printed chainage as typed, from the joint's first point."""
    found = job.leaks.get(leak)
    if found is None:
        raise EditRefused("This leak is not in the job any more.")
    return raw_m(job, job.joints[found.joint], metres_of(words, job.units))
