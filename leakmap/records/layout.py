"""The tables of a job file: which holds what, and the statements that make them.

A table of *items* holds one collection of the job, an item a row; its key ``fid`` is also the item's
place in the collection's order. A table of *parts* holds what lies inside items as a tuple: a joint's
blind stretches, a sheet's known lengths, a revision's papers. Columns follow from the fields of the
model; what is neither a number, a word nor a date stands in a column as JSON.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from enum import Enum, IntEnum
from functools import cache, cached_property, lru_cache
from operator import attrgetter
from typing import Any, Final
from uuid import UUID

from leakmap.base.measures import Units
from leakmap.model.grid import Grid
from leakmap.model.job import Job, Numbers, OtherItem, WaterLevel
from leakmap.model.joint import Blind, Joint
from leakmap.model.leak import Cut, IssuedStretch, Leak, Parted, ReliefPoint
from leakmap.model.materials import Materials
from leakmap.model.rates import Rates
from leakmap.model.revision import Paper, Revision
from leakmap.model.rules import Rules
from leakmap.model.sheet import KnownLength, Sheet
from leakmap.records.codec import codec_of, hints_of, text_of, value_of
from leakmap.records.shapes import joint_shape, leak_shape, stretch_shape

SCHEMA: Final = 1
"""Number of the layout of this module; a changed layout gets the next one and a step in ``upgrades``."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column that holds one field.

    Attributes:
        name: Name of the field and of the column.
        sql: Its declaration.
        encode: The field's value as SQLite keeps it.
        decode: The value of what SQLite gives; raises one of ``codec.UNREADABLE``.
        parent: Table whose ids the column holds; empty where it holds none.
    """

    name: str
    sql: str
    encode: Callable[[Any], Any]
    decode: Callable[[Any], Any]
    parent: str = ""


@dataclass(frozen=True)
class PartTable:
    """A table of parts.

    Attributes:
        name: Name of the table.
        kind: Class of a part.
        field: Field of the item that holds the parts.
        owner: Column that holds the item's id.
        words: What the table holds, for people.
        shape: Geometry of a part, from the job, the item and the part; None where it has none.
    """

    name: str
    kind: type
    field: str
    owner: str
    words: str
    shape: Callable[[Job, Any, Any], bytes] | None = None

    @cached_property
    def columns(self) -> tuple[Column, ...]:
        """Its columns, without key, geometry, owner and place."""
        return columns_of(self.kind)

    @cached_property
    def cells(self) -> Callable[[Any], list[Any]]:
        """What the columns hold of a part."""
        return _cells(self.columns)


@dataclass(frozen=True)
class ItemTable:
    """A table of items.

    Attributes:
        name: Name of the table.
        collection: Field of the job.
        kind: Class of an item.
        words: What the table holds, for people.
        shape: Geometry of an item, from the job and the item; None where it has none.
        apart: Fields that stand in the geometry or in a table of parts.
        parts: Its tables of parts.
    """

    name: str
    collection: str
    kind: type
    words: str
    shape: Callable[[Job, Any], bytes] | None = None
    apart: frozenset[str] = frozenset()
    parts: tuple[PartTable, ...] = ()

    @cached_property
    def columns(self) -> tuple[Column, ...]:
        """Its columns, without key and geometry; a joint's tell too whether its line is closed."""
        return (*columns_of(self.kind, self.apart), *self.told)

    @cached_property
    def cells(self) -> Callable[[Any], list[Any]]:
        """What the columns hold of an item."""
        own = _cells(columns_of(self.kind, self.apart))
        return _joint_cells(own) if self.told else own

    @property
    def told(self) -> tuple[Column, ...]:
        """Columns that stand for no field: whether a joint's line is closed, which a geometry cannot say."""
        return (_column("closed", bool),) if self.kind is Joint else ()


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnFields:
    """The job's own fields, kept as if they were an item."""

    id: UUID
    name: str
    numbers: Numbers
    water: WaterLevel | None
    grid: Grid | None
    units: Units
    materials: Materials
    rates: Rates
    legal_owner: str
    approver: str
    rules: Rules


OWN: Final = "job"
"""Name under which the journal and the differences of two jobs keep the job's own fields."""

ITEM_TABLES: Final = (
    ItemTable(
        "sheets",
        "sheets",
        Sheet,
        "Levels of the structure, each with its drawing",
        apart=frozenset({"lengths"}),
        parts=(PartTable("known_lengths", KnownLength, "lengths", "sheet", "Lengths known on site"),),
    ),
    ItemTable(
        "joints",
        "joints",
        Joint,
        "Joints, metres in the site plane",
        shape=joint_shape,
        apart=frozenset({"path", "point", "blind"}),
        parts=(
            PartTable(
                "blind_stretches",
                Blind,
                "blind",
                "joint",
                "Hidden stretches of joints",
                shape=lambda _job, joint, blind: stretch_shape(joint, blind.from_m, blind.to_m),
            ),
        ),
    ),
    ItemTable("leaks", "leaks", Leak, "Wet and suspect stretches of joints", shape=leak_shape),
    ItemTable("cuts", "cuts", Cut, "Places where zones are kept apart"),
    ItemTable("relief_points", "reliefs", ReliefPoint, "Relief points set or dropped by hand"),
    ItemTable("parted_junctions", "parted", Parted, "Meetings of joints that were taken apart"),
    ItemTable("other_items", "others", OtherItem, "What is counted under another method"),
    ItemTable("issued_stretches", "issued", IssuedStretch, "Stretches of zones as last issued"),
    ItemTable(
        "revisions",
        "revisions",
        Revision,
        "What was issued, to whom and when",
        apart=frozenset({"papers"}),
        parts=(PartTable("papers", Paper, "papers", "revision", "Files that were issued"),),
    ),
)
LEAKS: Final = next(table for table in ITEM_TABLES if table.kind is Leak)

PLAIN_TABLES: Final[Mapping[str, tuple[str, str]]] = {
    "job": (
        "The job's own facts",
        """"name" TEXT NOT NULL, "id" TEXT NOT NULL, "numbers" TEXT NOT NULL, "water" TEXT, "grid" TEXT, "units" TEXT NOT NULL,
        "materials" TEXT NOT NULL, "rates" TEXT NOT NULL, "legal_owner" TEXT NOT NULL, "approver" TEXT NOT NULL""",
    ),
    "rules": ("Rules of the repair as JSON values", '"name" TEXT NOT NULL UNIQUE, "value" TEXT NOT NULL'),
    "blobs": (
        "Files by their SHA-256: drawings, photos, frozen jobs, papers",
        '"sha256" TEXT NOT NULL UNIQUE, "size" INTEGER NOT NULL, "content" BLOB NOT NULL',
    ),
    "parsed_drawings": (
        "Drawings as read, so that they open at once",
        """"source_sha256" TEXT NOT NULL, "reader" TEXT NOT NULL, "options" TEXT NOT NULL, "sha256" TEXT NOT NULL,
        "content" BLOB NOT NULL, UNIQUE ("source_sha256", "reader", "options")""",
    ),
    "journal": (
        "Everything that was done, never changed: rows before and after as JSON",
        """"at" TEXT NOT NULL, "user" TEXT NOT NULL, "kind" TEXT NOT NULL, "words" TEXT NOT NULL,
        "before" TEXT NOT NULL, "after" TEXT NOT NULL""",
    ),
}
"""Tables that hold no items, by name: words for people and the columns besides the key."""

EXTENSION: Final = "leakmap_job"
EXTENSION_TABLES: Final[Mapping[str, str]] = {
    "leakmap_schema": '"schema" INTEGER NOT NULL',
    "leakmap_lock": '"host" TEXT NOT NULL, "user" TEXT NOT NULL, "process" INTEGER NOT NULL,'
    ' "since" TEXT NOT NULL, "heartbeat" TEXT NOT NULL',
    "leakmap_begun": '"purpose" TEXT NOT NULL, "to_whom" TEXT NOT NULL',
}
"""Tables of our own that are no content, registered as an extension of the standard."""

TRIGGERS: Final = {
    f"journal_no_{deed}": f'CREATE TRIGGER "journal_no_{deed}" BEFORE {deed.upper()} ON "journal"'
    " BEGIN SELECT RAISE(ABORT, 'the journal is never changed'); END"
    for deed in ("update", "delete")
}
"""The only triggers of a job file: they keep the journal as it was written."""


def statements() -> dict[str, str]:
    """The statement that makes each of our tables, indexes and triggers, by its name."""
    made: dict[str, str] = {}
    for table in ITEM_TABLES:
        made |= _table(table.name, _key_and_shape(table) + [column.sql for column in table.columns])
        made |= _indexes(table.name, table.columns)
        for part in table.parts:
            owner = f'"{part.owner}" TEXT NOT NULL {_points_to(table.name)}'
            place = ['"place" INTEGER NOT NULL', *(column.sql for column in part.columns)]
            unique = f'UNIQUE ("{part.owner}", "place")'
            made |= _table(part.name, [*_key_and_shape(part), owner, *place, unique])
    for name, (_, columns) in PLAIN_TABLES.items():
        made |= _table(name, [_KEY, " ".join(columns.split())])
    for name, columns in EXTENSION_TABLES.items():
        made |= _table(name, [_KEY, columns])
    return made | TRIGGERS


@cache
def columns_of(kind: type, apart: frozenset[str] = frozenset()) -> tuple[Column, ...]:
    """Columns for the fields of a class, but for some."""
    return tuple(_column(name, hint) for name, hint in hints_of(kind).items() if name not in apart)


_KEPT: Final = 4096  # values read lately that are given again when they come again; all of them are immutable
_KEY: Final = '"fid" INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL'
_PARENTS: Final = {"sheet": "sheets", "head_sheet": "sheets", "joint": "joints", "other": "joints"}
_TYPES: Final[tuple[tuple[type, str], ...]] = (
    (bool, "BOOLEAN"),
    (IntEnum, "INTEGER"),
    (int, "INTEGER"),
    (float, "DOUBLE"),
    (date, "DATE"),
    (UUID, "TEXT"),
    (Enum, "TEXT"),
    (str, "TEXT"),
)


def _column(name: str, hint: Any) -> Column:  # noqa: ANN401 - a type as declared
    parts = typing.get_args(hint) if typing.get_origin(hint) is types.UnionType else (hint,)
    optional = types.NoneType in parts
    plain = next(part for part in parts if part is not types.NoneType)
    sql_type = _sql_type(plain)
    parent = _PARENTS.get(name, "") if plain is UUID else ""
    sql = f'"{name}" {sql_type or "TEXT"}' + ("" if optional else " NOT NULL")
    if name == "id":
        sql += " UNIQUE"
    if parent:
        sql += f" {_points_to(parent)}"
    return Column(name, sql, *_ways(hint, plain, sql_type, optional=optional), parent)


def _cells(columns: tuple[Column, ...]) -> Callable[[Any], list[Any]]:
    """What columns hold of an item; there are two at least."""
    fields = attrgetter(*(column.name for column in columns))
    ways = tuple(column.encode for column in columns)
    return lambda item: [encode(value) for encode, value in zip(ways, fields(item), strict=True)]


def _joint_cells(own: Callable[[Any], list[Any]]) -> Callable[[Any], list[Any]]:
    return lambda joint: [*own(joint), int(joint.path is not None and joint.path.closed)]


def _sql_type(plain: Any) -> str | None:  # noqa: ANN401 - a type as declared
    """Column type of a type; None for what is kept as JSON. A time with its zone is no DATE of the standard."""
    if not isinstance(plain, type) or plain.__name__ == "datetime":
        return None
    return next((name for kind, name in _TYPES if issubclass(plain, kind)), None)


def _ways(
    hint: Any,  # noqa: ANN401 - a type as declared
    plain: Any,  # noqa: ANN401 - a type as declared
    sql_type: str | None,
    *,
    optional: bool,
) -> tuple[Callable[[Any], Any], Callable[[Any], Any]]:
    """How a field's value is written to its column and read from it."""
    codec = codec_of(hint)
    if plain is bool:
        return (lambda value: None if value is None else int(value)), _truth(optional=optional)
    if plain is UUID:
        return codec.encode, lru_cache(_KEPT)(codec.decode)
    if sql_type is not None or getattr(plain, "__name__", "") == "datetime":
        return codec.encode, codec.decode
    return (
        lambda value: None if value is None else "[]" if value == () else text_of(codec.encode(value)),
        lru_cache(_KEPT)(lambda text: codec.decode(None if text is None and optional else value_of(text))),
    )


def _truth(*, optional: bool) -> Callable[[Any], Any]:
    known: dict[Any, bool | None] = {0: False, 1: True}
    if optional:
        known[None] = None
    return known.__getitem__


def _points_to(table: str) -> str:
    return f'REFERENCES "{table}" ("id") DEFERRABLE INITIALLY DEFERRED'


def _key_and_shape(table: ItemTable | PartTable) -> list[str]:
    return [_KEY] if table.shape is None else [_KEY, '"geom" GEOMETRY NOT NULL']


def _table(name: str, columns: list[str]) -> dict[str, str]:
    return {name: f'CREATE TABLE "{name}" ({", ".join(columns)})'}


def _indexes(table: str, columns: tuple[Column, ...]) -> dict[str, str]:
    """Indexes on what points to other tables, so that taking an item out asks them quickly."""
    return {
        f"{table}_{column.name}": f'CREATE INDEX "{table}_{column.name}" ON "{table}" ("{column.name}")'
        for column in columns
        if column.parent
    }
