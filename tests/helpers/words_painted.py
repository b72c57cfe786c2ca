"""What a window writes while it paints itself, and whether all of each sentence can be read.

Panes write through three functions of `leakmap.desk.pens`; labels and fields are Qt's. While ``noted`` lasts, both
are taken down.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import wraps
from itertools import combinations
from typing import Any

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QPainter
from PySide6.QtWidgets import QAbstractButton, QAbstractItemView, QApplication, QLabel, QLineEdit, QWidget

from leakmap.desk import pens

_RULES_PX = 2  # neighbours may share a rule
_WRAPPED = pens.CENTRE | Qt.TextFlag.TextWordWrap


@dataclass(frozen=True, slots=True)
class Written:
    """Words that were written.

    Attributes:
        words: All of them.
        on: What they were written on.
        whole: Whether they have room there.
        tip: What the pointer is told there.
    """

    words: str
    on: QWidget
    whole: bool
    tip: str

    @property
    def lost(self) -> bool:
        """Whether a part of them can be read nowhere."""
        return not self.whole and self.words not in self.tip


@contextmanager
def noted() -> Iterator[list[Written]]:
    """Note what panes write, in the list that is given."""
    found: list[Written] = []
    fits: dict[str, Callable[..., bool]] = {"write": _has_line, "write_lines": _has_lines, "write_fitting": _was_fitted}
    modules = [module for name, module in sys.modules.items() if name.startswith("leakmap.desk")]
    put_back = []
    for name, whole in fits.items():
        plain = getattr(pens, name)
        noting = _noting(plain, whole, found)
        for module in modules:
            if getattr(module, name, None) is plain:
                put_back.append((module, name, plain))
                setattr(module, name, noting)
    try:
        yield found
    finally:
        for module, name, plain in put_back:
            setattr(module, name, plain)


def _noting(plain: Callable[..., Any], whole: Callable[..., bool], found: list[Written]) -> Callable[..., Any]:
    @wraps(plain)
    def write(painter: QPainter, room: QRectF, words: str, *rest: Any, **more: Any) -> Any:  # noqa: ANN401 - as the plain one
        given = plain(painter, room, words, *rest, **more)
        on = painter.device()
        if isinstance(on, QWidget) and words.strip():
            found.append(Written(words, on, whole(given, room, words, rest[0]), tip_at(on, room)))
        return given

    return write


def tip_at(on: QWidget, room: QRectF) -> str:
    """What the pointer is told over a part of a widget: that of the row there, else of the widget."""
    view = on.parent()
    if isinstance(view, QAbstractItemView) and view.viewport() is on:
        return str(view.indexAt(room.center().toPoint()).data(Qt.ItemDataRole.ToolTipRole) or "")
    return on.toolTip()


def _has_line(_given: None, room: QRectF, words: str, font: QFont) -> bool:
    """Whether one line has its width, and its ink its height."""
    metrics = QFontMetricsF(font)
    ink, base = metrics.tightBoundingRect(words), (room.height() - metrics.height()) / 2 + metrics.ascent()
    high = base + ink.top() >= -1.0 and base + ink.bottom() <= room.height() + 1.0
    return high and metrics.horizontalAdvance(words) <= room.width() + 0.5


def _has_lines(_given: None, room: QRectF, words: str, font: QFont) -> bool:
    needed = QFontMetricsF(font).boundingRect(QRectF(0, 0, room.width(), 9999), _WRAPPED, words)
    return needed.width() <= room.width() + 0.5 and needed.height() <= room.height() + 1.0


def _was_fitted(given: bool, *_: object) -> bool:  # noqa: FBT001 - what the function gave
    return given


def written_by_qt(window: QWidget) -> Iterator[Written]:
    """Words of the labels and the empty fields of a window that are seen."""
    for label in window.findChildren(QLabel):
        if label.isVisible() and label.text():
            high = label.heightForWidth(label.width()) if label.wordWrap() else label.sizeHint().height()
            yield Written(label.text(), label, high <= label.height() + 1, label.toolTip())
    for field in window.findChildren(QLineEdit):
        if field.isVisible():
            words = field.text() or field.placeholderText()
            room = field.width() - field.textMargins().left() - field.textMargins().right() - 4
            scrolls = bool(field.text())  # what is typed is gone through by the arrows
            yield Written(
                words, field, scrolls or QFontMetricsF(field.font()).horizontalAdvance(words) <= room, field.toolTip()
            )


def all_written(window: QWidget) -> list[Written]:
    """Everything that a window writes, painted once."""
    QApplication.processEvents()
    with noted() as found:
        window.grab()
    return [*found, *written_by_qt(window)]


def lost(window: QWidget) -> list[tuple[str, str]]:
    """Where something is written of which a part can be read nowhere: the widget, and the words."""
    return [(type(each.on).__name__, each.words) for each in all_written(window) if each.lost]


def overlapping(window: QWidget) -> list[tuple[str, str]]:
    """Which controls that are seen lie over each other, or reach out of what they lie on and cannot be scrolled to."""
    QApplication.processEvents()
    controls = [*window.findChildren(QAbstractButton), *window.findChildren(QLineEdit)]
    by_parent: dict[QWidget, list[QWidget]] = {}
    for control in controls:
        if control.isVisible() and control.parentWidget() is not None:
            by_parent.setdefault(control.parentWidget(), []).append(control)
    found = []
    for parent, there in by_parent.items():
        for one, other in combinations(there, 2):
            shared = one.geometry().intersected(other.geometry())
            if min(shared.width(), shared.height()) > _RULES_PX:
                found.append((one.accessibleName(), other.accessibleName()))
        room = parent.rect().adjusted(-1, -1, 1, 1)
        found += [(each.accessibleName(), "outside") for each in there if not room.contains(each.geometry())]
    return found
