"""Many lines for Qt at once: batches of at most 2,000, in one buffer that is filled again and again."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Final, cast

import numpy as np
import shiboken6
from PySide6.QtCore import QLineF
from PySide6.QtGui import QPainter

from leakmap.model.drawing import FloatArray

MOST: Final = 2000
FINE: Final = 4
"""Ends are rounded to a quarter of a pixel: nobody sees less, and what shrinks to a point is left out."""

_NEAR: Final = 8000  # quarters of a pixel that fit into 16 bits, with room
_MANY: Final = 4000
_SHORT: Final = 12  # quarters


@cache
def _buffer() -> tuple[FloatArray, list[QLineF]]:
    """Numbers, and lines of Qt that lie on the same memory."""
    numbers = np.zeros((MOST, 4), dtype=np.float64)
    start, stride = numbers.ctypes.data, numbers.strides[0]
    wrapped = [shiboken6.wrapInstance(start + stride * index, QLineF) for index in range(MOST)]
    return numbers, cast("list[QLineF]", wrapped)


def draw_batch(painter: QPainter, lines: FloatArray) -> None:
    """Draw at most 2,000 lines ``(n, 4)``, in pixels."""
    numbers, wrapped = _buffer()
    numbers[: len(lines)] = lines
    painter.drawLines(wrapped if len(lines) == MOST else wrapped[: len(lines)])


def batches(lines: FloatArray) -> Iterator[FloatArray]:
    """The lines in batches."""
    for begin in range(0, len(lines), MOST):
        yield lines[begin : begin + MOST]


def seen(lines: FloatArray) -> FloatArray:
    """Lines in pixels without those that nobody can see: mere points, and among many short ones what lies on others."""
    quarters = np.rint(lines * FINE)
    quarters = quarters[(quarters[:, :2] != quarters[:, 2:]).any(axis=1)]
    if len(quarters) > _MANY:
        near = (np.abs(quarters) < _NEAR).all(axis=1)
        short = near & (np.abs(quarters[:, :2] - quarters[:, 2:]).max(axis=1) < _SHORT)
        if np.count_nonzero(short) > _MANY:
            quarters = np.vstack((quarters[~short], _once(quarters[short])))
    return quarters / FINE


def _once(quarters: FloatArray) -> FloatArray:
    """Each line once."""
    whole = quarters.astype(np.int64) + 2 * _NEAR
    key = ((whole[:, 0] << 16 | whole[:, 1]) << 16 | whole[:, 2]) << 15 | whole[:, 3]
    _, first = np.unique(key, return_index=True)
    once: FloatArray = quarters[np.sort(first)]
    return once
