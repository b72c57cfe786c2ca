"""How the cut through the building is painted: boxes of levels, the ground, the water outside, the key of joint lines."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from leakmap.base.counted import many
from leakmap.base.measures import Units
from leakmap.base.trade_words import in_trade_words
from leakmap.desk.faces import drafting, text
from leakmap.desk.larger import larger, scaled
from leakmap.desk.pens import CENTRE, across, frame, line, width_of, write
from leakmap.desk.signs import draw_sign
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import CAPTION_TYPE, LEVEL_TYPE
from leakmap.model.sheet import Sheet
from leakmap.model.words import Kind

SMALL: Final = 56
"""Height of a box where there are many."""

GROUND_WORDS: Final = 19
"""From the ground to the top of its words."""

_LARGE: Final = 88
"""From this height on its words stand apart, with a large name."""

_LEVEL_LEAST: Final = 10.0
"""Letters of a level in feet and inches, px, where letters are large: grown they are larger than the usual ones."""

_KEY: Final = (Kind.CONSTRUCTION, Kind.CONTRACTION, Kind.MOVEMENT, Kind.WALL_BASE, Kind.CRACK, Kind.PIPE_COLLAR)
_KEY_ROW: Final = (30, 36)  # least and best height


def draw_box(painter: QPainter, sheet: Sheet, box: QRectF, units: Units, *, leaks: int, current: bool) -> None:
    """Draw the box of a level: its name, how many leaks it has, the level of its slab."""
    ink = tokens().inv_ink if current else tokens().ink
    painter.fillRect(box, QColor(tokens().inv_bg if current else tokens().sheet))
    frame(painter, box, tokens().rule_strong, 1.4)
    small = box.height() < scaled(_LARGE)
    name = text(15 if small or width_of(sheet.name, text(26, strong=True)) > box.width() - 8 else 26, strong=True)
    top = box.top() + scaled(4 if small else 14)
    write(
        painter,
        QRectF(box.left() + 2, top, box.width() - 4, scaled(30 - 12 * small)),
        sheet.name,
        name,
        ink=ink,
        align=CENTRE,
    )
    words = QRectF(box.left(), top + scaled(17 if small else 32), box.width(), scaled(18))
    write(painter, words, many(leaks, "leak") if leaks else "no leaks", text(CAPTION_TYPE), ink=ink, align=CENTRE)
    if sheet.floor_level_m is not None:
        level = QRectF(box.left(), box.bottom() - scaled(17 if small else 24), box.width(), scaled(16))
        words_m, fonts = units.level(sheet.floor_level_m), [drafting(LEVEL_TYPE), drafting(LEVEL_TYPE, " Narrow")]
        if larger().large:  # feet and inches of large letters outgrow the box
            fonts.append(drafting(_LEVEL_LEAST, " Narrow"))
        font = next((font for font in fonts if width_of(words_m, font) <= level.width() - 4), fonts[-1])
        write(painter, level, words_m, font, ink=ink, align=CENTRE)


def draw_ground(painter: QPainter, y: float, width: int, units: Units, *, below: float) -> None:
    """Draw the ground line with its hatch, and its level where that lies whole below a height."""
    right = width - 5
    words = QRectF(0, y - scaled(GROUND_WORDS), width - 1, scaled(16))
    if words.top() >= below:
        write(painter, words, f"GL {units.level(0)}", drafting(LEVEL_TYPE), align=CENTRE)
    across(painter, round(y), 4, right, tokens().ink, px=1.4)
    pen = QPen(QColor(tokens().ink), 1.0)
    for x in range(10, right, 8):
        line(painter, (x, round(y) + 1), (x - 5, round(y) + 7), pen)


def draw_water(painter: QPainter, y: float, x: float) -> None:
    """Draw the open triangle on the water, and three lines that shorten below it."""
    pen = QPen(QColor(tokens().water), 1.4)
    painter.setPen(pen)
    painter.setBrush(QColor(tokens().panel))
    painter.drawPolygon(QPolygonF([QPointF(x - 7, y - 11), QPointF(x + 7, y - 11), QPointF(x, y - 1)]))
    for number, half in enumerate((11, 7, 3)):
        line(painter, (x - half, y + 4 * number), (x + half, y + 4 * number), pen)


def draw_key(painter: QPainter, y: float, size: tuple[int, int], units: Units) -> None:
    """Draw the key of joint lines from a height on, as far as there is room; ``size`` is the strip's, px."""
    room = size[1] - y - 28
    row_px = min(max(room / len(_KEY), scaled(_KEY_ROW[0])), scaled(_KEY_ROW[1]))
    kinds = _KEY[: max(int(room / row_px + 0.01), 0)]
    if not kinds:
        return
    width = size[0] - 1
    write(painter, QRectF(0, y, width, scaled(17)), "Key", text(CAPTION_TYPE), ink=tokens().ink2, align=CENTRE)
    for number, kind in enumerate(kinds):
        row = y + scaled(24) + number * row_px
        draw_sign(painter, QRectF((width - 58) / 2, row, 58, 15), f"kind-{kind.value}")
        write(
            painter,
            QRectF(0, row + 12, width, scaled(17)),
            in_trade_words(units, kind.value),
            text(CAPTION_TYPE),
            ink=tokens().ink2,
            align=CENTRE,
        )
