"""The key of changes, in a lower corner of the plan while it shows them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter, QTransform

from leakmap.desk.faces import text
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


def key_rows(changes: Changes) -> tuple[tuple[Change, str], ...]:
    """The signs that what changed is drawn by."""
    there = {change for of in changes.groups.values() for change in of}
    return tuple(row for row in _ROWS if row[0] in there)


def paint_change_key(painter: QPainter, room: QRectF, changes: Changes, taken: Sequence[QRectF] = ()) -> QRectF:
    """Paint the key in a lower corner of a room, the left one unless it hides more there; gives where it is.

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
    wide = max(width_of(head, strong), left + max(width_of(word, small) for word in words)) + 2 * _PAD
    row_px = scaled(22)
    high = scaled(24) + row_px * len(words) + _PAD
    places = (room.left() + _AWAY, room.right() - _AWAY - wide)
    corners = [QRectF(x, room.bottom() - _AWAY - high, wide, high) for x in places]
    box = min(corners, key=lambda corner: sum(corner.intersects(other) for other in taken))
    painter.fillRect(box, QColor(tokens().panel))
    frame(painter, box, tokens().edge)
    write(painter, QRectF(box.left() + _PAD, box.top() + 4, wide, scaled(22)), head, strong)
    top = box.top() + scaled(26)
    for number, word in enumerate(words):
        middle = top + (number + 0.5) * row_px
        if rows:
            _sample(painter, box.left() + _PAD, middle, rows[number][0])
        write(painter, QRectF(box.left() + _PAD + left, middle - row_px / 2, wide, row_px), word, small)
    return box


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
