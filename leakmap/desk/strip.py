"""The action strip: the actions of the stage with their letters, the tool's choices, and one sentence.

The sentence says what the next click does.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil
from typing import Final

from PySide6.QtCore import QRect, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QAccessible, QColor, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from leakmap.desk.beside_words import BesideWords
from leakmap.desk.button import Button
from leakmap.desk.choice_cell import ChoiceCell
from leakmap.desk.faces import text
from leakmap.desk.field import Field
from leakmap.desk.flowed import Place, Run, flowed
from leakmap.desk.larger import control_px, grown, larger
from leakmap.desk.pens import (
    across,
    fitting,
    height_of,
    painting,
    width_of,
    write_fitting,
)
from leakmap.desk.resting import rates_sentence, resting_sentence
from leakmap.desk.state import Desk
from leakmap.desk.taking import brings_first_drawing, in_hand, take
from leakmap.desk.theme import tokens
from leakmap.desk.things import Declared, Stage
from leakmap.desk.tokens import BODY_TYPE, CAPTION_TYPE, MARGIN, SECOND_TYPE, UNIT, WIDE, Sizes
from leakmap.desk.tools.at_rest import tool_at_rest
from leakmap.desk.tools.table import action_for, actions_of
from leakmap.desk.tools.tool import Action, Ask, Choice
from leakmap.work.ledger_prices import shows_prices

_FIELD: Final = 220
SENTENCE_TYPES: Final = (BODY_TYPE, SECOND_TYPE, CAPTION_TYPE)
"""Sizes of the sentence for the next click, px: where one line has no room, more lines are set, and smaller."""


class Strip(QWidget):
    """The actions of the stage and the sentence for the next click."""

    heard_as: Final = QAccessible.Role.ToolBar

    height_changed = Signal()  # the sentence has a row of its own now, or none
    field_left = Signal()  # the line of words or the choice is gone that the keyboard was in
    first_drawing = Signal()  # Import drawing was pressed while no job is open
    beside_asked = Signal(str)  # Ledger or Tape: show it beside the plan, or put it away

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.desk = desk
        self.buttons: list[Button] = []
        self.choices: list[ChoiceCell] = []
        self.back = Button("Back to check", self._back_to_check, self)
        self.back.setAccessibleDescription("back to the check list of stage Issue")
        self.beside = BesideWords(self, self.beside_asked.emit)
        self.setAccessibleName("Actions of the stage")
        self._actions: tuple[Action, ...] = ()
        self._shown_choices: tuple[Choice, ...] = ()
        self.field: Field | None = None
        self._bar = 0  # height of the row of cells
        self._below = 0  # height of what more rows take, 0 for none
        self._below_in: Stage | None = None  # the stage for which they stay
        self._line = QRect()  # all the room of the sentence
        self._ask: Ask | None = None
        self.sentence = ""
        for signal in (desk.opened, desk.changed, desk.stage_changed, desk.tool_changed, desk.picked_changed):
            signal.connect(self.refresh)
        for signal in (desk.level_changed, desk.draft_changed, desk.declared_changed):
            signal.connect(self.refresh)
        desk.settings_changed.connect(self._other_settings)
        self.set_sizes(WIDE)
        self.refresh()

    def grow(self) -> None:
        """Make the buttons anew: controls or letters are of another size."""
        self._make_buttons(self._actions)
        self._shown_choices = ()
        self.back.resize(self.back.sizeHint())
        self.refresh()

    def _other_settings(self) -> None:
        """Letters may need Alt now, on choices too, and prices be shown."""
        self._shown_choices = ()
        self.refresh()

    def set_sizes(self, sizes: Sizes) -> None:
        """Lay the strip out for wide or compact."""
        self._bar, self._below_in = sizes.strip, None
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
            button.waits = waits or ""
            button.key = action.key if self.desk.settings.letter_keys else f"Alt {action.key}"
            said = ("in hand" if button.full else "", f"waits: {waits}" if waits else "", f"key {button.key}")
            button.setAccessibleDescription(", ".join(filter(None, said)))
            button.update()
        self.back.setVisible(self.desk.mending)
        self.beside.need(self.desk.open_job is not None and larger().large and not larger().glove)
        self._show_choices()
        self._show_field()
        tool = self.desk.tool
        self.sentence = (tool.sentence() if tool is not None else "") or self._at_rest()
        self.setAccessibleDescription(self.sentence)
        self._lay_out()
        self.update()

    def sentence_room(self) -> QRect:
        """Where the sentence for the next click stands."""
        room = self._line
        wide = min(ceil(width_of(self.sentence, text(BODY_TYPE))), room.width())
        high = min(control_px(), room.height())
        return QRect(room.left(), room.center().y() - high // 2, max(wide, 0), high)

    def action_with_keyboard(self) -> Action | None:
        """The action whose button has the keyboard."""
        pairs = zip(self.buttons, self._actions, strict=True)
        return next((action for button, action in pairs if button.hasFocus()), None)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep buttons in the middle; in another width the sentence need not stand where it did."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self._below_in = None
        self._lay_out()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint ground, rule and sentence."""
        with painting(self) as painter:
            painter.fillRect(self.rect(), QColor(tokens().panel))
            across(painter, self.height() - 1, 0, self.width(), tokens().rule_strong)
            fonts = [text(px) for px in SENTENCE_TYPES]
            fits = write_fitting(painter, QRectF(self._line), self.sentence, fonts, ink=tokens().ink2)
        tip = "" if fits else self.sentence
        if tip != self.toolTip():
            self.setToolTip(tip)

    def _at_rest(self) -> str:
        """What can be done with what is picked, else where the work stands; of a job to look at, that it is one."""
        if self.desk.open_job is not None and self.desk.open_job.look_only:
            return self.desk.open_job.only_to_look
        desk = self.desk
        if desk.declared is Declared.RATES and desk.job is not None and desk.repairs is not None:
            return rates_sentence(desk.job, desk.repairs)
        rest = tool_at_rest(desk)
        words = rest.sentence() if rest is not None and desk.picked else ""
        return words or resting_sentence(
            desk.stage, desk.job, desk.repairs, desk.draft, prices=shows_prices(desk.job, desk.role)
        )

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
        return None if brings_first_drawing(action) else "Start with a drawing"

    def _press(self, action: Action) -> None:
        if self.desk.open_job is not None:
            take(self.desk, action)
        elif brings_first_drawing(action):
            self.first_drawing.emit()

    def _back_to_check(self) -> None:
        self.desk.go_to(Stage.ISSUE)
        check = action_for(Stage.ISSUE, "C")
        assert check is not None
        take(self.desk, check)

    def _show_choices(self) -> None:
        choices = self.desk.tool.choices() if self.desk.tool is not None else ()
        if [_face(choice) for choice in choices] != [_face(choice) for choice in self._shown_choices]:
            at = next((number for number, cell in enumerate(self.choices) if cell.hasFocus()), None)
            _discard(self.choices)
            letters = self.desk.settings.letter_keys
            self.choices = [ChoiceCell(choice, self, letters=letters) for choice in choices]
            for cell in self.choices:
                cell.show()
            if at is not None:
                self._hand_on(at)
        self._shown_choices = choices
        for cell, choice in zip(self.choices, choices, strict=True):
            cell.follow(choice)

    def _hand_on(self, at: int) -> None:
        """Give the keyboard, which was on a choice, to the one in its place; where none is, somebody else has to."""
        if at < len(self.choices):
            self.choices[at].setFocus(Qt.FocusReason.TabFocusReason)
        else:
            self.field_left.emit()

    def _show_field(self) -> None:
        """Show the line of words that the tool asks for; it takes the keyboard when it is new."""
        ask = self.desk.tool.ask() if self.desk.tool is not None else None
        named, before = ask and ask.name, self._ask and self._ask.name
        self._ask = ask
        if named != before:
            if self.field is not None:
                had_keyboard = self.field.hasFocus()
                self.field.hide()
                self.field.deleteLater()
                if had_keyboard:
                    self.field_left.emit()
            self.field = self._field(ask) if ask is not None else None
        if self.field is not None and ask is not None and self.field.text() != ask.words:
            self.field.setText(ask.words)

    def _field(self, ask: Ask) -> Field:
        field = Field(ask.name, self)
        field.setPlaceholderText(ask.name)
        field.setFixedWidth(grown(_FIELD))
        field.setText(ask.words)
        field.setAccessibleDescription(self.sentence)
        field.textEdited.connect(self._words_typed)
        field.returnPressed.connect(self._words_entered)
        field.show()
        QTimer.singleShot(0, field, field.setFocus)  # after the plan was given the keyboard
        return field

    def _words_typed(self, words: str) -> None:
        if self._ask is not None:
            self._ask.changed(words)

    def _words_entered(self) -> None:
        if self._ask is not None:
            self._ask.entered()

    def _lay_out(self) -> None:
        """Set cells from left to right, and the sentence behind them, or where it has no room in a row of its own.

        Where letters or controls are large, a label is worth a row more. What was added stays until another stage or
        width, so that the plan does not move from click to click.
        """
        stage = self.desk.stage
        kept = self._below if self._below_in is stage else 0
        self.back.move(self.width() - MARGIN - self.back.width(), self._top())
        if larger().large or larger().glove:
            self._set_rows(kept)
        else:
            self._set_row(kept)
        self._below_in = stage if self._below else None
        self.beside.lie_behind(self._line)
        if self.height() != self._bar + self._below:
            self.setFixedHeight(self._bar + self._below)
            self.height_changed.emit()

    def _set_row(self, kept: int) -> None:
        """Set all cells in one row: the sentence takes two lines there, then boxes of keys and labels fall away."""
        self._shorten(lambda: self._fits(self._behind()))
        self._line, self._below = self._behind(), 0
        if kept or not self._fits(self._line):
            self._shorten(self._cells_fit)
            self._line = self._line_below(self._bar - 1 - UNIT // 2)
            self._below = max(self._line.height(), kept)

    def _behind(self) -> QRect:
        """The room behind the cells of the one row: two lines at most."""
        left = self._end() + MARGIN
        return QRect(left, self._top(), self._limit() - left - MARGIN, control_px())

    def _set_rows(self, kept: int) -> None:
        """Set cells with their words in as few rows as they need: boxes of keys give way before another row comes."""
        for button in self.buttons:
            button.short = False
            button.setToolTip(button.waits)
        for cell in self.choices:
            cell.shorten(False)
        boxed, snug = (self._rows_taken(snug, 0) for snug in (False, True))
        self._below = self._rows_taken(snug < boxed and boxed > kept, kept)

    def _rows_taken(self, snug: bool, kept: int) -> int:  # noqa: FBT001 - a switch
        """Set cells in rows, and the sentence behind the last or under it; what all but the first row take, px."""
        for button in self.buttons:
            button.snug = snug
        places = self._flowed()
        pitch = control_px() + UNIT
        for widget, place in places:
            widget.setGeometry(place.x, self._top() + place.row * pitch, _wide(widget), control_px())
        last = _rows(places) - 1
        top, ends = self._top() + last * pitch, [widget for widget, place in places if place.row == last]
        left = max((widget.geometry().right() for widget in ends), default=0) + MARGIN
        beside = self.beside.wide_px(stacked=True)
        behind = QRect(left, top, self._right(last) - beside - left, control_px())
        under = self._line_below(top + control_px() + UNIT // 2)
        needed = under.bottom() + UNIT // 2 + 2 - self._bar
        fits = self._fits(behind) and kept < needed
        self._line = behind if fits else under
        return max(last * pitch if fits else needed, kept)

    def _flowed(self) -> list[tuple[QWidget, Place]]:
        """Each cell with its place: a tool's choices behind its button, or behind all where that takes fewer rows."""
        found = []
        for behind_all in (False, True):
            runs = self._runs(behind_all=behind_all)
            sizes = [Run(tuple(map(_wide, widgets)), gap) for widgets, gap in runs]
            places = flowed(sizes, MARGIN, self._right, UNIT)
            widgets = (widget for widgets, _ in runs for widget in widgets)
            found.append(list(zip(widgets, (place for run in places for place in run), strict=True)))
        return min(found, key=_rows)

    def _runs(self, *, behind_all: bool) -> list[tuple[Sequence[QWidget], int]]:
        """What stays together, with the gap in it: buttons, the field of a tool, its choices."""
        runs: list[tuple[Sequence[QWidget], int]] = []
        behind_all = behind_all or not any(button.full for button in self.buttons)
        for button in self.buttons:
            runs.append(((button,), UNIT))
            if button.full and self.field is not None:
                runs.append(((self.field,), UNIT))
            if button.full and self.choices and not behind_all:
                runs.append((self.choices, -1))
        if self.choices and behind_all:
            runs.append((self.choices, -1))
        return runs

    def _line_below(self, top: int) -> QRect:
        """The room of the sentence in a row of its own, as high as its words need."""
        wide = self.width() - 2 * MARGIN - self.beside.wide_px(stacked=False)
        high = height_of(self.sentence, text(BODY_TYPE), wide) + UNIT // 2
        return QRect(MARGIN, top, wide, max(high, self.beside.high_px))

    def _fits(self, room: QRect) -> bool:
        """Whether the sentence has room there."""
        return fitting(QRectF(room), self.sentence, [text(px) for px in SENTENCE_TYPES]) is not None

    def _cells_fit(self) -> bool:
        """Whether all cells have room."""
        return self._end() <= self._limit()

    def _shorten(self, enough: Callable[[], bool]) -> None:
        """Let boxes of keys, then labels after the first, fall away, from the last on, until there is room enough.

        Where not even all cells have room, choices that are not chosen keep their key alone, from the last on.
        """
        for cell in self.choices:
            cell.shorten(False)
        whole = len(self.buttons)
        for snug, short_from in ((False, whole), *((True, at) for at in range(whole, 0, -1))):
            for number, button in enumerate(self.buttons):
                button.snug, button.short = snug, number >= short_from and not button.full
                button.setToolTip(button.waits or (button.text() if button.short else ""))
            self._set_out()
            if enough():
                return
        for cell in reversed(self.choices):
            if self._end() < self._limit() - UNIT:
                return
            cell.shorten(not cell.choice.chosen)
            self._set_out()

    def _set_out(self) -> None:
        """Set each cell of the one row."""
        x = MARGIN
        for widgets, gap in self._runs(behind_all=False):
            for widget in widgets:
                widget.setGeometry(x, self._top(), _wide(widget), control_px())
                x += widget.width() + gap
            x += UNIT - gap

    def _top(self) -> int:
        """Top of the first row of cells."""
        return (self._bar - 1 - control_px()) // 2

    def _limit(self) -> int:
        """Where the sentence must end: at the way back, where there is one."""
        return self.back.x() if self.desk.mending else self.width()

    def _right(self, row: int) -> int:
        """Where a row of cells must end: the way back stands in the first."""
        return self.back.x() - UNIT if self.desk.mending and row == 0 else self.width() - MARGIN

    def _end(self) -> int:
        cells = [*self.buttons, *self.choices, *((self.field,) if self.field is not None else ())]
        return max((cell.geometry().right() for cell in cells), default=0)


def _rows(places: list[tuple[QWidget, Place]]) -> int:
    """How many rows cells take."""
    return max((place.row for _, place in places), default=0) + 1


def _wide(widget: QWidget) -> int:
    """Width of a cell, px; that of a field is fixed."""
    return widget.minimumWidth() or widget.sizeHint().width()


def _face(choice: Choice) -> tuple[str, str, str, bool]:
    """What a cell shows of a choice, whether it is chosen or not."""
    return choice.key, choice.words, choice.sign, choice.alt


def _discard(widgets: list[Button] | list[ChoiceCell]) -> None:
    for widget in widgets:
        widget.hide()
        widget.deleteLater()
