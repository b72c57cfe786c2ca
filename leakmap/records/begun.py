"""The revision that is being made, kept over restarts: one row or none, no part of the job and of its journal."""

from __future__ import annotations

import sqlite3

from leakmap.model.revision import Begun
from leakmap.model.words import Purpose


def begun_in(connection: sqlite3.Connection) -> Begun | None:
    """The revision that was begun; None where there is none, or the row cannot be read."""
    row = connection.execute("SELECT purpose, to_whom FROM leakmap_begun ORDER BY fid DESC").fetchone()
    try:
        return None if row is None else Begun(purpose=Purpose(row[0]), to_whom=str(row[1]))
    except ValueError:
        return None


def put_begun(connection: sqlite3.Connection, begun: Begun | None) -> None:
    """Keep the revision that was begun, or none."""
    connection.execute("DELETE FROM leakmap_begun")
    if begun is not None:
        connection.execute("INSERT INTO leakmap_begun VALUES (1, ?, ?)", (begun.purpose.value, begun.to_whom))
