"""The journal of a job file: what was done, by whom and when, with every row before and after.

The journal is only ever added to. Walking it backwards gives the earlier jobs, so that undo survives
closing the program; it stops where the file was made, at an issue, and at an upgrade.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any, Final
from uuid import UUID

from leakmap.model.job import Job
from leakmap.records.codec import UNREADABLE, codec_of, text_of, value_of
from leakmap.records.differences import Difference, Places
from leakmap.records.layout import ITEM_TABLES, OWN, OwnFields
from leakmap.records.rows import Unreadable, job_with, own_fields

KINDS: Final = {table.collection: table.kind for table in ITEM_TABLES}
_State = dict[str, dict[UUID, tuple[int, Any]]]


class Deed(StrEnum):
    """What sort of thing was done."""

    MADE = "made"  # the file was made
    EDITED = "edited"
    UNDONE = "undone"  # the latest deed not undone yet was taken back
    REDONE = "redone"  # the deed undone last was done again
    ISSUED = "issued"
    UPGRADED = "upgraded"  # a newer leakmap changed the file's layout


_DEEDS: Final = frozenset({Deed.EDITED, Deed.UNDONE, Deed.REDONE})

Rows = Mapping[str, Mapping[str, Any]]
"""Rows by collection and id: None where there is none, else place and item as plain JSON values."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One entry.

    Attributes:
        sequence: Its number, from 1, without gaps.
        at: When, with time zone.
        user: Who.
        deed: What sort of thing.
        words: What, for people.
        before: Rows that differ, as they were.
        after: The same rows as they became.
    """

    sequence: int
    at: datetime
    user: str
    deed: Deed
    words: str
    before: Rows
    after: Rows


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """A job as it was before an entry."""

    job: Job
    entry: Entry


def append(
    connection: sqlite3.Connection,
    deed: Deed,
    words: str,
    *,
    user: str,
    at: datetime,
    found: Iterable[Difference] = (),
) -> None:
    """Add an entry."""
    before: dict[str, dict[str, Any]] = {}
    after: dict[str, dict[str, Any]] = {}
    for each in found:
        collection = OWN if each.table is None else each.table.collection
        before.setdefault(collection, {})[str(each.key)] = _row(each, each.before, each.place_before)
        after.setdefault(collection, {})[str(each.key)] = _row(each, each.after, each.place_after)
    connection.execute(
        "INSERT INTO journal (at, user, kind, words, before, after) VALUES (?, ?, ?, ?, ?, ?)",
        (at.isoformat(), user, deed.value, words, text_of(before), text_of(after)),
    )


def latest(connection: sqlite3.Connection) -> int:
    """Number of the latest entry; 0 where there is none."""
    number: int = connection.execute("SELECT coalesce(max(fid), 0) FROM journal").fetchone()[0]
    return number


def last_heard(connection: sqlite3.Connection) -> datetime | None:
    """When the latest entry was made; None where that cannot be read."""
    row = connection.execute("SELECT at FROM journal ORDER BY fid DESC LIMIT 1").fetchone()
    try:
        return None if row is None else datetime.fromisoformat(row[0])
    except (ValueError, TypeError):
        return None


def touched(
    connection: sqlite3.Connection, collection: str, *, after: int = 0
) -> Iterator[tuple[int, UUID, datetime, str]]:
    """When rows of a collection differed: number of the entry, id, time, and the row as JSON text, oldest first.

    Args:
        connection: The job file.
        collection: Name of a collection of the job, such as "joints".
        after: Only entries of a higher number.

    Raises:
        Unreadable: A row holds no entry.
    """
    found = connection.execute(
        "SELECT journal.fid, row.key, journal.at, coalesce(row.value, '') FROM journal,"
        " json_each(journal.after, '$.' || ?) AS row WHERE journal.fid > ? ORDER BY journal.fid",
        (collection, after),
    )
    number = after
    try:
        for number, key, at, value in found:
            yield number, UUID(key), datetime.fromisoformat(at), value
    except (*UNREADABLE, sqlite3.OperationalError) as error:  # what is no JSON is an operational error
        raise Unreadable("journal", number, str(error)) from error


def entries(connection: sqlite3.Connection, *, newest_first: bool = False, up_to: int | None = None) -> Iterator[Entry]:
    """Every entry in order, up to a number where one is given.

    Raises:
        Unreadable: A row holds no entry.
    """
    last = latest(connection) if up_to is None else up_to
    keys = [key for (key,) in connection.execute("SELECT fid FROM journal WHERE fid <= ? ORDER BY fid", (last,))]
    for key in reversed(keys) if newest_first else keys:  # one by one, so that no open query keeps others out
        row = connection.execute(
            "SELECT fid, at, user, kind, words, before, after FROM journal WHERE fid = ?", (key,)
        ).fetchone()
        sequence, at, user, deed, words, before, after = row
        try:
            yield Entry(
                sequence=sequence,
                at=datetime.fromisoformat(at),
                user=user,
                deed=Deed(deed),
                words=words,
                before=value_of(before),
                after=value_of(after),
            )
        except UNREADABLE as error:
            raise Unreadable("journal", sequence, str(error)) from error


def earlier_jobs(
    connection: sqlite3.Connection, job: Job, places: Places, *, up_to: int | None = None
) -> Iterator[Earlier]:
    """The jobs before each of the latest edits, newest first; what was undone and redone are edits too.

    They end where the file was made, at an issue, at an upgrade, and where a row is not what the
    journal says that it became, because another program changed it.

    Args:
        connection: Of the file that holds the job.
        job: The job as it was after the entry to start from.
        places: Place of every item.
        up_to: Number of that entry; the latest unless said otherwise.

    Raises:
        Unreadable: An entry does not fit.
    """
    state: _State = {
        table.collection: {
            key: (places[table.collection][key], item) for key, item in getattr(job, table.collection).items()
        }
        for table in ITEM_TABLES
    }
    own = own_fields(job)
    for entry in entries(connection, newest_first=True, up_to=up_to):
        if entry.deed not in _DEEDS:
            return
        try:
            if not _fits(state, own, entry.after):
                return
            own = _take_back(state, own, entry.before)
            yield Earlier(job=_job(state, own), entry=entry)
        except UNREADABLE as error:
            raise Unreadable("journal", entry.sequence, str(error)) from error


def _row(each: Difference, item: Any, place: int | None) -> Any:  # noqa: ANN401 - an item and a plain JSON value
    if item is None:
        return None
    kind = OwnFields if each.table is None else each.table.kind
    return {"place": place, "item": codec_of(kind).encode(item)}


def row_text(kind: type, item: Any, place: int | None) -> str:  # noqa: ANN401 - an item of a class
    """An item and its place as the journal keeps them."""
    return text_of({"place": place, "item": codec_of(kind).encode(item)})


def _fits(state: _State, own: OwnFields, after: Rows) -> bool:
    """Whether rows are what an entry made of them."""
    for collection, rows in after.items():
        for key, row in rows.items():
            if collection == OWN:
                now: str | None = row_text(OwnFields, own, None)
            elif found := state[collection].get(UUID(key)):
                now = row_text(KINDS[collection], found[1], found[0])
            else:
                now = None
            if now != (None if row is None else text_of(row)):
                return False
    return True


def _take_back(state: _State, own: OwnFields, before: Rows) -> OwnFields:
    for collection, rows in before.items():
        for key, row in rows.items():
            if collection == OWN:
                own = codec_of(OwnFields).decode(row["item"])
            elif row is None:
                del state[collection][UUID(key)]
            else:
                state[collection][UUID(key)] = (row["place"], codec_of(KINDS[collection]).decode(row["item"]))
    return own


def _job(state: _State, own: OwnFields) -> Job:
    collections = {
        collection: {key: item for key, (_, item) in sorted(rows.items(), key=lambda row: row[1][0])}
        for collection, rows in state.items()
    }
    return job_with(own, collections)
