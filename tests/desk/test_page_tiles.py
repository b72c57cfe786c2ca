"""Tiles of a page, against the picture of the whole page."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QObject, QRectF
from PySide6.QtGui import QImage, QPainter
from pytestqt.qtbot import QtBot

from leakmap.desk import page_tiles
from leakmap.desk.page_tiles import PageTiles
from leakmap.drawings.pdf_pages import PdfPages
from tests.unit.drawings.test_pdf_pages import two_pages

PANE = QRectF(0, 0, 120, 100)


@pytest.fixture
def pages() -> PdfPages:
    """A page of 200 by 100 points with a red square of 50 at its lower left."""
    return PdfPages(two_pages())


def painted(tiles: PageTiles, pages: PdfPages, place: QRectF) -> QImage:
    """The pane as it is painted."""
    image = QImage(120, 100, QImage.Format.Format_RGB32)
    image.fill(0)
    painter = QPainter(image)
    tiles.paint(painter, pages, 0, place, PANE)
    painter.end()
    return image


def whole(pages: PdfPages, place: QRectF) -> QImage:
    """The pane with the picture of the whole page."""
    drawn = pages.picture(0, px_per_pt=place.width() / 200)
    image = QImage(120, 100, QImage.Format.Format_RGB32)
    image.fill(0)
    painter = QPainter(image)
    painter.drawImage(place, QImage(drawn.data, drawn.width, drawn.height, drawn.stride, QImage.Format.Format_RGB32))
    painter.end()
    return image


@pytest.mark.usefixtures("qtbot")
def test_what_is_seen_of_a_near_page_is_that_of_the_whole(pages: PdfPages, monkeypatch: pytest.MonkeyPatch) -> None:
    """At any place of a page, after as many frames as it has tiles in view, the pane shows what the whole page would."""
    monkeypatch.setattr(page_tiles, "AT_ONCE_S", 0.0)
    monkeypatch.setattr(page_tiles, "TILE_PX", 64)
    owner = QObject()
    tiles = PageTiles(owner)
    for place in (
        QRectF(0, 0, 400, 200),
        QRectF(-37, -120, 400, 200),
        QRectF(20, 30, 60, 30),
        QRectF(-500, -390, 800, 400),
    ):
        frames = 1
        image = painted(tiles, pages, place)
        while tiles.busy:
            tiles._timer.stop()
            image = painted(tiles, pages, place)
            frames += 1
        assert image == whole(pages, place)
        assert frames <= 9  # 120 by 100 px reach into 3 by 3 tiles of 64 at most, of 28 and more
    pages.close()


def test_the_picture_from_before_stays_until_the_nearer_one_is_there(
    pages: PdfPages, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Brought nearer, the page is seen from its coarser tiles in the same frame, then sharp; another file has none of them."""
    monkeypatch.setattr(page_tiles, "AT_ONCE_S", 0.0)
    monkeypatch.setattr(page_tiles, "TILE_PX", 64)
    owner = QObject()
    tiles = PageTiles(owner)
    painted(tiles, pages, QRectF(0, 50, 60, 30))
    near = QRectF(0, -100, 400, 200)
    red = 0xFFFF0000
    with qtbot.waitSignal(tiles.more, timeout=1_000):
        image = painted(tiles, pages, near)
    assert image.pixel(80, 80) == red  # of a tile that is not made yet
    tiles.forget()
    assert painted(tiles, pages, near).pixel(80, 80) == 0xFFFFFFFF
    pages.close()
