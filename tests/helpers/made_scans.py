"""Scans made for tests: marks at known pixels, read as any scan is."""

from __future__ import annotations

import io
from collections.abc import Iterable
from pathlib import Path

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


def photo_file(
    path: Path,
    size: tuple[int, int],
    *,
    left: Colour = (120, 120, 120),
    right: Colour = (200, 200, 200),
    turned: int = 1,
) -> Path:
    """A photo of two halves, in the format that its name ends in; ``turned`` is its EXIF orientation."""
    image = Image.new("RGB", size, left)
    image.paste(right, (size[0] // 2, 0, size[0], size[1]))
    exif = Image.Exif()
    exif[0x0112] = turned
    image.save(path, exif=exif)
    return path
