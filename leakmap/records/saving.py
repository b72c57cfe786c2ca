"""Writes what differs between two jobs to a job file, and keeps the file's register of tables right."""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import cache
from typing import Final
from uuid import UUID

from leakmap.geometry.path import Box
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.records.differences import Difference, Places, differences
from leakmap.records.geopackage import (
    add_contents,
    box_of,
    box_of_table,
    box_round,
    make_geopackage,
    moment_text,
)
from leakmap.records.layout import (
    EXTENSION,
    EXTENSION_TABLES,
    ITEM_TABLES,
    LEAKS,
    PLAIN_TABLES,
    SCHEMA,
    ItemTable,
    PartTable,
    statements,
)
from leakmap.records.rows import Row, Unreadable, columns_in, own_row, part_rows, row_of, rule_rows
from leakmap.records.shapes import leak_shape

EVERY_TABLE: Final[tuple[ItemTable | PartTable, ...]] = (
    *ITEM_TABLES,
    *(part for table in ITEM_TABLES for part in table.parts),
)
"""Tables of items and of parts."""


def make_tables(connection: sqlite3.Connection, *, at: datetime) -> None:
    """Make an empty job file's tables and register them."""
    make_geopackage(connection)
    for statement in statements().values():
        connection.execute(statement)
    for table in EVERY_TABLE:
        geometry = None if table.shape is None else "geom"
        add_contents(connection, table.name, words=table.words, geometry=geometry, at=at)
    for name, (words, _) in PLAIN_TABLES.items():
        add_contents(connection, name, words=words, geometry=None, at=at)
    connection.executemany(
        "INSERT INTO gpkg_extensions VALUES (?, NULL, ?, ?, 'read-write')",
        [(name, EXTENSION, "Schema number and lock of a leakmap job file") for name in EXTENSION_TABLES],
    )
    connection.execute("INSERT INTO leakmap_schema VALUES (1, ?)", (SCHEMA,))


def write_first(connection: sqlite3.Connection, job: Job, *, at: datetime) -> None:
    """Write a whole job into empty tables."""
    empty = Job(id=job.id, name=job.name)
    nowhere: Places = {table.collection: {} for table in ITEM_TABLES}
    own = own_row(job)
    connection.execute(_insert_statement("job", ("fid", *own)), (1, *own.values()))
    connection.executemany("INSERT INTO rules (name, value) VALUES (?, ?)", rule_rows(job.rules).items())
    write_differences(connection, empty, job, nowhere, at=at)


def write_differences(
    connection: sqlite3.Connection, before: Job, after: Job, places: Places, *, at: datetime
) -> tuple[list[Difference], Places]:
    """Write the rows that differ.

    Args:
        connection: Inside a transaction.
        before: The job that the file holds.
        after: The job that it shall hold.
        places: Place of every item of the job before.
        at: When.

    Returns:
        What differs, and the places of the new job's items.

    Raises:
        Unreadable: A geometry in the file is damaged.
    """
    found, now = differences(before, after, places)
    writing = _Writing(connection, before, after)
    items = [(each, each.table) for each in found if each.table is not None]
    for each, table in items:
        writing.take_out(each, table)
    for each, table in items:
        writing.write_item(each, table)
        writing.write_parts(each, table)
    writing.fill()
    writing.write_leaks_along(found)
    if any(each.table is None for each in found):
        writing.write_own()
    for name in writing.tables:
        register_change(connection, name, writing.gone[name], writing.come[name], at=at)
    return found, now


def register_change(
    connection: sqlite3.Connection,
    table: str,
    gone: Iterable[bytes] = (),
    come: Iterable[bytes] = (),
    *,
    at: datetime,
) -> None:
    """Keep the register right after a change: the time, and the box round the geometries.

    Raises:
        Unreadable: A geometry in the file is damaged.
    """
    connection.execute("UPDATE gpkg_contents SET last_change = ? WHERE table_name = ?", (moment_text(at), table))
    lost, new = [box_of(shape) for shape in gone], [box_of(shape) for shape in come]
    if not lost and not new:
        return
    row = connection.execute(
        "SELECT min_x, min_y, max_x, max_y FROM gpkg_contents WHERE table_name = ?", (table,)
    ).fetchone()
    known: Box | None = None if row is None or None in row else row
    if known is not None and not any(_touch(box, known) for box in lost):
        box: Box | None = box_round([known, *new])
    else:
        try:
            box = box_of_table(connection, table)
        except ValueError as error:
            raise Unreadable(table, None, str(error)) from error
    connection.execute(
        "UPDATE gpkg_contents SET min_x = ?, min_y = ?, max_x = ?, max_y = ? WHERE table_name = ?",
        (*(box or (None,) * 4), table),
    )


def _touch(box: Box, outer: Box) -> bool:
    """Whether a box reaches an edge of the one round everything."""
    return any(side == edge for side, edge in zip(box, outer, strict=True))


def _moved(each: Difference) -> bool:
    return each.after is None or each.place_before != each.place_after


@dataclass(slots=True)
class _Writing:
    """One writing of rows, which takes note of the tables that it touches.

    Attributes:
        gone: Geometries that went, by table.
        come: Geometries that came, by table.
        tables: Tables that were touched.
        new_rows: Rows to put in, by the statement that does it.
    """

    connection: sqlite3.Connection
    before: Job
    after: Job
    gone: dict[str, list[bytes]] = field(default_factory=lambda: defaultdict(list))
    come: dict[str, list[bytes]] = field(default_factory=lambda: defaultdict(list))
    tables: set[str] = field(default_factory=set)
    new_rows: dict[str, list[Row]] = field(default_factory=lambda: defaultdict(list))

    def take_out(self, each: Difference, table: ItemTable) -> None:
        """Take out a row that goes or changes places, so that every place is free before one is filled."""
        if each.before is not None and _moved(each):
            self.connection.execute(f'DELETE FROM "{table.name}" WHERE fid = ?', (each.place_before,))  # noqa: S608 - our own names

    def write_item(self, each: Difference, table: ItemTable) -> None:
        """Write an item's row."""
        old = None if each.before is None else row_of(self.before, table, each.before)
        new = None if each.after is None else row_of(self.after, table, each.after)
        self._note(table, old, new)
        if new is None:
            return
        if old is None or _moved(each):
            self.new_rows[_insert(table)].append((each.place_after, *new))
        elif old != new:
            self.connection.execute(_update(table), (*new, each.place_after))

    def write_parts(self, each: Difference, table: ItemTable) -> None:
        """Write the rows of an item's parts anew where they differ."""
        for part in table.parts:
            old = [] if each.before is None else part_rows(self.before, part, each.before)
            new = [] if each.after is None else part_rows(self.after, part, each.after)
            if old == new:
                continue
            for row in old:
                self._note(part, row, None)
            for row in new:
                self._note(part, None, row)
            self.connection.execute(f'DELETE FROM "{part.name}" WHERE "{part.owner}" = ?', (str(each.key),))  # noqa: S608 - our own names
            self.new_rows[_insert(part)].extend((None, *row) for row in new)

    def fill(self) -> None:
        """Put in the new rows, after those that go."""
        for statement, rows in self.new_rows.items():
            self.connection.executemany(statement, rows)

    def write_leaks_along(self, found: Iterable[Difference]) -> None:
        """Write the geometries of leaks that stay as they are on joints that do not."""
        for each in found:
            if not isinstance(each.before, Joint) or not isinstance(each.after, Joint):
                continue
            rows = self.connection.execute("SELECT fid, id, geom FROM leaks WHERE joint = ?", (str(each.key),))
            for place, key, old in rows.fetchall():
                new = leak_shape(self.after, self.after.leaks[UUID(key)])
                if old != new:
                    self.connection.execute("UPDATE leaks SET geom = ? WHERE fid = ?", (new, place))
                    self._note(LEAKS, (old,), (new,))

    def write_own(self) -> None:
        """Write the job's own fields."""
        own = own_row(self.after)
        self.connection.execute(_update_statement("job", own), (*own.values(), 1))
        old, new = rule_rows(self.before.rules), rule_rows(self.after.rules)
        changed = [(value, name) for name, value in new.items() if value != old[name]]
        self.connection.executemany("UPDATE rules SET value = ? WHERE name = ?", changed)
        self.tables |= {"job", "rules"}

    def _note(self, table: ItemTable | PartTable, gone: Row | None, come: Row | None) -> None:
        """Take note of a row that went, came or changed."""
        self.tables.add(table.name)
        if table.shape is None or (gone and come and gone[0] == come[0]):
            return
        if gone:
            self.gone[table.name].append(gone[0])
        if come:
            self.come[table.name].append(come[0])


@cache
def _insert(table: ItemTable | PartTable) -> str:
    return _insert_statement(table.name, ("fid", *columns_in(table)))


@cache
def _update(table: ItemTable | PartTable) -> str:
    """Statement that writes every column of a row but its key."""
    return _update_statement(table.name, columns_in(table))


def _insert_statement(table: str, names: Sequence[str]) -> str:
    return f'INSERT INTO "{table}" ({_listed(names)}) VALUES ({", ".join("?" * len(names))})'  # noqa: S608 - our own names


def _update_statement(table: str, names: Iterable[str]) -> str:
    pairs = ", ".join(f'"{name}" = ?' for name in names)
    return f'UPDATE "{table}" SET {pairs} WHERE fid = ?'  # noqa: S608 - our own names


def _listed(names: Iterable[str]) -> str:
    return ", ".join(f'"{name}"' for name in names)
