"""The past of a job as its file tells it, so that undo goes on after closing and opening again.

The journal only grows: an undo is an entry like any deed, and so is a redo. Read backwards, each undo
takes one deed before it out of account, whether that was done first or done again.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from uuid import UUID

from leakmap.model.faults import Row
from leakmap.records.journal import Deed, Earlier, Entry
from leakmap.work.history import Step

UNDO = "Undo "
REDO = "Redo "


def steps_back(earlier: Iterable[Earlier]) -> Iterator[Step]:
    """What can be undone, latest first, each read when it is asked for.

    Args:
        earlier: The jobs before each entry of the journal, newest first.
    """
    undone = 0
    for each in earlier:
        if each.entry.deed is Deed.UNDONE:
            undone += 1
        elif undone:
            undone -= 1
        else:
            yield Step(job=each.job, changed=rows_of(each.entry), words=_words(each.entry))


def rows_of(entry: Entry) -> frozenset[Row]:
    """Rows that an entry changed."""
    return frozenset((name, UUID(key)) for name, rows in entry.after.items() for key in rows)


def _words(entry: Entry) -> str:
    return entry.words.removeprefix(REDO) if entry.deed is Deed.REDONE else entry.words
