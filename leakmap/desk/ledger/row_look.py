"""How a row of the ledger is painted: words, figures, signs, rules and the marker under what is picked."""

from __future__ import annotations

import re
from math import ceil
from typing import Final, Protocol

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import QStyledItemDelegate, QStyleOptionViewItem, QWidget

from leakmap.desk.faces import text
from leakmap.desk.larger import grown, larger
from leakmap.desk.ledger.columns import Column, Form
from leakmap.desk.ledger.models import ENTRY, Entry, Part
from leakmap.desk.pens import CENTRE, LEFT, RIGHT, across, frame, width_of, write
from leakmap.desk.signs import SCALE, draw_sign, paint
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import BODY_TYPE, CAPTION_TYPE, MARGIN, SECOND_TYPE, colour
from leakmap.issue.marks.signs import Way, lozenge
from leakmap.work.ledger_notes import Note, Sign

PAD: Final = 12
_SIGN_WIDE: Final = 38.0
_WET_WIDE: Final = 40.0
_BOX: Final = 17.0
_NOTE_LEFT: Final = MARGIN + 30
_NOTE_TOP: Final = 8
_LINE: Final = 20
_HEADING: Final = 55
_FOCUS_PX: Final = 3.0
_PICKED_PX: Final = 5.0


_UNIT: Final = re.compile(r"([0-9]) (mm|m|L|%)\b")
"""A figure and its unit stay on one line."""


class Rows(Protocol):
    """What the look asks of the table: what is marked, and which row has the keyboard."""

    def marker(self, entry: Entry) -> float:
        """How strong the marker lies under a row; 0 for none."""
        ...

    def is_picked(self, entry: Entry) -> bool:
        """Whether it is picked, which its edge shows in ink."""
        ...

    def shown_closely(self, entry: Entry) -> bool:
        """Whether its figures show the third decimal."""
        ...

    def focus_row(self) -> int:
        """The row that the keyboard is on; -1 for none."""
        ...

    def focus_section(self) -> int:
        """The column of the cell that Enter would edit; -1 for none."""
        ...

    def column_at(self, section: int) -> Column:
        """A column."""
        ...

    def is_last(self, section: int) -> bool:
        """Whether it is the last column."""
        ...


def around(column: Column, section: int, last: bool) -> float:  # noqa: FBT001 - as the look asks it
    """What of a column's width its words have not: air, and the sign before them."""
    sign = {Form.KIND: _SIGN_WIDE + 10.0, Form.WETNESS: _WET_WIDE + 10.0}.get(column.form, 0.0)
    return sign + (MARGIN if section == 0 else 0) + (MARGIN if last else PAD)


def height_of(entry: Entry, row_px: int, width: int) -> int:
    """Height of a row; sentences wrap.

    Args:
        entry: The row.
        row_px: Height of a plain row.
        width: Width of the table.
    """
    if entry.part is Part.HEADING:
        lines = _lines(entry.note.words, text(BODY_TYPE + 1, strong=True), width - 2 * MARGIN)
        return grown(_HEADING) + (lines - 1) * grown(_LINE)
    if entry.part is not Part.NOTE:
        return row_px
    room = width - _NOTE_LEFT - MARGIN
    lines = _lines(entry.note.words, text(BODY_TYPE), room)
    more = _lines(entry.note.more, text(SECOND_TYPE), room) if entry.note.more else 0
    return max(row_px, (lines + more) * grown(_LINE) + 2 * _NOTE_TOP - 4) if lines + more > 1 else row_px


def _lines(words: str, font: QFont, width: float) -> int:
    """In how many lines words fit; counted word by word, as they are set."""
    return len(wrapped(words, font, width))


def wrapped(words: str, font: QFont, width: float) -> list[str]:
    """Words in lines of a width, px; a figure and its unit stay together."""
    joined = _UNIT.sub("\\1\u00a0\\2", words)
    if ceil(width_of(joined, font)) <= width:
        return [joined]
    lines = [""]
    for word in joined.split(" "):
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and ceil(width_of(longer, font)) > width:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


class RowLook(QStyledItemDelegate):
    """Paints the cells of a table of the ledger."""

    def __init__(self, rows: Rows, parent: QWidget) -> None:
        super().__init__(parent)
        self._rows = rows

    def sizeHint(self, _option: QStyleOptionViewItem, _index: QModelIndex | QPersistentModelIndex) -> QSize:  # noqa: N802 - Qt's name
        """The table sets heights and widths itself."""
        return QSize(0, 0)

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        """Paint one cell, or a whole row that goes across."""
        entry: Entry = index.data(ENTRY)
        room = QRectF(option.rect)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setClipRect(room)
        painter.fillRect(room, colour(tokens().mark, self._rows.marker(entry)))
        if index.column() == 0 and self._rows.is_picked(entry):
            painter.fillRect(QRectF(room.left(), room.top(), _PICKED_PX, room.height() - 1), QColor(tokens().ink))
        if entry.part is Part.HEADING:
            self._heading(painter, room, entry.note)
        elif entry.part is Part.NOTE:
            self._note(painter, room, entry.note)
        else:
            self._cell(painter, room, entry, index.column())
        if index.row() == self._rows.focus_row():
            if index.column() == self._rows.focus_section() and not entry.wide:
                across(painter, room.bottom() - 7, room.left() + 8, room.right() - 8, tokens().focus, px=2.0)
            self._focus(painter, room, first=entry.wide or index.column() == 0, last=self._ends(entry, index.column()))
        painter.restore()

    def _ends(self, entry: Entry, section: int) -> bool:
        return entry.wide or self._rows.is_last(section)

    def _focus(self, painter: QPainter, room: QRectF, *, first: bool, last: bool) -> None:
        ends = room.adjusted(0 if first else -9, 0, 0 if last else 9, -1)
        frame(painter, ends, tokens().focus, _FOCUS_PX)

    def _cell(self, painter: QPainter, room: QRectF, entry: Entry, section: int) -> None:
        column, last = self._rows.column_at(section), self._rows.is_last(section)
        if entry.first:
            across(painter, room.top(), room.left(), room.right(), tokens().rule_strong, px=2.0)
        across(painter, room.bottom() - 1, room.left(), room.right())
        inner = room.adjusted(MARGIN if section == 0 else 0, 0, -(MARGIN if last else PAD), 0)
        value = entry.line.values.get(column.name)
        words = column.cell(value, closely=column.right and self._rows.shown_closely(entry))
        font = text(BODY_TYPE, strong=self._strong(entry, column))
        inner = self._sign(painter, inner, entry, column)
        if column.form is Form.KIND and entry.line.upright and width_of(words, font) > inner.width():
            words = words.removeprefix("Vertical, ").capitalize()  # its sign says the rest
        write(painter, inner, words, font, ink=self._ink(entry, column), align=RIGHT if column.right else LEFT)
        if section == 0 and entry.line.by_hand:
            left = inner.left() + width_of(words, font) + 5
            painter.fillRect(QRectF(left, room.center().y() - 3, 6, 6), QColor(tokens().ink))

    def _strong(self, entry: Entry, column: Column) -> bool:
        return entry.part is Part.TOTAL or (column.form in (Form.REFERENCE, Form.ZONE) and entry.part is Part.LINE)

    def _ink(self, entry: Entry, column: Column) -> str:
        if column.name in entry.line.alarm or (column.form is Form.ZONE and entry.part is Part.LINE):
            return tokens().repair_in_row if self._rows.marker(entry) else tokens().repair
        quiet = entry.part is Part.SUM or (entry.line.elsewhere and column.form is not Form.ZONE)
        return tokens().ink2 if quiet else tokens().ink

    def _sign(self, painter: QPainter, inner: QRectF, entry: Entry, column: Column) -> QRectF:
        """Draw the sign before a word; what is left for the word."""
        if entry.part is not Part.LINE or column.form not in (Form.KIND, Form.WETNESS):
            return inner
        wide = _SIGN_WIDE if column.form is Form.KIND else _WET_WIDE
        room = QRectF(inner.left(), inner.top(), wide, inner.height() - 1)
        if column.form is Form.WETNESS:
            draw_sign(painter, room, f"wetness-{int(entry.line.values['wetness'])}")  # type: ignore[arg-type]  # a wetness
        elif entry.line.upright:
            painter.translate(room.center())
            paint(painter, lozenge((0.0, 0.0), Way.UP, SCALE))
            painter.translate(-room.center())
        elif entry.line.kind is not None:
            draw_sign(painter, room, f"kind-{entry.line.kind.value}")
        return inner.adjusted(wide + 10, 0, 0, 0)

    def _heading(self, painter: QPainter, room: QRectF, note: Note) -> None:
        font = text(BODY_TYPE + 1, strong=True)
        lines = wrapped(note.words, font, room.width() - 2 * MARGIN)
        top = room.bottom() - 10 - len(lines) * grown(_LINE)
        for at, line in enumerate(lines):
            place = QRectF(MARGIN, top + at * grown(_LINE) - 1, room.width() - 2 * MARGIN, grown(_LINE))
            write(painter, place, line, font)
        across(painter, room.bottom() - 1, MARGIN, room.right() - MARGIN, tokens().rule_strong)

    def _note(self, painter: QPainter, room: QRectF, note: Note) -> None:
        across(painter, room.bottom() - 1, MARGIN, room.right() - MARGIN)
        wide = room.width() - _NOTE_LEFT - MARGIN
        lines = wrapped(note.words, text(BODY_TYPE), wide)
        more = wrapped(note.more, text(SECOND_TYPE), wide) if note.more else []
        top = room.top() + (room.height() - (len(lines) + len(more)) * grown(_LINE)) / 2
        for at, line in enumerate([*lines, *more]):
            quiet = at >= len(lines)
            font, ink = (text(SECOND_TYPE), tokens().ink2) if quiet else (text(BODY_TYPE), tokens().ink)
            write(painter, QRectF(_NOTE_LEFT, top + at * grown(_LINE), wide, grown(_LINE)), line, font, ink=ink)
        box = QRectF(MARGIN + 1, top + (grown(_LINE) - _BOX) / 2, _BOX, _BOX)
        draw_note_sign(painter, box, note.sign)


def draw_note_sign(painter: QPainter, box: QRectF, sign: Sign) -> None:
    """Draw the sign of a note in its box."""
    if sign is Sign.DONE:
        pen = QPen(QColor(tokens().ink), 2.0)
        pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        x, y = box.left(), box.top()
        painter.drawPolyline(QPolygonF([QPointF(x + 2, y + 8), QPointF(x + 6.5, y + 13), QPointF(x + 15.5, y + 2)]))
    elif sign is Sign.LOOK:
        painter.fillRect(box, colour(tokens().repair, tokens().band_alpha))
        frame(painter, box, tokens().repair, 1.6)
        font = text(CAPTION_TYPE / larger().share, strong=True)  # a sign, which keeps its size
        write(painter, box, "!", font, ink=tokens().repair, align=CENTRE)
    elif sign is Sign.FULL:
        painter.fillRect(box, QColor(tokens().ink))
    elif sign in (Sign.FAINT, Sign.HIDDEN):
        if sign is Sign.FAINT:
            painter.fillRect(box.adjusted(0, box.height() / 2, 0, 0), QColor(tokens().ink2))
        frame(painter, box, tokens().ink if sign is Sign.FAINT else tokens().edge, 1.4)


def draw_heading(
    painter: QPainter, room: QRectF, column: Column, words: str, *, at: tuple[int, bool], order: int
) -> None:
    """Draw a cell of the header row.

    Args:
        painter: The painter.
        room: The cell.
        column: Its column.
        words: What it says.
        at: Its number, and whether it is the last.
        order: 1 where rows rise by it, -1 where they fall, 0 where they are not sorted by it.
    """
    section, last = at
    font = text(CAPTION_TYPE, strong=True)
    inner = room.adjusted(MARGIN if section == 0 else 0, 0, -(MARGIN if last else PAD), 0)
    write(painter, inner, words, font, ink=tokens().ink2, align=RIGHT if column.right else LEFT)
    if order:
        width = width_of(words, font)
        x = inner.right() - width - 7 if column.right else min(inner.left() + width + 8, room.right() - 5)
        y, tip = room.center().y(), -3.0 * order
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(tokens().ink))
        painter.drawPolygon(QPolygonF([QPointF(x - 4, y - tip), QPointF(x + 4, y - tip), QPointF(x, y + tip)]))


def rule_header(painter: QPainter, room: QRectF) -> None:
    """Rule the lower edge of the header row."""
    across(painter, room.bottom() - 2, room.left(), room.right(), tokens().rule_strong, px=2.0)
