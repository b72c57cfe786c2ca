"""The action strip: the actions of the stage with their letters, the tool's choices, and one sentence.

The sentence says what the next click does.
"""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractButton, QWidget

from leakmap.desk.button import Button
from leakmap.desk.faces import text
from leakmap.desk.pens import CENTRE, across, frame, painting, when_pressed, write
from leakmap.desk.resting import resting_sentence
from leakmap.desk.signs import draw_sign
from leakmap.desk.state import Desk, Stage
from leakmap.desk.tokens import BODY_TYPE, BUTTON, CAPTION_TYPE, LIGHT, MARGIN, UNIT, WIDE, Sizes
from leakmap.desk.tools.table import actions_of
from leakmap.desk.tools.tool import Action, Choice

_CELL: Final = (64, 40)
_SIGN: Final = (44, 20)


def take(desk: Desk, action: Action) -> None:
    """Take an action: its tool in hand, or what it does at once; an action that waits says why."""
    waits = action.ready(desk)
    if waits is not None:
        desk.said.emit(waits)
    elif action.tool is not None:
        desk.take_tool(action.tool(desk))
    elif action.run is not None:
        run = action.run
        desk.attempt(lambda: run(desk))


def in_hand(desk: Desk, action: Action) -> bool:
    """Whether an action's tool is the one in hand."""
    tool = desk.tool
    return tool is not None and action.tool is not None and tool.key == action.key


class ChoiceCell(QAbstractButton):
    """One choice of a tool: a sign above its words."""

    def __init__(self, choice: Choice, parent: QWidget) -> None:
        super().__init__(parent)
        self.choice = choice
        self.setText(choice.words)
        self.setAccessibleName(f"{choice.words}, chosen" if choice.chosen else choice.words)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        when_pressed(self, choice.take)
        self.resize(self.sizeHint())

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """64 × 40, or wider where the words are."""
        return QSize(_CELL[0], _CELL[1])

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint sign and words."""
        with painting(self) as painter:
            room = QRectF(self.rect())
            painter.fillRect(room, QColor(LIGHT.sheet))
            frame(painter, room, LIGHT.edge)
            if self.choice.chosen:
                frame(painter, room.adjusted(1, 1, -1, -1), LIGHT.ink, 2.4)
            words = QRectF(2, 22, room.width() - 4, 16) if self.choice.sign else room
            write(painter, words, self.choice.words, text(CAPTION_TYPE, strong=self.choice.chosen), align=CENTRE)
            sign = QRectF((room.width() - _SIGN[0]) / 2, 3, *_SIGN)
            draw_sign(painter, sign, self.choice.sign)
            if self.hasFocus():
                frame(painter, room, LIGHT.focus, 3.0)


class Strip(QWidget):
    """The actions of the stage and the sentence for the next click."""

    first_drawing = Signal()  # Import drawing was pressed while no job is open

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.desk = desk
        self.buttons: list[Button] = []
        self.choices: list[ChoiceCell] = []
        self._actions: tuple[Action, ...] = ()
        self._shown_choices: tuple[Choice, ...] = ()
        self.sentence = ""
        for signal in (desk.opened, desk.changed, desk.stage_changed, desk.tool_changed, desk.picked_changed):
            signal.connect(self.refresh)
        desk.level_changed.connect(self.refresh)
        self.set_sizes(WIDE)
        self.refresh()

    def set_sizes(self, sizes: Sizes) -> None:
        """Lay the strip out for wide or compact."""
        self.setFixedHeight(sizes.strip)
        self._lay_out()

    def refresh(self) -> None:
        """Read everything anew from the desk."""
        actions = actions_of(self.desk.stage)
        if actions != self._actions:
            self._make_buttons(actions)
        for button, action in zip(self.buttons, self._actions, strict=True):
            waits = self._waits(action)
            button.full = in_hand(self.desk, action)
            button.setEnabled(waits is None)
            button.setToolTip(waits or "")
            button.update()
        self._show_choices()
        tool = self.desk.tool
        resting = resting_sentence(self.desk.stage, self.desk.job, self.desk.repairs)
        self.sentence = (tool.sentence() if tool is not None else "") or resting
        self.setAccessibleDescription(self.sentence)
        self._lay_out()
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep buttons in the middle."""
        super().resizeEvent(event)
        self._lay_out()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint ground, rule and sentence."""
        with painting(self) as painter:
            painter.fillRect(self.rect(), QColor(LIGHT.panel))
            across(painter, self.height() - 1, 0, self.width(), LIGHT.rule_strong)
            room = QRectF(self._end() + MARGIN, 0, self.width() - self._end() - 2 * MARGIN, self.height() - 1)
            write(painter, room, self.sentence, text(BODY_TYPE), ink=LIGHT.ink2)

    def _make_buttons(self, actions: tuple[Action, ...]) -> None:
        _discard(self.buttons)
        self._actions = actions
        self.buttons = [
            Button(action.label, lambda action=action: self._press(action), self, key=action.key)  # type: ignore[misc] # the default binds each
            for action in actions
        ]
        for button in self.buttons:
            button.show()

    def _waits(self, action: Action) -> str | None:
        """Why an action waits; without a job only the first drawing can be brought in."""
        if self.desk.open_job is not None:
            return action.ready(self.desk)
        return None if _brings_first_drawing(action) else "Start with a drawing"

    def _press(self, action: Action) -> None:
        if self.desk.open_job is not None:
            take(self.desk, action)
        elif _brings_first_drawing(action):
            self.first_drawing.emit()

    def _show_choices(self) -> None:
        choices = self.desk.tool.choices() if self.desk.tool is not None else ()
        if choices != self._shown_choices:
            _discard(self.choices)
            self._shown_choices = choices
            self.choices = [ChoiceCell(choice, self) for choice in choices]
            for cell in self.choices:
                cell.show()

    def _lay_out(self) -> None:
        """Set buttons from left to right; a tool's choices stand behind its button."""
        top, x = (self.height() - 1 - BUTTON) // 2, MARGIN
        for button in self.buttons:
            button.setGeometry(x, top, button.sizeHint().width(), BUTTON)
            x += button.width() + UNIT
            if button.full and self.choices:
                x = self._lay_choices(x, top)

    def _lay_choices(self, x: int, top: int) -> int:
        for cell in self.choices:
            cell.setGeometry(x, top, cell.sizeHint().width(), _CELL[1])
            x += cell.width() - 1  # neighbours share a rule
        return x + 1 + UNIT

    def _end(self) -> int:
        cells = [*self.buttons, *self.choices]
        return max((cell.geometry().right() for cell in cells), default=MARGIN - UNIT)


def _brings_first_drawing(action: Action) -> bool:
    return action.stage is Stage.DRAWING and action.key == "I"


def _discard(widgets: list[Button] | list[ChoiceCell]) -> None:
    for widget in widgets:
        widget.hide()
        widget.deleteLater()
