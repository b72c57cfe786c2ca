"""Small strokes of painting that every pane of the frame uses: words, rules, dashed frames."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from math import ceil
from typing import Final

from PySide6.QtCore import QLineF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QImage, QPaintDevice, QPainter, QPen
from PySide6.QtWidgets import QAbstractButton

from leakmap.desk.theme import tokens

LEFT: Final = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
RIGHT: Final = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
CENTRE: Final = Qt.AlignmentFlag.AlignCenter
_WRAPPED: Final = LEFT | Qt.TextFlag.TextWordWrap
DASH_PX: Final = (8.0, 4.0)


@contextmanager
def painting(on: QPaintDevice) -> Iterator[QPainter]:
    """A painter on a widget or a picture, ended whatever happens."""
    painter = QPainter(on)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setRenderHint(QPainter.RenderHint.TextAntialiasing)
    try:
        yield painter
    finally:
        painter.end()


def write(
    painter: QPainter,
    room: QRectF,
    words: str,
    font: QFont,
    *,
    ink: str | None = None,
    align: Qt.AlignmentFlag = LEFT,
) -> None:
    """Write one line of words; what does not fit ends in dots."""
    painter.setFont(font)
    painter.setPen(QColor(ink or tokens().ink))
    fitting = QFontMetricsF(font).elidedText(words, Qt.TextElideMode.ElideRight, room.width())
    painter.drawText(room, align, fitting)


def write_lines(painter: QPainter, room: QRectF, words: str, font: QFont, ink: str | None = None) -> None:
    """Write words in the middle of a room, in as many lines as they need."""
    painter.setFont(font)
    painter.setPen(QColor(ink or tokens().ink))
    painter.drawText(room, CENTRE | Qt.TextFlag.TextWordWrap, words)


def write_fitting(painter: QPainter, room: QRectF, words: str, fonts: Sequence[QFont], ink: str | None = None) -> bool:
    """Write words from the left in the first font in which they fit, in more lines where one is too short; whether they fit.

    Args:
        painter: The painter.
        room: Where they stand, in the middle of its height.
        words: The words.
        fonts: The largest first; where they fit in none, the first is used and the end is left out.
        ink: Their colour; the ink of the theme unless said otherwise.
    """
    font = fitting(room, words, fonts)
    if font is None:
        write(painter, room, words, fonts[0], ink=ink)
        return False
    painter.setFont(font)
    painter.setPen(QColor(ink or tokens().ink))
    painter.drawText(room, _WRAPPED, words)
    return True


def fitting(room: QRectF, words: str, fonts: Sequence[QFont]) -> QFont | None:
    """The first font in which words fit into a room, in one line or more; None where they fit in none."""
    for font in fonts:
        needed = QFontMetricsF(font).boundingRect(room, _WRAPPED, words)
        if needed.width() <= room.width() and needed.height() <= room.height():
            return font
    return None


def height_of(words: str, font: QFont, width: float) -> int:
    """Height of words that are wrapped to a width, px."""
    return ceil(QFontMetricsF(font).boundingRect(QRectF(0, 0, width, 9999), _WRAPPED, words).height())


def when_pressed(button: QAbstractButton, press: Callable[[], object]) -> None:
    """Call ``press``, without Qt's word on whether it is checked, when a button is pressed."""

    def pressed() -> None:
        press()

    button.clicked.connect(pressed)


def width_of(words: str, font: QFont) -> float:
    """Width of words in px."""
    return QFontMetricsF(font).horizontalAdvance(words)


def across(painter: QPainter, y: float, left: float, right: float, ink: str | None = None, *, px: float = 1.0) -> None:
    """Rule a level line of whole pixels whose upper edge is ``y``."""
    painter.fillRect(QRectF(left, y, right - left, px), QColor(ink or tokens().rule))


def down(painter: QPainter, x: float, top: float, bottom: float, ink: str | None = None, *, px: float = 1.0) -> None:
    """Rule an upright line of whole pixels whose left edge is ``x``."""
    painter.fillRect(QRectF(x, top, px, bottom - top), QColor(ink or tokens().rule))


def frame(painter: QPainter, room: QRectF, ink: str | None = None, px: float = 1.0) -> None:
    """Frame a room just inside its edge."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    pen = QPen(QColor(ink or tokens().edge), px)
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    painter.setPen(pen)
    half = px / 2
    painter.drawRect(room.adjusted(half, half, -half, -half))


def dashed_frame(painter: QPainter, room: QRectF, ink: str | None = None) -> None:
    """Frame an empty room with a dashed line."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(dashed(ink or tokens().ink3, 1.2, DASH_PX))
    painter.drawRect(room.adjusted(0.5, 0.5, -0.5, -0.5))


def draw_paper(painter: QPainter, place: QRectF, picture: QImage) -> None:
    """Draw a picture of a paper, in its own colours, toned down where all about it is dark."""
    painter.fillRect(place, Qt.GlobalColor.white)
    painter.drawImage(place, picture)
    tone_down(painter, place)


def tone_down(painter: QPainter, place: QRectF) -> None:
    """Tone a paper down that was drawn in its own colours, where all about it is dark."""
    if tokens().dark:
        painter.setCompositionMode(QPainter.CompositionMode.CompositionMode_Multiply)
        painter.fillRect(place, QColor(tokens().paper))
        painter.setCompositionMode(QPainter.CompositionMode.CompositionMode_SourceOver)


def dashed(ink: str, px: float, dash_px: tuple[float, ...]) -> QPen:
    """A dashed pen with flat ends; dash lengths in px."""
    pen = QPen(QColor(ink), px)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    pen.setDashPattern([length / px for length in dash_px])
    return pen


def line(painter: QPainter, start: tuple[float, float], end: tuple[float, float], pen: QPen) -> None:
    """Draw a line with a pen."""
    painter.setPen(pen)
    painter.drawLine(QLineF(*start, *end))
