"""What is remembered between one start and the next."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from leakmap.work.recent import (
    MOST,
    Recent,
    View,
    forget,
    recent,
    remember,
    remembered_path,
    with_job,
    with_view,
    with_window,
    without_job,
)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A file in a folder that is not there yet."""
    return tmp_path / "state" / "recent.json"


def test_nothing_is_remembered_at_first(path: Path) -> None:
    """A first start finds nothing, and leaves nothing behind."""
    assert recent(path) == Recent()
    assert not path.parent.exists()


def test_what_was_remembered_comes_back(path: Path, tmp_path: Path) -> None:
    """Jobs, folder and window are found at the next start, names of any script included."""
    job = tmp_path / "Grübchen 滴.gpkg"
    new = remember(lambda old: with_window(with_job(old, job), {"ledger": 436, "place": "AdnQ"}), path)
    assert recent(path) == new
    assert (new.jobs, new.folder) == ((job,), tmp_path)
    assert dict(new.window) == {"ledger": 436, "place": "AdnQ"}


def test_the_latest_job_comes_first_and_only_once(tmp_path: Path) -> None:
    """A job that is opened again moves to the head; the list stays short; a job that is gone is taken off."""
    known = Recent()
    for number in (*range(MOST + 3), 5):
        known = with_job(known, tmp_path / f"{number}.gpkg")
    assert [path.stem for path in known.jobs[:3]] == ["5", str(MOST + 2), str(MOST + 1)]
    assert len(known.jobs) == len(set(known.jobs)) == MOST
    assert without_job(known, tmp_path / "5.gpkg").jobs[0].stem == str(MOST + 2)


def test_how_a_job_was_left_comes_back(path: Path, tmp_path: Path) -> None:
    """Stage, level and view of each recent job are kept, and go with the job; nothing is left after forgetting."""
    job, old = tmp_path / "a.gpkg", tmp_path / "old.gpkg"
    whole, near = View(stage=3, level="B2"), View(stage=4, level="B1", centre=(1.5, -2.0), px_per_m=40.0)
    remember(lambda known: with_view(with_job(known, old), old, whole), path)
    remember(lambda known: with_view(with_job(known, job), job, near), path)
    assert dict(recent(path).views) == {old: whole, job: near}
    remember(lambda known: with_view(without_job(known, old), job, near), path)
    assert dict(recent(path).views) == {job: near}
    forget(path)
    forget(path)
    assert recent(path) == Recent()


def test_another_window_is_not_forgotten(path: Path, tmp_path: Path) -> None:
    """What a second window remembered meanwhile is kept."""
    remember(lambda old: with_job(old, tmp_path / "a.gpkg"), path)
    remember(lambda old: with_job(old, tmp_path / "b.gpkg"), path)
    assert [job.stem for job in recent(path).jobs] == ["b", "a"]


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\xff\xfe",
        b"{",
        b"[]",
        b"3",
        b'{"version": 2}',
        b'{"version": 1, "jobs": [3], "folder": null, "window": {}}',
        b'{"version": 1, "jobs": [], "folder": 1, "window": {}}',
        b'{"version": 1, "jobs": [], "folder": null, "window": {"ledger": [1]}}',
        b'{"version": 1, "jobs": [], "folder": null, "window": 4}',
        b'{"version": 1, "jobs": [], "folder": null, "window": {}, "views": {"a": [1, "B2", [0, NaN], 3]}}',
        b'{"version": 1, "jobs": [], "folder": null, "window": {}, "views": {"a": [1, "B2"]}}',
        b"[" * 100_000,
    ],
)
def test_a_damaged_file_is_kept_aside(path: Path, content: bytes) -> None:
    """What cannot be read is as good as nothing, is kept beside for whoever asks, and remembering goes on."""
    path.parent.mkdir()
    path.write_bytes(content)
    assert recent(path) == Recent()
    assert not path.exists()
    assert path.with_name("recent.json.bad").read_bytes() == content
    remember(lambda old: with_window(old, {"ledger": 436}), path)
    assert json.loads(path.read_text())["window"] == {"ledger": 436}


def test_a_place_that_cannot_be_written_is_no_trouble(tmp_path: Path) -> None:
    """Where nothing can be kept, the work goes on."""
    (tmp_path / "file").write_bytes(b"")
    path = tmp_path / "file" / "recent.json"
    assert remember(lambda old: with_window(old, {"ledger": 436}), path).window == {"ledger": 436}
    assert recent(path) == Recent()


def test_it_lies_in_a_folder_of_the_user() -> None:
    """By itself it is kept in a folder named for the program, outside every job."""
    assert remembered_path().parts[-2:] == ("leakmap", "recent.json")
