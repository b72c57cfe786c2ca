"""Storing an issue and putting its papers: either both, or it is said what is where."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import cast
from uuid import UUID

import pytest

from leakmap.base.errors import UnusableFile, UnusableJobFile
from leakmap.model.job import Job
from leakmap.model.revision import Revision
from leakmap.model.words import Purpose
from leakmap.records.job_file import JobFile
from leakmap.work.issuing import Issue
from leakmap.work.storing import store

AT = datetime(2026, 11, 25, tzinfo=UTC)


class FakeFile:
    """Stands in for a job file: takes an issue, or refuses it."""

    path = Path("pit.gpkg")

    def __init__(self, problem: Exception | None = None) -> None:
        self.problem = problem
        self.words: list[str] = []

    def store_issue(self, job: Job, *, words: str, **_: object) -> None:
        """Take it, or raise."""
        assert job.name == "pit"
        if self.problem is not None:
            raise self.problem
        self.words.append(words)


def an_issue() -> Issue:
    """An issue C01 with one paper."""
    revision = Revision(
        id=UUID(int=2),
        number=1,
        purpose=Purpose.WORK,
        to_whom="the crew",
        by="M. Gull",
        at=AT,
        job_sha256="",
        schedule_sha256="",
    )
    job = Job(id=UUID(int=1), name="pit")
    return Issue(job=job, revision=revision, frozen="", schedule="", papers={"pit C01.pdf": b"%PDF"}, findings=())


def stored(file: FakeFile, folder: Path) -> tuple[Path, ...]:
    """Store the issue in a fake file."""
    return store(cast("JobFile", file), an_issue(), folder)


def test_the_fake_refuses_when_told() -> None:
    """The fake raises what it was given, and keeps the words of what it took."""
    with pytest.raises(UnusableJobFile):
        FakeFile(UnusableJobFile("No.")).store_issue(Job(id=UUID(int=1), name="pit"), words="x")


def test_both_are_done(tmp_path: Path) -> None:
    """The journal names the revision, and the paper lies in the folder."""
    file = FakeFile()
    assert stored(file, tmp_path / "papers") == (tmp_path / "papers" / "pit C01.pdf",)
    assert file.words == ["Issued C01"]
    assert (tmp_path / "papers" / "pit C01.pdf").read_bytes() == b"%PDF"


def test_an_issue_that_is_not_kept_leaves_no_papers(tmp_path: Path) -> None:
    """When the job file refuses, the folder stays empty."""
    with pytest.raises(UnusableJobFile):
        stored(FakeFile(UnusableJobFile("Taken over.")), tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_takes_no_papers_is_said(tmp_path: Path) -> None:
    """When the papers cannot be placed after the issue is kept, one sentence says that they are in the job file."""
    (tmp_path / "pit C01.pdf").mkdir()
    with pytest.raises(UnusableFile, match=r"C01 is issued and its papers are kept in pit\.gpkg"):
        stored(FakeFile(), tmp_path)


def test_a_folder_that_cannot_be_made_stops_before_the_issue(tmp_path: Path) -> None:
    """Nothing is stored when the papers have nowhere to wait."""
    (tmp_path / "file").write_bytes(b"")
    file = FakeFile()
    with pytest.raises(OSError, match="file"):
        stored(file, tmp_path / "file")
    assert file.words == []
