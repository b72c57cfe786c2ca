"""Scans, photos and rendered pages under the lines of the plan, painted from the tiles of the level that the zoom needs.

They lie on a film of their own. Tiles are made ready aside (``leakmap.desk.plan.darkroom``): until one is there, the
part of a coarser one is shown in its place, and when it comes the film is patched where it lies.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from math import floor, hypot, log2
from typing import Final

import numpy as np
from PySide6.QtCore import QObject, QPointF, QRectF, Signal
from PySide6.QtGui import QPainter, QPixmap, QTransform

from leakmap.desk.plan.camera import Camera
from leakmap.desk.plan.darkroom import Darkroom, Plate
from leakmap.desk.plan.film import MARGIN_PX, Film
from leakmap.desk.plan.look import Look, Strength
from leakmap.desk.plan.sheaf import placed
from leakmap.desk.plan.toned import Ink
from leakmap.geometry.path import Box
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import TILE_PX, Drawing, Picture, TilePlace

_AT_ONCE_S: Final = 0.006
"""What a frame may spend on them, beside lines and marks."""

_AHEAD: Final = 1
"""Tiles round the film that are made ready beforehand."""

_SOFTER: Final = (
    0.25  # a level is used until its pixels are 1.2 of the screen's: nobody sees that, and less is unpacked
)
_HARD_FROM_PX: Final = 4.0
"""Nearer than this the pixels of a picture are shown as the squares that they are."""


LARGEST_PX: Final = 64.0
"""A pixel of a picture is shown no larger than this, so that one does not get lost in it."""


class Pictures(QObject):
    """The pictures of a drawing in its place on the site.

    Signals: ``ready`` when more of them can be seen.

    Args:
        drawing: The drawing; it holds one picture at least.
        placement: Where it lies.
        darkroom: Makes its tiles ready.
    """

    ready = Signal()

    def __init__(
        self, drawing: Drawing, placement: Placement, darkroom: Darkroom, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._pictures = [_Placed(picture, drawing, placement) for picture in drawing.pictures]
        self._darkroom = darkroom
        self._look = Look()
        self._former: Look | None = None
        self._asked: tuple[Camera, float, Look] | None = None
        self._film = Film(self._painted, self, at_once_s=_AT_ONCE_S)
        self._film.ready.connect(self.ready)
        darkroom.take_up(drawing.pictures)
        darkroom.ready.connect(self._arrived)

    @property
    def px_m(self) -> float:
        """Metres of a pixel of the finest picture."""
        return min(each.px_m for each in self._pictures)

    @property
    def busy(self) -> bool:
        """Whether tiles are still to come, or being painted."""
        return self._film.busy or self._darkroom.busy

    def set_look(self, look: Look) -> None:
        """Show layers and strengths from now on; tiles of the look before stand in until theirs are there."""
        if look != self._look:
            self._former, self._look = self._look, look
            self._film.touch()
            self.ready.emit()

    def paint(self, painter: QPainter, camera: Camera) -> None:
        """Paint what there is on the camera's field; what is missing follows, and ``ready`` is emitted."""
        ratio = painter.device().devicePixelRatioF()
        self._want(camera, ratio)
        self._film.show(painter, camera, ratio)

    def settle(self, camera: Camera, ratio: float = 1.0) -> None:
        """Make all that the camera sees, at once; for pictures and tests."""
        self._want(camera, ratio)
        self._darkroom.settle()
        self._film.finish(camera, ratio)

    def drop(self) -> None:
        """Want nothing any more, and go."""
        self._darkroom.ready.disconnect(self._arrived)
        self._darkroom.let_go(self, [each.picture for each in self._pictures])
        self.setParent(None)
        self.deleteLater()

    def _shown(self) -> Iterator[tuple[_Placed, Ink]]:
        """Pictures of layers that show, with their ink, the lowest first."""
        strengths = self._look.strengths
        for each in self._pictures:
            layer = each.picture.layer
            strength = strengths[layer] if layer < len(strengths) else Strength.FULL
            if strength is not Strength.HIDDEN:
                yield each, _ink(self._look, strength)

    def _want(self, camera: Camera, ratio: float) -> None:
        if (asked := (camera, ratio, self._look)) != self._asked:
            self._asked = asked
            self._darkroom.want(self, self._wanted(camera, ratio))

    def _wanted(self, camera: Camera, ratio: float) -> Sequence[Plate]:
        """What a camera's film needs: each picture small, then what is seen, then what lies about it and is coarser."""
        left, top, right, bottom = camera.field
        film = camera.filling((left - MARGIN_PX, top - MARGIN_PX, right + MARGIN_PX, bottom + MARGIN_PX)).shown
        small: list[Plate] = []
        seen: list[Plate] = []
        spare: list[Plate] = []
        for each, ink in self._shown():
            level, last = each.level_at(camera.px_per_m * ratio), each.picture.levels - 1
            small += each.plates(last, each.box, ink)
            seen += each.plates(level, camera.shown, ink)
            spare += each.plates(level, film, ink)
            spare += each.plates(min(level + 1, last), film, ink, round_about=_AHEAD)
            spare += each.plates(level, film, ink, round_about=_AHEAD)
        return tuple(dict.fromkeys((*small, *seen, *spare)))

    def _arrived(self, plates: Sequence[Plate]) -> None:
        """Take note of tiles that are there now."""
        boxes = [
            each.box_of(plate.place) for each, ink in self._shown() for plate in plates
            if plate.picture is each.picture and plate.ink == ink
        ]  # fmt: skip
        if boxes:
            self._film.touch(boxes)
            self.ready.emit()

    def _painted(self, painter: QPainter, camera: Camera, box: Box) -> Iterator[None]:
        """Paint what lies in a box of the site, a tile a step."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)  # tiles would be parted by pale edges
        for each, ink in self._shown():
            px_per_m = camera.px_per_m * painter.device().devicePixelRatioF()
            level = each.level_at(px_per_m)
            smooth = each.px_m * px_per_m < _HARD_FROM_PX
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform, on=smooth)
            for plate in each.plates(level, box, ink):
                self._paint_plate(painter, camera, each, plate)
                yield

    def _paint_plate(self, painter: QPainter, camera: Camera, each: _Placed, plate: Plate) -> None:
        """Paint a tile, or what stands in for it."""
        found = self._in_stead(plate)
        if found is None or found[1].isNull():
            return
        place, pixmap = found
        up = place.level - plate.place.level
        size, share = TILE_PX / 2**up, 2.0**-up
        part = QRectF(
            plate.place.column * size - place.column * TILE_PX,
            plate.place.row * size - place.row * TILE_PX,
            *(side * share for side in each.picture.tile_px(plate.place)),
        )
        corner = QPointF(place.column * TILE_PX, place.row * TILE_PX)
        painter.save()
        painter.setTransform(each.to_screen(place.level, camera), combine=True)
        painter.drawPixmap(part.translated(corner), pixmap, part)
        painter.restore()

    def _in_stead(self, plate: Plate) -> tuple[TilePlace, QPixmap] | None:
        """The tile itself, the same one in the look before, or the least coarse one that is there."""
        picture, place, ink = plate
        former = _ink(self._former, Strength.FULL) if self._former is not None else ink
        for level in range(place.level, picture.levels):
            up = level - place.level
            over = TilePlace(level, place.column >> up, place.row >> up)
            if over not in picture.tiles:
                return None  # white all over
            for tone in (ink, former):
                pixmap = self._darkroom.plate(Plate(picture, over, tone))
                if pixmap is not None:
                    return over, pixmap
        return None


class _Placed:
    """A picture where it lies on the site.

    Attributes:
        box: Box of the site round it, metres.
        px_m: Metres of one of its pixels, along the shorter side of a pixel.
    """

    def __init__(self, picture: Picture, drawing: Drawing, placement: Placement) -> None:
        self.picture = picture
        left, bottom, right, top = picture.box
        corners = placed(placement, drawing.origin, np.array([(left, top), (right, top), (left, bottom)]))
        (self._x, self._y), *ends = corners.tolist()
        self._across, self._down = (
            ((x - self._x) / count, (y - self._y) / count) for (x, y), count in zip(ends, picture.size_px, strict=True)
        )
        self.px_m = min(hypot(*self._across), hypot(*self._down))
        self.box = self._site_box(0.0, 0.0, *map(float, picture.size_px))
        self._back = self._to_site().inverted()[0]

    def level_at(self, px_per_m: float) -> int:
        """The coarsest level that is as fine as the screen, at so many of its own pixels a metre."""
        return min(max(floor(_SOFTER - log2(self.px_m * px_per_m)), 0), self.picture.levels - 1)

    def plates(self, level: int, box: Box, ink: Ink, *, round_about: int = 0) -> Iterator[Plate]:
        """Tiles of a level that reach into a box of the site, those in the middle first; blank ones are left out.

        Args:
            level: The level.
            box: Metres.
            ink: What they are painted with.
            round_about: How many rows and columns more on each side.
        """
        x0, y0, x1, y1 = box
        seen = self._back.mapRect(QRectF(x0, y0, x1 - x0, y1 - y0))
        step, (wide, high) = TILE_PX * 2**level, self.picture.level_px(level)
        columns, rows = (
            range(
                max(floor(low / step) - round_about, 0), min(floor(far / step) + round_about, (size - 1) // TILE_PX) + 1
            )
            for low, far, size in ((seen.left(), seen.right(), wide), (seen.top(), seen.bottom(), high))
        )
        middle = seen.center() / step
        places = [TilePlace(level, column, row) for row, column in product(rows, columns)]
        places.sort(key=lambda place: abs(place.column + 0.5 - middle.x()) + abs(place.row + 0.5 - middle.y()))
        return (Plate(self.picture, place, ink) for place in places if place in self.picture.tiles)

    def box_of(self, place: TilePlace) -> Box:
        """Box of the site round a tile, metres."""
        times, (wide, high) = 2**place.level, self.picture.tile_px(place)
        x, y = place.column * TILE_PX * times, place.row * TILE_PX * times
        return self._site_box(x, y, x + wide * times, y + high * times)

    def to_screen(self, level: int, camera: Camera) -> QTransform:
        """From pixels of a level to those of the screen."""
        times, (x, y) = 2**level * camera.px_per_m, camera.to_screen((self._x, self._y))
        (ax, ay), (dx, dy) = self._across, self._down
        return QTransform(ax * times, -ay * times, dx * times, -dy * times, x, y)

    def _to_site(self) -> QTransform:
        return QTransform(*self._across, *self._down, self._x, self._y)

    def _site_box(self, x0: float, y0: float, x1: float, y1: float) -> Box:
        """Box of the site round a rectangle of pixels."""
        room = self._to_site().mapRect(QRectF(x0, y0, x1 - x0, y1 - y0))
        return room.left(), room.top(), room.right(), room.bottom()


def pictures_of(
    drawing: Drawing, placement: Placement | None, darkroom: Darkroom, parent: QObject | None = None
) -> Pictures | None:
    """The pictures of a drawing; None where it has none."""
    return Pictures(drawing, placement or Placement(), darkroom, parent) if drawing.pictures else None


def _ink(look: Look, strength: Strength) -> Ink:
    if strength is Strength.FAINT:
        return look.inks.faint_line
    return None if look.inks.own_colours else look.inks.line
