"""Items of a job as rows of its tables, and rows as items."""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Iterator, Mapping
from contextlib import closing
from dataclasses import fields
from typing import Any, Final
from uuid import UUID

from leakmap.geometry.path import Path
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.rules import Rules
from leakmap.records.codec import UNREADABLE, codec_of, decoded, hints_of, text_of, value_of
from leakmap.records.geopackage import points_of
from leakmap.records.layout import ITEM_TABLES, Column, ItemTable, OwnFields, PartTable, columns_of

Row = tuple[Any, ...]
Parts = Mapping[str, Mapping[str, tuple[Any, ...]]]
"""Parts as read: table name, then the item's id, in their order."""


class Unreadable(Exception):
    """A row that holds no item.

    Attributes:
        table: Its table.
        place: Its key; None where a table as a whole is meant.
        why: What is wrong, as part of a sentence.
    """

    def __init__(self, table: str, place: int | None, why: str) -> None:
        row = "" if place is None else f", row {place}"
        super().__init__(f"table {table}{row}: {why}")
        self.table = table
        self.place = place
        self.why = why


def row_of(job: Job, table: ItemTable, item: Any) -> Row:  # noqa: ANN401 - an item of the table
    """An item's row without its key: the geometry where the table has one, then the columns."""
    shape = () if table.shape is None else (table.shape(job, item),)
    return (*shape, *table.cells(item))


def part_rows(job: Job, table: PartTable, item: Any) -> list[Row]:  # noqa: ANN401 - an item that holds parts
    """The rows of an item's parts without their keys: geometry, the item's id, place, columns."""
    return [
        (
            *(() if table.shape is None else (table.shape(job, item, part),)),
            str(item.id),
            place,
            *table.cells(part),
        )
        for place, part in enumerate(getattr(item, table.field))
    ]


def columns_in(table: ItemTable | PartTable) -> tuple[str, ...]:
    """Names of the columns that `row_of` or `part_rows` fill, in their order."""
    shape = () if table.shape is None else ("geom",)
    owner = (table.owner, "place") if isinstance(table, PartTable) else ()
    return (*shape, *owner, *(column.name for column in table.columns))


def own_fields(job: Job) -> OwnFields:
    """The job's own fields as one value."""
    return OwnFields(**{item.name: getattr(job, item.name) for item in fields(OwnFields)})


def job_with(own: OwnFields, collections: Mapping[str, Any]) -> Job:
    """A job of its own fields and its collections by name."""
    return Job(**{item.name: getattr(own, item.name) for item in fields(own)}, **collections)


def own_row(job: Job) -> dict[str, Any]:
    """The row of the table ``job`` without its key, by column."""
    return {column.name: column.encode(getattr(job, column.name)) for column in _OWN_COLUMNS}


def rule_rows(rules: Rules) -> dict[str, str]:
    """Rules by name, each value as JSON."""
    return {name: text_of(codec_of(hint).encode(getattr(rules, name))) for name, hint in hints_of(Rules).items()}


def read_job(connection: sqlite3.Connection) -> tuple[Job, dict[str, dict[UUID, int]]]:
    """The job of a file, and each item's place by collection.

    Raises:
        Unreadable: A row holds no item.
    """
    found: dict[str, Any] = {}
    places: dict[str, dict[UUID, int]] = {}
    for table in ITEM_TABLES:
        parts = read_parts(connection, table)
        items, places[table.collection] = found.setdefault(table.collection, {}), {}
        for row in item_rows(connection, table):
            item = item_of(table, row, parts)
            items[item.id] = item
            places[table.collection][item.id] = row[0]
    own = read_own(connection)
    try:
        return job_with(own, found), places
    except UNREADABLE as error:
        raise Unreadable("job", None, str(error)) from error


def item_rows(connection: sqlite3.Connection, table: ItemTable) -> Iterator[Row]:
    """Rows of a table of items in order: key, the columns, and the geometry of a joint."""
    names = ["fid", *(column.name for column in table.columns), *(["geom"] if table.kind is Joint else [])]
    yield from _select(connection, table.name, names, order='"fid"')


def item_of(table: ItemTable, row: Row, parts: Parts) -> Any:  # noqa: ANN401 - an item of the table
    """The item of a row that `item_rows` gave.

    Raises:
        Unreadable: The row holds no item.
    """
    try:
        values = _values(table.columns, row[1:])
        if table.kind is Joint:
            values |= _course(row[-1], closed=values.pop("closed"))
        for part in table.parts:
            values[part.field] = parts[part.name].get(str(values["id"]), ())
        return table.kind(**values)
    except UNREADABLE as error:
        raise Unreadable(table.name, row[0], str(error)) from error


def read_parts(connection: sqlite3.Connection, table: ItemTable) -> Parts:
    """The parts of every item of a table.

    Raises:
        Unreadable: A row holds no part.
    """
    return {part.name: _read_part_table(connection, part) for part in table.parts}


def read_own(connection: sqlite3.Connection) -> OwnFields:
    """The job's own fields.

    Raises:
        Unreadable: A row is missing, too many, or holds no such field.
    """
    rows = list(_select(connection, "job", ["fid", *(column.name for column in _OWN_COLUMNS)]))
    if len(rows) != 1:
        raise Unreadable("job", None, f"it holds {len(rows)} rows instead of one")
    try:
        return OwnFields(**_values(_OWN_COLUMNS, rows[0][1:]), rules=_read_rules(connection))
    except UNREADABLE as error:
        raise Unreadable("job", rows[0][0], str(error)) from error


_OWN_COLUMNS: Final = columns_of(OwnFields, frozenset({"rules"}))

OWN_TABLE: Final = ("job", tuple(column.name for column in _OWN_COLUMNS))
"""The table of the job's own fields, and its columns."""


def odd_rules(connection: sqlite3.Connection) -> str:
    """Names of rules that a file lacks or has too many; empty where it has every one."""
    names = {name for (name,) in _select(connection, "rules", ["name"])}
    return ", ".join(sorted(map(str, names ^ hints_of(Rules).keys())))


def _read_rules(connection: sqlite3.Connection) -> Rules:
    hints = hints_of(Rules)
    odd = odd_rules(connection)
    if odd:
        raise Unreadable("rules", None, f"missing or unknown: {odd}")
    rows: dict[Any, Any] = dict(_select(connection, "rules", ["name", "value"]))
    try:
        values = {name: decoded(name, codec_of(hint).decode, value_of(rows[name])) for name, hint in hints.items()}
        return Rules(**values)
    except UNREADABLE as error:
        raise Unreadable("rules", None, str(error)) from error


def part_table_rows(connection: sqlite3.Connection, part: PartTable) -> Iterator[Row]:
    """Rows of a table of parts in order: key, the item's id, place, and the columns."""
    names = ["fid", part.owner, "place", *(column.name for column in part.columns)]
    yield from _select(connection, part.name, names, order=f'"{part.owner}", "place"')


def part_of(part: PartTable, row: Row) -> Any:  # noqa: ANN401 - a part of the table's class
    """The part of a row that `part_table_rows` gave.

    Raises:
        Unreadable: The row holds no part.
    """
    try:
        return part.kind(**_values(part.columns, row[3:]))
    except UNREADABLE as error:
        raise Unreadable(part.name, row[0], str(error)) from error


def _read_part_table(connection: sqlite3.Connection, part: PartTable) -> dict[str, tuple[Any, ...]]:
    found: dict[str, list[Any]] = defaultdict(list)
    for row in part_table_rows(connection, part):
        found[row[1]].append(part_of(part, row))
    return {owner: tuple(parts) for owner, parts in found.items()}


def _select(connection: sqlite3.Connection, table: str, names: list[str], order: str = '"fid"') -> Iterator[Row]:
    listed = ", ".join(f'"{table}"."{name}"' for name in names)  # a lone name that is no column would be read as a word
    with closing(connection.execute(f'SELECT {listed} FROM "{table}" ORDER BY {order}')) as rows:  # noqa: S608 - our own names
        yield from rows


def _values(columns: tuple[Column, ...], row: Any) -> dict[str, Any]:  # noqa: ANN401 - a row or part of one
    try:
        return {column.name: column.decode(cell) for column, cell in zip(columns, row, strict=False)}
    except UNREADABLE:  # again, so that the error names the column
        return {
            column.name: decoded(column.name, column.decode, cell) for column, cell in zip(columns, row, strict=False)
        }


def _course(blob: object, *, closed: bool) -> dict[str, Any]:
    points = points_of(blob)
    if len(points) == 1:
        return {"path": None, "point": points[0]}
    if not closed:
        return {"path": Path(points), "point": None}
    if points[0] != points[-1]:
        raise ValueError("a closed joint does not return to its start")
    return {"path": Path(points[:-1], closed=True), "point": None}
