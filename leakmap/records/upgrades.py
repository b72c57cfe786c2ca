"""Older job files brought up to date: one step a schema, each whole or not at all, a copy kept beside."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import Final

from leakmap.base.errors import UnusableJobFile
from leakmap.records.database import made, one_transaction, speaking_of
from leakmap.records.journal import Deed, append
from leakmap.records.layout import SCHEMA

Step = Callable[[sqlite3.Connection], None]

STEPS: Final[Mapping[int, Step]] = {}
"""For each older schema the function that makes the next one; none yet, as there is only the first."""


def schema_of(connection: sqlite3.Connection, path: Path) -> int:
    """Schema number of a job file.

    Raises:
        UnusableJobFile: It has none.
    """
    there = connection.execute(
        "SELECT 1 FROM sqlite_master WHERE name = 'leakmap_schema' AND type = 'table'"
    ).fetchone()
    row = connection.execute("SELECT schema FROM leakmap_schema").fetchone() if there else None
    if row is None or type(row[0]) is not int or row[0] < 1:
        raise UnusableJobFile(
            f"{path.name} is a database but no job file of leakmap and was left as it is; choose a file that leakmap"
            " made.",
            where=str(path),
        )
    schema: int = row[0]
    return schema


def refuse_newer(schema: int, path: Path, *, to: int = SCHEMA) -> None:
    """Refuse what a newer leakmap wrote.

    Raises:
        UnusableJobFile: As said.
    """
    if schema > to:
        raise UnusableJobFile(
            f"{path.name} was written by a newer leakmap (schema {schema}, known up to {to}); it was not touched."
            " Update leakmap to open it.",
            where=str(path),
        )


def upgrade(
    connection: sqlite3.Connection,
    path: Path,
    *,
    user: str,
    at: datetime,
    steps: Mapping[int, Step] = STEPS,
    to: int = SCHEMA,
) -> Path | None:
    """Bring a job file up to date, step by step.

    Args:
        connection: Open for change, outside a transaction.
        path: The file.
        user: Who opens it.
        at: When, with time zone.
        steps: Step from each older schema to the next.
        to: Schema to reach.

    Returns:
        The copy that was kept beside; None where the file was up to date.

    Raises:
        UnusableJobFile: The copy cannot be written.
    """
    schema = schema_of(connection, path)
    if schema == to:
        return None
    kept = _kept_copy(connection, path, schema)
    run_steps(connection, schema, user=user, at=at, steps=steps, to=to)
    return kept


def run_steps(
    connection: sqlite3.Connection,
    schema: int,
    *,
    user: str,
    at: datetime,
    steps: Mapping[int, Step] = STEPS,
    to: int = SCHEMA,
) -> None:
    """Take the steps from one schema to another, each in a transaction with its number and its journal entry."""
    for older in range(schema, to):
        with one_transaction(connection):
            steps[older](connection)
            connection.execute("UPDATE leakmap_schema SET schema = ?", (older + 1,))
            words = f"Brought the file up to date, from schema {older} to {older + 1}"
            append(connection, Deed.UPGRADED, words, user=user, at=at)


def upgraded_in_memory(
    connection: sqlite3.Connection,
    schema: int,
    *,
    user: str,
    at: datetime,
    steps: Mapping[int, Step] = STEPS,
    to: int = SCHEMA,
) -> sqlite3.Connection:
    """A connection that shows a file as of today without touching it: an older one is copied to memory first."""
    if schema == to:
        return connection
    copy = sqlite3.connect(":memory:", isolation_level=None)
    connection.backup(copy)
    connection.close()
    run_steps(copy, schema, user=user, at=at, steps=steps, to=to)
    return copy


def _kept_copy(connection: sqlite3.Connection, path: Path, schema: int) -> Path:
    kept = path.with_name(f"{path.stem} before upgrade from {schema}{path.suffix}")
    number = 1
    while kept.exists():
        number += 1
        kept = path.with_name(f"{path.stem} before upgrade from {schema} ({number}){path.suffix}")
    with speaking_of(kept), closing(made(kept)) as copy:
        connection.backup(copy)
    return kept
