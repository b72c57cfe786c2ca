"""The journal: what was done, and the way back."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import strategies as st

from leakmap.model.job import Job
from leakmap.records.check import check_job_file
from leakmap.records.journal import Deed
from tests.helpers.job_files import (
    AT,
    database,
    full_job,
    later,
    make,
    opened,
    store,
)
from tests.helpers.jobs import leak_id

NUMBERS = st.floats(0, 1e15)


def read(path: Path) -> Job:
    """The job that a file holds."""
    with opened(path, look_only=True) as file:
        return file.job


def save(path: Path, job: Job) -> None:
    """Save a job into a file."""
    with opened(path) as file:
        file.save(job, words="Changed something", user="A. Rook", at=later(1))


def table(path: Path, name: str) -> list[Any]:
    """Rows of a table of a file."""
    with database(path) as connection:
        return connection.execute(f"SELECT * FROM {name} ORDER BY 1").fetchall()  # noqa: S608 - a test's own names


def test_the_journal_does_not_lead_back_past_an_issue(tmp_path: Path) -> None:
    """Undo stops at an issue: what was issued stays as it was."""
    path = make(tmp_path)
    with opened(path) as file:
        file.save(replace(full_job(), name="Pit 2"), words="Renamed", user="A. Rook", at=AT)
        issued = store(file, file.job)
        file.save(replace(issued, name="Pit 3"), words="Renamed again", user="A. Rook", at=AT)
        assert [earlier.job for earlier in file.earlier_jobs()] == [issued]
        assert [entry.deed for entry in file.journal()] == [Deed.MADE, Deed.EDITED, Deed.ISSUED, Deed.EDITED]


def test_the_journal_does_not_lead_back_past_a_change_by_another_program(tmp_path: Path) -> None:
    """Undo ends where a row is not what the journal says that it became."""
    path = make(tmp_path)
    for note in ("one", "two"):
        job = read(path)
        save(path, replace(job, leaks={**job.leaks, leak_id(1): replace(job.leaks[leak_id(1)], note=note)}))
    with opened(path) as file:
        assert next(earlier.job.leaks[leak_id(1)].note for earlier in file.earlier_jobs()) == "one"
    with database(path) as connection:
        connection.execute("UPDATE leaks SET note = 'three' WHERE fid = 1")
    with opened(path) as file:
        assert list(file.earlier_jobs()) == []
    assert [finding.code for finding in check_job_file(path)] == ["changed-outside"]


def test_the_journal_is_only_added_to(tmp_path: Path) -> None:
    """Not even another program can change or take out an entry without meaning to."""
    with database(make(tmp_path)) as connection:
        for deed in ("UPDATE journal SET words = ''", "DELETE FROM journal"):
            with pytest.raises(sqlite3.IntegrityError, match="the journal is never changed"):
                connection.execute(deed)


def test_the_journal_says_who_did_what_when(tmp_path: Path) -> None:
    """An entry names the user, the time with its zone, the words, and the rows before and after."""
    path = make(tmp_path)
    job = read(path)
    with opened(path) as file:
        file.save(replace(job, cuts={}), words="Took out every cut", user="B. Teal", at=later(1).astimezone(None))
        entry = file.journal()[-1]
    assert (entry.sequence, entry.user, entry.words, entry.at) == (2, "B. Teal", "Took out every cut", later(1))
    assert entry.at.utcoffset() is not None
    assert entry.before.keys() == entry.after.keys() == {"cuts"}
    assert set(entry.after["cuts"].values()) == {None}
    assert [row["item"]["at_m"] for row in entry.before["cuts"].values()] == [2.0, 0.1]


def test_reading_the_journal_half_way_keeps_nobody_out(tmp_path: Path) -> None:
    """Whoever looks at the past, and has not looked at all of it, does not stop the holder from saving."""
    path = make(tmp_path)
    with opened(path) as holder, opened(path, look_only=True) as looker:
        for number in range(3):
            holder.save(replace(holder.job, name=f"Pit {number}"), words="Renamed", user="A. Rook", at=AT)
        past = looker.earlier_jobs()
        with pytest.raises(StopIteration):
            next(past)  # the looker's job is an old one: the newest entry does not fit it
        whole = holder.earlier_jobs()
        assert next(whole).job.name == "Pit 1"
        holder.save(replace(holder.job, name="Pit 9"), words="Renamed", user="A. Rook", at=AT)
    assert read(path).name == "Pit 9"


def test_the_past_is_that_of_the_moment_it_was_asked_for(tmp_path: Path) -> None:
    """What is saved between asking and reading is not among the earlier jobs, and does not end them."""
    path = make(tmp_path)
    with opened(path) as file:
        file.save(replace(file.job, name="Pit 1"), words="Renamed", user="A. Rook", at=AT)
        past = file.earlier_jobs()
        file.save(replace(file.job, name="Pit 2"), words="Renamed", user="A. Rook", at=AT)
        assert [earlier.job.name for earlier in past] == [full_job().name]


def test_undo_and_redo_are_told_from_edits(tmp_path: Path) -> None:
    """An undo and a redo are entries like any other, walked over like any other, and known for what they are."""
    path = make(tmp_path)
    with opened(path) as file:
        for name, deed in (("Pit 1", Deed.EDITED), ("Pit 0", Deed.UNDONE), ("Pit 1", Deed.REDONE)):
            file.save(replace(file.job, name=name), words=name, user="A. Rook", at=AT, deed=deed)
        assert [(earlier.entry.deed, earlier.job.name) for earlier in file.earlier_jobs()] == [
            (Deed.REDONE, "Pit 0"),
            (Deed.UNDONE, "Pit 1"),
            (Deed.EDITED, full_job().name),
        ]
    assert check_job_file(path) == ()
