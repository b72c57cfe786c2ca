"""A job whose drawings are not kept as read: they are read again apart, watched, and kept, before it opens."""

from __future__ import annotations

from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from leakmap.base.resources import resource
from leakmap.desk.window import MainWindow
from leakmap.geometry.placement import Placement
from leakmap.model.job import Job
from leakmap.model.sheet import Source
from leakmap.records.job_file import create_job_file
from leakmap.work.edits.sheets import add_sheet
from leakmap.work.job_drawings import kept_as_read
from leakmap.work.new_job import empty_job
from tests.helpers.pdf_files import locked, pdf
from tests.helpers.windows import AT, window_with

LEFT = Qt.MouseButton.LeftButton
LONG_MS = 20_000
PLAN = resource("sample_plans", "tern_quay_b2.dxf")
PASSWORD = "weir"  # noqa: S105 - of a file made here

pytestmark = pytest.mark.slow  # each reads a drawing in a process of its own


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    """A window without a job."""
    with window_with(None, tmp_path) as window:
        qtbot.waitExposed(window)
        yield window


def job_file(folder: Path, name: str, content: bytes) -> tuple[Path, Source]:
    """A job file whose level B2 shows a drawing of which nothing is kept but its file."""
    source = Source(name=name, sha256=sha256(content).hexdigest())
    millimetres = Placement(x_m_per_unit=0.001, y_m_per_unit=0.001)
    job: Job = add_sheet(empty_job("pit").job, name="B2", source=source, placement=millimetres).job
    path = folder / "pit.gpkg"
    create_job_file(path, job, user="ann", at=AT, sources=[content])
    return path, source


def test_a_drawing_is_read_again_and_kept(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """While it is read the start sheet says what opens; then the job lies there, and its drawing is kept as read."""
    path, source = job_file(tmp_path, PLAN.name, PLAN.read_bytes())
    window.sitting.open_job(path)
    assert window.sitting.opening == "pit.gpkg"
    assert not window.start.choose.isVisible()
    qtbot.waitUntil(lambda: window.centre.band.working, timeout=LONG_MS)
    assert window.desk.job is None
    qtbot.waitUntil(lambda: window.desk.job is not None, timeout=LONG_MS)
    assert window.sitting.opening == ""
    open_job = window.desk.open_job
    assert open_job is not None
    kept = kept_as_read(open_job.file, source)
    assert kept is not None
    assert len(kept.strokes) > 100
    assert window.sitting.close()
    window.sitting.open_job(path)
    window.sitting.settle()
    assert window.desk.job is not None  # without any work between


def test_esc_leaves_the_job_closed(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """Esc stops the reading; the job is not opened, its file is free, and the start sheet is there again."""
    path, source = job_file(tmp_path, PLAN.name, PLAN.read_bytes())
    window.sitting.open_job(path)
    qtbot.waitUntil(lambda: window.centre.band.working, timeout=LONG_MS)
    qtbot.keyClick(window, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: not window.centre.band.working, timeout=2_000)
    assert window.desk.job is None
    assert window.sitting.opening == ""
    assert window.start.choose.isVisible()
    window.sitting.open_job(path)
    qtbot.waitUntil(lambda: window.desk.job is not None, timeout=LONG_MS)
    assert window.desk.open_job is not None
    assert not window.desk.open_job.look_only
    assert kept_as_read(window.desk.open_job.file, source) is not None


def test_a_drawing_that_cannot_be_read_any_more_keeps_nobody_out(
    window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    """The job opens, and what is wrong with the drawing is said where the plan would show it."""
    path, _ = job_file(tmp_path, "b2.dxf", b"0\nSECTION\n0\nENDSEC\n0\nEOF\n")
    window.sitting.open_job(path)
    qtbot.waitUntil(lambda: window.desk.job is not None, timeout=LONG_MS)
    assert window.plan.isVisible()
    assert "b2.dxf" in window.centre.band.sentence


def test_a_locked_drawing_asks_for_its_password(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """What was read of a locked PDF is gone: its password is asked for with the reason, and the job opens with the drawing."""
    content = locked(pdf(lambda canvas: canvas.line(9, 9, 99, 9)), PASSWORD)
    path, source = job_file(tmp_path, "b2.pdf", content)
    window.sitting.open_job(path)
    band = window.centre.band
    qtbot.waitUntil(lambda: band.field is not None, timeout=LONG_MS)
    assert (
        band.sentence == "This version of leakmap reads b2.pdf anew. Type the password of b2.pdf. It is kept nowhere."
    )
    assert band.field is not None
    qtbot.keyClicks(band.field, PASSWORD)
    qtbot.keyClick(band.field, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: window.desk.job is not None, timeout=LONG_MS)
    open_job = window.desk.open_job
    assert open_job is not None
    assert kept_as_read(open_job.file, source) is not None
