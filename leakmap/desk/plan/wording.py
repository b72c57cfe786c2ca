"""Texts of the imported drawing on the plan: kept as strings, set only where they can be read."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QPointF
from PySide6.QtGui import QColor, QFontMetricsF, QPainter

from leakmap.desk import faces
from leakmap.desk.plan.look import Look, Strength
from leakmap.desk.plan.sheaf import placed
from leakmap.geometry.path import Box, Point
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import Drawing, Text

LEGIBLE_PX: Final = 4.5
"""Texts with lower capitals are not set: nobody can read them."""

_SET_AT_PX: Final = 40
_LINE_SPACING: Final = 1.6  # between baselines, in heights of capitals
_USUAL: Final = 0.85  # width of a letter, in heights of capitals
_WIDEST: Final = 1.2  # no letter is wider than this many heights of capitals


class Wording:
    """The texts of a drawing, one at least, as they stand on the site plane.

    Attributes:
        box: Box that they may reach, metres.
    """

    def __init__(self, drawing: Drawing, placement: Placement) -> None:
        texts = drawing.texts
        self._texts = texts
        self._turn_deg = placement.turn_deg
        self._caps_m = np.array([text.height for text in texts], dtype=np.float64) * placement.y_m_per_unit
        at = np.array([text.at for text in texts], dtype=np.float64).reshape(-1, 2)
        self._at_m = placed(placement, drawing.origin, at)
        lengths = np.array([len(text.words) for text in texts], dtype=np.float64)
        self._reach_m = self._caps_m * (_WIDEST * lengths + 2)
        self._layer = np.array([text.layer for text in texts], dtype=np.int64)
        low, high = (self._at_m - self._reach_m[:, None]).min(axis=0), (self._at_m + self._reach_m[:, None]).max(axis=0)
        self.box: Box = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))

    def meeting(self, box: Box, px_per_m: float, shown: npt.NDArray[np.bool_]) -> list[int]:
        """Numbers of the texts that may reach into a box and can be read; ``shown`` by layer."""
        x, y = self._at_m.T
        found = (self._caps_m * px_per_m >= LEGIBLE_PX) & shown[self._layer]
        found &= (x + self._reach_m >= box[0]) & (x - self._reach_m <= box[2])
        found &= (y + self._reach_m >= box[1]) & (y - self._reach_m <= box[3])
        numbers: list[int] = np.flatnonzero(found).tolist()
        return numbers

    def write(self, painter: QPainter, numbers: list[int], px_per_m: float, corner: Point, look: Look) -> None:
        """Set texts; ``corner`` is the site position at the painter's zero, metres."""
        font = faces.drafting(_SET_AT_PX)
        painter.setFont(font)
        metrics = QFontMetricsF(font)
        inks = (QColor(look.inks.faint_text), QColor(look.inks.text))
        for number in numbers:
            text = self._texts[number]
            x, y = self._at_m[number].tolist()
            strength = look.strengths[text.layer] if text.layer < len(look.strengths) else Strength.FULL
            painter.setPen(inks[strength is Strength.FULL])
            painter.save()
            painter.translate((x - corner[0]) * px_per_m, (corner[1] - y) * px_per_m)
            painter.rotate(-text.turn_deg - self._turn_deg)
            size = float(self._caps_m[number]) * px_per_m / metrics.capHeight()
            painter.scale(size, size)
            _set(painter, text, metrics)
            painter.restore()


def text_boxes(drawing: Drawing, placement: Placement, strengths: Sequence[Strength]) -> list[Box]:
    """Boxes of the site round the texts of the layers that show, about as wide as the texts are set.

    Args:
        drawing: The drawing.
        placement: Where it lies.
        strengths: Strength of each of its layers.
    """
    texts = [text for text in drawing.texts if strengths[text.layer] is not Strength.HIDDEN]
    if not texts:
        return []
    lines = [text.words.split("\n") for text in texts]
    size = np.array([text.height for text in texts])
    high = size * (1 + _LINE_SPACING * (np.array([len(some) for some in lines]) - 1))
    wide = size * _USUAL * np.array([max(map(len, some)) for some in lines])
    left, low = -wide * [text.across for text in texts], -high * [text.up for text in texts]
    turn = np.radians([text.turn_deg for text in texts])
    along = np.stack((np.cos(turn), np.sin(turn)), axis=1)[:, None]
    up = np.stack((-np.sin(turn), np.cos(turn)), axis=1)[:, None]
    x = np.stack((left, left + wide, left + wide, left), axis=1)[:, :, None]
    y = np.stack((low, low, low + high, low + high), axis=1)[:, :, None]
    corners = np.array([text.at for text in texts])[:, None] + x * along + y * up
    site = placed(placement, drawing.origin, corners.reshape(-1, 2)).reshape(-1, 4, 2)
    boxes = np.hstack((site.min(axis=1), site.max(axis=1))).tolist()
    return [(x0, y0, x1, y1) for x0, y0, x1, y1 in boxes]


def _set(painter: QPainter, text: Text, metrics: QFontMetricsF) -> None:
    """Set the lines of a text about the painter's zero."""
    cap = metrics.capHeight()
    lines = text.words.split("\n")
    step = cap * _LINE_SPACING
    top = (len(lines) - 1) * step - text.up * (cap + (len(lines) - 1) * step)
    for index, words in enumerate(lines):
        if words.strip():
            painter.drawText(QPointF(-text.across * metrics.horizontalAdvance(words), index * step - top), words)
