"""A scan or photo of a paper plan as a drawing: one picture, no lines, a unit that is not known.

One drawing unit is one pixel of the upright picture; the drawing's x axis runs to the right and its
y axis up, from the picture's lower left corner. How large a pixel is on site is known from lengths
measured there, never from the dots per inch of the file: a print may have another scale than the
original (ISO 5455, 2.1 note).
"""

from __future__ import annotations

from typing import Final

import pyvips

from leakmap.base.errors import UnusableDrawing
from leakmap.base.findings import Effect, Finding
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.drawings.scan.corners import laid_flat
from leakmap.drawings.scan.header import ScanInfo, opened, scan_info
from leakmap.drawings.scan.tiles import tiled
from leakmap.model.drawing import Drawing, Layer, Picture, Strokes, UnitHint
from leakmap.model.sheet import Corners

READER_VERSION: Final = 1
"""Grows whenever the same file may give another drawing, so that kept drawings are read again."""

LAYER: Final = "picture"
"""Name of the one layer that a scan has."""

COARSE_DPI: Final = 150.0
"""A scan with fewer dots per inch is said to be coarse (ours)."""

_UPRIGHT: Final = 1
_EXAMPLE_SCALE: Final = 100
_CM_PER_INCH: Final = 2.54


def read_scan(
    data: bytes, *, name: str = "", page: int = 0, corners: Corners | None = None, progress: Progress = UNWATCHED
) -> Drawing:
    """The drawing that a PNG, JPEG or TIFF file shows.

    Args:
        data: The file.
        name: Its name, for messages.
        page: Which of the pictures in the file, 0 first.
        corners: Corners of the sheet on a photo, to lay it flat; see ``leakmap.drawings.scan.corners``.
        progress: Watches.

    Raises:
        BadValue: The corners are not those of a sheet.
        UnusableDrawing: It is of another kind, too large, or damaged at its head; one sentence says why.
        Stopped: The watcher asked to stop.
    """
    info = scan_info(data, name=name, page=page)
    findings = list(_doubts(info))
    try:
        picture = _picture(data, info, name=name, page=page, corners=corners, whole=True, progress=progress)
    except pyvips.Error:
        picture = _what_is_there(data, info, name=name, page=page, corners=corners, progress=progress)
        text = f"{name or 'The picture'} is damaged; what could be read of it is shown, so compare it with the paper."
        findings.append(Finding("picture-damaged", name, text, Effect.LOST))
    return Drawing(
        origin=(0.0, 0.0),
        layers=(Layer(LAYER),),
        strokes=Strokes.none(),
        texts=(),
        unit=UnitHint(None, _unit_words(info, picture.size_px)),
        shown=picture.box,
        findings=tuple(findings),
        pictures=(picture,),
    )


def _picture(
    data: bytes, info: ScanInfo, *, name: str, page: int, corners: Corners | None, whole: bool, progress: Progress
) -> Picture:
    stored = opened(data, name=name, page=page, whole=whole)
    turned = bool(stored.get_typeof("orientation")) and stored.get("orientation") != _UPRIGHT
    if turned or corners is not None:  # its pixels are asked for in another order than they are stored in
        stored = opened(data, name=name, page=page, whole=whole, anywhere=True)
    picture = _eight_bits(stored.autorot())
    if corners is not None:
        picture = _eight_bits(laid_flat(picture, corners))
    box = (0.0, 0.0, float(picture.width), float(picture.height))
    return tiled(picture, box, clean=info.clean, progress=progress)


def _what_is_there(
    data: bytes, info: ScanInfo, *, name: str, page: int, corners: Corners | None, progress: Progress
) -> Picture:
    """The picture of a file that stops too early or holds damaged parts."""
    try:
        return _picture(data, info, name=name, page=page, corners=corners, whole=False, progress=progress)
    except pyvips.Error as error:
        text = f"{name or 'The picture'} is damaged and nothing of it could be shown; scan the paper again."
        raise UnusableDrawing(text, where=name) from error


def _eight_bits(picture: pyvips.Image) -> pyvips.Image:
    """Grey or red, green and blue of eight bits, on white paper where it was see-through."""
    if picture.hasalpha():
        picture = picture.flatten(background=[255.0])
    picture = picture.colourspace("b-w" if picture.bands == 1 else "srgb")
    return picture if picture.format == "uchar" else picture.cast("uchar")


def _unit_words(info: ScanInfo, size_px: tuple[int, int]) -> str:
    """What is known of the size of a pixel on paper, and what to do; nothing of paper that was laid flat."""
    width, height = size_px
    flat = size_px != (info.width, info.height)
    said = "" if info.dots_per_inch is None or flat else f", {info.dots_per_inch:.0f} dots per inch by the file"
    return f"a scan of {width:,} × {height:,} pixels{said}; only lengths known on site give its scale"


def _doubts(info: ScanInfo) -> list[Finding]:
    if info.dots_per_inch is None or info.dots_per_inch >= COARSE_DPI:
        return []
    out_cm = _CM_PER_INCH / info.dots_per_inch * _EXAMPLE_SCALE
    text = (
        f"This scan is {info.dots_per_inch:.0f} dots per inch; "
        f"on a 1:{_EXAMPLE_SCALE} plan lengths can be out by about {out_cm:.0f} cm."
    )
    return [Finding("coarse-scan", "", text, Effect.LOOK)]
