"""Many lines for Qt at once: paths of at most 2,000 lines, made from arrays without a call for each line."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from typing import Final

import numpy as np
from PySide6.QtCore import QByteArray, QDataStream
from PySide6.QtGui import QPainterPath

from leakmap.model.drawing import FloatArray

MOST: Final = 2000
FINE: Final = 8
"""Ends are rounded to an eighth of a pixel: nobody sees less, and what shrinks to a point is left out."""

_NEAR: Final = 8000  # eighths of a pixel that fit into 15 bits, with room
_MANY: Final = 4000
_SHORT: Final = 16  # eighths
_ELEMENT: Final = np.dtype([("sort", ">i4"), ("x", ">f8"), ("y", ">f8")])  # as Qt streams an element of a path


def paths(lines: FloatArray) -> Iterator[QPainterPath]:
    """Lines ``(n, 4)`` in pixels as paths; a line that starts where the one before ends goes on from it."""
    for begin in range(0, len(lines), MOST):
        yield _path(lines[begin : begin + MOST])


def _path(lines: FloatArray) -> QPainterPath:
    """One path, by the stream format of Qt: the only way in that needs no call for each line."""
    moves = np.ones(len(lines), dtype=np.bool_)
    moves[1:] = (lines[1:, :2] != lines[:-1, 2:]).any(axis=1)
    ends = np.arange(len(lines)) + np.cumsum(moves)
    elements = np.empty(len(lines) + int(np.count_nonzero(moves)), dtype=_ELEMENT)
    elements["sort"][ends] = 1
    elements["x"][ends], elements["y"][ends] = lines[:, 2], lines[:, 3]
    starts = ends[moves] - 1
    elements["sort"][starts] = 0
    elements["x"][starts], elements["y"][starts] = lines[moves, 0], lines[moves, 1]
    streamed = QByteArray(struct.pack(">i", len(elements)) + elements.tobytes() + struct.pack(">ii", 0, 0))
    stream = QDataStream(streamed)
    path = QPainterPath()
    stream >> path
    return path


def seen(lines: FloatArray) -> FloatArray:
    """Lines in pixels without those that nobody can see: mere points, and among many short ones what lies on others."""
    eighths = np.rint(lines * FINE)
    eighths = eighths[(eighths[:, :2] != eighths[:, 2:]).any(axis=1)]
    if len(eighths) > _MANY:
        near = (np.abs(eighths) < _NEAR).all(axis=1)
        short = near & (np.abs(eighths[:, :2] - eighths[:, 2:]).max(axis=1) < _SHORT)
        if np.count_nonzero(short) > _MANY:
            eighths = np.vstack((eighths[~short], _once(eighths[short])))
    return eighths / FINE


def _once(eighths: FloatArray) -> FloatArray:
    """Each line once."""
    whole = eighths.astype(np.int64) + _NEAR
    key = ((whole[:, 0] << 15 | whole[:, 1]) << 15 | whole[:, 2]) << 15 | whole[:, 3]
    _, first = np.unique(key, return_index=True)
    once: FloatArray = eighths[np.sort(first)]
    return once
