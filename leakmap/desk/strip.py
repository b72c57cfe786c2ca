"""The action strip: the actions of the stage with their letters, the tool's choices, and one sentence.

The sentence says what the next click does.
"""

from __future__ import annotations

from collections.abc import Callable
from math import ceil
from typing import Final

from PySide6.QtCore import QRect, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QAccessible, QColor, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from leakmap.desk.button import Button
from leakmap.desk.faces import text
from leakmap.desk.field import Field
from leakmap.desk.larger import control_px, grown, larger, scaled
from leakmap.desk.pens import (
    CENTRE,
    across,
    fitting,
    frame,
    height_of,
    painting,
    when_pressed,
    width_of,
    write,
    write_fitting,
    write_lines,
)
from leakmap.desk.pressed import Pressed
from leakmap.desk.resting import resting_sentence
from leakmap.desk.signs import draw_sign
from leakmap.desk.state import Desk
from leakmap.desk.theme import tokens
from leakmap.desk.things import Stage
from leakmap.desk.tokens import BODY_TYPE, CAPTION_TYPE, MARGIN, SECOND_TYPE, UNIT, WIDE, Sizes
from leakmap.desk.tools.at_rest import tool_at_rest
from leakmap.desk.tools.table import action_for, actions_of
from leakmap.desk.tools.tool import Action, Ask, Choice

_CELL: Final = 64
_SIGN: Final = (44, 20)
_PAD: Final = 8
_FIELD: Final = 220
SENTENCE_TYPES: Final = (BODY_TYPE, SECOND_TYPE, CAPTION_TYPE)
"""Sizes of the sentence for the next click, px: where one line has no room, more lines are set, and smaller."""


def take(desk: Desk, action: Action) -> None:
    """Take an action: its tool in hand, or what it does at once; an action that waits or may not be done says why."""
    waits = action.ready(desk)
    if action.changes and not desk.may_change():
        return
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


class ChoiceCell(Pressed):
    """One choice of a tool: a sign above its words.

    Attributes:
        short: Whether its key stands alone, because room is scarce; its words are its tip then.
    """

    def __init__(self, choice: Choice, parent: QWidget, *, letters: bool = True) -> None:
        super().__init__(parent)
        self.choice = choice
        self.short = False
        alt = "" if letters or not choice.key.isalpha() else "Alt "
        self.setText(f"{alt}{choice.words}")
        self.setAccessibleName(f"{choice.words}, chosen" if choice.chosen else choice.words)
        self.setAccessibleDescription(f"choice of the tool in hand, key {alt}{choice.key}" if choice.key else "choice")
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        when_pressed(self, lambda: self.choice.take())  # noqa: PLW0108 - the choice may be given anew
        self.resize(self.sizeHint())

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """64 × 40, or wider where the words are; words without a sign stand in two lines."""
        font = text(CAPTION_TYPE, strong=True)
        if self.short:
            return QSize(ceil(width_of(self._key(), font)) + 2 * _PAD, control_px())
        if self.choice.sign:
            return QSize(max(grown(_CELL), ceil(width_of(self.text(), font)) + 12), control_px())
        widest = min(max(width_of(line, font) for line in lines) for lines in _two_lines(self.text()))
        return QSize(max(grown(_CELL), ceil(widest) + 2 * _PAD), control_px())

    def shorten(self, short: bool) -> None:  # noqa: FBT001 - a switch
        """Let its key stand alone, or its words again."""
        self.short = short
        self.setToolTip(self.text() if short else "")
        self.update()

    def _key(self) -> str:
        """Its key, else the beginning of its words."""
        return self.choice.key or self.text()[:1]

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint sign and words."""
        with painting(self) as painter:
            room = QRectF(self.rect())
            painter.fillRect(room, QColor(tokens().sheet))
            frame(painter, room, tokens().edge)
            if self.choice.chosen:
                frame(painter, room.adjusted(1, 1, -1, -1), tokens().ink, 2.4)
            font = text(CAPTION_TYPE, strong=self.choice.chosen)
            if self.short:
                write(painter, room, self._key(), font, align=CENTRE)
            elif self.choice.sign:
                write(
                    painter,
                    QRectF(2, room.height() - scaled(18), room.width() - 4, scaled(16)),
                    self.text(),
                    font,
                    align=CENTRE,
                )
                draw_sign(
                    painter, QRectF((room.width() - _SIGN[0]) / 2, room.height() / 2 - 17, *_SIGN), self.choice.sign
                )
            else:
                write_lines(painter, room.adjusted(4, 0, -4, 0), self.text(), font)
            if self.hasFocus():
                frame(painter, room, tokens().focus, 3.0)


class Strip(QWidget):
    """The actions of the stage and the sentence for the next click."""

    heard_as: Final = QAccessible.Role.ToolBar

    height_changed = Signal()  # the sentence has a row of its own now, or none
    field_left = Signal()  # the line of words is gone, and the keyboard was in it
    first_drawing = Signal()  # Import drawing was pressed while no job is open

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.desk = desk
        self.buttons: list[Button] = []
        self.choices: list[ChoiceCell] = []
        self.back = Button("Back to check", self._back_to_check, self)
        self.back.setAccessibleDescription("back to the check list of stage Issue")
        self.setAccessibleName("Actions of the stage")
        self._actions: tuple[Action, ...] = ()
        self._shown_choices: tuple[Choice, ...] = ()
        self.field: Field | None = None
        self._bar = 0  # height of the row of cells
        self._below = 0  # height of the sentence's own row, 0 for none
        self._choices_below = False  # whether choices stand there, too, because not all their words have room above
        self._below_in: Stage | None = None  # the stage for which that row stays
        self._ask: Ask | None = None
        self.sentence = ""
        for signal in (desk.opened, desk.changed, desk.stage_changed, desk.tool_changed, desk.picked_changed):
            signal.connect(self.refresh)
        for signal in (desk.level_changed, desk.draft_changed):
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
        """Letters may need Alt now, on choices too."""
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
            button.setAccessibleDescription(f"{'in hand, ' * button.full}key {button.key}")
            button.update()
        self.back.setVisible(self.desk.mending)
        self._show_choices()
        self._show_field()
        tool = self.desk.tool
        self.sentence = (tool.sentence() if tool is not None else "") or self._at_rest()
        self.setAccessibleDescription(self.sentence)
        self._lay_out()
        self.update()

    def sentence_room(self) -> QRect:
        """Where the sentence for the next click stands."""
        room = self._sentence_room()
        wide = min(ceil(width_of(self.sentence, text(BODY_TYPE))), int(room.width()))
        high = min(control_px(), int(room.height()))
        return QRect(int(room.left()), int(room.center().y()) - high // 2, max(wide, 0), high)

    def _sentence_room(self) -> QRectF:
        """All the room of the sentence: behind the cells, or in a row of its own under them."""
        if self._below:
            left = self.choices[-1].geometry().right() + MARGIN if self._choices_below else MARGIN
            return QRectF(left, self._bar - 1 - UNIT / 2, self.width() - left - MARGIN, self._below)
        left, high = self._end() + MARGIN, control_px()  # two lines at most
        return QRectF(left, (self._bar - 1 - high) / 2, self._limit() - left - MARGIN, high)

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
            fits = write_fitting(painter, self._sentence_room(), self.sentence, fonts, ink=tokens().ink2)
        tip = "" if fits else self.sentence
        if tip != self.toolTip():
            self.setToolTip(tip)

    def _at_rest(self) -> str:
        """What can be done with what is picked, else where the work stands; of a job to look at, that it is one."""
        if self.desk.open_job is not None and self.desk.open_job.look_only:
            return self.desk.open_job.only_to_look
        rest = tool_at_rest(self.desk)
        words = rest.sentence() if rest is not None and self.desk.picked else ""
        return words or resting_sentence(self.desk.stage, self.desk.job, self.desk.repairs, self.desk.draft)

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
        if choices != self._shown_choices:
            _discard(self.choices)
            self._shown_choices = choices
            letters = self.desk.settings.letter_keys
            self.choices = [ChoiceCell(choice, self, letters=letters) for choice in choices]
            for cell in self.choices:
                cell.show()
        for cell, choice in zip(self.choices, choices, strict=True):
            cell.choice = choice  # the same words may come from another tool

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

        Where room is scarce the sentence takes two lines, then labels after the first fall away; not where letters or
        controls are large, for there a label is worth the row, which then stays until another stage or width, so that the
        plan does not move from click to click.
        """
        below = larger().large or larger().glove
        stays = self._below_in is self.desk.stage
        self._below, self._choices_below = 0, False
        self._shorten(self._cells_fit if below else self._sentence_fits)
        cut = below and any(cell.short for cell in self.choices)
        if stays or cut or not self._sentence_fits():
            self._choices_below = cut
            self._shorten(self._cells_fit)
            self._below = control_px() if cut else 1
            wanted = height_of(self.sentence, text(BODY_TYPE), self._sentence_room().width()) + UNIT // 2
            wanted = max(wanted, control_px() + UNIT) if cut else wanted
            self._below = max(wanted, self.height() - self._bar) if stays else wanted
            self._below_in = self.desk.stage
        if self.height() != self._bar + self._below:
            self.setFixedHeight(self._bar + self._below)
            self.height_changed.emit()

    def _sentence_fits(self) -> bool:
        """Whether the sentence has room behind the cells."""
        return fitting(self._sentence_room(), self.sentence, [text(px) for px in SENTENCE_TYPES]) is not None

    def _cells_fit(self) -> bool:
        """Whether all cells have room."""
        return self._end() <= self._limit()

    def _shorten(self, enough: Callable[[], bool]) -> None:
        """Let labels after the first fall away, from the last on, until there is room enough.

        Where not even all cells have room, choices that are not chosen keep their key alone, from the last on.
        """
        for cell in self.choices:
            cell.shorten(False)
        for short_from in (len(self.buttons), *range(len(self.buttons) - 1, 0, -1)):
            for number, button in enumerate(self.buttons):
                button.short = number >= short_from and not button.full
                button.setToolTip(button.waits or (button.text() if button.short else ""))
            self._set_out()
            if enough():
                return
        for cell in reversed(self.choices):
            end = self.choices[-1].geometry().right() if self._choices_below else self._end()
            if end < self._limit() - UNIT:
                return
            cell.shorten(not cell.choice.chosen)
            self._set_out()

    def _set_out(self) -> None:
        """Set each cell; a tool's choices stand behind its button, or behind all where it has none."""
        top, x = (self._bar - 1 - control_px()) // 2, MARGIN
        self.back.move(self.width() - MARGIN - self.back.width(), top)
        for button in self.buttons:
            button.setGeometry(x, top, button.sizeHint().width(), control_px())
            x += button.width() + UNIT
            if button.full and self.field is not None:
                self.field.move(x, top)
                x += grown(_FIELD) + UNIT
            if button.full and self.choices and not self._choices_below:
                x = self._lay_choices(x, top)
        if self._choices_below:
            self._lay_choices(MARGIN, top + control_px() + UNIT)
        elif self.choices and not any(button.full for button in self.buttons):
            self._lay_choices(x, top)

    def _lay_choices(self, x: int, top: int) -> int:
        for cell in self.choices:
            cell.setGeometry(x, top, cell.sizeHint().width(), control_px())
            x += cell.width() - 1  # neighbours share a rule
        return x + 1 + UNIT

    def _limit(self) -> int:
        """Where the sentence must end: at the way back, where there is one."""
        return self.back.x() if self.desk.mending else self.width()

    def _end(self) -> int:
        beside = () if self._choices_below else self.choices
        cells = [*self.buttons, *beside, *((self.field,) if self.field is not None else ())]
        return max((cell.geometry().right() for cell in cells), default=0)


def _two_lines(words: str) -> list[tuple[str, str]]:
    """Every way to break words into two lines; the whole on one where there is but one word.

    >>> _two_lines("2 slot")
    [('2 slot', ''), ('2', 'slot')]
    """
    parts = words.split(" ")
    return [(words, "")] + [(" ".join(parts[:at]), " ".join(parts[at:])) for at in range(1, len(parts))]


def brings_first_drawing(action: Action) -> bool:
    """Whether an action can be done before a job is open."""
    return action.stage is Stage.DRAWING and action.key == "I"


def _discard(widgets: list[Button] | list[ChoiceCell]) -> None:
    for widget in widgets:
        widget.hide()
        widget.deleteLater()
