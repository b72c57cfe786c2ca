"""What lies beside the plan, ledger and tape: shown or put away, as the hand wants it or because there is no room."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from PySide6.QtCore import QObject, Signal

from leakmap.desk.larger import larger

LEDGER: Final = "Ledger"
TAPE: Final = "Tape"
BESIDE_KEYS: Final = {LEDGER: "F7", TAPE: "F8"}
"""What lies beside the plan, with the key that shows it or puts it away."""


def switch_words(name: str, *, shown: bool) -> str:
    """What a reader hears of a switch of one of them.

    >>> switch_words(TAPE, shown=False)
    'beside the plan, put away, key F8'
    """
    return f"beside the plan, {'shown' if shown else 'put away'}, key {BESIDE_KEYS[name]}"


class Beside(QObject):
    """Which of both is shown.

    Attributes:
        shown: Whether each is, by name.
        folded: Whether gloves or large letters put them away, which nobody asked for.
    """

    changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.shown: Mapping[str, bool] = dict.fromkeys(BESIDE_KEYS, True)
        self.folded = False
        self._scarce = False

    @property
    def plan_only(self) -> bool:
        """Whether both are put away."""
        return not any(self.shown.values())

    def show(self, *, ledger: bool, tape: bool) -> None:
        """Show them or put them away."""
        self._take({LEDGER: ledger, TAPE: tape}, folded=False)

    def show_plan_only(self) -> None:
        """Put both away, or show them again."""
        self.show(ledger=self.plan_only, tape=self.plan_only and not self._one_at_a_time)

    def turn(self, name: str) -> None:
        """Show one of them or put it away; where large letters leave no room for both, in the other's stead."""
        others = {each: shown and not self._one_at_a_time for each, shown in self.shown.items()}
        self._take({**others, name: not self.shown[name]}, folded=self.folded)

    def follow_room(self, *, scarce: bool) -> None:
        """Put both away once gloves or large letters leave the plan little room; bring them back after."""
        if scarce is self._scarce:
            return
        self._scarce = scarce
        if scarce and not self.plan_only:
            self._take(dict.fromkeys(BESIDE_KEYS, False), folded=True)
        elif self.folded:
            self.show(ledger=True, tape=True)

    @property
    def _one_at_a_time(self) -> bool:
        """Whether letters leave the plan no room beside both."""
        return self._scarce and larger().large

    def _take(self, shown: Mapping[str, bool], *, folded: bool) -> None:
        self.shown, self.folded = shown, folded
        self.changed.emit()
