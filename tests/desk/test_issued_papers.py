"""Papers of old revisions: listed in the ledger, opened from the job file, checked against their hashes."""

from __future__ import annotations

from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from shutil import copy

import pytest
from PySide6.QtCore import QEvent, QItemSelectionModel, QObject, Qt, QUrl
from PySide6.QtGui import QDesktopServices, QPaintEvent, QRegion
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from leakmap.desk.ledger.models import Entry, Part
from leakmap.desk.things import Paper, Sort, Stage, Thing
from leakmap.desk.window import MainWindow
from leakmap.model.words import Purpose
from leakmap.work.open_job import made
from leakmap.work.settings import Role
from tests.helpers.page_texts import page_texts
from tests.helpers.small_jobs import one_line, with_leak
from tests.helpers.windows import HAND, window_with


@pytest.fixture(scope="module")
def issued(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job of which P01 and C01 were issued; made once, to be copied."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 2, 3)
    folder = tmp_path_factory.mktemp("issued")
    other = made(folder / "pit.gpkg", job, HAND)
    for purpose in (Purpose.PRICE, Purpose.WORK):
        other.issue(purpose=purpose, to_whom="crew 2", folder=folder / purpose.letter)
    other.close()
    return folder / "pit.gpkg"


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path, issued: Path) -> Iterator[MainWindow]:
    """A window on a copy of that job."""
    with window_with(None, tmp_path) as window:
        window.sitting.open_job(Path(copy(issued, tmp_path)))
        window.sitting.settle()
        window.desk.go_to(Stage.ISSUE)
        qtbot.waitExposed(window)
        yield window


@pytest.fixture
def shown(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """What the system was asked to show."""
    found: list[Path] = []

    def show(url: QUrl) -> bool:
        found.append(Path(url.toLocalFile()))
        return True

    monkeypatch.setattr(QDesktopServices, "openUrl", show)
    return found


def _papers(window: MainWindow) -> list[Entry]:
    return [entry for entry in window.ledger.model.entries if entry.note.paper is not None]


class _Painted(QObject):
    """Watches where a widget is painted."""

    def __init__(self, widget: QWidget) -> None:
        super().__init__(widget)
        self.region = QRegion()
        widget.installEventFilter(self)

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Take note of a painted region."""
        if isinstance(event, QPaintEvent):
            self.region = self.region.united(event.region())
        return False


def test_the_frame_of_the_keyboard_leaves_nothing_behind(window: MainWindow, qtbot: QtBot) -> None:
    """Down from a revision, whose frame goes across all columns, to a paper paints every cell of its row anew."""
    table, model = window.ledger.table, window.ledger.model
    window.activateWindow()
    table.setFocus(Qt.FocusReason.TabFocusReason)
    qtbot.waitUntil(table.hasFocus)
    left = next(row for row, entry in reversed([*enumerate(model.entries)]) if entry.part is Part.LINE)
    table.selectionModel().setCurrentIndex(model.index(left, 0), QItemSelectionModel.SelectionFlag.NoUpdate)
    QApplication.processEvents()
    table.viewport().repaint()  # nothing else waits to be painted
    row = QRegion()
    for section in range(len(model.columns)):
        row += QRegion(table.visualRect(model.index(left, section)))
    painted = _Painted(table.viewport())
    qtbot.keyClick(table, Qt.Key.Key_Down)
    assert table.currentIndex().row() != left
    qtbot.waitUntil(lambda: not painted.region.isEmpty())
    assert row.subtracted(painted.region).isEmpty()


def test_the_papers_of_the_picked_revision_are_listed(window: MainWindow, qtbot: QtBot) -> None:
    """Picking P01 lists every paper that it holds, each with the start of its hash; nobody's pick lists none."""
    job = window.desk.job
    assert job is not None
    assert not _papers(window)
    first = next(iter(job.revisions.values()))
    window.desk.pick(Thing(Sort.REVISION, first.id))
    qtbot.waitUntil(lambda: bool(_papers(window)))
    assert [entry.note.paper for entry in _papers(window)] == list(first.papers)
    assert all(paper.sha256[:12] in entry.note.more for entry, paper in zip(_papers(window), first.papers, strict=True))


def test_an_archivist_sees_those_of_the_last_revision_at_once(window: MainWindow) -> None:
    """Without a pick the archivist's columns come with the papers of C01."""
    assert window.desk.job is not None
    window.desk.take_role(Role.ARCHIVIST)
    last = list(window.desk.job.revisions.values())[-1]
    assert [entry.note.paper for entry in _papers(window)] == list(last.papers)


def test_a_paper_opens_as_it_was_issued(window: MainWindow, shown: list[Path]) -> None:
    """What the system shows has the bytes that were issued, by their hash; the band gives the whole hash."""
    window.desk.take_role(Role.ARCHIVIST)
    entry = _papers(window)[0]
    window.ledger.table.acted.emit(entry)
    paper = entry.note.paper
    assert paper is not None
    (path,) = shown
    assert sha256(path.read_bytes()).hexdigest() == paper.sha256
    assert path.name == paper.name
    assert f"SHA-256 {paper.sha256};" in window.centre.band.sentence


def test_a_paper_of_an_old_revision_opens_as_superseded(window: MainWindow, shown: list[Path]) -> None:
    """C01 took the place of P01: what opens is a copy whose name and pages say so; the sealed paper keeps its hash."""
    job = window.desk.job
    assert job is not None
    first = next(iter(job.revisions.values()))
    paper = next(each for each in first.papers if each.name.endswith("repair schedule.pdf"))
    window.ledger._papers.open(paper)
    (path,) = shown
    assert "P01 superseded by C01" in path.name
    assert all("P01 is superseded by C01" in text for text in page_texts(path))
    assert window.desk.open_job is not None
    assert sha256(window.desk.open_job.file.blob(paper.sha256)).hexdigest() == paper.sha256


@pytest.mark.slow
def test_what_changed_is_looked_at_in_the_plans_place(window: MainWindow, qtbot: QtBot) -> None:
    """H lays out what changed since C01, the last one; with both picked, from P01 to C01; Esc shows the plan again."""
    job = window.desk.job
    assert job is not None
    qtbot.keyClicks(window.plan, "h")
    assert window.desk.paper is Paper.CHANGES
    assert window.desk.tool is not None
    assert window.desk.tool.sentence().startswith("What changed since C01;")
    qtbot.waitUntil(lambda: window.papers.pages is not None, timeout=30_000)
    assert window.papers.shown_pages() == (0,)  # nothing changed, so there is no plan of it
    for key in job.revisions:
        window.desk.pick(Thing(Sort.REVISION, key), add=True)
    assert window.desk.tool.sentence().startswith("What changed from P01 to C01;")
    qtbot.waitUntil(lambda: window.papers.work is None, timeout=30_000)
    qtbot.keyClick(window.papers, Qt.Key.Key_Escape)
    assert window.desk.paper is None
