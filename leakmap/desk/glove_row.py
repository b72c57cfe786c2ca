"""Buttons for what keys do, above the foot in glove mode: a hand in a glove has no keyboard.

Each presses its key where the keyboard is, so that it means whatever the key means there. Type brings figures or
letters; they come by themselves where words are asked for: in a field, or beside the hand for a name, a day or a note.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import partial
from typing import Final

from PySide6.QtCore import QEvent, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QApplication, QLineEdit, QScrollArea, QWidget

from leakmap.desk.alphabets import ALPHABETS, DIGITS, FEET, FIGURES, LETTERS, SIGNS, SPOKEN, capital
from leakmap.desk.beside import BESIDE_KEYS, switch_words
from leakmap.desk.button import Button
from leakmap.desk.flowed import Run, flowed
from leakmap.desk.larger import control_px
from leakmap.desk.pens import across, painting
from leakmap.desk.state import Desk
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import MARGIN, UNIT
from leakmap.desk.tools.asking import Asking
from leakmap.work.typed import Entry

_Key = Qt.Key
_LETTERED: Final = frozenset({Entry.NAME, Entry.WORDS, Entry.AXIS})
_NAMES: Final = {"'": "Feet", '"': "Inches", "/": "Fraction"}
_KEYS: Final = {
    "Done": _Key.Key_Return,
    "Back": _Key.Key_Escape,
    "Delete": _Key.Key_Delete,
    "Edit": _Key.Key_F2,
}
_LATIN: Final = 0x80


class GloveRow(QWidget):
    """Done, Back, Delete, Edit, Type, and switches of what lies beside the plan; while Type is on, what is typed with.

    Args:
        desk: The desk.
        where: Gives the pane that a key goes to where no field has the keyboard.
        turn: Shows what lies beside the plan, by its name, or puts it away.

    Attributes:
        typing: Whether Type is on.
        alphabet: What it brings.
        capitals: Whether the next letter is a capital.
        letters: Buttons of the letters that were shown once, by their alphabet.
    """

    height_changed = Signal()  # other rows stand there, or none

    def __init__(
        self, desk: Desk, where: Callable[[], QWidget], turn: Callable[[str], object], parent: QWidget
    ) -> None:
        super().__init__(parent)
        self._desk, self._where = desk, where
        self.typing, self._by_itself, self.alphabet, self.capitals = False, False, FIGURES, False
        self._asked_by: object = None
        self.buttons = {name: self._key_button(name, key) for name, key in _KEYS.items()}
        self.buttons["Type"] = self._button("Type", self._turn)
        self.alphabets = {name: self._button(name, lambda name=name: self._take(name)) for name in SPOKEN}  # type: ignore[misc] # the default binds each
        for name, spoken in SPOKEN.items():
            self.alphabets[name].setAccessibleName(spoken)
        self.capital = self._button("Capital", self._turn_capitals)
        self.space = self._button("Space", lambda: self._press(_Key.Key_Space, " "))
        self.digits = {sign: self._sign_button(sign) for sign in DIGITS + FEET}
        for sign, name in _NAMES.items():
            self.digits[sign].setAccessibleName(name)
        self.digits["⌫"] = self._key_button("⌫", _Key.Key_Backspace)
        self.digits["⌫"].setAccessibleName("Backspace")
        self.letters: dict[str, dict[str, Button]] = {}
        self.beside = {name: self._button(name, partial(turn, name)) for name in BESIDE_KEYS}
        for signal in (desk.opened, desk.changed):
            signal.connect(self.lay_out)
        desk.tool_changed.connect(self._follow_keyboard)
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        app.focusChanged.connect(self._follow_keyboard)
        self.lay_out()

    def lay_out(self, _rows: object = None) -> None:
        """Show what can be pressed now, in as many rows as it needs."""
        self.buttons["Type"].full = self.typing
        above, below = self._shown()
        for button in self.findChildren(Button, options=Qt.FindChildOption.FindDirectChildrenOnly):
            button.wide = control_px() if len(button.text()) == 1 else 0
            button.setVisible(button in above or button in below)
        rows = self._set(above, 0)
        rows = self._set(below, rows) if below else rows
        self._set_beside()
        high = rows * (control_px() + UNIT) + 1
        if high != self.height():
            self.setFixedHeight(high)
            self.height_changed.emit()
            QTimer.singleShot(0, self, _bring_into_view)

    def mark(self, shown: Mapping[str, bool]) -> None:
        """Fill the switches of what is shown beside the plan."""
        for name, button in self.beside.items():
            button.full = shown[name]
            button.setAccessibleDescription(switch_words(name, shown=shown[name]))
            button.update()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep all in view."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self.lay_out()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint ground and rule."""
        with painting(self) as painter:
            painter.fillRect(self.rect(), QColor(tokens().panel))
            across(painter, 0, 0, self.width(), tokens().rule_strong)

    # What is shown ------------------------------------------------------------------------------

    def _shown(self) -> tuple[list[Button], list[Button]]:
        """Buttons of the first rows, and those that type."""
        if not self.typing:
            return [*self.buttons.values(), *self.beside.values()], []
        for name, button in self.alphabets.items():
            button.full = name == self.alphabet
            button.update()
        above = [self.buttons[name] for name in ("Done", "Back", "Type")] + [*self.alphabets.values()]
        erase = self.digits["⌫"]
        if self.alphabet == FIGURES:
            signs = DIGITS + ("" if self._desk.units.metric else FEET)
            return above, [*(self.digits[sign] for sign in signs), erase]
        self.capital.full = self.capitals
        self.capital.update()
        return [*above, self.capital, self.space], [*self._letters_now(), erase]

    def _letters_now(self) -> Iterable[Button]:
        """The letters of the alphabet, made when they are first shown, in the case in which they are typed."""
        name = self.alphabet
        if name not in self.letters:
            self.letters[name] = {sign: self._sign_button(sign) for sign in ALPHABETS[name] + SIGNS}
        for letter, button in self.letters[name].items():
            button.setText(capital(letter) if self.capitals else letter)
            button.setAccessibleName(button.text())
        return self.letters[name].values()

    def _set(self, buttons: list[Button], row: int) -> int:
        """Set buttons from a row on; the row behind them."""
        pitch = control_px() + UNIT
        runs = [Run((button.sizeHint().width(),), UNIT) for button in buttons]
        places = flowed(runs, MARGIN, lambda _: self.width() - MARGIN, UNIT)
        for button, (place,) in zip(buttons, places, strict=True):
            top = UNIT // 2 + 1 + (row + place.row) * pitch
            button.setGeometry(place.x, top, button.sizeHint().width(), control_px())
        return row + max((place.row for (place,) in places), default=0) + 1

    def _set_beside(self) -> None:
        """Set the switches of what lies beside the plan at the right end of their row."""
        row = [button for button in self.beside.values() if not button.isHidden()]
        spare = self.width() - MARGIN - row[-1].geometry().right() - 1 if row else 0
        if row and row[0].y() == row[-1].y() and spare > 0:
            for button in row:
                button.move(button.x() + spare, button.y())

    # What the hand does -------------------------------------------------------------------------

    def _turn(self) -> None:
        self.typing, self._by_itself = not self.typing, False
        self.alphabet = self._asked() or FIGURES
        self._look_at_case()

    def _take(self, alphabet: str) -> None:
        self.alphabet = alphabet
        self._look_at_case()

    def _turn_capitals(self) -> None:
        self.capitals = not self.capitals
        self.lay_out()

    def _look_at_case(self) -> None:
        """Begin with a capital where nothing stands yet."""
        focus = QApplication.focusWidget()
        if isinstance(focus, QLineEdit):
            self.capitals = not focus.text() or focus.selectedText() == focus.text()
        self.lay_out()

    def _asked(self) -> str | None:
        """The alphabet of what has the keyboard; None where no words are asked for."""
        focus, tool = QApplication.focusWidget(), self._desk.tool
        if isinstance(focus, QLineEdit):
            return FIGURES if focus.inputMethodHints() & Qt.InputMethodHint.ImhPreferNumbers else LETTERS
        if isinstance(tool, Asking):
            return LETTERS if tool.fields.parts[tool.fields.active].entry in _LETTERED else FIGURES
        return None

    def _follow_keyboard(self, *_: object) -> None:
        """Bring what types where words are asked for, and put it away after."""
        if not self._desk.settings.glove_mode:
            return
        asked, focus, tool = self._asked(), QApplication.focusWidget(), self._desk.tool
        part = tool.fields.active if isinstance(tool, Asking) else 0
        asked_by = None if asked is None else (focus, 0) if isinstance(focus, QLineEdit) else (tool, part)
        if asked_by == self._asked_by:
            return
        self._asked_by = asked_by
        if asked is not None:
            self._by_itself = self._by_itself or not self.typing
            self.typing, self.alphabet = True, asked
            self._look_at_case()
        elif self._by_itself:
            self.typing = self._by_itself = False
            self.lay_out()

    def _button(self, name: str, press: Callable[[], object]) -> Button:
        button = Button(name, press, self)
        button.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the keyboard stays where the key goes
        return button

    def _key_button(self, name: str, key: Qt.Key) -> Button:
        return self._button(name, lambda: self._press(key, "\r" if key is _Key.Key_Return else ""))

    def _sign_button(self, sign: str) -> Button:
        def press() -> None:
            typed = capital(sign) if self.capitals and self.alphabet != FIGURES else sign
            self._press(_Key(ord(typed.upper())) if ord(sign) < _LATIN else _Key.Key_unknown, typed)
            if self.capitals and typed.isalpha():
                self._turn_capitals()

        return self._button(sign, press)

    def _press(self, key: Qt.Key, typed: str) -> None:
        field = QApplication.focusWidget()
        takes = field is not None and field.testAttribute(Qt.WidgetAttribute.WA_InputMethodEnabled)
        target = field if takes and field is not None else self._where()
        for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
            QApplication.sendEvent(target, QKeyEvent(kind, key, Qt.KeyboardModifier.NoModifier, typed))


def _bring_into_view() -> None:
    """Keep the field that has the keyboard in view, now that the rows took or gave room."""
    focus = QApplication.focusWidget()
    over = focus.parentWidget() if isinstance(focus, QLineEdit) else None
    while focus is not None and over is not None:
        if isinstance(over, QScrollArea):
            over.ensureWidgetVisible(focus)
        elif isinstance(over, QAbstractItemView):
            over.scrollTo(over.currentIndex())
        over = over.parentWidget()
