"""Who has a job file open for change: one row that others respect.

SQLite's own locks last only as long as a transaction. Whoever opens a job for change writes a row and
touches it every minute; somebody else may take it over after five minutes of silence.
"""

from __future__ import annotations

import os
import sqlite3
import sys
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

SILENCE: Final = timedelta(minutes=5)
"""A lock that was not touched for so long may be taken over (ours)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Holder:
    """Who holds a job file.

    Attributes:
        host: Name of the computer.
        user: Name of the user.
        process: Number of the process.
        since: When it was opened, with time zone.
    """

    host: str
    user: str
    process: int
    since: datetime


@dataclass(frozen=True, slots=True)
class Held:
    """A holder, and when it was last heard of."""

    holder: Holder
    heartbeat: datetime

    def silent(self, at: datetime) -> bool:
        """Whether it has been silent for so long that somebody else may take over."""
        return at - self.heartbeat >= SILENCE

    def died(self, host: str) -> bool:
        """Whether its process ran on this computer and runs no more, so that nobody has the file open."""
        return self.holder.host == host and not running(self.holder.process)


def running(process: int) -> bool:
    """Whether a process of this computer runs; where that cannot be told, it does."""
    if process <= 0:
        return False
    if sys.platform == "win32":
        return _runs_on_windows(process)
    try:
        os.kill(process, 0)  # asks, and signals nothing
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:
        return True  # another user's
    return True


def held(connection: sqlite3.Connection) -> Held | None:
    """Who holds the file; None when nobody does, or the row cannot be read."""
    row = connection.execute(
        "SELECT host, user, process, since, heartbeat FROM leakmap_lock ORDER BY fid DESC"
    ).fetchone()
    if row is None:
        return None
    host, user, process, since, heartbeat = row
    try:
        holder = Holder(host=host, user=user, process=process, since=datetime.fromisoformat(since))
        return Held(holder, datetime.fromisoformat(heartbeat))
    except (ValueError, TypeError):
        return None


def take(connection: sqlite3.Connection, holder: Holder) -> None:
    """Make somebody the holder."""
    connection.execute("DELETE FROM leakmap_lock")
    since = holder.since.isoformat()
    connection.execute(
        "INSERT INTO leakmap_lock VALUES (1, ?, ?, ?, ?, ?)", (holder.host, holder.user, holder.process, since, since)
    )


def touch(connection: sqlite3.Connection, holder: Holder, at: datetime) -> bool:
    """Say that the holder is still there; False when somebody else took over."""
    touched = connection.execute(
        "UPDATE leakmap_lock SET heartbeat = ? WHERE host = ? AND user = ? AND process = ? AND since = ?",
        (at.isoformat(), holder.host, holder.user, holder.process, holder.since.isoformat()),
    )
    return touched.rowcount == 1


def give_back(connection: sqlite3.Connection, holder: Holder) -> None:
    """Hold the file no longer; nothing happens when somebody else took over."""
    connection.execute(
        "DELETE FROM leakmap_lock WHERE host = ? AND user = ? AND process = ? AND since = ?",
        (holder.host, holder.user, holder.process, holder.since.isoformat()),
    )


def words_of(holder: Holder, *, host: str) -> str:
    """What somebody on a computer reads who can only look."""
    if holder.host == host:
        return "This job is already open on this computer. You can look, not change."
    return f"This job is open on another computer ({holder.host}). You can look, not change."


def _runs_on_windows(process: int) -> bool:
    import ctypes  # noqa: PLC0415 - needed on one system only

    kernel = getattr(ctypes, "WinDLL")("kernel32", use_last_error=True)  # noqa: B009 - no such name elsewhere
    ask, not_allowed, still_active = 0x1000, 5, 259  # a right, an error, and the answer of a process that runs
    handle = kernel.OpenProcess(ask, False, process)
    if not handle:
        return bool(getattr(ctypes, "get_last_error")() == not_allowed)  # noqa: B009 - as above
    code = ctypes.c_ulong()
    known = kernel.GetExitCodeProcess(handle, ctypes.byref(code))
    kernel.CloseHandle(handle)
    return not known or code.value == still_active
