"""Read the letters of an old drawing in another way, where its texts look wrong; reached from Layers (L).

The file is read again apart; the level shows it when that is done, as one step to undo.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from leakmap.desk.state import Desk
from leakmap.desk.tools.handles import Gesture
from leakmap.desk.tools.tool import Ask, Choice
from leakmap.desk.tools.ways import sheet_on_plan
from leakmap.drawings.dxf.codepages import codepage_of
from leakmap.work.catch import NOTHING, Aim

_OFFERED: Final = {
    "": "as the file says",
    "cp1252": "western letters",
    "cp1250": "central Europe",
    "cp1251": "Cyrillic letters",
    "cp1253": "Greek letters",
}
"""Code pages with a cell of their own; any other can be typed."""


class Letters(Gesture):
    """Letters: one code page after the other, until the texts can be read."""

    name = "Layers"
    key = "L"
    by_cross = False

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._words = ""

    @property
    def codepage(self) -> str:
        """What the texts of the level on the plan are read by; empty for what the file says."""
        sheet = sheet_on_plan(self.desk)
        return sheet.source.reading.codepage if sheet is not None and sheet.source is not None else ""

    def sentence(self) -> str:
        """What the next click does."""
        sheet = sheet_on_plan(self.desk)
        if sheet is None:
            return "This level has no drawing."
        return f"Do texts of {sheet.name} look wrong? Click other letters, or type a code page and press Enter."

    def choices(self) -> tuple[Choice, ...]:
        """The code pages that are offered."""
        now = self.codepage
        return tuple(
            Choice(key="", words=words, chosen=name == now, take=lambda name=name: self._read_by(name))  # type: ignore[misc] # the default binds each
            for name, words in _OFFERED.items()
        )

    def ask(self) -> Ask:
        """Any other code page."""
        return Ask(name="Code page, such as 1257", words=self._words, changed=self._typed, entered=self._entered)

    def aim(self) -> Aim:
        """A click on the plan means no place."""
        return NOTHING

    def _typed(self, words: str) -> None:
        self._words = words

    def _entered(self) -> None:
        self.desk.attempt(lambda: self._read_by(codepage_of(self._words)))

    def _read_by(self, codepage: str) -> None:
        sheet = sheet_on_plan(self.desk)
        if sheet is not None and sheet.source is not None and codepage != self.codepage:
            self.desk.reading_asked.emit(sheet.id, replace(sheet.source.reading, codepage=codepage), False)
