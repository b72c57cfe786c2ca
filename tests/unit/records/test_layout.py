"""The tables of a job file."""

from __future__ import annotations

import hashlib
import sqlite3
import types
import typing
from contextlib import closing
from dataclasses import fields, is_dataclass
from enum import Enum
from typing import Any

from leakmap.model.job import Job
from leakmap.records.codec import hints_of
from leakmap.records.frozen import FROZEN_SCHEMA
from leakmap.records.geopackage import SYSTEM_TABLES
from leakmap.records.layout import ITEM_TABLES, SCHEMA, OwnFields, statements

LAYOUTS = {1: "fdd39e52892b47d8"}
"""Start of the SHA-256 of all statements and of the model that they hold, by schema number."""

FROZEN = {1: "fdc1b20db4c0c14d"}
"""Start of the SHA-256 of the model, by the schema number of frozen jobs."""


def shape(hint: Any) -> str:  # noqa: ANN401 - a type as declared
    """A type with everything that it is made of, in words."""
    if isinstance(hint, type) and is_dataclass(hint):
        return f"{hint.__name__}({', '.join(f'{name}: {shape(each)}' for name, each in hints_of(hint).items())})"
    if isinstance(hint, type) and issubclass(hint, Enum):
        return f"{hint.__name__}[{', '.join(str(word.value) for word in hint)}]"
    parts = typing.get_args(hint)
    if not parts:
        return getattr(hint, "__name__", str(hint))
    origin = typing.get_origin(hint)
    kind = "either" if origin in {types.UnionType, typing.Union} else origin.__name__
    return f"{kind}<{', '.join(map(shape, parts))}>"


def digest(*words: str) -> str:
    """Start of the SHA-256 of some words."""
    return hashlib.sha256("\n".join(words).encode()).hexdigest()[:16]


def test_a_changed_layout_has_a_new_number() -> None:
    """The layout of a schema number never changes once files of it are out there.

    When this fails because the model has changed, raise ``SCHEMA``, write a step in ``upgrades``, and add
    the new layout here. Before the first release there are no such files: put the new digest here.
    """
    assert LAYOUTS[SCHEMA] == digest(*statements().values(), shape(Job))


def test_a_changed_model_has_a_new_number() -> None:
    """What a frozen job of a schema number holds never changes, for the same reason."""
    assert FROZEN[FROZEN_SCHEMA] == digest(shape(Job))


def test_every_field_of_a_job_is_kept() -> None:
    """Each field of the job is a collection with a table, or one of the job's own."""
    kept = {table.collection for table in ITEM_TABLES} | hints_of(OwnFields).keys()
    assert kept == {item.name for item in fields(Job)}


def test_every_field_of_an_item_is_kept() -> None:
    """Each field of an item is a column, in the geometry, or in a table of parts."""
    for table in ITEM_TABLES:
        parts = {part.field for part in table.parts}
        geometry = {"path", "point"} if table.name == "joints" else set()
        columns = {column.name for column in table.columns} - {"closed"}
        assert columns | parts | geometry == hints_of(table.kind).keys()


def test_only_what_the_standard_knows_is_used() -> None:
    """Columns have types of table 1 of the standard (OGC GeoPackage 1.3), and keys are whole numbers."""
    known = [
        "BOOLEAN",
        "TINYINT",
        "SMALLINT",
        "MEDIUMINT",
        "INT",
        "INTEGER",
        "FLOAT",
        "DOUBLE",
        "REAL",
        "TEXT",
        "BLOB",
        "DATE",
        "DATETIME",
        "GEOMETRY",
    ]
    with closing(sqlite3.connect(":memory:")) as connection:
        for name, statement in statements().items():
            connection.execute(statement)
            columns = connection.execute(f'PRAGMA table_info("{name}")').fetchall()
            assert {kind for _, _, kind, *_ in columns} <= set(known)
            assert [(column, kind) for _, column, kind, *_, key in columns if key] == [("fid", "INTEGER")] * bool(
                columns
            )
            assert "WITHOUT" not in statement


def test_no_name_is_used_twice() -> None:
    """Our tables have other names than those of the standard."""
    assert not statements().keys() & SYSTEM_TABLES.keys()
