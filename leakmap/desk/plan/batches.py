"""Many lines for Qt at once, at most 2,000 a step, from arrays, without a call for each line.

Lines that go on from each other become a path, so that they join smoothly; where most stand alone, they
are drawn as lines from a buffer that Qt's own line values lie on, which is faster.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from functools import cache
from typing import Final, cast

import numpy as np
import numpy.typing as npt
import shiboken6
from PySide6.QtCore import QByteArray, QDataStream, QLineF
from PySide6.QtGui import QPainter, QPainterPath

from leakmap.model.drawing import FloatArray

MOST: Final = 2000
FINE: Final = 8
"""Ends are rounded to an eighth of a pixel: nobody sees less, and what shrinks to a point is left out."""

_NEAR: Final = 8000  # eighths of a pixel that fit into 15 bits, with room
_MANY: Final = 4000
_SHORT: Final = 16  # eighths
_ALONE: Final = 0.6  # share of lines that stand alone from which a path is no use
_ELEMENT: Final = np.dtype([("sort", "<i4"), ("x", "<f8"), ("y", "<f8")])  # as Qt streams an element of a path

_BoolArray = npt.NDArray[np.bool_]


def drawn(painter: QPainter, lines: FloatArray) -> Iterator[None]:
    """Draw lines ``(n, 4)`` in pixels, a batch a step; the pen is the painter's at that step."""
    for begin in range(0, len(lines), MOST):
        batch = lines[begin : begin + MOST]
        alone = _starting(batch)
        if np.count_nonzero(alone) > _ALONE * len(batch):
            numbers, wrapped = _buffer()
            numbers[: len(batch)] = batch
            painter.drawLines(wrapped if len(batch) == MOST else wrapped[: len(batch)])
        else:
            painter.drawPath(path_of(batch, alone))
        yield


def _starting(lines: FloatArray) -> _BoolArray:
    """Which lines do not start where the one before ends."""
    starting = np.ones(len(lines), dtype=np.bool_)
    starting[1:] = (lines[1:, 0] != lines[:-1, 2]) | (lines[1:, 1] != lines[:-1, 3])
    return starting


@cache
def _buffer() -> tuple[FloatArray, list[QLineF]]:
    """Numbers, and lines of Qt that lie on the same memory; kept for good, so that the memory stays."""
    numbers = np.zeros((MOST, 4), dtype=np.float64)
    start, stride = numbers.ctypes.data, numbers.strides[0]
    wrapped = [shiboken6.wrapInstance(start + stride * index, QLineF) for index in range(MOST)]
    return numbers, cast("list[QLineF]", wrapped)


def path_of(lines: FloatArray, starting: _BoolArray) -> QPainterPath:
    """Lines as one path, by the stream format of Qt; ``starting`` says which do not go on from the one before."""
    ends = np.arange(len(lines)) + np.cumsum(starting)
    elements = np.zeros(len(lines) + int(np.count_nonzero(starting)), dtype=_ELEMENT)
    elements["sort"][ends] = 1
    elements["x"][ends], elements["y"][ends] = lines[:, 2], lines[:, 3]
    starts = ends[starting] - 1
    elements["x"][starts], elements["y"][starts] = lines[starting, 0], lines[starting, 1]
    streamed = QByteArray(struct.pack("<i", len(elements)) + elements.tobytes() + struct.pack("<ii", 0, 0))
    stream = QDataStream(streamed)
    stream.setByteOrder(QDataStream.ByteOrder.LittleEndian)
    path = QPainterPath()
    stream >> path
    return path


def seen(lines: FloatArray) -> FloatArray:
    """Lines in pixels without those that nobody can see: mere points, and among many short ones what lies on others."""
    eighths = np.rint(lines * FINE)
    x0, y0, x1, y1 = eighths.T
    eighths = eighths[(x0 != x1) | (y0 != y1)]
    if len(eighths) > _MANY:
        x0, y0, x1, y1 = eighths.T
        short = (np.abs(x0 - x1) < _SHORT) & (np.abs(y0 - y1) < _SHORT)
        short &= (np.abs(x0) < _NEAR) & (np.abs(y0) < _NEAR)
        if np.count_nonzero(short) > _MANY:
            eighths = np.vstack((eighths[~short], _once(eighths[short])))
    return eighths / FINE


def _once(eighths: FloatArray) -> FloatArray:
    """Each short line once."""
    whole = eighths.astype(np.int64) + _NEAR + _SHORT
    key = ((whole[:, 0] << 15 | whole[:, 1]) << 15 | whole[:, 2]) << 15 | whole[:, 3]
    _, first = np.unique(key, return_index=True)
    once: FloatArray = eighths[np.sort(first)]
    return once
