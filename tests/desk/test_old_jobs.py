"""Find in old jobs: folders of jobs read aside, narrowed by words, opened at a zone; real keys and clicks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from leakmap.desk.find.old_jobs import NO_FIT, NO_JOBS
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.window import MainWindow
from leakmap.records.job_file import create_job_file
from leakmap.work.recent import Recent, remember, with_job
from tests.helpers.small_jobs import issued, one_line, with_leak
from tests.helpers.windows import AT, window_with

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Heron Wharf, issued in 2024, and Osprey Lock with two zones, in the folder of a recent job; and a note."""
    place = tmp_path / "jobs"
    place.mkdir()
    job, joint = one_line()
    job, _ = with_leak(job, joint, 1.0, 2.0)
    create_job_file(place / "heron.gpkg", issued(job), user="ann", at=AT)
    other, _ = with_leak(job, joint, 5.0, 6.0)
    create_job_file(place / "osprey.gpkg", replace(other, name="Osprey Lock"), user="ann", at=AT)
    (place / "note.gpkg").write_text("no job", encoding="utf-8")
    return place


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path, folder: Path) -> Iterator[MainWindow]:
    """The start sheet; a job of the folder is a recent one."""
    remember(lambda old: with_job(old, folder / "heron.gpkg"))
    with window_with(None, tmp_path) as window:
        qtbot.waitExposed(window)
        window.activateWindow()
        yield window


def rows(window: MainWindow) -> list[tuple[str, str]]:
    """Job and zone of the rows."""
    return [(line.job.name, line.zone.ref if line.zone else "") for line in window.old_jobs.lines.shown]


def test_an_old_job_opens_at_its_zone(window: MainWindow, qtbot: QtBot) -> None:
    """The start sheet leads there; words narrow the list, Down and Enter open Osprey Lock with Z-02 picked and seen."""
    pane = window.old_jobs
    qtbot.mouseClick(window.start.find_old, LEFT)
    assert window.focusWidget() is pane.words
    qtbot.waitUntil(lambda: len(rows(window)) == 3)
    assert rows(window) == [("Heron Wharf", "Z-01"), ("Osprey Lock", "Z-01"), ("Osprey Lock", "Z-02")]
    assert pane.sentence == "2 jobs, 3 zones; 1 file could not be read: note.gpkg."
    qtbot.keyClicks(pane.words, "ospery")
    assert rows(window) == [("Osprey Lock", "Z-01"), ("Osprey Lock", "Z-02")]
    qtbot.keyClicks(pane.words, " 1999")
    assert (rows(window), pane._count(), pane.take.isEnabled()) == ([], NO_FIT, False)
    pane.words.setText("osprey")
    qtbot.keyClick(pane.words, Qt.Key.Key_Down)
    qtbot.keyClick(pane.words, Qt.Key.Key_Return)
    window.sitting.settle()
    assert window.desk.job is not None
    assert window.desk.job.name == "Osprey Lock"
    assert (window.desk.stage, window.desk.picked) == (Stage.REPAIR, (Thing(Sort.ZONE, 2),))
    assert not pane.shown
    assert window.focusWidget() is window.plan


def test_esc_leaves_and_a_folder_can_be_added(
    window: MainWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The find box leads there too; folders within an added one are looked through; Esc shows the start sheet again."""
    monkeypatch.setattr("leakmap.desk.find.old_jobs.recent", Recent)
    qtbot.keyClick(window.start, Qt.Key.Key_K, Qt.KeyboardModifier.ControlModifier)
    qtbot.keyClicks(window.finder, "warranty")
    qtbot.keyClick(window.finder, Qt.Key.Key_Return)
    pane = window.old_jobs
    assert pane.shown
    qtbot.waitUntil(lambda: pane.sentence == NO_JOBS)
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_: str(tmp_path))
    qtbot.mouseClick(pane.add, LEFT)
    qtbot.waitUntil(lambda: len(rows(window)) == 3)
    qtbot.keyClick(pane.words, Qt.Key.Key_Escape)
    assert not pane.shown
    assert window.start.isVisible()
