"""Short work in a thread beside the window: one outcome, on the main thread, and no thread left."""

from __future__ import annotations

import threading
from typing import Any

import pytest
from PySide6.QtCore import QObject
from pytestqt.qtbot import QtBot

from leakmap.base.errors import EditRefused
from leakmap.desk.aside import Aside


def refused() -> None:
    """Work that comes to nothing."""
    raise EditRefused("Not so.")


def test_outcome_comes_on_the_main_thread(qtbot: QtBot) -> None:
    """The work runs in another thread; what came out is told here, in a later turn of the loop."""
    told: list[Any] = []
    aside = Aside(threading.get_ident)
    aside.finished.connect(lambda outcome: told.append((outcome, threading.get_ident())))
    assert not told
    qtbot.waitUntil(lambda: bool(told))
    ((worked, here),) = told
    assert worked != here == threading.get_ident()


def test_refusal_is_told(qtbot: QtBot) -> None:
    """What goes wrong in a way that is foreseen comes as the error itself."""
    aside = Aside(refused)
    with qtbot.waitSignal(aside.failed) as outcome, qtbot.assertNotEmitted(aside.finished):
        pass
    assert str(outcome.args[0]) == "Not so."


def test_settling_waits_and_tells_once(qtbot: QtBot) -> None:
    """Whoever cannot go on without the outcome has it at once, and it does not come again."""
    told: list[Any] = []
    gate = threading.Event()
    aside = Aside(lambda: gate.wait(5))
    aside.finished.connect(told.append)
    gate.set()
    aside.settle()
    assert told == [True]
    qtbot.wait(20)
    assert told == [True]


@pytest.mark.usefixtures("qapp")
def test_mistake_is_raised_where_it_is_told() -> None:
    """A mistake of the program is not swallowed by the thread."""
    aside = Aside(lambda: 1 // 0)
    with pytest.raises(ZeroDivisionError):
        aside.settle()


def test_dropped_work_tells_nobody(qtbot: QtBot) -> None:
    """A window that closes waits for the thread and hears nothing."""
    owner = QObject()
    told: list[Any] = []
    aside = Aside(lambda: 42, owner)
    aside.finished.connect(told.append)
    aside.drop()
    qtbot.wait(20)
    assert not told
