"""What holds for tests of the window: no screen is needed, and nothing is remembered from test to test."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest
from pytestqt.qtbot import QtBot

from leakmap.desk.state import Desk
from leakmap.desk.things import Stage
from leakmap.desk.window import MainWindow
from tests.helpers.desks import desk_with
from tests.helpers.ledger_hands import two_levels
from tests.helpers.small_jobs import one_line
from tests.helpers.windows import window_with

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")


OWN: Final = ("XDG_STATE_HOME", "XDG_CONFIG_HOME", "LOCALAPPDATA")
"""Where what is remembered of a person lies."""


@pytest.fixture(autouse=True, scope="module")
def _nobody_sits_here(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """A window that many tests share takes no settings of whoever runs them."""
    with pytest.MonkeyPatch.context() as patch:
        for name in OWN:
            patch.setenv(name, str(tmp_path_factory.mktemp("state")))
        yield


@pytest.fixture(autouse=True)
def _nothing_remembered(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Recent jobs, settings and the window's layout go into the folder of the test."""
    for name in OWN:
        monkeypatch.setenv(name, str(tmp_path / "state"))


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    """A window on a small job."""
    with window_with(one_line()[0], tmp_path, size=(1280, 800)) as window:
        qtbot.waitExposed(window)
        yield window


@pytest.fixture
def desk(tmp_path: Path, qtbot: QtBot) -> Iterator[Desk]:  # noqa: ARG001 - the application must be there
    """A desk with a small job of two levels in stage Leaks."""
    with desk_with(two_levels(), tmp_path, Stage.LEAKS) as made:
        yield made
