"""What makes a database a GeoPackage: its marks, its own tables, and its geometries.

Source: OGC GeoPackage Encoding Standard, version 1.3. Positions are metres in the site plane, which
has no place on earth: the undefined Cartesian reference system, srs_id -1.
"""

from __future__ import annotations

import sqlite3
import struct
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from typing import Final

from leakmap.geometry.path import Box, Point

APPLICATION_ID: Final = 0x47504B47  # "GPKG"
USER_VERSION: Final = 10300  # 1.3.0
SRS_ID: Final = -1

SYSTEM_TABLES: Final = {
    "gpkg_spatial_ref_sys": """
CREATE TABLE gpkg_spatial_ref_sys (
  srs_name TEXT NOT NULL,
  srs_id INTEGER PRIMARY KEY,
  organization TEXT NOT NULL,
  organization_coordsys_id INTEGER NOT NULL,
  definition TEXT NOT NULL,
  description TEXT
)""",
    "gpkg_contents": """
CREATE TABLE gpkg_contents (
  table_name TEXT NOT NULL PRIMARY KEY,
  data_type TEXT NOT NULL,
  identifier TEXT UNIQUE,
  description TEXT DEFAULT '',
  last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')),
  min_x DOUBLE,
  min_y DOUBLE,
  max_x DOUBLE,
  max_y DOUBLE,
  srs_id INTEGER,
  CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id)
)""",
    "gpkg_geometry_columns": """
CREATE TABLE gpkg_geometry_columns (
  table_name TEXT NOT NULL,
  column_name TEXT NOT NULL,
  geometry_type_name TEXT NOT NULL,
  srs_id INTEGER NOT NULL,
  z TINYINT NOT NULL,
  m TINYINT NOT NULL,
  CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name),
  CONSTRAINT uk_gc_table_name UNIQUE (table_name),
  CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
  CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys (srs_id)
)""",
    "gpkg_extensions": """
CREATE TABLE gpkg_extensions (
  table_name TEXT,
  column_name TEXT,
  extension_name TEXT NOT NULL,
  definition TEXT NOT NULL,
  scope TEXT NOT NULL,
  CONSTRAINT ge_tce UNIQUE (table_name, column_name, extension_name)
)""",
}
"""The standard's own tables, each by the statement of its annex C."""

_WGS84: Final = (
    'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]],'
    'AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],'
    'UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],AUTHORITY["EPSG","4326"]]'
)
REFERENCE_SYSTEMS: Final = (
    ("Undefined Cartesian SRS", -1, "NONE", -1, "undefined", "undefined Cartesian coordinate reference system"),
    ("Undefined geographic SRS", 0, "NONE", 0, "undefined", "undefined geographic coordinate reference system"),
    ("WGS 84 geodetic", 4326, "EPSG", 4326, _WGS84, "longitude and latitude on the WGS 84 spheroid"),
)
"""Rows that every GeoPackage holds (requirement 11)."""

# Header of a geometry: the letters GP, version 0, flags, reference system, and the box of a line.
_POINT: Final = struct.Struct("<2sBBi")
_LINE: Final = struct.Struct("<2sBBi4d")
_PLAIN_FLAGS: Final = 0b0000_0001  # little-endian, no box
_BOX_FLAGS: Final = 0b0000_0011  # little-endian, box of x and y
_WKB_POINT: Final = struct.Struct("<BI2d")
_WKB_LINE: Final = struct.Struct("<BII")


def make_geopackage(connection: sqlite3.Connection) -> None:
    """Mark an empty database as a GeoPackage and make the standard's tables in it."""
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute(f"PRAGMA user_version = {USER_VERSION}")
    for statement in SYSTEM_TABLES.values():
        connection.execute(statement)
    connection.executemany("INSERT INTO gpkg_spatial_ref_sys VALUES (?, ?, ?, ?, ?, ?)", REFERENCE_SYSTEMS)


def add_contents(connection: sqlite3.Connection, table: str, *, words: str, geometry: str | None, at: datetime) -> None:
    """Register a table, as features where it has a geometry column."""
    kind = "attributes" if geometry is None else "features"
    srs = None if geometry is None else SRS_ID
    connection.execute(
        "INSERT INTO gpkg_contents (table_name, data_type, identifier, description, last_change, srs_id)"
        " VALUES (?, ?, ?, ?, ?, ?)",
        (table, kind, table, words, moment_text(at), srs),
    )
    if geometry is not None:
        connection.execute(
            "INSERT INTO gpkg_geometry_columns VALUES (?, ?, 'GEOMETRY', ?, 0, 0)", (table, geometry, SRS_ID)
        )


def moment_text(at: datetime) -> str:
    """A time as the standard writes it: UTC, milliseconds.

    >>> moment_text(datetime(2026, 11, 2, 9, 30, tzinfo=UTC))
    '2026-11-02T09:30:00.000Z'
    """
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.") + f"{at.microsecond // 1000:03d}Z"


def blob_of(points: Sequence[Point]) -> bytes:
    """The geometry of a course: a POINT of one point, else a LINESTRING.

    The sign of a zero is dropped, as everywhere in the job file.

    >>> points_of(blob_of([(1.0, 2.0)])), points_of(blob_of([(0.0, 0.0), (4.0, 3.0)]))
    (((1.0, 2.0),), ((0.0, 0.0), (4.0, 3.0)))
    """
    flat = [part + 0.0 for point in points for part in point]
    if len(points) == 1:
        return _POINT.pack(b"GP", 0, _PLAIN_FLAGS, SRS_ID) + _WKB_POINT.pack(1, 1, *flat)
    xs, ys = flat[::2], flat[1::2]
    header = _LINE.pack(b"GP", 0, _BOX_FLAGS, SRS_ID, min(xs), max(xs), min(ys), max(ys))
    return header + _WKB_LINE.pack(1, 2, len(points)) + struct.pack(f"<{len(flat)}d", *flat)


def points_of(blob: object) -> tuple[Point, ...]:
    """The points of a geometry as `blob_of` writes it; one point for a POINT.

    Raises:
        ValueError: It is not such a geometry; the message says in what.
    """
    if not isinstance(blob, bytes):
        raise ValueError("the geometry is missing")  # noqa: TRY004 - a bad cell, not a bad call
    try:
        flat = _flat(blob)
    except struct.error as error:
        raise ValueError("the geometry is cut short") from error
    points = tuple(zip(flat[::2], flat[1::2], strict=True))
    if blob_of(points) != blob:
        raise ValueError("the header, the box or the size of the geometry is wrong")
    return points


def _flat(blob: bytes) -> tuple[float, ...]:
    letters, version, flags, srs = _POINT.unpack_from(blob)
    if (letters, version) != (b"GP", 0):
        raise ValueError("the geometry does not start as one of a GeoPackage")
    if srs != SRS_ID:
        raise ValueError(f"the geometry is in reference system {srs} instead of {SRS_ID}")
    if flags == _PLAIN_FLAGS:
        return _WKB_POINT.unpack_from(blob, _POINT.size)[2:]
    if flags != _BOX_FLAGS:
        raise ValueError("the geometry has unknown flags")
    _, _, count = _WKB_LINE.unpack_from(blob, _LINE.size)
    return struct.unpack_from(f"<{2 * count}d", blob, _LINE.size + _WKB_LINE.size)


def box_of(blob: bytes) -> Box:
    """Box of a geometry from its first 40 bytes: min x, min y, max x, max y.

    Raises:
        ValueError: The geometry is cut short.
    """
    try:
        if blob[3] == _PLAIN_FLAGS:
            x, y = struct.unpack_from("<2d", blob, _POINT.size + 5)
            return x, y, x, y
        min_x, max_x, min_y, max_y = struct.unpack_from("<4d", blob, _POINT.size)
    except (struct.error, LookupError, TypeError) as error:
        raise ValueError("a geometry is cut short") from error
    return min_x, min_y, max_x, max_y


def box_round(boxes: Iterable[Box]) -> Box | None:
    """Box round some boxes; None round none."""
    every = list(boxes)
    if not every:
        return None
    min_xs, min_ys, max_xs, max_ys = zip(*every, strict=True)
    return min(min_xs), min(min_ys), max(max_xs), max(max_ys)


def box_of_table(connection: sqlite3.Connection, table: str) -> Box | None:
    """Box round every geometry of a feature table; None where it is empty.

    Raises:
        ValueError: A geometry is cut short.
    """
    heads = connection.execute(f'SELECT substr("geom", 1, 40) FROM "{table}"')  # noqa: S608 - our own table names
    return box_round(box_of(head) for (head,) in heads)
