"""Large files written beside the connection of a job file's holder."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from threading import Thread
from uuid import UUID

import pytest

from leakmap.base.errors import NotWritten, UnusableJobFile
from leakmap.model.job import Job
from leakmap.records.blobs import ParsedKey, sha256_of
from leakmap.records.database import connected
from leakmap.records.job_file import JobFile, create_job_file, open_job_file

AT = datetime(2026, 11, 25, tzinfo=UTC)
JOB = Job(id=UUID(int=1), name="Heron Wharf")
DRAWING = b"a drawing" * 100_000
KEY = ParsedKey(source_sha256=sha256_of(DRAWING), reader="dxf 1")


def opened(path: Path) -> JobFile:
    """A new job file, open for change."""
    create_job_file(path, JOB, user="ann", at=AT)
    return open_job_file(path, user="ann", host="site", at=AT)


def saved(file: JobFile, name: str) -> None:
    """Give the job another name, on disk."""
    file.save(replace(file.job, name=name), words="rename", user="ann", at=AT)


def another_program_writes(path: Path) -> None:
    """Somebody who keeps to no rule changes the file."""
    connection = connected(path)
    connection.execute("UPDATE gpkg_contents SET description = 'seen'")
    connection.close()


def test_what_is_written_beside_is_ours(tmp_path: Path) -> None:
    """Files written in another thread are in the job file, and its holder goes on saving."""
    with opened(tmp_path / "a.gpkg") as file:
        beside = file.begin_beside()
        thread = Thread(target=lambda: beside.write([DRAWING], {KEY: b"as read"}, at=AT))
        thread.start()
        thread.join()
        file.end_beside()
        assert file.blob(sha256_of(DRAWING)) == DRAWING
        assert file.parsed(KEY) == b"as read"
        saved(file, "Heron Wharf 2")
        assert file.job.name == "Heron Wharf 2"


def test_a_deed_waits_while_something_is_written_beside(tmp_path: Path) -> None:
    """What cannot be written meanwhile is as if another program were writing: it can be tried again afterwards."""
    with opened(tmp_path / "a.gpkg") as file:
        file.begin_beside()
        for deed in (lambda: saved(file, "x"), file.begin_beside):
            with pytest.raises(NotWritten) as caught:
                deed()
            assert caught.value.why == "a drawing is being kept"
        file.end_beside()
        saved(file, "x")


@pytest.mark.parametrize("when", ["before", "between", "after"])
def test_a_change_by_another_program_is_still_noticed(tmp_path: Path, when: str) -> None:
    """Whoever else writes, before, in between or after what is written beside, ends the saving as ever."""
    path = tmp_path / "a.gpkg"
    with opened(path) as file:
        if when == "before":
            another_program_writes(path)
            with pytest.raises(UnusableJobFile, match="changed by another program"):
                file.begin_beside()
            return
        beside = file.begin_beside()
        if when == "between":
            another_program_writes(path)
            with pytest.raises(UnusableJobFile, match="changed by another program"):
                beside.write([DRAWING], {}, at=AT)
        else:
            beside.write([DRAWING], {}, at=AT)
            another_program_writes(path)
        file.end_beside()
        with pytest.raises(UnusableJobFile, match="changed by another program"):
            saved(file, "x")


def test_only_the_holder_writes_beside(tmp_path: Path) -> None:
    """A file that was opened to look takes nothing in beside."""
    path = tmp_path / "a.gpkg"
    create_job_file(path, JOB, user="ann", at=AT)
    with (
        open_job_file(path, user="ann", host="site", at=AT, look_only=True) as file,
        pytest.raises(UnusableJobFile, match="opened to look"),
    ):
        file.begin_beside()


def test_nothing_is_left_of_what_fails(tmp_path: Path) -> None:
    """Files and readings come together or not at all."""
    with opened(tmp_path / "a.gpkg") as file:
        beside = file.begin_beside()
        with pytest.raises(TypeError):
            beside.write([DRAWING], {KEY: None}, at=AT)  # type: ignore[dict-item] # what no caller does
        file.end_beside()
        with pytest.raises(UnusableJobFile, match="missing"):
            file.blob(sha256_of(DRAWING))
