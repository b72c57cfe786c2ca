"""The check of a job file: proves it whole, and names everything that is broken.

It looks at the database, at the rules of the GeoPackage standard that can be checked here, and at our
own rules. Nothing is changed, and nothing that is broken hides the rest.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from leakmap.base.findings import Finding
from leakmap.records.check_content import content_findings
from leakmap.records.check_geopackage import layout_findings, register_findings
from leakmap.records.database import connected, speaking_of
from leakmap.records.geopackage import APPLICATION_ID, USER_VERSION
from leakmap.records.layout import ITEM_TABLES
from leakmap.records.upgrades import refuse_newer, schema_of, upgraded_in_memory

Step = Callable[[sqlite3.Connection], Iterator[Finding]]

_MOST: Final = 20  # lines that the database says of its own pages
_NEVER: Final = datetime(1970, 1, 1, tzinfo=UTC)  # time of upgrades in memory, which nobody sees
_TOLD_BY_FAULTS: Final = {table.name for table in ITEM_TABLES} - {"revisions"}


def check_job_file(path: Path) -> tuple[Finding, ...]:
    """Everything that is broken in a job file; empty when it is whole.

    Args:
        path: The file; it may be open elsewhere.

    Raises:
        UnusableJobFile: It is not there, no job file, newer than this program, or cannot be read at all.
    """
    with speaking_of(path), closing(connected(path, look_only=True)) as connection:
        pages = _found(_mark_findings(connection, path), _page_findings(connection))
        try:
            schema = schema_of(connection, path)
        except sqlite3.DatabaseError:
            return tuple(pages)  # so damaged that there is nothing more to ask
        refuse_newer(schema, path)
        keys = _found(_key_findings(connection))
        with closing(upgraded_in_memory(connection, schema, user="", at=_NEVER)) as today:
            layout = _found(layout_findings(today))
            content, told = content_findings(today)
            rest = _found(register_findings(today), *content)
    if told:
        keys = [finding for finding in keys if finding.where not in _TOLD_BY_FAULTS]
    if pages or layout:
        rest = [finding for finding in rest if finding.code != "unreadable"]  # told already, by its cause
    return (*pages, *layout, *keys, *rest)


def _found(*parts: Iterator[Finding]) -> list[Finding]:
    """Findings of some steps; a step that the database stops gives one more."""
    found: list[Finding] = []
    for part in parts:
        try:
            found.extend(part)
        except sqlite3.Error as error:
            found.append(Finding("unreadable", "", f"A part of the file cannot be read: {error}."))
    return found


def _mark_findings(connection: sqlite3.Connection, path: Path) -> Iterator[Finding]:
    """The marks by which other programs know a GeoPackage (requirements 2 and 3), and how changes are written."""
    if path.suffix.lower() != ".gpkg":
        yield Finding("file-name", path.name, f"The name {path.name} does not end in .gpkg, so map programs refuse it.")
    for pragma, wanted in (("application_id", APPLICATION_ID), ("user_version", USER_VERSION)):
        number = connection.execute(f"PRAGMA {pragma}").fetchone()[0]
        if number != wanted:
            code = pragma.replace("_", "-")
            yield Finding(code, "", f"The file's {pragma} is {number} instead of {wanted}.")
    if connection.execute("PRAGMA journal_mode").fetchone()[0] == "wal":
        yield Finding("second-file", "", "Changes are kept in a second file, so that a copy of this one may lack them.")


def _page_findings(connection: sqlite3.Connection) -> Iterator[Finding]:
    for (line,) in connection.execute(f"PRAGMA integrity_check({_MOST})"):
        if line != "ok":
            yield Finding("integrity", "", f"The database is damaged: {line}.")


def _key_findings(connection: sqlite3.Connection) -> Iterator[Finding]:
    for table, row, parent, _ in connection.execute("PRAGMA foreign_key_check"):
        yield Finding("dangling", table, f"Row {row} of {table} names something that is not in {parent}.")
