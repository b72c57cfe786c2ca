"""Drawings of a job, kept as read."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from uuid import UUID

import pytest

from leakmap.base.errors import UnusableDrawing
from leakmap.drawings.opening import read_drawing
from leakmap.model.drawing import Drawing
from leakmap.model.job import Job
from leakmap.records.job_file import create_job_file, open_job_file
from leakmap.work import job_drawings
from leakmap.work.edits.sheets import add_sheet
from leakmap.work.job_drawings import JobDrawings, NewDrawing, brought_in, drawings_of, parsed_key
from tests.helpers.dwg_files import dwg

AT = datetime(2026, 11, 25, tzinfo=UTC)
DXF = "0\nSECTION\n2\nENTITIES\n0\nLINE\n8\nW\n10\n0\n20\n0\n11\n6000\n21\n0\n0\nENDSEC\n0\nEOF\n"


@pytest.fixture
def plan() -> NewDrawing:
    """A drawing of one line, in millimetres."""
    return brought_in("some/folder/b2.dxf", DXF.encode(), m_per_unit=0.001)


def kept(path: Path, plan: NewDrawing, parsed: bytes | None) -> JobDrawings:
    """The drawings of a job file that holds a plan and something that was parsed."""
    job = add_sheet(Job(id=UUID(int=1), name="x"), name="B2", source=plan.source).job
    held = {} if parsed is None else {parsed_key(plan.source): parsed}
    create_job_file(path, job, user="u", at=AT, sources=[plan.content], parsed=held)
    with open_job_file(path, user="u", host="h", at=AT, look_only=True) as file:
        return drawings_of(file, file.job)


def test_a_drawing_is_named_by_its_file_and_hash(plan: NewDrawing) -> None:
    """Folders of this computer stay out of the job; the unit that the user gave is kept."""
    assert plan.source.name == "b2.dxf"
    assert plan.source.unit == 0.001
    assert len(plan.source.sha256) == 64
    assert len(plan.drawing.strokes) == 1


def test_what_was_read_once_is_not_read_again(
    tmp_path: Path, plan: NewDrawing, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A drawing kept as read opens without its reader."""

    def no_reader(*_: object, **__: object) -> Drawing:
        raise AssertionError

    monkeypatch.setattr(job_drawings, "read_drawing", no_reader)
    (held,) = plan.parsed.values()
    found = kept(tmp_path / "a.gpkg", plan, held)
    assert found.sources == {plan.source.sha256: DXF.encode()}
    assert found.drawings[plan.source].strokes.xy.tolist() == plan.drawing.strokes.xy.tolist()


@pytest.mark.parametrize("parsed", [None, b"LMD1 damaged"])
def test_what_is_not_kept_is_read_from_its_source(tmp_path: Path, plan: NewDrawing, parsed: bytes | None) -> None:
    """A drawing that was never kept as read, or not whole, is read again."""
    found = kept(tmp_path / "a.gpkg", plan, parsed)
    assert len(found.drawings[plan.source].strokes) == 1


def test_marks_on_a_dwg_are_drawn_into_its_dxf(tmp_path: Path) -> None:
    """The job keeps the DWG as it came; what papers mark is the DXF that it was read as."""
    plan = brought_in("b2.dwg", dwg(tmp_path))
    found = kept(tmp_path / "a.gpkg", plan, None)
    (marked,) = found.sources.values()
    assert plan.content.startswith(b"AC1015")
    assert b"SECTION" in marked[:20]
    assert len(read_drawing("b2.dxf", marked).strokes) == len(plan.drawing.strokes) == 5


def test_another_unit_is_another_reading(plan: NewDrawing) -> None:
    """What is kept for one unit is not taken for another."""
    assert parsed_key(plan.source) != parsed_key(replace(plan.source, unit=None))


def test_what_is_no_drawing_is_refused() -> None:
    """A file of which nothing can be used is refused by its name."""
    with pytest.raises(UnusableDrawing, match=r"notes\.txt"):
        brought_in("notes.txt", b"hello")
