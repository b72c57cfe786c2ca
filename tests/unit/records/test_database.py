"""Trouble with the file: each gets one sentence, and nothing is lost."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import strategies as st

from leakmap.base.errors import BadValue, NotWritten, UnusableJobFile
from leakmap.model.job import Job
from leakmap.records.check import check_job_file
from leakmap.records.glance import glance
from tests.helpers.job_files import (
    AT,
    KEY,
    database,
    full_job,
    later,
    make,
    opened,
)
from tests.helpers.jobs import job_of, joint_id, leak_id, line

NUMBERS = st.floats(0, 1e15)


def read(path: Path) -> Job:
    """The job that a file holds."""
    with opened(path, look_only=True) as file:
        return file.job


def table(path: Path, name: str) -> list[Any]:
    """Rows of a table of a file."""
    with database(path) as connection:
        return connection.execute(f"SELECT * FROM {name} ORDER BY 1").fetchall()  # noqa: S608 - a test's own names


def test_a_full_disk_changes_nothing(tmp_path: Path) -> None:
    """When the disk is full the user reads so, the file holds the job before, and saving works once there is room."""
    path = make(tmp_path)
    job = read(path)
    wordy = {**job.leaks, leak_id(1): replace(job.leaks[leak_id(1)], note="wet " * 20_000)}
    with opened(path) as file:
        pages = file._connection.execute("PRAGMA page_count").fetchone()[0]
        file._connection.execute(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(NotWritten, match="The disk is full, so nothing was written") as problem:
            file.save(replace(job, leaks=wordy), words="Noted", user="A. Rook", at=AT)
        assert problem.value.why == "disk full"
        assert file.job == job
        assert check_job_file(path) == ()
        file._connection.execute("PRAGMA max_page_count = 100000")
        file.save(replace(job, leaks=wordy), words="Noted", user="A. Rook", at=AT)
    assert read(path).leaks[leak_id(1)].note == "wet " * 20_000


def test_a_read_only_file_is_not_opened_for_change(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On a read-only share a job opens to look, and opening it for change says why that cannot be."""
    path = make(tmp_path)
    connect = sqlite3.connect

    def read_only(name: Any, **given: Any) -> sqlite3.Connection:  # noqa: ANN401 - as sqlite3.connect
        return connect(name.replace("mode=rw", "mode=ro"), **given)

    monkeypatch.setattr(sqlite3, "connect", read_only)
    with pytest.raises(UnusableJobFile, match="cannot be changed, because it or its folder is read-only"):
        opened(path)
    assert read(path) == full_job()


@pytest.mark.parametrize(
    ("content", "words"),
    [(b"", "no job file"), (b"PK\x03\x04 a zip", "no job file"), (b"SQLite format 3\x00" + b"\xff" * 600, "damaged")],
)
def test_what_is_no_job_file_gets_one_sentence(tmp_path: Path, content: bytes, words: str) -> None:
    """Any other file is refused with one sentence, for change, to look, and to check."""
    path = tmp_path / "pit.gpkg"
    path.write_bytes(content)
    for look_only in (True, False):
        with pytest.raises(UnusableJobFile, match=words):
            opened(path, look_only=look_only)
    with pytest.raises(UnusableJobFile, match=words):
        check_job_file(path)


def test_a_file_that_is_not_there_gets_one_sentence(tmp_path: Path) -> None:
    """A wrong name is said to be one; nothing is made."""
    with pytest.raises(UnusableJobFile, match="is not there"):
        opened(tmp_path / "pit.gpkg")
    assert list(tmp_path.iterdir()) == []


def test_another_database_is_no_job_file(tmp_path: Path) -> None:
    """A database without our schema number is refused."""
    with database(tmp_path / "pit.gpkg") as connection:
        connection.execute("CREATE TABLE leaks (fid INTEGER)")
    with pytest.raises(UnusableJobFile, match="a database but no job file"):
        opened(tmp_path / "pit.gpkg")


@pytest.mark.parametrize(
    "harm",
    [
        "UPDATE leaks SET wetness = 7 WHERE fid = 2",
        "UPDATE leaks SET from_m = 'far' WHERE fid = 2",
        "UPDATE joints SET geom = x'00' WHERE fid = 1",
        "UPDATE blind_stretches SET to_m = -1 WHERE fid = 1",
        "DELETE FROM job",
        "UPDATE rules SET value = 'wide' WHERE name = 'bridge_m'",
    ],
)
def test_a_damaged_row_gets_one_sentence(tmp_path: Path, harm: str) -> None:
    """A row that cannot be read stops the opening with one sentence; no lock is left and nothing is changed."""
    path = make(tmp_path)
    with database(path) as connection:
        connection.execute(harm)
    with pytest.raises(UnusableJobFile, match=r"pit\.gpkg is damaged"):
        opened(path)
    assert table(path, "leakmap_lock") == []


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ("DROP TABLE cuts", "the table cuts is missing"),
        ("ALTER TABLE sheets DROP COLUMN north_deg", "the table sheets has no north_deg"),
        ("ALTER TABLE leaks RENAME COLUMN wetness TO water", "the table leaks has no wetness"),
        ("ALTER TABLE job DROP COLUMN approver", "the table job has no approver"),
        ("DELETE FROM rules WHERE name = 'bridge_m'", "rules missing or unknown: bridge_m"),
        ("INSERT INTO rules (name, value) VALUES ('colour', '1')", "rules missing or unknown: colour"),
    ],
)
def test_another_layout_is_not_called_damage(tmp_path: Path, change: str, what: str) -> None:
    """A job whose tables lack what this leakmap reads is refused for that, in words: what differs, what was kept, what to do."""
    path = make(tmp_path)
    with database(path) as connection:
        connection.execute(change)
    for read_it in (opened, glance):
        with pytest.raises(UnusableJobFile) as told:
            read_it(path)
        assert str(told.value) == (
            f"pit.gpkg is laid out otherwise than this leakmap keeps a job ({what}), as another version or another program"
            " leaves it, so it was not opened and is as it was; open it with the leakmap that made it, or go back to a copy."
        )
    assert table(path, "leakmap_lock") == []


def test_a_column_more_is_no_hindrance(tmp_path: Path) -> None:
    """A column that a map program added keeps nobody from the job."""
    path = make(tmp_path)
    with database(path) as connection:
        connection.execute("ALTER TABLE leaks ADD COLUMN colour TEXT")
    with opened(path) as file:
        assert file.job == full_job()


def test_a_torn_file_gets_one_sentence(tmp_path: Path) -> None:
    """A file that was cut short, as by a broken copy, is refused with one sentence."""
    path = make(tmp_path)
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    with pytest.raises(UnusableJobFile, match="damaged"):
        opened(path)


def test_a_change_by_another_program_is_noticed_before_it_is_lost(tmp_path: Path) -> None:
    """What another program wrote while the job was open here is not overwritten."""
    path = make(tmp_path)
    with opened(path) as file:
        with database(path) as connection:
            connection.execute("UPDATE leaks SET note = 'by a map program' WHERE fid = 1")
        with pytest.raises(UnusableJobFile, match=r"changed by another program .* close the job and open it again"):
            file.save(replace(file.job, name="Pit 2"), words="Renamed", user="A. Rook", at=AT)
    assert read(path).leaks[leak_id(1)].note == "by a map program"


def test_what_points_at_nothing_is_refused(tmp_path: Path) -> None:
    """A leak without its joint is refused when saved and when made; the file holds the job before."""
    path = make(tmp_path, job_of([line((0, 0), (4, 0))]))
    job = read(path)
    cut_off = replace(full_job(), joints={}, leaks={}, cuts={}, parted={}, issued={})
    with pytest.raises(BadValue, match="names something that it does not hold"):
        make(tmp_path, cut_off, name="other.gpkg")
    sheetless = replace(job, joints={joint_id(1): replace(job.joints[joint_id(1)], sheet=leak_id(5))})
    with opened(path) as file:
        with pytest.raises(BadValue, match="was not saved"):
            file.save(sheetless, words="", user="", at=AT)
        assert file.job == job
    assert read(path) == job
    assert sorted(each.name for each in tmp_path.iterdir()) == ["pit.gpkg"]


@pytest.mark.parametrize("note", ["\udc80", "half \ud83d"])
def test_half_a_character_is_refused(tmp_path: Path, note: str) -> None:
    """What is no text (half of a pair) gets one sentence, and nothing is written."""
    path = make(tmp_path)
    job = read(path)
    noted = {**job.leaks, leak_id(1): replace(job.leaks[leak_id(1)], note=note)}
    with opened(path) as file, pytest.raises(BadValue, match="cannot be written"):
        file.save(replace(job, leaks=noted), words="", user="", at=AT)
    assert read(path) == job


def test_looking_changes_nothing(tmp_path: Path) -> None:
    """A job that is opened to look cannot be saved, and its file stays as it is byte for byte."""
    path = make(tmp_path)
    before = path.read_bytes()
    with opened(path, look_only=True) as file:
        assert file.look_only
        with pytest.raises(UnusableJobFile, match="opened to look"):
            file.save(replace(file.job, name="Pit 2"), words="", user="", at=AT)
        file.put_parsed(KEY, b"skipped", at=AT)
        file.beat(later(1))
        with pytest.raises(sqlite3.OperationalError, match="readonly"):
            file._connection.execute("DELETE FROM leaks")
    assert path.read_bytes() == before
