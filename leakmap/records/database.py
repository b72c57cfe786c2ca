"""The database under a job file: opening it, one transaction at a time, and one sentence for what goes wrong."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from leakmap.base.errors import BadValue, NotWritten, UnusableJobFile, reason_of

_WAIT_S: Final = 5.0
_MAGIC: Final = b"SQLite format 3\x00"
_PRIMARY: Final = 0xFF  # the lowest byte of an extended error code
_SENTENCES: Final = {
    sqlite3.SQLITE_FULL: "The disk is full, so nothing was written; {name} is as it was before. Free some space and"
    " try again.",
    sqlite3.SQLITE_READONLY: "{name} cannot be changed, because it or its folder is read-only; copy it to a folder of"
    " your own and open the copy.",
    sqlite3.SQLITE_CANTOPEN: "{name} cannot be opened or written here; check that its folder exists and that you may"
    " write in it.",
    sqlite3.SQLITE_PERM: "{name} cannot be opened; you have no right to read it.",
    sqlite3.SQLITE_BUSY: "{name} is being written by another program; it is as it was before, try again in a moment.",
    sqlite3.SQLITE_LOCKED: "{name} is being written by another program; it is as it was before, try again in a moment.",
    sqlite3.SQLITE_IOERR: "The disk failed while {name} was in use; nothing of the last change was kept. Copy the"
    " file to another disk and run leakmap check on the copy.",
    sqlite3.SQLITE_NOTADB: "{name} is damaged and cannot be read as a job file; go back to a copy of it.",
    sqlite3.SQLITE_CORRUPT: "{name} is damaged and was left as it is; go back to a copy of it.",
}
_PASSING: Final = {
    sqlite3.SQLITE_FULL: "disk full",
    sqlite3.SQLITE_READONLY: "read-only",
    sqlite3.SQLITE_CANTOPEN: "folder out of reach",
    sqlite3.SQLITE_BUSY: "file in use",
    sqlite3.SQLITE_LOCKED: "file in use",
    sqlite3.SQLITE_IOERR: "disk failed",
}
"""What may pass by itself, or be put right while the job is open, in short."""


def connected(path: Path, *, look_only: bool = False) -> sqlite3.Connection:
    """A connection to a database that is there.

    One thread may open it and another go on with it, one after the other. Even to look, the file is opened for writing where that is possible, so that a change that was cut
    short by a crash is taken back first.

    Raises:
        UnusableJobFile: It is not there, no database, or cannot be opened.
    """
    refuse_others(path)
    with speaking_of(path):
        connection = sqlite3.connect(
            f"{path.absolute().as_uri()}?mode=rw", uri=True, timeout=_WAIT_S, check_same_thread=False
        )
        try:
            _prepare(connection)
            connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
            if look_only:
                connection.execute("PRAGMA query_only = ON")
        except BaseException:
            connection.close()
            raise
    return connection


def made(path: Path) -> sqlite3.Connection:
    """A connection to a new, empty database.

    Raises:
        sqlite3.Error: It cannot be made there.
    """
    connection = sqlite3.connect(path, timeout=_WAIT_S)
    _prepare(connection)
    return connection


@contextmanager
def one_transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """All or nothing: what is done inside is kept together, or taken back together.

    Raises:
        BadValue: A value cannot be kept, or names something that is not there.
    """
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException as problem:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        if isinstance(problem, sqlite3.IntegrityError):
            raise BadValue(
                f"This job names something that it does not hold, so it was not saved ({problem})."
            ) from None
        if isinstance(problem, UnicodeEncodeError):
            raise BadValue(f"A name or note holds a character that cannot be written: {problem.object!a}.") from None
        if isinstance(problem, OverflowError):
            raise BadValue("A number of this job is too large to be written, so it was not saved.") from None
        raise


@contextmanager
def speaking_of(path: Path) -> Iterator[None]:
    """Says what goes wrong with a file in one sentence.

    Raises:
        UnusableJobFile: Instead of whatever the database raised.
    """
    try:
        yield
    except sqlite3.Error as error:
        raise unusable(path, error) from error


def unusable(path: Path, error: sqlite3.Error) -> UnusableJobFile:
    """What to tell the user of an error of the database."""
    code = getattr(error, "sqlite_errorcode", 0) & _PRIMARY
    sentence = _SENTENCES.get(code)
    if sentence is None:
        said = f"{path.name} could not be used and is as it was before: the database said: {error}."
        return UnusableJobFile(said, where=str(path))
    said = sentence.format(name=path.name)
    if code in _PASSING:
        return NotWritten(said, why=_PASSING[code], where=str(path))
    return UnusableJobFile(said, where=str(path))


def _prepare(connection: sqlite3.Connection) -> None:
    connection.isolation_level = None  # transactions are our own
    for pragma in ("foreign_keys = ON", "synchronous = FULL", "trusted_schema = OFF"):
        connection.execute(f"PRAGMA {pragma}")


def refuse_others(path: Path) -> None:
    """Refuse what is no database, before it is opened.

    Raises:
        UnusableJobFile: It is not there, cannot be read, or is something else.
    """
    where = str(path)
    try:
        with path.open("rb") as file:
            head = file.read(len(_MAGIC))
    except FileNotFoundError:
        raise UnusableJobFile(f"{path} is not there; check the name of the job file.", where=where) from None
    except OSError as error:
        raise UnusableJobFile(f"{path} cannot be read: {reason_of(error)}.", where=where) from error
    if head != _MAGIC:
        raise UnusableJobFile(
            f"{path.name} is no job file of leakmap and was left as it is; choose a file that leakmap made.",
            where=where,
        )
