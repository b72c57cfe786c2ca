"""Glove mode offered at the first touch, once in the life of an installation."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QObject

from leakmap.desk.state import Desk
from leakmap.desk.trouble import Answer, Trouble
from leakmap.work.recent import recent, with_window

_WORDS: Final = "Fingers need more room: glove mode makes controls larger and adds buttons for keys."
_KNOWN: Final = "gloves_offered"


class GloveOffer(QObject):
    """Offers glove mode, unless it is on or was offered before."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._desk = desk
        self._made = False

    def make(self) -> None:
        """Offer it in the band."""
        if self._made or self._desk.settings.glove_mode:
            return
        self._made = True
        if recent().window.get(_KNOWN):
            return
        self._desk.remember(lambda old: with_window(old, {_KNOWN: 1}))
        on = Answer(words="Glove mode", give=lambda: self._desk.change_setting("glove_mode", True))
        self._desk.troubled.emit(Trouble(sentence=_WORDS, answers=(on,), grave=False, waits=False))
