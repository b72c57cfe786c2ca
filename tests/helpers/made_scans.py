"""Scans made for tests: marks at known pixels, read as any scan is."""

from __future__ import annotations

import io
from collections.abc import Iterable

from PIL import Image

from leakmap.drawings.scan.read import read_scan
from leakmap.model.drawing import Drawing

Colour = tuple[int, int, int]
Mark = tuple[int, int, int, int]
"""Left, top, right, bottom of a filled rectangle, pixels from the upper left corner; the last two are just outside."""


def scan_of(size: tuple[int, int], marks: Iterable[Mark], *, ink: Colour | int = 0) -> bytes:
    """A PNG of white paper with marks on it; grey where the ink is one number."""
    image = Image.new("L", size, 255) if isinstance(ink, int) else Image.new("RGB", size, (255, 255, 255))
    for mark in marks:
        image.paste(ink, mark)
    file = io.BytesIO()
    image.save(file, "PNG")
    return file.getvalue()


def drawn_scan(size: tuple[int, int], marks: Iterable[Mark], *, ink: Colour | int = 0) -> Drawing:
    """The same as a drawing: one unit a pixel, its zero in the lower left corner."""
    return read_scan(scan_of(size, marks, ink=ink), name="scan.png")
