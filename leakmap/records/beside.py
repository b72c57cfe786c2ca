"""Large files written into an open job file beside its own connection, so that whoever works in it need not wait.

The owner begins, ``Beside.write`` may run in another thread, and the owner ends. In between the job file
takes nothing else: a deed done meanwhile waits, as it does while another program is writing.

A job file tells its own changes from others' by SQLite's ``data_version``, a number that a connection sees
changed when any other one has written. So both connections watch each other: what the owner sees
changed is ours exactly where the other one saw nobody.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from leakmap.base.errors import UnusableJobFile
from leakmap.records import blobs, lock
from leakmap.records.blobs import ParsedKey
from leakmap.records.database import connected, one_transaction, speaking_of
from leakmap.records.lock import Holder
from leakmap.records.saving import register_change


class Beside:
    """A second connection to a job file for its holder.

    Args:
        path: The file.
        holder: Who has it open for change.

    Raises:
        UnusableJobFile: It cannot be opened.
    """

    def __init__(self, path: Path, holder: Holder) -> None:
        self._path = path
        self._holder = holder
        self._connection = connected(path)
        self._version = outside_changes(self._connection)

    @property
    def disturbed(self) -> bool:
        """Whether anybody else has written to the file since it was opened."""
        return outside_changes(self._connection) != self._version

    def write(self, contents: Iterable[bytes], parsed: Mapping[ParsedKey, bytes], *, at: datetime) -> None:
        """Keep files and drawings as read, in one transaction.

        Raises:
            UnusableJobFile: Somebody took the file over or changed it, or it cannot be written.
        """
        with (
            speaking_of(self._path),
            transaction_of(self._connection, self._path, self._holder, self._version, at=at),
        ):
            for content in contents:
                blobs.put_blob(self._connection, content)
            for key, content in parsed.items():
                blobs.put_parsed(self._connection, key, content)
            for table in ("blobs", "parsed_drawings"):
                register_change(self._connection, table, at=at)

    def close(self) -> None:
        """Let go of the file; the lock stays with its holder."""
        self._connection.close()


def outside_changes(connection: sqlite3.Connection) -> int:
    """A number that changes when another connection has written to the file."""
    number: int = connection.execute("PRAGMA data_version").fetchone()[0]
    return number


@contextmanager
def transaction_of(
    connection: sqlite3.Connection, path: Path, holder: Holder, version: int, *, at: datetime
) -> Iterator[None]:
    """One transaction of a holder, on a file that nobody else has written to.

    Raises:
        UnusableJobFile: Somebody took the file over or changed it.
    """
    with one_transaction(connection):
        if not lock.touch(connection, holder, at):
            raise UnusableJobFile(_taken_over(lock.held(connection)), where=str(path))
        if outside_changes(connection) != version:
            raise changed_elsewhere(path)
        yield


def changed_elsewhere(path: Path) -> UnusableJobFile:
    """What to tell the user of a file that another program has written to."""
    return UnusableJobFile(
        f"{path.name} was changed by another program while it was open here, so this change was not"
        " saved; close the job and open it again.",
        where=str(path),
    )


def _taken_over(now: lock.Held | None) -> str:
    who = "somebody else" if now is None else f"{now.holder.user} on {now.holder.host}"
    return f"This job was taken over by {who} while it was silent here, so this change was not saved; open it again."
