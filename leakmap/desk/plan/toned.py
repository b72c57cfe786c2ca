"""Tiles of pictures made see-through: what is white lets the paper show, what is dark is ink.

A tile is taken for ink on white paper: the opacity of a pixel is what its brightest part lacks to white. Laid on
white paper it looks as it did before, on any other paper it multiplies with it. Painted with a light ink a thin line
seen from afar would fade away, so there what is dark is made firmer, and the grey of a photo's paper is left out.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any, Final, TypeAlias

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QSize
from PySide6.QtGui import QColor, QImage, QImageReader

Ink: TypeAlias = str | None
"""Colour that black becomes, as #RRGGBB; None where a picture keeps its own colours."""

_Pixels = npt.NDArray[np.uint32]
_Parts = npt.NDArray[np.unsignedinteger[Any]]
_PAPER: Final = 16
_FIRMER: Final = 2.0
_BLACK: Final = "#000000"
_GREY: Final = frozenset((QImage.Format.Format_Grayscale8, QImage.Format.Format_Mono, QImage.Format.Format_MonoLSB))


def toned(data: bytes, size: tuple[int, int], ink: Ink) -> QImage | None:
    """A tile as it is painted; None where the bytes are no picture of that size. May be called in any thread.

    Args:
        data: PNG or JPEG.
        size: Width and height that it must have, pixels.
        ink: What its darkness is painted with.
    """
    buffer = QBuffer()
    buffer.setData(QByteArray(data))
    buffer.open(QIODevice.OpenModeFlag.ReadOnly)
    reader = QImageReader(buffer)
    if reader.size() != QSize(*size):
        return None
    image = reader.read()
    if image.isNull():
        return None
    if ink is None and image.format() not in _GREY:
        return _image(_own_colours(image))
    return _image((_inked(_BLACK) if ink is None else _inked(ink, paper=_PAPER, times=_FIRMER))[_greys(image)])


def _greys(image: QImage) -> npt.NDArray[np.uint8]:
    grey = image.convertToFormat(QImage.Format.Format_Grayscale8)
    lines = np.frombuffer(grey.constBits(), np.uint8).reshape(grey.height(), grey.bytesPerLine())
    return lines[:, : grey.width()].copy()  # the bytes go with the image


def _own_colours(image: QImage) -> _Pixels:
    coloured = image.convertToFormat(QImage.Format.Format_RGB888)
    lines = np.frombuffer(coloured.constBits(), np.uint8).reshape(coloured.height(), coloured.bytesPerLine())
    red, green, blue = np.moveaxis(lines[:, : 3 * coloured.width()].reshape(coloured.height(), -1, 3), 2, 0)
    least = np.minimum(np.minimum(red, green), blue)
    return _packed(255 - least, red - least, green - least, blue - least)


@lru_cache(maxsize=16)
def _inked(ink: str, *, paper: int = 0, times: float = 1.0) -> _Pixels:
    """Premultiplied pixel of an ink for each grey ``(256,)``, 0 black to 255 white.

    Args:
        ink: The ink.
        paper: What the paper itself may lack to white.
        times: How much firmer than the grey it is.
    """
    lacking = np.arange(255.0, -1.0, -1.0) - paper
    colour, opacity = QColor(ink), np.clip(np.rint(lacking * times), 0, 255).astype(np.uint32)
    parts = ((part * opacity + 127) // 255 for part in (colour.red(), colour.green(), colour.blue()))
    return _packed(opacity, *parts)


def _packed(opacity: _Parts, red: _Parts, green: _Parts, blue: _Parts) -> _Pixels:
    pixels: _Pixels = opacity.astype(np.uint32) << np.uint32(24)
    for part, up in ((red, 16), (green, 8), (blue, 0)):
        pixels |= part.astype(np.uint32) << np.uint32(up)
    return pixels


def _image(pixels: _Pixels) -> QImage:
    height, width = pixels.shape
    lying = QImage(
        np.ascontiguousarray(pixels).data, width, height, 4 * width, QImage.Format.Format_ARGB32_Premultiplied
    )
    return lying.copy()  # the pixels go when this returns
