"""Words of the strip that show ledger and tape or put them away, where letters are large."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from PySide6.QtCore import QRect
from PySide6.QtWidgets import QWidget

from leakmap.desk.beside import BESIDE_KEYS, switch_words
from leakmap.desk.ledger.head import Word
from leakmap.desk.tokens import CAPTION_TYPE, MARGIN


class BesideWords:
    """A word for each, underlined while it is shown.

    Args:
        strip: Where they stand.
        turn: Is given the name of the one that was pressed.

    Attributes:
        words: They, by name.
    """

    def __init__(self, strip: QWidget, turn: Callable[[str], object]) -> None:
        self._turn = turn
        self.words = {name: self._word(name, strip) for name in BESIDE_KEYS}

    def _word(self, name: str, strip: QWidget) -> Word:
        word = Word(name, CAPTION_TYPE, strip, underline=2, pad=2)
        word.setAutoExclusive(False)  # both may be shown, or neither
        word.setToolTip(f"{name}, beside the plan  {BESIDE_KEYS[name]}")
        word.clicked.connect(lambda: self._turn(name))
        return word

    def need(self, needed: bool) -> None:  # noqa: FBT001 - a switch
        """Be seen where letters are so large that one of them gives way to the other."""
        for word in self.words.values():
            word.setVisible(needed)

    def mark(self, shown: Mapping[str, bool]) -> None:
        """Underline what is shown."""
        for name, word in self.words.items():
            word.setChecked(shown[name])
            word.setAccessibleDescription(switch_words(name, shown=shown[name]))

    def wide_px(self, *, stacked: bool) -> int:
        """Width of those that are seen, with the room before each; ``stacked``: over each other."""
        wide = [word.sizeHint().width() + MARGIN for word in self._seen]
        return max(wide, default=0) if stacked else sum(wide)

    @property
    def high_px(self) -> int:
        """Height of one that is seen; 0 where none is."""
        return max((word.sizeHint().height() for word in self._seen), default=0)

    def lie_behind(self, line: QRect) -> None:
        """Stand behind a line of words: over each other where it is high enough, else side by side."""
        x, middle = line.right() + 1 + MARGIN, line.center().y() + 1
        hints = [word.sizeHint() for word in self.words.values()]
        stacked = line.height() >= sum(hint.height() for hint in hints)
        for number, (word, hint) in enumerate(zip(self.words.values(), hints, strict=True)):
            top = middle - (1 - number) * hint.height() if stacked else middle - hint.height() // 2
            word.setGeometry(x, top, hint.width(), hint.height())
            x += 0 if stacked else hint.width() + MARGIN

    @property
    def _seen(self) -> list[Word]:
        return [word for word in self.words.values() if not word.isHidden()]
