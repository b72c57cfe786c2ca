"""How the window starts and is pictured: without a screen in a sentence, on a job, and stage by stage."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot

from leakmap.desk import app
from leakmap.desk.pictures import take_pictures
from leakmap.records.job_file import create_job_file
from leakmap.work.recent import remembered_path
from tests.helpers.small_jobs import one_line
from tests.helpers.windows import AT


def test_without_a_screen_one_sentence_names_the_commands(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """On Linux without a screen Qt would end the program; instead the exit code is 3 and a sentence is said."""
    for name in ("QT_QPA_PLATFORM", "DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(app.sys, "platform", "linux")
    assert app.main([]) == 3
    assert capsys.readouterr().err.strip() == app.NO_SCREEN


@pytest.mark.slow
def test_pictures_of_every_stage(qtbot: QtBot, tmp_path: Path) -> None:  # noqa: ARG001 - a window system is needed
    """Each stage is pictured at the size asked for, not in one colour, and nothing is remembered of it."""
    job = tmp_path / "pit.gpkg"
    create_job_file(job, one_line()[0], user="ann", at=AT)
    paths = take_pictures(job, tmp_path / "pictures", sizes=((1280, 800),))
    assert len(paths) == 6
    for path in paths:
        picture = QImage(str(path))
        assert (picture.width(), picture.height()) == (1280, 800)
        assert picture.pixelColor(5, 5) != picture.pixelColor(700, 400)
    assert not remembered_path().exists()
