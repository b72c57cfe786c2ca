"""Checks a job file against the GeoPackage standard, as far as that can be done by reading.

The layout of every table is compared with the statements that make it, which hold only column types,
keys and constraints of the standard; a test checks those with another program.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator
from typing import Any, Final

from leakmap.base.findings import Finding
from leakmap.records.geopackage import REFERENCE_SYSTEMS, SRS_ID, SYSTEM_TABLES, box_of_table, points_of
from leakmap.records.layout import EXTENSION, EXTENSION_TABLES, PLAIN_TABLES, statements
from leakmap.records.saving import EVERY_TABLE

_FEATURES: Final = tuple(table.name for table in EVERY_TABLE if table.shape is not None)
_CONTENTS: Final = {
    **{table.name: "attributes" if table.shape is None else "features" for table in EVERY_TABLE},
    **dict.fromkeys(PLAIN_TABLES, "attributes"),
}
_MOMENT: Final = re.compile(r"\d{4}-[01]\d-[0-3]\dT[0-2]\d:[0-5]\d:[0-5]\d\.\d{3}Z")


def layout_findings(connection: sqlite3.Connection) -> Iterator[Finding]:
    """Tables, indexes and triggers that are missing, changed, or added by another program."""
    wanted = {name: _plain(sql) for name, sql in (SYSTEM_TABLES | statements()).items()}
    there = {
        name: (kind, table, _plain(sql or ""))
        for kind, name, table, sql in connection.execute("SELECT type, name, tbl_name, sql FROM sqlite_master")
        if not name.startswith("sqlite_")
    }
    for name, sql in wanted.items():
        kind = sql.split()[1].lower()
        if name not in there:
            yield Finding("missing-part", name, f"The {kind} {name} is missing.")
        elif there[name][2] != sql:
            yield Finding("changed-layout", name, f"The {kind} {name} is not laid out as in a job file.")
    for name in there.keys() - wanted.keys():
        kind, table, _ = there[name]
        if kind == "trigger":
            yield Finding(
                "added-trigger", name, f"The trigger {name} on {table} was added; it may change rows by itself."
            )
        elif kind != "index":
            yield Finding(
                "added-table", name, f"The {kind} {name} was added by another program; leakmap leaves it alone."
            )


def register_findings(connection: sqlite3.Connection) -> Iterator[Finding]:
    """What is wrong in the standard's own tables, and with geometries."""
    yield from _reference_system_findings(connection)
    yield from _contents_findings(connection)
    yield from _column_findings(connection)
    yield from _extension_findings(connection)
    for table in _FEATURES:
        yield from _geometry_findings(connection, table)


def _plain(sql: str) -> str:
    return " ".join(sql.split())


def _reference_system_findings(connection: sqlite3.Connection) -> Iterator[Finding]:
    """Requirement 11: the three reference systems that are always there."""
    columns = "organization, organization_coordsys_id, definition"
    rows = {row[0]: row[1:] for row in connection.execute(f"SELECT srs_id, {columns} FROM gpkg_spatial_ref_sys")}  # noqa: S608 - fixed words
    for _, number, organization, own_number, definition, _ in REFERENCE_SYSTEMS:
        wanted: tuple[Any, ...] = (organization, own_number, definition)
        if number not in rows:
            yield Finding("reference-system", str(number), f"Reference system {number} is missing.")
        elif (number <= 0 and rows[number] != wanted) or rows[number][:2] != wanted[:2]:
            yield Finding("reference-system", str(number), f"Reference system {number} is not what the standard says.")


def _contents_findings(connection: sqlite3.Connection) -> Iterator[Finding]:
    """Requirements 13 to 16, and boxes that hold what they should."""
    rows = {
        name: (kind, srs, at, None if None in box else tuple(box))
        for name, kind, srs, at, *box in connection.execute(
            "SELECT table_name, data_type, srs_id, last_change, min_x, min_y, max_x, max_y FROM gpkg_contents"
        )
    }
    for name, kind in _CONTENTS.items():
        if name not in rows:
            yield Finding("contents", name, f"The table {name} is not registered in gpkg_contents.")
            continue
        wanted = (kind, SRS_ID if kind == "features" else None)
        if rows[name][:2] != wanted:
            yield Finding("contents", name, f"The table {name} is registered as something else than {kind}.")
        if not _MOMENT.fullmatch(str(rows[name][2])):
            yield Finding("contents", name, f"The time of the last change of {name} is not written as it should be.")
        if kind == "features":
            yield from _box_findings(connection, name, rows[name][3])


def _box_findings(connection: sqlite3.Connection, name: str, registered: tuple[Any, ...] | None) -> Iterator[Finding]:
    try:
        box = box_of_table(connection, name)
    except ValueError:
        return  # told of the geometry itself
    if box != registered:
        yield Finding("extent", name, f"The extent registered for {name} is not that of its geometries.")


def _column_findings(connection: sqlite3.Connection) -> Iterator[Finding]:
    """Requirements 21 to 30, as far as they concern the register of geometry columns."""
    rows = {
        row[0]: row[1:]
        for row in connection.execute(
            "SELECT table_name, column_name, geometry_type_name, srs_id, z, m FROM gpkg_geometry_columns"
        )
    }
    for name in _FEATURES:
        if rows.get(name) != ("geom", "GEOMETRY", SRS_ID, 0, 0):
            yield Finding("geometry-column", name, f"The geometry column of {name} is not registered as it should be.")


def _extension_findings(connection: sqlite3.Connection) -> Iterator[Finding]:
    """Requirements 58 to 64 for our own extension."""
    rows = {
        (table, name): (column, scope)
        for table, column, name, scope in connection.execute(
            "SELECT table_name, column_name, extension_name, scope FROM gpkg_extensions"
        )
    }
    for name in EXTENSION_TABLES:
        if rows.get((name, EXTENSION)) != (None, "read-write"):
            yield Finding("extension", name, f"The table {name} is not registered as part of our extension.")


def _geometry_findings(connection: sqlite3.Connection, table: str) -> Iterator[Finding]:
    """Requirement 19: header, box and size of each geometry, compared with what it should be."""
    for key, blob in connection.execute(f'SELECT fid, geom FROM "{table}" ORDER BY fid'):  # noqa: S608 - our own names
        try:
            points_of(blob)
        except ValueError as error:
            yield Finding("geometry", table, f"Row {key} of {table} has no usable geometry: {error}.")
