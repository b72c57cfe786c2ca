"""Older job files brought up to date; the steps are made up, as there is only the first schema yet."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from leakmap.base.errors import UnusableJobFile
from leakmap.records import job_file, upgrades
from leakmap.records.check import check_job_file
from leakmap.records.database import connected
from leakmap.records.layout import SCHEMA
from tests.helpers.job_files import AT, database, make, opened


def add_colour(connection: sqlite3.Connection) -> None:
    """A made-up step: joints get a colour."""
    connection.execute("ALTER TABLE joints ADD COLUMN colour TEXT NOT NULL DEFAULT 'grey'")


def name_sheets(connection: sqlite3.Connection) -> None:
    """A made-up step: sheets are named otherwise."""
    connection.execute("UPDATE sheets SET name = 'Level ' || name")


STEPS = {1: add_colour, 2: name_sheets}


def upgrade(path: Path, steps: dict[int, upgrades.Step] | None = None) -> Path | None:
    """Bring a file to the made-up schema 3."""
    connection = connected(path)
    try:
        return upgrades.upgrade(connection, path, user="A. Rook", at=AT, steps=steps or STEPS, to=3)
    finally:
        connection.close()


def state(path: Path) -> tuple[int, bool, str]:
    """Schema number, whether joints have a colour, and the name of the first sheet."""
    with database(path) as connection:
        (schema,) = connection.execute("SELECT schema FROM leakmap_schema").fetchone()
        columns = [row[1] for row in connection.execute("PRAGMA table_info(joints)")]
        (name,) = connection.execute("SELECT name FROM sheets ORDER BY fid").fetchone()
        return schema, "colour" in columns, name[:8]


OLD = (1, False, 'B1 "lowe')
NEW = (3, True, "Level B1")


def test_every_step_is_taken_in_order(tmp_path: Path) -> None:
    """An old file goes through every step, and each is in the journal."""
    path = make(tmp_path)
    upgrade(path)
    assert state(path) == NEW
    with database(path) as connection:
        entries = connection.execute("SELECT kind, user, words FROM journal WHERE fid > 1").fetchall()
    assert entries == [
        ("upgraded", "A. Rook", "Brought the file up to date, from schema 1 to 2"),
        ("upgraded", "A. Rook", "Brought the file up to date, from schema 2 to 3"),
    ]


def test_a_copy_is_kept_beside(tmp_path: Path) -> None:
    """The file as it was lies beside, whole, and an earlier copy is never written over."""
    path = make(tmp_path)
    first = upgrade(path)
    make(tmp_path, name="new.gpkg").replace(path)
    second = upgrade(path)
    assert [kept.name if kept else "" for kept in (first, second)] == [
        "pit before upgrade from 1.gpkg",
        "pit before upgrade from 1 (2).gpkg",
    ]
    for kept in (first, second):
        assert kept is not None
        assert state(kept) == OLD
        assert check_job_file(kept) == ()


def test_a_step_that_fails_leaves_the_step_before(tmp_path: Path) -> None:
    """A step is whole or not at all: its rows and its number are taken back together."""

    def break_off(connection: sqlite3.Connection) -> None:
        name_sheets(connection)
        raise sqlite3.OperationalError("torn")

    path = make(tmp_path)
    with pytest.raises(sqlite3.OperationalError, match="torn"):
        upgrade(path, {1: add_colour, 2: break_off})
    assert state(path) == (2, True, OLD[2])


def test_a_file_of_today_is_left_alone(tmp_path: Path) -> None:
    """A file that is up to date gets neither a copy nor an entry."""
    path = make(tmp_path)
    before = path.read_bytes()
    connection = connected(path)
    assert upgrades.upgrade(connection, path, user="A. Rook", at=AT) is None
    connection.close()
    assert path.read_bytes() == before
    assert [each.name for each in tmp_path.iterdir()] == ["pit.gpkg"]


def test_looking_upgrades_in_memory_only(tmp_path: Path) -> None:
    """Whoever only looks at an old file sees it as of today; the file itself stays old."""
    path = make(tmp_path)
    before = path.read_bytes()
    copy = upgrades.upgraded_in_memory(connected(path), 1, user="", at=AT, steps=STEPS, to=3)
    assert copy.execute("SELECT schema FROM leakmap_schema").fetchone() == (3,)
    copy.close()
    assert path.read_bytes() == before


def test_opening_goes_through_the_steps(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Opening an old file upgrades it, says where the copy is, and undo does not lead back past it."""
    path = make(tmp_path)

    def to_two(*given: object, **named: object) -> Path | None:
        return original(*given, **{**named, "steps": {1: name_sheets}, "to": 2})  # type: ignore[arg-type]

    original = upgrades.upgrade
    monkeypatch.setattr(job_file.upgrades, "upgrade", to_two)
    with opened(path) as file:
        assert file.kept_copy == tmp_path / "pit before upgrade from 1.gpkg"
        assert next(iter(file.job.sheets.values())).name == 'Level B1 "lower" — 下'
        assert list(file.earlier_jobs()) == []


@pytest.mark.parametrize("look_only", [True, False])
def test_a_newer_file_is_refused(tmp_path: Path, *, look_only: bool) -> None:
    """A file of a newer leakmap is neither opened nor touched, and the sentence says what to do."""
    path = make(tmp_path)
    with database(path) as connection:
        connection.execute("UPDATE leakmap_schema SET schema = ?", (SCHEMA + 1,))
    before = path.read_bytes()
    with pytest.raises(UnusableJobFile, match=r"newer leakmap .* was not touched\. Update leakmap"):
        opened(path, look_only=look_only)
    with pytest.raises(UnusableJobFile, match="newer leakmap"):
        check_job_file(path)
    assert path.read_bytes() == before


@pytest.mark.parametrize("harm", ["DELETE FROM leakmap_schema", "UPDATE leakmap_schema SET schema = 'one'"])
def test_a_file_without_its_number_is_refused(tmp_path: Path, harm: str) -> None:
    """Without a schema number nobody knows how to read the file."""
    path = make(tmp_path)
    with database(path) as connection:
        connection.execute(harm)
    with pytest.raises(UnusableJobFile, match="no job file of leakmap"):
        opened(path)


def test_a_step_is_there_for_every_older_schema() -> None:
    """Whoever raises the schema number adds the step from the one before."""
    assert sorted(upgrades.STEPS) == list(range(1, SCHEMA))
