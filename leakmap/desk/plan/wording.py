"""Texts of the imported drawing on the plan: kept as strings, set only where they can be read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
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
from leakmap.model.drawing import Drawing, FloatArray, Text
from leakmap.model.texts import Texts

LEGIBLE_PX: Final = 4.5
"""Texts with lower capitals are not set: nobody can read them."""

_SET_AT_PX: Final = 40
_LINE_FEED: Final = 10
_LINE_SPACING: Final = 1.6  # between baselines, in heights of capitals
_USUAL: Final = 0.85  # width of a letter, in heights of capitals
_WIDEST: Final = 1.2  # no letter is wider than this many heights of capitals


class Wording:
    """The texts of a drawing, one at least, as they stand on the site plane.

    Attributes:
        box: Box that they may reach, metres.
    """

    def __init__(self, drawing: Drawing, placement: Placement) -> None:
        texts = self._texts = Texts.of(drawing.texts)
        self._turn_deg = placement.turn_deg
        self._caps_m = texts.shape[:, 0] * placement.y_m_per_unit
        self._at_m = placed(placement, drawing.origin, texts.at)
        longest = np.diff(texts.ends, prepend=0)  # bytes, never fewer than letters
        self._reach_m = self._caps_m * (_WIDEST * longest + 2)
        self._layer = texts.layer
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
        font = faces.drafting(_SET_AT_PX, exact=True)
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


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """Where texts of a drawing stand on the site, those of layers that show.

    Attributes:
        boxes: ``(n, 4)``, metres: left, low, right, high of each, about as wide as it is set.
        caps_m: ``(n,)`` heights of their capitals.
    """

    boxes: FloatArray = field(default_factory=lambda: np.empty((0, 4)))
    caps_m: FloatArray = field(default_factory=lambda: np.empty(0))

    def legible(self, box: Box | None, px_per_m: float) -> list[int]:
        """Numbers of the texts that can be read at a zoom and reach into a box of the site; None: anywhere."""
        found = self.caps_m * px_per_m >= LEGIBLE_PX
        if box is not None:
            found &= (self.boxes[:, :2] <= box[2:]).all(axis=1) & (self.boxes[:, 2:] >= box[:2]).all(axis=1)
        numbers: list[int] = np.flatnonzero(found).tolist()
        return numbers

    def cut(self, box: Box) -> Box | None:
        """Box round the texts that the edge of a box of the site goes through; None: through none.

        >>> each = Standing(np.array([(1.0, -1, 3, 1), (1, 1, 3, 3), (1, -3, 3, -1), (8, 8, 9.5, 9)]))
        >>> each.cut((0, 0, 9, 9)), each.cut((-5, -5, 12, 12))
        ((1.0, -1.0, 9.5, 9.0), None)
        """
        low, high = self.boxes[:, :2], self.boxes[:, 2:]
        meets = ((low < box[2:]) & (high > box[:2])).all(axis=1)
        inside = ((low >= box[:2]) & (high <= box[2:])).all(axis=1)
        cut = meets & ~inside
        if not cut.any():
            return None
        (left, bottom), (right, top) = low[cut].min(axis=0).tolist(), high[cut].max(axis=0).tolist()
        return left, bottom, right, top


def standing(drawing: Drawing, placement: Placement, strengths: Sequence[Strength]) -> Standing:
    """Where the texts of the layers that show stand.

    Args:
        drawing: The drawing.
        placement: Where it lies.
        strengths: Strength of each of its layers.
    """
    texts = Texts.of(drawing.texts)
    shows = np.array([strength is not Strength.HIDDEN for strength in strengths], dtype=np.bool_)[texts.layer]
    if not shows.any():
        return Standing()
    size, turn_deg, across, up = texts.shape[shows].T
    lines, longest = _lines_and_longest(texts)
    high, wide = size * (1 + _LINE_SPACING * (lines[shows] - 1)), size * _USUAL * longest[shows]
    left, low = -wide * across, -high * up
    turn = np.radians(turn_deg)
    along = np.stack((np.cos(turn), np.sin(turn)), axis=1)[:, None]
    upward = np.stack((-np.sin(turn), np.cos(turn)), axis=1)[:, None]
    x = np.stack((left, left + wide, left + wide, left), axis=1)[:, :, None]
    y = np.stack((low, low, low + high, low + high), axis=1)[:, :, None]
    corners = texts.at[shows][:, None] + x * along + y * upward
    site = placed(placement, drawing.origin, corners.reshape(-1, 2)).reshape(-1, 4, 2)
    return Standing(np.hstack((site.min(axis=1), site.max(axis=1))), size * placement.y_m_per_unit)


def _lines_and_longest(texts: Texts) -> tuple[FloatArray, FloatArray]:
    """How many lines each text has, and how many letters its longest line."""
    feeds = np.flatnonzero(texts.words == _LINE_FEED)
    begins = np.sort(np.concatenate((texts.ends - np.diff(texts.ends, prepend=0), feeds + 1)))
    ends = np.sort(np.concatenate((texts.ends, feeds)))
    letters = np.concatenate(([0], np.cumsum((texts.words & 0xC0) != 0x80)))  # bytes of UTF-8 that begin a letter
    lines = 1 + np.diff(np.searchsorted(feeds, texts.ends), prepend=0)
    longest = np.maximum.reduceat(letters[ends] - letters[begins], np.cumsum(lines) - lines)
    return lines.astype(np.float64), longest.astype(np.float64)


def _set(painter: QPainter, text: Text, metrics: QFontMetricsF) -> None:
    """Set the lines of a text about the painter's zero."""
    cap = metrics.capHeight()
    lines = text.words.split("\n")
    step = cap * _LINE_SPACING
    top = (len(lines) - 1) * step - text.up * (cap + (len(lines) - 1) * step)
    for index, words in enumerate(lines):
        if words.strip():
            painter.drawText(QPointF(-text.across * metrics.horizontalAdvance(words), index * step - top), words)
