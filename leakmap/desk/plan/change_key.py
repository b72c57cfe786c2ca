"""The key of changes, in a lower corner of the plan while it shows them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import ceil
from typing import Final

from PySide6.QtCore import QPointF, QRectF, QSizeF
from PySide6.QtGui import QColor, QPainter, QTransform

from leakmap.desk.faces import text
from leakmap.desk.flowed import Run, flowed
from leakmap.desk.larger import scaled
from leakmap.desk.pens import frame, width_of, write
from leakmap.desk.plan.ink import looks_of, painted
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import CAPTION_TYPE, SECOND_TYPE
from leakmap.geometry.path import Path
from leakmap.issue.marks.changes import change_look
from leakmap.issue.marks.course import Course
from leakmap.issue.marks.primitives import PAPER_SCALE, Coat
from leakmap.repair.compared import Change
from leakmap.work.changes_since import OTHERWISE, Changes

NOTHING: Final = "nothing changed"
_ROWS: Final = (
    (Change.ADDED, "new"),
    (Change.LONGER, "longer"),
    (Change.SHORTER, "shorter"),
    (Change.GONE, "gone"),
    (Change.KEPT, OTHERWISE),
)
_PX_PER_MM: Final = 4.0
_SAMPLE_PX: Final = 56.0
_HALF_MM: Final = 1.6
_PAD: Final = 10.0
_AWAY: Final = 12.0
_ROW: Final = 22
_MOST_OF: Final = 0.2  # of the room


def key_rows(changes: Changes) -> tuple[tuple[Change, str], ...]:
    """The signs that what changed is drawn by."""
    there = {change for of in changes.groups.values() for change in of}
    return tuple(row for row in _ROWS if row[0] in there)


def paint_change_key(painter: QPainter, room: QRectF, changes: Changes, taken: Sequence[QRectF] = ()) -> QRectF:
    """Paint the key in a lower corner of a room, the left one unless it hides more there; gives where it is.

    Where that would be much of the room or of its height, its rows stand beside each other along the foot.

    Args:
        painter: The painter.
        room: Where it stands.
        changes: What changed.
        taken: Boxes of references, which it should not hide.
    """
    rows, head = key_rows(changes), f"Changed since {changes.since}"
    strong, small = text(SECOND_TYPE, strong=True), text(CAPTION_TYPE)
    words = [word for _, word in rows] or [NOTHING]
    left = _SAMPLE_PX + _PAD if rows else 0.0
    wides = [width_of(head, strong), *(left + width_of(word, small) for word in words)]
    size, places = _under_each_other(wides)
    if size.width() * size.height() > _MOST_OF * room.width() * room.height() or size.height() > room.height() / 2:
        size, places = _beside_each_other(wides, room.width() - 2 * _AWAY)
    lefts = (room.left() + _AWAY, room.right() - _AWAY - size.width())
    corners = [QRectF(QPointF(x, room.bottom() - _AWAY - size.height()), size) for x in lefts]
    box = min(corners, key=lambda corner: sum(corner.intersects(other) for other in taken))
    painter.fillRect(box, QColor(tokens().panel))
    frame(painter, box, tokens().edge)
    cells = [place.translated(box.topLeft()) for place in places]
    write(painter, cells[0], head, strong)
    for number, (word, cell) in enumerate(zip(words, cells[1:], strict=True)):
        if rows:
            _sample(painter, cell.left(), cell.center().y(), rows[number][0])
        write(painter, cell.adjusted(left, 0, 0, 0), word, small)
    return box


def _under_each_other(wides: Sequence[float]) -> tuple[QSizeF, list[QRectF]]:
    """The size of the key with its head over its rows, and a place in it for each."""
    row_px, wide = scaled(_ROW), max(wides)
    tops = [4.0, *(scaled(26) + number * row_px for number in range(len(wides) - 1))]
    size = QSizeF(wide + 2 * _PAD, scaled(24) + row_px * (len(wides) - 1) + _PAD)
    return size, [QRectF(_PAD, top, wide + _PAD, row_px) for top in tops]


def _beside_each_other(wides: Sequence[float], most_px: float) -> tuple[QSizeF, list[QRectF]]:
    """The same with all of it in as few lines as have room."""
    row_px, right = scaled(_ROW), round(most_px - _PAD)
    runs = [Run((ceil(wide) + 1,), 0) for wide in wides]
    places = [place for (place,) in flowed(runs, round(_PAD), lambda _: right, round(2 * _PAD))]
    cells = [
        QRectF(place.x, _PAD / 2 + place.row * row_px, wide + 1, row_px)
        for place, wide in zip(places, wides, strict=True)
    ]
    return QSizeF(max(cell.right() for cell in cells) + _PAD, cells[-1].bottom() + _PAD / 2), cells


def _sample(painter: QPainter, x: float, y: float, change: Change) -> None:
    """A sign on a short piece, in millimetres of paper."""
    long_mm = _SAMPLE_PX / _PX_PER_MM
    look = change_look(
        Course(Path(((0.0, 0.0), (long_mm, 0.0)))), (0.0, long_mm), _HALF_MM, change, PAPER_SCALE, otherwise=True
    )
    to_screen = QTransform(_PX_PER_MM, 0.0, 0.0, -_PX_PER_MM, x, y)
    _all(painted(painter, looks_of([(Coat.BAND, look)]), to_screen, _PX_PER_MM))


def _all(steps: Iterable[None]) -> None:
    for _ in steps:
        pass
