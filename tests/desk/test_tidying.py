"""Python's own tidying keeps out of the way of the hand."""

from __future__ import annotations

import gc
import weakref
from collections.abc import Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from pytestqt.qtbot import QtBot

from leakmap.desk.tidying import Tidying


class Circle:
    """A value that holds itself."""

    def __init__(self) -> None:
        self.me = self


@pytest.fixture
def tidying(qtbot: QtBot) -> Iterator[Tidying]:
    """Tidying, as long as the test runs."""
    del qtbot
    app = QGuiApplication.instance()
    assert isinstance(app, QGuiApplication)
    made = Tidying(app)
    yield made
    made.end()
    made.deleteLater()


def test_nothing_old_is_looked_through_while_the_hand_works(tidying: Tidying) -> None:
    """Half a million values are made and kept without one look through all of them."""
    del tidying
    before = gc.get_stats()[2]["collections"]
    held = [[number] for number in range(500_000)]
    assert len(held) == 500_000
    assert gc.get_stats()[2]["collections"] == before


def test_a_circle_that_was_set_aside_goes_when_the_window_is_not_in_front(tidying: Tidying) -> None:
    """A circle set aside stays after nobody holds it, and is gone once the user has turned to another program."""
    circle = Circle()
    seen = weakref.ref(circle)
    gc.freeze()
    del circle
    gc.collect()
    assert seen() is not None
    app = tidying.parent()
    assert isinstance(app, QGuiApplication)
    app.applicationStateChanged.emit(Qt.ApplicationState.ApplicationInactive)
    assert seen() is None
