"""The job file: a job kept in a GeoPackage, where each change is one transaction.

There is nothing to save and nothing to lose: after every edit the file holds the new job, and what was
done stands in its journal. One person has it open for change at a time; others look.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from contextlib import closing, contextmanager, suppress
from datetime import datetime
from pathlib import Path
from types import MappingProxyType, TracebackType
from typing import Final, Self
from uuid import UUID

from leakmap.base.errors import NotWritten, UnusableJobFile, reason_of
from leakmap.base.file_names import neighbour
from leakmap.model.job import Job
from leakmap.model.revision import Begun
from leakmap.records import blobs, journal, lock, upgrades
from leakmap.records.begun import begun_in, put_begun
from leakmap.records.beside import Beside, changed_elsewhere, outside_changes, transaction_of
from leakmap.records.blobs import ParsedKey, sha256_of
from leakmap.records.database import connected, made, one_transaction, speaking_of
from leakmap.records.differences import Places
from leakmap.records.journal import Deed, Earlier, Entry
from leakmap.records.lock import Holder
from leakmap.records.reading import reading_of
from leakmap.records.rows import read_job
from leakmap.records.saving import make_tables, register_change, write_differences, write_first

_IN_USE: Final = "{name} is taking in a drawing; it is as it was before, try again in a moment."
_BESIDE: Final = "a drawing is being kept"


def create_job_file(
    path: Path,
    job: Job,
    *,
    user: str,
    at: datetime,
    sources: Iterable[bytes] = (),
    parsed: Mapping[ParsedKey, bytes] = MappingProxyType({}),
    replace: bool = False,
) -> None:
    """Make a job file, whole or not at all.

    Args:
        path: Where; by custom its name ends in ``.gpkg``.
        job: The job.
        user: Who makes it.
        at: When, with time zone.
        sources: Files that it keeps: the drawings of its sheets.
        parsed: Drawings as read.
        replace: Whether a file of that name may be replaced.

    Raises:
        UnusableJobFile: It is there already, or cannot be written.
        BadValue: The job holds what no file can keep.
    """
    if path.exists() and not replace:
        raise UnusableJobFile(f"{path} is there already and is not replaced; give another name.", where=str(path))
    beside = neighbour(path)
    try:
        with speaking_of(path), closing(made(beside)) as connection, one_transaction(connection):
            make_tables(connection, at=at)
            write_first(connection, job, at=at)
            for content in sources:
                blobs.put_blob(connection, content)
            for key, content in parsed.items():
                blobs.put_parsed(connection, key, content)
            journal.append(connection, Deed.MADE, "Made the job file", user=user, at=at)
        beside.replace(path)
    except OSError as error:
        raise UnusableJobFile(f"{path} cannot be written: {reason_of(error)}.", where=str(path)) from error
    finally:
        beside.unlink(missing_ok=True)


def open_job_file(path: Path, *, user: str, host: str, at: datetime, look_only: bool = False) -> JobFile:
    """Open a job file for change, or to look.

    Args:
        path: The file.
        user: Who opens it.
        host: On which computer.
        at: When, with time zone.
        look_only: Whether it is only to be read.

    Returns:
        The file; where somebody else has it open, it can only be looked at and ``notice`` says so.

    Raises:
        UnusableJobFile: It is not there, no job file, damaged, newer than this program, or cannot be written.
    """
    with _closed_on_failure(connected(path, look_only=look_only)) as connection, speaking_of(path):
        schema = upgrades.schema_of(connection, path)
        upgrades.refuse_newer(schema, path)
        if look_only:
            return JobFile(path, upgrades.upgraded_in_memory(connection, schema, user=user, at=at))
        connection.execute("PRAGMA journal_mode = DELETE")
        me = Holder(host=host, user=user, process=os.getpid(), since=at)
        mine, notice = _take(connection, me)
        if not mine:
            connection.execute("PRAGMA query_only = ON")
            return JobFile(path, upgrades.upgraded_in_memory(connection, schema, user=user, at=at), notice=notice)
        try:
            kept = upgrades.upgrade(connection, path, user=user, at=at)
            return JobFile(path, connection, holder=me, notice=notice, kept_copy=kept)
        except BaseException:
            with suppress(sqlite3.Error):
                lock.give_back(connection, me)
            raise


class JobFile:
    """An open job file; use it in a ``with`` statement, or close it.

    Attributes:
        path: The file.
        notice: What the user should read about who else has it open; empty when there is nothing to say.
        kept_copy: The copy that an upgrade left beside; None where there was none.
    """

    def __init__(
        self,
        path: Path,
        connection: sqlite3.Connection,
        *,
        holder: Holder | None = None,
        notice: str = "",
        kept_copy: Path | None = None,
    ) -> None:
        self.path = path
        self.notice = notice
        self.kept_copy = kept_copy
        self._connection = connection
        self._holder = holder
        self._beside: Beside | None = None
        self._job: Job
        self._places: Places
        with self._reading():
            self._job, self._places = read_job(connection)
            self._version = outside_changes(connection)
        self._pending: tuple[Job, Places] = (self._job, self._places)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @property
    def job(self) -> Job:
        """The job as last saved."""
        return self._job

    @property
    def look_only(self) -> bool:
        """Whether it can only be looked at."""
        return self._holder is None

    def close(self) -> None:
        """Let others open it for change; a lock that cannot be given back falls silent by itself."""
        self.end_beside()
        if self._holder is not None:
            with suppress(sqlite3.Error):
                lock.give_back(self._connection, self._holder)
        self._connection.close()

    def wait_at_most(self, seconds: float) -> None:
        """Wait no longer than this while another program is writing; five seconds unless said otherwise.

        Whoever can try again later need not keep a user waiting.
        """
        with self._reading():
            self._connection.execute(f"PRAGMA busy_timeout = {round(seconds * 1000)}")

    def save(self, job: Job, *, words: str, user: str, at: datetime, deed: Deed = Deed.EDITED) -> None:
        """Write a changed job, and what was done, in one transaction; nothing is written where nothing differs.

        Args:
            job: The job as it shall be.
            words: What was done.
            user: Who did it.
            at: When, with time zone.
            deed: Whether it was an edit, an undo or a redo.

        Raises:
            NotWritten: It cannot be written now.
            UnusableJobFile: It can only be looked at, or somebody took it over or changed it.
            BadValue: The job holds what no file can keep.
        """
        with self._writing(at):
            self._write(job, deed, words, user=user, at=at)

    def store_issue(
        self,
        job: Job,
        *,
        frozen_job: str,
        schedule_json: str,
        papers: Mapping[str, bytes],
        words: str,
        user: str,
        at: datetime,
    ) -> None:
        """Write an issued job with all that its new revision holds, in one transaction; none is begun any more.

        Args:
            job: The job with one revision more, whose hashes are those of what is given here.
            frozen_job: The frozen job (`frozen_text`).
            schedule_json: The schedule as issued.
            papers: Papers by file name.
            words: What was done, such as "Issued P01".
            user: Who did it.
            at: When, with time zone.

        Raises:
            UnusableJobFile: It can only be looked at, somebody took it over, or it cannot be written.
            BadValue: The job holds what no file can keep.
            ValueError: The revision does not name exactly what is given.
        """
        texts = [text.encode("utf-8") for text in (frozen_job, schedule_json)]
        new = [revision for key, revision in job.revisions.items() if key not in self._job.revisions]
        named = [(revision.job_sha256, revision.schedule_sha256) for revision in new]
        listed = [{paper.name: (paper.sha256, paper.size) for paper in revision.papers} for revision in new]
        given = {name: (sha256_of(content), len(content)) for name, content in papers.items()}
        if named != [tuple(map(sha256_of, texts))] or listed != [given]:
            raise ValueError("The new revision does not name exactly what was issued.")
        with self._writing(at):
            for content in (*texts, *papers.values()):
                blobs.put_blob(self._connection, content)
            register_change(self._connection, "blobs", at=at)
            put_begun(self._connection, None)
            self._write(job, Deed.ISSUED, words, user=user, at=at)

    def begun(self) -> Begun | None:
        """The revision that is being made; None where none was begun.

        Raises:
            UnusableJobFile: The file cannot be read.
        """
        with self._reading():
            return begun_in(self._connection)

    def keep_begun(self, begun: Begun | None, *, at: datetime) -> None:
        """Keep the revision that was begun, or none, over restarts.

        Raises:
            NotWritten: It cannot be written now.
            UnusableJobFile: It can only be looked at, or somebody took it over or changed it.
        """
        with self._writing(at):
            put_begun(self._connection, begun)

    def put_blob(self, content: bytes, *, at: datetime) -> str:
        """Keep a file, such as a drawing, and give its SHA-256.

        Raises:
            UnusableJobFile: It can only be looked at, somebody took it over, or it cannot be written.
        """
        with self._writing(at):
            sha256 = blobs.put_blob(self._connection, content)
            register_change(self._connection, "blobs", at=at)
        return sha256

    def blob(self, sha256: str) -> bytes:
        """The file of a hash, checked against it.

        Raises:
            UnusableJobFile: It is not there, or damaged.
        """
        with speaking_of(self.path):
            return blobs.blob_named(self._connection, sha256)

    def blob_apart(self, sha256: str) -> bytes:
        """The same by a connection of its own, so that another thread may call it.

        Raises:
            UnusableJobFile: It is not there, or damaged.
        """
        with closing(connected(self.path, look_only=True)) as connection, speaking_of(self.path):
            return blobs.blob_named(connection, sha256)

    def put_parsed(self, key: ParsedKey, content: bytes, *, at: datetime) -> None:
        """Keep a drawing as read, so that it opens at once; skipped where the file can only be looked at.

        Raises:
            UnusableJobFile: Somebody took it over, or it cannot be written.
        """
        if self.look_only:
            return
        with self._writing(at):
            blobs.put_parsed(self._connection, key, content)
            register_change(self._connection, "parsed_drawings", at=at)

    def parsed(self, key: ParsedKey) -> bytes | None:
        """A drawing as read; None where it must be read from its source again.

        Raises:
            UnusableJobFile: The file cannot be read.
        """
        with speaking_of(self.path):
            return blobs.parsed(self._connection, key)

    def begin_beside(self) -> Beside:
        """Begin to write large files beside; until ``end_beside`` nothing else can be written.

        Raises:
            NotWritten: Something is being written beside already.
            UnusableJobFile: It can only be looked at, or somebody changed it.
        """
        holder = self._held()
        if self._beside is not None:
            raise NotWritten(_IN_USE.format(name=self.path.name), why=_BESIDE, where=str(self.path))
        with self._reading():
            beside = Beside(self.path, holder)
            if outside_changes(self._connection) != self._version:
                beside.close()
                raise changed_elsewhere(self.path)
        self._beside = beside
        return beside

    def end_beside(self) -> None:
        """Take what was written beside for our own, unless somebody else has written too."""
        if self._beside is None:
            return
        with self._reading():
            version = outside_changes(self._connection)
            if not self._beside.disturbed:
                self._version = version
        self._beside.close()
        self._beside = None

    def beat(self, at: datetime) -> None:
        """Say that the file is still in use; to be called every minute while it is open for change.

        Raises:
            UnusableJobFile: Somebody took it over, or it cannot be written.
        """
        if not self.look_only:
            with self._writing(at):
                pass

    def journal(self) -> tuple[Entry, ...]:
        """Everything that was done, oldest first.

        Raises:
            UnusableJobFile: It cannot be read.
        """
        with self._reading():
            return tuple(journal.entries(self._connection))

    def touched(self, collection: str, *, after: int = 0) -> tuple[tuple[int, UUID, datetime, str], ...]:
        """When rows of a collection differed, by the journal; see ``journal.touched``.

        Raises:
            UnusableJobFile: The journal cannot be read.
        """
        with self._reading():
            return tuple(journal.touched(self._connection, collection, after=after))

    def made_at(self) -> datetime | None:
        """When the file was made; None where the journal does not say.

        Raises:
            UnusableJobFile: The journal cannot be read.
        """
        with self._reading():
            return next((entry.at for entry in journal.entries(self._connection, up_to=1)), None)

    def earlier_jobs(self) -> Iterator[Earlier]:
        """The jobs before each of the latest edits as of now, newest first, back to the last issue or upgrade.

        The journal is read as they are asked for; what is saved meanwhile is not among them.

        Raises:
            UnusableJobFile: The journal cannot be read.
        """
        with self._reading():
            latest = journal.latest(self._connection)
        return self._earlier_jobs(self._job, self._places, latest)

    def _earlier_jobs(self, job: Job, places: Places, latest: int) -> Iterator[Earlier]:
        with self._reading():
            yield from journal.earlier_jobs(self._connection, job, places, up_to=latest)

    def _write(self, job: Job, deed: Deed, words: str, *, user: str, at: datetime) -> None:
        if job.id != self._job.id:
            raise ValueError("This is another job than the one in the file.")
        found, places = write_differences(self._connection, self._job, job, self._places, at=at)
        if found:
            journal.append(self._connection, deed, words, user=user, at=at, found=found)
            register_change(self._connection, "journal", at=at)
        self._pending = job, places

    @contextmanager
    def _writing(self, at: datetime) -> Iterator[None]:
        """One transaction of the holder; the job in memory changes only when it is kept."""
        holder = self._held()
        if self._beside is not None:
            raise NotWritten(_IN_USE.format(name=self.path.name), why=_BESIDE, where=str(self.path))
        self._pending = self._job, self._places
        with self._reading(), transaction_of(self._connection, self.path, holder, self._version, at=at):
            yield
        self._job, self._places = self._pending

    def _held(self) -> Holder:
        """Whoever holds it: this program.

        Raises:
            UnusableJobFile: It can only be looked at.
        """
        if self._holder is None:
            raise UnusableJobFile(
                self.notice or f"{self.path.name} was opened to look; nothing was changed.", where=str(self.path)
            )
        return self._holder

    @contextmanager
    def _reading(self) -> Iterator[None]:
        """Says in one sentence what is wrong with the file."""
        with reading_of(self.path, self._connection):
            yield


def _take(connection: sqlite3.Connection, me: Holder) -> tuple[bool, str]:
    """Take the file for change; whether it is ours now, and what the user should read."""
    with one_transaction(connection):
        now = lock.held(connection)
        if now is not None and not now.silent(me.since) and not now.died(me.host):
            return False, lock.words_of(now.holder, host=me.host)
        lock.take(connection, me)
    if now is None:
        return True, ""
    if now.died(me.host):
        return True, _stopped(connection, now.heartbeat, me.since)
    return True, f"{now.holder.user} on {now.holder.host} left this job open and has fallen silent; you have it now."


def _stopped(connection: sqlite3.Connection, heartbeat: datetime, today: datetime) -> str:
    """What the user reads after leakmap itself stopped without closing the job, in the user's time.

    It ran for as long as it was heard of: by its last entry, or by a heartbeat after that.
    """
    entry = journal.last_heard(connection)
    then = max(entry or heartbeat, heartbeat).astimezone(today.tzinfo)
    if then.date() == today.date():
        return f"leakmap stopped at {then:%H:%M}. Everything up to {then:%H:%M} is here."
    return f"leakmap stopped on {then.day} {then:%B %Y} at {then:%H:%M}. Everything up to then is here."


@contextmanager
def _closed_on_failure(connection: sqlite3.Connection) -> Iterator[sqlite3.Connection]:
    try:
        yield connection
    except BaseException:
        connection.close()
        raise
