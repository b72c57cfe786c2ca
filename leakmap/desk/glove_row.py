"""Buttons for what keys do, under the plan in glove mode: a hand in a glove has no keyboard.

Each presses its key where the keyboard is, so that it means whatever the key means there. Type brings digits.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QAccessible, QColor, QKeyEvent, QPaintEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QWidget

from leakmap.desk.button import Button
from leakmap.desk.larger import control_px
from leakmap.desk.pens import across, painting
from leakmap.desk.state import Desk
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import MARGIN, UNIT

_Key = Qt.Key
DIGITS: Final = "1234567890.-"
"""What Type brings."""

FEET: Final = "'\"/"
"""What it brings besides in jobs in feet and inches: 2'6-3/8" needs them all."""

_NAMES: Final = {"'": "Feet", '"': "Inches", "/": "Fraction"}

_KEYS: Final = {
    "Done": _Key.Key_Return,
    "Back": _Key.Key_Escape,
    "Delete": _Key.Key_Delete,
}


class GloveRow(QWidget):
    """Done, Back, Delete, Type, and switches of what lies beside the plan; while Type is on, digits instead of these.

    Args:
        desk: The desk.
        where: Gives the pane that a key goes to where no field has the keyboard.
        beside: What lies beside the plan, with what shows it or puts it away.
    """

    heard_as: Final = QAccessible.Role.ToolBar

    def __init__(
        self, desk: Desk, where: Callable[[], QWidget], beside: Mapping[str, Callable[[], object]], parent: QWidget
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName("Keys for gloves")
        self._desk, self._where = desk, where
        self.typing = False
        self.buttons = {name: self._button(name, key) for name, key in _KEYS.items()}
        self.buttons["Type"] = Button("Type", self._turn, self)
        self.beside = {name: Button(name, turn, self) for name, turn in beside.items()}
        self.digits = {sign: self._button(sign, _Key(ord(sign))) for sign in DIGITS + FEET}
        self.digits["⌫"] = self._button("⌫", _Key.Key_Backspace)
        self.digits["⌫"].setAccessibleName("Backspace")
        for sign, name in _NAMES.items():
            self.digits[sign].setAccessibleName(name)
        row = QHBoxLayout(self)
        row.setContentsMargins(MARGIN, UNIT // 2, MARGIN, UNIT // 2)
        row.setSpacing(UNIT)
        for button in (*self.buttons.values(), *self.digits.values(), *self.beside.values()):
            button.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the keyboard stays where the key goes
            row.addWidget(button)
        row.insertStretch(len(self.buttons) + len(self.digits), 1)
        for signal in (desk.opened, desk.changed):
            signal.connect(self.lay_out)
        self.lay_out()

    def lay_out(self, _rows: object = None) -> None:
        """Take the height of the controls, and show digits or what they hide."""
        self.setFixedHeight(control_px() + UNIT + 1)
        self.buttons["Type"].full = self.typing
        for button in (self.buttons["Delete"], *self.beside.values()):
            button.setVisible(not self.typing)
        feet = not self._desk.units.metric
        for sign, button in self.digits.items():
            button.setVisible(self.typing and (feet or sign not in FEET))

    def show_beside(self, *, ledger: bool, tape: bool) -> None:
        """Show which of what lies beside the plan is shown."""
        for name, shown in (("Ledger", ledger), ("Tape", tape)):
            self.beside[name].full = shown
            self.beside[name].setAccessibleDescription(
                "beside the plan, shown" if shown else "beside the plan, put away"
            )
            self.beside[name].update()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint ground and rule."""
        with painting(self) as painter:
            painter.fillRect(self.rect(), QColor(tokens().panel))
            across(painter, 0, 0, self.width(), tokens().rule_strong)

    def _turn(self) -> None:
        self.typing = not self.typing
        self.lay_out()

    def _button(self, name: str, key: Qt.Key) -> Button:
        typed = name if len(name) == 1 and name.isascii() else "\r" if key is _Key.Key_Return else ""

        def press() -> None:
            field = QApplication.focusWidget()
            target = (
                field if field is not None and field.testAttribute(Qt.WidgetAttribute.WA_InputMethodEnabled) else None
            )
            for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
                event = QKeyEvent(kind, key, Qt.KeyboardModifier.NoModifier, typed)
                QApplication.sendEvent(target or self._where(), event)

        return Button(name, press, self)
