"""Job files as commands open them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import UUID

import pytest

from leakmap.base.errors import UnusableJobFile
from leakmap.console.opened import for_change, job_in
from leakmap.model.job import Job
from leakmap.records.job_file import create_job_file, open_job_file

AT = datetime(2026, 11, 25, 8, 0, tzinfo=UTC)


@pytest.fixture
def pit(tmp_path: Path) -> Path:
    """A job file."""
    path = tmp_path / "pit ü.gpkg"
    create_job_file(path, Job(id=UUID(int=1), name="pit"), user="u", at=AT)
    return path


def test_the_ending_may_be_left_out(pit: Path) -> None:
    """A job is found by its name with and without the ending."""
    assert job_in(str(pit), at=AT).name == "pit"
    assert job_in(str(pit.with_suffix("")), at=AT).name == "pit"


def test_looking_leaves_the_file_as_it_was(pit: Path) -> None:
    """Not one byte differs after a look, and nothing is left beside the file."""
    before = pit.read_bytes()
    job_in(str(pit), at=AT)
    assert pit.read_bytes() == before
    assert list(pit.parent.iterdir()) == [pit]


def test_somebody_else_has_it_open(pit: Path) -> None:
    """A file that is open elsewhere is not changed, the sentence says where, and looking is allowed."""
    with open_job_file(pit, user="M. Gull", host="quay", at=AT):
        with pytest.raises(UnusableJobFile, match=r"quay.*Nothing was changed\."), for_change(str(pit), at=AT):
            raise AssertionError
        assert job_in(str(pit), at=AT).name == "pit"
    with for_change(str(pit), at=AT + timedelta(seconds=1)) as file:
        assert not file.look_only


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    """The sentence bears the name of the file, and no file comes into being."""
    with pytest.raises(UnusableJobFile, match="missing"):
        job_in(str(tmp_path / "missing"), at=AT)
    assert list(tmp_path.iterdir()) == []
