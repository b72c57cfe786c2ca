"""What of a page is no line and no text, rendered and cut into tiles.

A page is never rendered at once: strips of it are, each as high as a tile. Paths and texts that became
lines and texts of the drawing are left out by the caller (``FPDFPageObj_SetIsActive``).
"""

from __future__ import annotations

from ctypes import POINTER, c_ubyte, cast
from dataclasses import dataclass
from math import ceil, floor, sqrt
from typing import Any, Final

import numpy as np
import numpy.typing as npt
import pyvips
from pypdfium2 import raw  # type: ignore[import-untyped]

from leakmap.base.progress import UNWATCHED, Progress
from leakmap.drawings.scan.tiles import tiled
from leakmap.geometry.path import Box
from leakmap.model.drawing import TILE_PX, Picture

MOST_PIXELS: Final = 100_000_000
"""Pixels of one picture, at most (ours): A0 at 254 dots per inch."""

USUAL_PX_PER_MM: Final = 150 / 25.4
"""Detail of what has no pixels of its own, such as shadings (ours)."""

FINEST_PX_PER_MM: Final = 600 / 25.4
"""More detail than that shows nothing more (ours)."""

RENDERING: Final = "Rendering the page"

_CLEAN_SHARE: Final = 0.9
_SAMPLE: Final = 97
Pixels = npt.NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Grid:
    """A grid of pixels over a page, of which a part is rendered.

    Attributes:
        page_mm: Width and height of the page.
        page_px: The same in pixels.
        part: Left, top, right, bottom of the part, pixels from the page's upper left corner.
    """

    page_mm: tuple[float, float]
    page_px: tuple[int, int]
    part: tuple[int, int, int, int]

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height of the part."""
        left, top, right, bottom = self.part
        return right - left, bottom - top

    @property
    def box(self) -> Box:
        """The part on paper: left, bottom, right, top in millimetres, y up."""
        across, down = self.page_mm[0] / self.page_px[0], self.page_mm[1] / self.page_px[1]
        left, top, right, bottom = self.part
        return left * across, self.page_mm[1] - bottom * down, right * across, self.page_mm[1] - top * down


def grid_over(page_mm: tuple[float, float], box: Box, px_per_mm: float) -> Grid:
    """The grid whose pixels cover a box on a page.

    It has ``px_per_mm`` pixels a millimetre, or less where that would be too many pixels.

    >>> grid_over((100, 50), (10, 10, 20.01, 20), 10)
    Grid(page_mm=(100, 50), page_px=(1000, 500), part=(100, 300, 201, 400))
    """
    area = (box[2] - box[0]) * (box[3] - box[1])
    finest = min(px_per_mm, FINEST_PX_PER_MM, sqrt(0.98 * MOST_PIXELS / area))
    finest = min(finest, MOST_PIXELS / (4 * max(box[2] - box[0], box[3] - box[1])))
    width, height = (max(1, round(side * finest)) for side in page_mm)
    across, down = width / page_mm[0], height / page_mm[1]
    left, right = _span(box[0] * across, box[2] * across, width)
    top, bottom = _span((page_mm[1] - box[3]) * down, (page_mm[1] - box[1]) * down, height)
    return Grid(page_mm, (width, height), (left, top, right, bottom))


def _span(first: float, last: float, most: int) -> tuple[int, int]:
    """Whole pixels that cover a stretch, at least one."""
    low = min(max(0, floor(first + 1e-6)), most - 1)
    return low, max(low + 1, min(most, ceil(last - 1e-6)))


def rendered(page: Any, grid: Grid, layer: int, progress: Progress = UNWATCHED) -> Picture | None:  # noqa: ANN401
    """A part of a page as a picture; None where it is white all over.

    Raises:
        Stopped: The watcher asked to stop.
    """
    width, height = grid.size_px
    pixels = np.empty((height, width, 3), np.uint8)
    coloured = inked = False
    for top in range(0, height, TILE_PX):
        progress.report(RENDERING, top, height)
        strip = pixels[top : top + TILE_PX]
        strip[:] = pixels_of(page, grid, top, len(strip))
        inked = inked or int(strip.min()) < 255
        coloured = coloured or bool((strip[..., :1] != strip[..., 1:]).any())
    if not inked:
        return None
    kept = pixels if coloured else np.ascontiguousarray(pixels[..., :1])
    image = pyvips.Image.new_from_memory(kept, width, height, kept.shape[2], "uchar")
    image = image.copy(interpretation="srgb" if coloured else "b-w")
    found = tiled(image, grid.box, clean=_clean(kept), progress=progress)
    return Picture(found.box, found.size_px, found.tiles, layer)


def pixels_of(page: Any, grid: Grid, top: int, height: int) -> Pixels:  # noqa: ANN401 - pypdfium2 has no types
    """Some rows of a part of a page, ``(height, width, 3)``: red, green and blue.

    Raises:
        MemoryError: There is no room for them.
    """
    width = grid.size_px[0]
    bitmap = raw.FPDFBitmap_Create(width, height, 0)
    if not bitmap:
        raise MemoryError
    try:
        raw.FPDFBitmap_FillRect(bitmap, 0, 0, width, height, 0xFFFFFFFF)
        raw.FPDF_RenderPageBitmap(bitmap, page.raw, -grid.part[0], -grid.part[1] - top, *grid.page_px, 0, 0)
        stride = raw.FPDFBitmap_GetStride(bitmap)
        rows = np.ctypeslib.as_array(_bytes_at(raw.FPDFBitmap_GetBuffer(bitmap), stride * height))
        return rows.reshape(height, stride // 4, 4)[:, :width, 2::-1].copy()
    finally:
        raw.FPDFBitmap_Destroy(bitmap)


def _bytes_at(pointer: Any, count: int) -> Any:  # noqa: ANN401 - pointers of ctypes
    return cast(pointer, POINTER(c_ubyte * count)).contents


def _clean(pixels: Pixels) -> bool:
    """Whether nearly all pixels are black or white, as those of a scanned drawing are."""
    some = pixels.reshape(-1)[::_SAMPLE]
    return bool(np.count_nonzero((some < 16) | (some > 239)) >= _CLEAN_SHARE * len(some))
