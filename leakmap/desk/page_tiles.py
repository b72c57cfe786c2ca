"""Pages of a PDF file painted from tiles: only those that are seen are made, as many at a time as a frame has room for.

Until the tiles of a page are there, it is shown from those that it was last seen whole from.
"""

from __future__ import annotations

from math import ceil
from time import perf_counter
from typing import Final

from PySide6.QtCore import QObject, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QImage, QPainter

from leakmap.desk.pens import tone_down
from leakmap.drawings.pdf_pages import PdfPages

AT_ONCE_S: Final = 0.020
"""What may be made before the next frame."""

TILE_PX: Final = 512
_KEPT: Final = 96  # tiles, of one megabyte each

_Tile = tuple[int, int, int, int]
"""Page, width of the whole page, column and row."""


class PageTiles(QObject):
    """Tiles of the pages of one file.

    Signals: ``more`` when there is time to make more of them: paint again.
    """

    more = Signal()

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._tiles: dict[_Tile, QImage] = {}
        self._last: dict[int, int] = {}  # width that a page was last seen whole at, pixels
        self._timer = QTimer(self, singleShot=True, interval=0)
        self._timer.timeout.connect(self.more)

    @property
    def busy(self) -> bool:
        """Whether something that is seen is still to be made."""
        return self._timer.isActive()

    def forget(self) -> None:
        """Another file."""
        self._tiles, self._last = {}, {}
        self._timer.stop()

    def paint(self, painter: QPainter, pages: PdfPages, page: int, place: QRectF, seen: QRectF) -> None:
        """Paint what is seen of a page, with what there is of it.

        Args:
            painter: The painter.
            pages: The file.
            page: Number of the page, 0 first.
            place: Where the whole page lies, pixels of the pane.
            seen: The part of the pane that is seen.
        """
        ratio = painter.device().devicePixelRatioF()
        px = max(round(place.width() * ratio), 1)
        wanted = _tiles_in(page, px, place, seen & place, ratio)
        ready = self._make(pages, wanted, px / pages.size_pt(page)[0])
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.fillRect(place, Qt.GlobalColor.white)
        if ready:
            self._last[page] = px
        else:
            self._timer.start()
            last = self._last.get(page)
            for tile in [tile for tile in self._tiles if tile[0] == page and tile[1] == last]:
                self._draw(painter, tile, place, ratio)
        for tile in wanted:
            if tile in self._tiles:
                self._draw(painter, tile, place, ratio)
        tone_down(painter, place)

    def _make(self, pages: PdfPages, wanted: list[_Tile], px_per_pt: float) -> bool:
        """Make tiles as long as there is time, one at least; whether all are there."""
        until: float | None = None
        for tile in wanted:
            if tile in self._tiles:
                self._tiles[tile] = self._tiles.pop(tile)  # it was used last
                continue
            if until is None:
                until = perf_counter() + AT_ONCE_S
            elif perf_counter() >= until:
                return False
            page, _, column, row = tile
            drawn = pages.part(page, px_per_pt=px_per_pt, left=column * TILE_PX, top=row * TILE_PX, side=TILE_PX)
            image = QImage(drawn.data, drawn.width, drawn.height, drawn.stride, QImage.Format.Format_RGB32)
            self._tiles[tile] = image.copy()
            while len(self._tiles) > max(_KEPT, 2 * len(wanted)):
                del self._tiles[next(iter(self._tiles))]
        return True

    def _draw(self, painter: QPainter, tile: _Tile, place: QRectF, ratio: float) -> None:
        """Draw a tile with its edges on whole pixels of the screen, so that no seam is seen."""
        _, px, column, row = tile
        image, scale = self._tiles[tile], place.width() * ratio / px
        x0, y0 = place.left() * ratio, place.top() * ratio
        across = [round(x0 + scale * (column * TILE_PX + edge)) / ratio for edge in (0, image.width())]
        down = [round(y0 + scale * (row * TILE_PX + edge)) / ratio for edge in (0, image.height())]
        painter.drawImage(QRectF(across[0], down[0], across[1] - across[0], down[1] - down[0]), image)


def _tiles_in(page: int, px: int, place: QRectF, seen: QRectF, ratio: float) -> list[_Tile]:
    """Tiles of a page that reach into what is seen of it."""
    if seen.isEmpty():
        return []
    inside, side = seen.translated(-place.topLeft()), TILE_PX / ratio
    columns = range(int(inside.left() / side), min(ceil(inside.right() / side), ceil(px / TILE_PX)))
    rows = range(int(inside.top() / side), ceil(min(inside.bottom(), place.height()) / side))
    return [(page, px, column, row) for row in rows for column in columns]
