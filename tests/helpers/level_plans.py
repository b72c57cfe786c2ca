"""Plans of a level before and after a change: walls, room names and a grid, made of plain lines in millimetres."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, radians, sin
from uuid import UUID

import numpy as np

from leakmap.geometry.path import Point
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import Drawing, UnitHint
from leakmap.model.sheet import Sheet, Source
from leakmap.work.drawing_fits import NewUnder
from tests.helpers.drawn_grids import LETTERS, NUMBERS, Board

OLD = Source(name="b2.dxf", sha256="0" * 64)
NEW = Source(name="b2-rev-b.dxf", sha256="1" * 64)
MM = Placement(x_m_per_unit=0.001, y_m_per_unit=0.001)
ROOMS = {
    "Pump hall": (3000, 19000),
    "Valve room": (14000, 10000),
    "Screen room": (27000, 18000),
    "Store": (9000, 3000),
    "Stairs": (22000, 5000),
}


@dataclass(frozen=True, kw_only=True)
class Moved:
    """How a plan lies otherwise in its file: turned about zero, then moved, drawing units; and in another unit."""

    turn_deg: float = 0.0
    move: Point = (0.0, 0.0)
    unit: float | None = 0.001
    times: float = 1.0

    def at(self, point: Point) -> Point:
        """Where a place of the plan lies in the file."""
        c, s = cos(radians(self.turn_deg)), sin(radians(self.turn_deg))
        x, y = self.move[0] + c * point[0] - s * point[1], self.move[1] + s * point[0] + c * point[1]
        return x * self.times, y * self.times


AS_IT_WAS = Moved()


def plan(moved: Moved = AS_IT_WAS, *, grid: bool = True, rooms: bool = True, wall_x: float = 12000.0) -> Drawing:
    """A plan of 31.2 m by 21.6 m: outer walls, cross walls, one wall that may stand elsewhere, names and a grid."""
    board = Board(turn_deg=moved.turn_deg, move=moved.move)
    board.line((0, 0), (31200, 0), (31200, 21600), (0, 21600), (0, 0))
    for x in (6000, 19200, 25200):
        board.line((x, 0), (x, 8400))
        board.line((x, 13200), (x, 21600))
    for y in (8400, 13200):
        board.line((0, y), (31200, y))
    board.line((wall_x, 0), (wall_x, 21600))
    if rooms:
        for words, at in ROOMS.items():
            board.text(words, at)
    if grid:
        for name, x in LETTERS.items():
            board.line((x, -1500), (x, 23000))
            board.bubble(name, (x, 23400))
        for name, y in NUMBERS.items():
            board.line((-1500, y), (32000, y))
            board.bubble(name, (-1900, y))
    return _scaled(board.drawing(), moved)


def _scaled(drawing: Drawing, moved: Moved) -> Drawing:
    xy = drawing.strokes.xy * moved.times
    texts = tuple(
        replace(text, at=(text.at[0] * moved.times, text.at[1] * moved.times), height=text.height * moved.times)
        for text in drawing.texts
    )
    box = (float(xy[:, 0].min()), float(xy[:, 1].min()), float(xy[:, 0].max()), float(xy[:, 1].max()))
    return replace(
        drawing,
        strokes=replace(drawing.strokes, xy=np.ascontiguousarray(xy)),
        texts=texts,
        unit=UnitHint(moved.unit, "for the test"),
        shown=box,
    )


def new_under(
    drawing: Drawing, *, before: Drawing | None = None, placement: Placement = MM, source: Source = NEW
) -> NewUnder:
    """A new drawing that is to lie under level B2, which shows the plan as it was unless another is given."""
    sheet = Sheet(id=UUID(int=9), name="B2", source=OLD, placement=placement)
    return NewUnder(sheet=sheet, before=plan() if before is None else before, source=source, drawing=drawing)
