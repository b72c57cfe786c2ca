"""One sentence for a job file that cannot be read: laid out otherwise than here, or damaged."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from leakmap.base.errors import UnusableJobFile
from leakmap.records.database import unusable
from leakmap.records.layout import ITEM_TABLES
from leakmap.records.rows import OWN_TABLE, Unreadable, columns_in, odd_rules

_OTHERWISE: Final = (
    "{name} is laid out otherwise than this leakmap keeps a job ({what}), as another version or another program leaves"
    " it, so it was not opened and is as it was; open it with the leakmap that made it, or go back to a copy."
)
_DAMAGED: Final = (
    "{name} is damaged ({what}) and was left as it is; run leakmap check to see where, or go back to a copy."
)


@contextmanager
def reading_of(path: Path, connection: sqlite3.Connection) -> Iterator[None]:
    """Says in one sentence why a job file cannot be read.

    Raises:
        UnusableJobFile: Instead of whatever rows or database raised.
    """
    try:
        yield
    except Unreadable as problem:
        sentence = _otherwise(path, connection) or _DAMAGED.format(name=path.name, what=problem)
        raise UnusableJobFile(sentence, where=str(path)) from problem
    except sqlite3.Error as problem:
        asks = getattr(problem, "sqlite_errorcode", 0) == sqlite3.SQLITE_ERROR  # such as a table that is not there
        sentence = _otherwise(path, connection) if asks else ""
        raise UnusableJobFile(sentence, where=str(path)) if sentence else unusable(path, problem) from problem


def laid_out_otherwise(connection: sqlite3.Connection) -> str:
    """The first thing that the tables lack of a job file of today, in words; empty where they lack nothing.

    Columns that another program added are no hindrance and not told.
    """
    with suppress(sqlite3.Error):  # too damaged to ask
        for name, wanted in _wanted():
            there = {row[1] for row in connection.execute(f'PRAGMA table_info("{name}")')}
            lacks = [column for column in wanted if column not in there]
            if not there:
                return f"the table {name} is missing"
            if lacks:
                return f"the table {name} has no {lacks[0]}"
        odd = odd_rules(connection)
        if odd:
            return f"rules missing or unknown: {odd}"
    return ""


def _otherwise(path: Path, connection: sqlite3.Connection) -> str:
    what = laid_out_otherwise(connection)
    return _OTHERWISE.format(name=path.name, what=what) if what else ""


def _wanted() -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each table that a job is read from, with its columns."""
    for table in ITEM_TABLES:
        yield table.name, columns_in(table)
        yield from ((part.name, columns_in(part)) for part in table.parts)
    yield OWN_TABLE
    yield "rules", ("name", "value")
