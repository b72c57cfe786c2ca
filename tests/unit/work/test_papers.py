"""All papers of a job, and putting them into a folder."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from uuid import UUID

import pytest

from leakmap.base.errors import UnusableFile
from leakmap.issue.heading import Heading
from leakmap.issue.marked_dxf.write import marked_dxf
from leakmap.model.job import Job
from leakmap.records.frozen import frozen_text
from leakmap.repair.work_out import repairs
from leakmap.work.edits.sheets import add_sheet
from leakmap.work.job_drawings import brought_in
from leakmap.work.papers import can_take_papers, papers_of, refuse_to_replace, staged

LINE = b"0\nSECTION\n2\nENTITIES\n0\nLINE\n8\nW\n10\n0\n20\n0\n11\n6000\n21\n4000\n0\nENDSEC\n0\nEOF\n"
FILES = {"a.pdf": b"one", "b ü.csv": b"two"}


def test_every_paper_bears_job_and_revision() -> None:
    """Names hold the job, made safe for every system, and the revision; each kind of paper is there once."""
    job = add_sheet(Job(id=UUID(int=1), name="Pit 1/2: west"), name="B2").job
    heading = Heading(job_name=job.name, revision="P01", at=datetime(2026, 11, 25, tzinfo=UTC))
    papers = papers_of(job, repairs(job), heading=heading, sources={}, drawings={})
    assert {name for name in papers.files if not name.endswith(".dxf")} == {
        f"Pit 1-2- west P01 {what}"
        for what in (
            "repair schedule.pdf",
            "repair schedule archive.pdf",
            "plan set.pdf",
            "workbook.xlsx",
            "schedule.json",
            "schedule.csv",
            "joints.csv",
            "blind.csv",
            "leaks.csv",
        )
    }
    assert all("P01" in name for name in papers.files)
    assert papers.files["Pit 1-2- west P01 repair schedule.pdf"].startswith(b"%PDF-")


@pytest.mark.slow
def test_both_plans_take_their_scale_from_what_was_read() -> None:
    """The marked drawing is plotted by the same drawing as the schedule: here one larger than the file, so that it shows."""
    small, large = (
        brought_in("b2.dxf", LINE.replace(b"6000", length).replace(b"4000", length), m_per_unit=0.001)
        for length in (b"6000", b"90000")
    )
    job = add_sheet(Job(id=UUID(int=1), name="Pit"), name="B2", source=small.source).job
    heading = Heading(job_name="Pit", revision="P01", at=datetime(2026, 11, 25, tzinfo=UTC))
    given = {"sources": {small.source.sha256: small.content}, "heading": heading}
    read = {small.source: large.drawing}
    papers = papers_of(job, repairs(job), drawings=read, **given)
    marked = {name: content for name, content in papers.files.items() if name.endswith(".dxf")}
    given["frozen"] = frozen_text(job)
    assert marked == marked_dxf(job, repairs(job), drawings=read, **given).files
    assert marked != marked_dxf(job, repairs(job), drawings={small.source: small.drawing}, **given).files


def test_papers_wait_until_they_are_placed(tmp_path: Path) -> None:
    """Nothing lies in the folder under its own name before it is placed, and nothing else afterwards."""
    folder = tmp_path / "new" / "papers"
    with staged(folder, FILES) as placed:
        assert not set(FILES) & {path.name for path in folder.iterdir()}
        paths = placed()
    assert paths == (folder / "a.pdf", folder / "b ü.csv")
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == FILES


def test_papers_that_are_not_placed_leave_nothing(tmp_path: Path) -> None:
    """When the work breaks off, the folder is as it was."""
    (tmp_path / "a.pdf").write_bytes(b"old")
    with pytest.raises(KeyError), staged(tmp_path, FILES):
        raise KeyError
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("a.pdf", b"old")]


def test_papers_of_the_same_name_are_not_replaced(tmp_path: Path) -> None:
    """A paper that is there is named, with the way out; a new folder is no trouble."""
    (tmp_path / "b ü.csv").write_bytes(b"old")
    with pytest.raises(UnusableFile, match=r"b ü\.csv is there already and is not replaced"):
        refuse_to_replace(tmp_path, FILES)
    refuse_to_replace(tmp_path / "new", FILES)


def test_a_folder_that_was_made_for_papers_goes_where_none_came(tmp_path: Path) -> None:
    """A new folder is gone when the papers were not placed; one that was there stays, and one with papers too."""
    new, old = tmp_path / "new" / "papers", tmp_path / "old"
    old.mkdir()
    for folder in (new, old):
        with staged(folder, FILES):
            pass
    assert [*tmp_path.iterdir()] == [old]
    with staged(new, FILES) as placed:
        placed()
    assert sorted(path.name for path in new.iterdir()) == sorted(FILES)


def test_where_papers_can_go_is_known_beforehand(tmp_path: Path) -> None:
    """A folder that is there or can be made may take papers; what lies under a file, or has a name too long, may not."""
    (tmp_path / "file").write_bytes(b"")
    asked = (tmp_path, tmp_path / "a" / "b", tmp_path / "file", tmp_path / "file" / "b", tmp_path / ("a" * 300))
    assert [can_take_papers(folder) for folder in asked] == [True, True, False, False, False]
