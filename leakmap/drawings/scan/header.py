"""What the head of a scan or photo says, read before any of its pixels are.

Sizes are those of the picture turned upright, as its EXIF turn asks for. Dots per inch are a hint
only: programs write 72 or 96 there when they know nothing.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass
from typing import Final

import pyvips

from leakmap.base.errors import UnusableDrawing

MOST_PIXELS: Final = 1_000_000_000
"""A picture of more pixels is refused: an A0 sheet at 600 dots per inch has 0.56 of them (ours)."""

MOST_PIXELS_A_SIDE: Final = 100_000
"""No side may be longer: a strip of that width is held in memory while it is read (ours)."""

_MOST_CLEAN_PIXELS: Final = 64_000_000
"""A grey or coloured picture of more pixels is kept with a loss that the eye does not see (ours)."""

_PNG: Final = b"\x89PNG\r\n\x1a\n"
_JPEG: Final = b"\xff\xd8\xff"
_TIFF: Final = (b"II*\x00", b"MM\x00*", b"II+\x00", b"MM\x00+")
MM_PER_INCH: Final = 25.4
_UNSAID: Final = (2.834, 72 / MM_PER_INCH, 1.0)
"""Dots a millimetre that the picture library gives where a PNG, JPEG or TIFF says nothing; seen, and tested."""
_QUARTER_TURNS: Final = frozenset({5, 6, 7, 8})
"""EXIF orientations that swap width and height (CIPA DC-008, tag 0x0112)."""

logging.getLogger("pyvips").setLevel(logging.ERROR)  # what it warns of becomes a finding of the reader


@dataclass(frozen=True, slots=True)
class ScanInfo:
    """What the head of a picture says.

    Attributes:
        width: Pixels, upright.
        height: Pixels, upright.
        dots_per_inch: The finer of both directions; None when the file says nothing.
        pages: Pictures in the file, at least 1; more than one in a TIFF of several pages.
        clean: Whether its edges are clean and must stay so: it was kept without loss, and is not too large
            for that. Scanners write drawings so, in black and white.
    """

    width: int
    height: int
    dots_per_inch: float | None
    pages: int
    clean: bool


def scan_info(data: bytes, *, name: str = "", page: int = 0) -> ScanInfo:
    """What the head of a PNG, JPEG or TIFF file says of one of its pictures.

    Raises:
        UnusableDrawing: It is none of them, damaged at the head, without that page, or too large.
    """
    picture = opened(data, name=name, page=page)
    width, height = picture.width, picture.height
    if _said(picture, "orientation") in _QUARTER_TURNS:
        width, height = height, width
    lossless = not data.startswith(_JPEG)
    info = ScanInfo(
        width=width,
        height=height,
        dots_per_inch=_dots_per_inch(picture),
        pages=max(1, int(_said(picture, "n-pages") or 1)),
        clean=_said(picture, "bits-per-sample") == 1 or (lossless and width * height <= _MOST_CLEAN_PIXELS),
    )
    _refuse_giants(info, name)
    return info


def opened(data: bytes, *, name: str, page: int, whole: bool = True, anywhere: bool = False) -> pyvips.Image:
    """The picture, of which nothing but the head has been read yet.

    Args:
        data: The file.
        name: Its name, for messages.
        page: Which of its pictures, 0 first.
        whole: Whether a picture that stops too early is refused; else what is there is given.
        anywhere: Whether its pixels will be asked for in any order, not only from the top down.

    Raises:
        UnusableDrawing: It is no PNG, JPEG or TIFF, has no such page, or is damaged at its head.
    """
    how = {"fail_on": "truncated" if whole else "none", "access": "random" if anywhere else "sequential"}
    try:
        if data.startswith(_PNG):
            return _only_page(pyvips.Image.pngload_buffer(data, **how), page, name)
        if data.startswith(_JPEG):
            return _only_page(pyvips.Image.jpegload_buffer(data, **how), page, name)
        if data.startswith(_TIFF):
            return pyvips.Image.tiffload_buffer(data, page=page, **how)
    except pyvips.Error as error:
        raise UnusableDrawing(
            f"{name or 'The picture'} could not be read: it is damaged or of a rare kind; "
            "open it in a picture viewer, save it as PNG and import that.",
            where=name,
        ) from error
    raise UnusableDrawing(
        f"{name or 'The picture'} is neither PNG, JPEG nor TIFF; save it as one of these and import that.", where=name
    )


def _only_page(picture: pyvips.Image, page: int, name: str) -> pyvips.Image:
    if page:
        raise UnusableDrawing(f"{name or 'The picture'} holds one picture only; import that one.", where=name)
    return picture


def _said(picture: pyvips.Image, field: str) -> int | None:
    return int(picture.get(field)) if picture.get_typeof(field) else None


def _dots_per_inch(picture: pyvips.Image) -> float | None:
    dots_per_mm = float(max(picture.xres, picture.yres))
    said = picture.get_typeof("resolution-unit") or dots_per_mm not in _UNSAID
    return dots_per_mm * MM_PER_INCH if said else None


def _refuse_giants(info: ScanInfo, name: str) -> None:
    if info.width * info.height > MOST_PIXELS or max(info.width, info.height) > MOST_PIXELS_A_SIDE:
        raise UnusableDrawing(
            f"{name or 'The picture'} has {info.width:,} × {info.height:,} pixels, more than leakmap takes; "
            "scan it at 400 dots per inch or less, or cut it into parts.",
            where=name,
        )
