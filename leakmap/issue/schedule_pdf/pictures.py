"""A scan or photo under the marks: its tiles in light greys, white left open so that tints show through.

White and what is nearly white is masked by its colour, which every reader of PDF 1.3 knows and PDF/A
allows; half-clear pictures would be neither.
"""

from __future__ import annotations

import io
from math import log2
from typing import Final

import numpy as np
from PIL import Image
from reportlab import rl_config
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from leakmap.issue.schedule_pdf.backdrop import placed, shown_layers
from leakmap.issue.schedule_pdf.ink import DRAWN, Onto
from leakmap.model.drawing import Drawing, FloatArray, Picture
from leakmap.model.sheet import Sheet

FINEST_DPI: Final = 300.0
"""A picture is printed no finer than this, dots per inch on paper (ours)."""

rl_config.useA85 = 0  # a picture written as text, slowly, would be read back to bytes when the paper is written anew

_POINTS_PER_INCH: Final = 72.0
_OPEN: Final = (236, 255)
_DARKEST: Final = round(DRAWN[0] * 255)


def draw_pictures(canvas: Canvas, sheet: Sheet, drawing: Drawing, onto: Onto) -> None:
    """Put the drawing's pictures on the page; the caller has set the clip.

    Args:
        canvas: The canvas, on the page to be drawn.
        sheet: The sheet.
        drawing: Its drawing.
        onto: Placement of the site plane on the page.
    """
    shown = shown_layers(sheet, drawing)
    for picture in drawing.pictures:
        if picture.layer in shown:
            level = _level(picture, sheet, onto)
            for place in picture.places(level):
                data = picture.tiles.get(place)
                if data is not None:
                    left, bottom, right, top = picture.tile_box(place)
                    three = np.array([(left, bottom), (right, bottom), (left, top)])
                    _draw_tile(canvas, data, (placed(sheet.placement, drawing, three) - onto.origin) * onto.k + onto.at)


def _level(picture: Picture, sheet: Sheet, onto: Onto) -> int:
    """The coarsest level that is still as fine as paper shows."""
    left, _, right, _ = picture.box
    px_m = (right - left) / picture.size_px[0] * sheet.placement.x_m_per_unit
    dpi = _POINTS_PER_INCH / (px_m * onto.k)
    return min(max(0, int(log2(max(dpi / FINEST_DPI, 1.0)))), picture.levels - 1)


def _draw_tile(canvas: Canvas, data: bytes, corners: FloatArray) -> None:
    """Draw a tile between the page positions of its lower left, lower right and upper left corner."""
    (x, y), (x1, y1), (x2, y2) = corners.tolist()
    canvas.saveState()
    canvas.transform(x1 - x, y1 - y, x2 - x, y2 - y, x, y)
    canvas.drawImage(ImageReader(_faint(data)), 0, 0, 1, 1, mask=_OPEN)
    canvas.restoreState()


def _faint(data: bytes) -> Image.Image:
    """A tile in greys from the tone of printed drawings to white."""
    with Image.open(io.BytesIO(data)) as tile:
        return tile.convert("L").point([_DARKEST + (255 - _DARKEST) * grey // 255 for grey in range(256)])
