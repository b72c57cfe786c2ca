"""A file that may hold the job it was issued from: known without being read, read into that job."""

from __future__ import annotations

from pathlib import Path

import pytest

from leakmap.base.errors import Stopped, UnusableDrawing
from leakmap.base.progress import StopAfter
from leakmap.issue.marked_dxf.record_name import DICTIONARY
from leakmap.work import marked_file
from leakmap.work.marked_file import job_in_marked_file, may_hold_record, taken_words
from tests.helpers.marked_files import marked_with_record
from tests.helpers.marked_job import plan_bytes


def test_our_record_is_known_wherever_it_lies(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A marked drawing may hold one, also where its name lies across two blocks; a plain one and a text that names it do not."""
    path = tmp_path / "plan.dxf"
    path.write_bytes(marked_with_record())
    assert may_hold_record(path)
    at = marked_with_record().index(DICTIONARY.encode())
    for block in (at + 1, at + len(DICTIONARY) - 1):
        monkeypatch.setattr(marked_file, "_BLOCK", block)
        assert may_hold_record(path)
    path.write_bytes(plan_bytes())
    assert not may_hold_record(path)
    path.write_text(f"notes on {DICTIONARY}")
    assert not may_hold_record(path)
    assert not may_hold_record(tmp_path / "gone.dxf")


def test_looking_stops_when_asked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """After the first block of a drawing a stop is heard."""
    path = tmp_path / "plan.dxf"
    path.write_bytes(plan_bytes())
    monkeypatch.setattr(marked_file, "_BLOCK", 1 << 12)
    with pytest.raises(Stopped):
        may_hold_record(path, progress=StopAfter(1))


def test_the_job_is_told_with_where_it_comes_from(tmp_path: Path) -> None:
    """What is said names the file, the revision and what is in it."""
    path = tmp_path / "Tern Quay C02 plan.dxf"
    path.write_bytes(marked_with_record())
    words = taken_words(job_in_marked_file(path), "Tern Quay.gpkg")
    assert words == (
        "Tern Quay.gpkg is C02 of Tern Quay as it was issued: 1 level, 2 joints, 2 leaks. Its revisions count anew."
    )


def test_what_came_with_it_is_read_too(tmp_path: Path) -> None:
    """A second drawing of the issue goes with the first; one that holds no record is named."""
    path, other, plan = (tmp_path / name for name in ("B2.dxf", "B1.dxf", "plan.dxf"))
    for each in (path, other):
        each.write_bytes(marked_with_record())
    plan.write_bytes(plan_bytes())
    assert len(job_in_marked_file(path, (other,)).job.leaks) == 2
    with pytest.raises(UnusableDrawing, match=r"^plan\.dxf holds no record"):
        job_in_marked_file(path, (other, plan))


def test_a_file_without_a_job_is_one_sentence_without_words_of_the_shell(tmp_path: Path) -> None:
    """A drawing whose record is gone, and a file that is gone, are said; no option of a command is named."""
    path = tmp_path / "plan.dxf"
    path.write_bytes(plan_bytes())
    with pytest.raises(UnusableDrawing, match=r"holds no record") as refused:
        job_in_marked_file(path)
    assert "--" not in str(refused.value)
    with pytest.raises(UnusableDrawing, match=r"gone\.dxf could not be read: No such file"):
        job_in_marked_file(tmp_path / "gone.dxf")
