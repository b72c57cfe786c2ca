"""When Python looks for circles of values that nobody needs any more: not while the hand works.

A look through all that a large job holds takes a fifth of a second, and Python takes it whenever much was made. In
the window young values are looked through as ever, what has stood for a while is set aside, and all of it is looked
through when the window is not in front.
"""

from __future__ import annotations

import gc
from typing import Final

from PySide6.QtCore import QObject, Qt, QTimer
from PySide6.QtGui import QGuiApplication

_YOUNG: Final = 5000
_MIDDLE: Final = 20
_NEVER: Final = 1_000_000_000
_ASIDE_EVERY_MS: Final = 3000


class Tidying(QObject):
    """Keeps Python's own tidying out of the way of the hand, as long as it lives."""

    def __init__(self, app: QGuiApplication) -> None:
        super().__init__(app)
        self._before = gc.get_threshold()
        gc.set_threshold(_YOUNG, _MIDDLE, _NEVER)
        gc.freeze()  # what was imported
        self._timer = QTimer(self, interval=_ASIDE_EVERY_MS)
        self._timer.timeout.connect(gc.freeze)  # takes no time: what stands is set aside as a whole
        self._timer.start()
        app.applicationStateChanged.connect(self._look)

    def _look(self, state: Qt.ApplicationState) -> None:
        if state is not Qt.ApplicationState.ApplicationActive:
            self.tidy()

    def tidy(self) -> None:
        """Look through everything now."""
        gc.unfreeze()
        gc.collect()
        gc.freeze()

    def end(self) -> None:
        """Let Python tidy as it did before."""
        self._timer.stop()
        gc.unfreeze()
        gc.set_threshold(*self._before)
