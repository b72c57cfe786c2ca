"""Long work beside the window: progress in order, one outcome, a stop that is felt, nothing left behind."""

from __future__ import annotations

import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QCoreApplication
from pytestqt.qtbot import QtBot

from leakmap.base.errors import EditRefused
from leakmap.base.progress import Progress
from leakmap.base.resources import resource
from leakmap.desk.long_work import LongWork
from leakmap.desk.pace import Pace
from leakmap.desk.reading import Reading
from leakmap.drawings.packed import packed
from leakmap.work.job_drawings import NewDrawing, brought_in

pytestmark = pytest.mark.slow

PLAN = resource("sample_plans", "tern_quay_b2.dxf")


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """Temporary folders are made here; none may be left."""
    shared = tmp_path / "temporary"
    shared.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(shared))
    monkeypatch.setenv("PYTHONPATH", str(Path(__file__).parents[2]))  # where the other process finds this module
    yield shared
    assert not list(shared.iterdir())


def doubled(number: int, *, progress: Progress) -> int:
    """Work for the tests: twice a number."""
    progress.report("Doubling", 1, 2)
    if number < 0:
        raise EditRefused("A number below nothing is not doubled.")
    return 2 * number


def endless(*, progress: Progress) -> None:
    """Work for the tests that never comes to its end."""
    while True:
        progress.report("Waiting", 1, None)
        time.sleep(0.01)


def test_drawing_comes_as_if_read_here(qtbot: QtBot) -> None:
    """A reading gives what reading in this process gives: drawing, source and the packed bytes; shares only rise.

    What the band shows begins with the file's name.
    """
    reading = Reading()
    told: list[int] = []
    said: list[str] = []

    def note(words: str, done: int, _total: int) -> None:
        said.append(words)
        told.append(done)

    reading.progressed.connect(note)
    with qtbot.waitSignal(reading.finished, timeout=20_000) as outcome:
        reading.start(PLAN)
    found: NewDrawing = outcome.args[0]
    here = brought_in(PLAN.name, PLAN.read_bytes())
    assert (found.source, found.content, found.parsed) == (here.source, here.content, here.parsed)
    assert packed(found.drawing) == packed(here.drawing)
    assert told
    assert told == sorted(told)
    assert all(words.startswith(f"Reading {PLAN.name}, ") for words in said)
    assert not reading.running


def test_bad_file_fails_with_one_sentence(qtbot: QtBot, tmp_path: Path) -> None:
    """A file that cannot be used gives its sentence; the same reading can be started again."""
    reading = Reading()
    for name, content, words in [
        ("scan.dxf", b"%PDF-1.7", "scan.dxf is too damaged to be read as a PDF; export it again."),
        ("gone.dxf", None, "gone.dxf could not be opened (no such file or directory); check that it is still there and who may read it."),
    ]:  # fmt: skip
        if content is not None:
            (tmp_path / name).write_bytes(content)
        with qtbot.waitSignal(reading.failed, timeout=20_000) as outcome:
            reading.start(tmp_path / name)
        assert outcome.args == [words]


def test_stop_takes_effect_within_half_a_second(qtbot: QtBot) -> None:
    """A stop in the middle of the work says so within 0.5 s, gives no outcome, and leaves no file."""
    work = LongWork()
    outcomes: list[Any] = []
    work.finished.connect(outcomes.append)
    work.failed.connect(outcomes.append)
    with qtbot.waitSignal(work.progressed, timeout=20_000):
        work.start(endless)
    with qtbot.waitSignal(work.stopped, timeout=500):
        work.stop()
    assert not outcomes


def test_killed_process_is_said(qtbot: QtBot, folder: Path, caplog: pytest.LogCaptureFixture) -> None:
    """A process that dies gives one sentence to the user, words to the log, and leaves no file."""
    work = LongWork()
    with qtbot.waitSignal(work.progressed, timeout=20_000):
        work.start(endless)
    assert list(folder.iterdir())
    with qtbot.waitSignal(work.failed, timeout=5_000) as outcome:
        assert work._process is not None
        work._process.kill()
    assert outcome.args == [work.broken]
    assert "broke off" in caplog.text
    caplog.clear()


def test_function_runs_elsewhere(qtbot: QtBot) -> None:
    """A function's result comes back as it is, and its refusal as the sentence."""
    work = LongWork()
    with qtbot.waitSignal(work.finished, timeout=20_000) as outcome:
        work.start(doubled, 21)
    assert outcome.args == [42]
    with qtbot.waitSignal(work.failed, timeout=20_000) as outcome:
        work.start(doubled, -1)
    assert outcome.args == ["A number below nothing is not doubled."]


def test_closing_ends_it_at_once(qtbot: QtBot) -> None:
    """A window that closes ends its work without waiting for it and without a signal."""
    work = LongWork()
    with qtbot.waitSignal(work.progressed, timeout=20_000):
        work.start(endless)
    application = QCoreApplication.instance()
    assert application is not None
    with qtbot.assertNotEmitted(work.stopped):
        application.aboutToQuit.emit()
    assert not work.running


def test_pace_says_nothing_of_time_for_two_seconds() -> None:
    """No estimate in the first two seconds, then one from the share; a smaller share does not turn back."""
    now = [0.0]
    pace = Pace(lambda: now[0])
    assert pace.thousandths(0.5) == 500
    now[0] = 1.9
    assert pace.words("61,200 of 98,400 lines") == "61,200 of 98,400 lines"
    now[0] = 8.0
    assert pace.thousandths(0.4) == 500
    assert pace.words("61,200 of 98,400 lines") == "61,200 of 98,400 lines, about 8 seconds left"
