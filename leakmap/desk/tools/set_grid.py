"""Set the grid: the first axis of each family by two points, each further one by a click or a typed bay.

Where the drawing shows its grid, that is offered first. Once there is a grid, it is changed axis by axis.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from enum import Enum
from math import dist, hypot
from typing import Final

from leakmap.base.errors import LeakmapError
from leakmap.desk.state import Desk
from leakmap.desk.tools.edit_grid import EditGrid
from leakmap.desk.tools.fields import Fields, Part
from leakmap.desk.tools.handles import ByClicks
from leakmap.desk.tools.offer_grid import can_offer, offer, offer_by_itself
from leakmap.desk.tools.set_scale import straight
from leakmap.desk.tools.tool import Choice, Overlay, OverlayLine, Pointer, Tool
from leakmap.geometry.path import Point
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M
from leakmap.model.grid import Grid, PickedAxes, grid_through, next_name
from leakmap.work.catch import Aim
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.grid import set_grid
from leakmap.work.typed import Entry

_NAME, _BAY = 0, 1
_SHOWN_PX: Final = 600.0


class Step(Enum):
    """What the next click is for."""

    FIRST = "one point of the first axis"
    SECOND = "another point of it"
    NAME = "its name"
    MORE = "the next axis"


@dataclass(slots=True)
class Picks:
    """The axes of one family as picked so far."""

    first_name: str
    ends: list[Point] = field(default_factory=list)
    name: str = ""
    others: list[tuple[str, Point]] = field(default_factory=list)

    @property
    def last_name(self) -> str:
        """Name of the last axis picked."""
        return self.others[-1][0] if self.others else self.name

    @property
    def last_point(self) -> Point:
        """A point on the last axis picked."""
        return self.others[-1][1] if self.others else self.ends[0]

    @property
    def picked(self) -> PickedAxes | None:
        """The axes, once the first one has two points."""
        if len(self.ends) < 2:
            return None
        name = self.name or self.first_name
        return PickedAxes(name=name, start=self.ends[0], end=self.ends[1], others=tuple(self.others))

    def off_m(self, point: Point) -> float:
        """Signed distance of a point from the last axis, square to it; positive on its left."""
        x, y = self._along()
        return x * (point[1] - self.last_point[1]) - y * (point[0] - self.last_point[0])

    def beside(self, point: Point, bay_m: float, *, clicked: bool) -> Point:
        """The point a bay away from the last axis: on the side of a clicked point or beside the first axis, else farther on."""
        towards_m = self._last_bay_m() if self.others and not clicked else self.off_m(point)
        (x, y), side = self._along(), 1 if towards_m >= 0 else -1
        return self.last_point[0] - side * bay_m * y, self.last_point[1] + side * bay_m * x

    def _last_bay_m(self) -> float:
        """Signed distance of the last axis from the one before, as ``off_m``."""
        x, y = self._along()
        x0, y0 = self.others[-2][1] if len(self.others) > 1 else self.ends[0]
        return x * (self.last_point[1] - y0) - y * (self.last_point[0] - x0)

    def _along(self) -> Point:
        (x0, y0), (x1, y1) = self.ends
        length = hypot(x1 - x0, y1 - y0)
        return (x1 - x0) / length, (y1 - y0) / length


class SetGrid(ByClicks):
    """Set grid (G), where there is none yet or another one is picked."""

    name = "Set grid"
    key = "G"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.letters, self.numbers = Picks("A"), Picks("1")
        self.on_numbers = False
        self.waiting: Point | None = None  # the next axis, clicked but not yet taken
        self._use: Callable[[], None] | None = None  # keeps the grid that the drawing shows
        self.fields = Fields(desk, Part(Entry.AXIS, "axis"), Part(Entry.LENGTH, "bay"))

    def taken(self) -> None:
        """Offer the grid that the drawing shows."""
        super().taken()
        offer_by_itself(self.desk, then=self._edit, offered=self._offered)

    # What is said and seen -------------------------------------------------------------------------

    @property
    def picks(self) -> Picks:
        """The family in hand."""
        return self.numbers if self.on_numbers else self.letters

    @property
    def uses(self) -> Callable[[], None] | None:
        """What Enter keeps while a grid that was found is shown; None where none is."""
        return self._use if self.desk.dragging and not self.letters.ends else None

    @property
    def step(self) -> Step:
        """What the next click is for."""
        if not self.picks.ends:
            return Step.FIRST
        if len(self.picks.ends) == 1:
            return Step.SECOND
        return Step.MORE if self.picks.name else Step.NAME

    def sentence(self) -> str:
        """What the next click does."""
        axis = "a number axis" if self.on_numbers else "a letter axis"
        if self.uses is not None:
            return "Press Enter to use the axes found; or click one point of the first of the axes with letters."
        if self.step is Step.FIRST:
            return f"Click one point of the first of the axes with {'numbers' if self.on_numbers else 'letters'}."
        if self.step is Step.SECOND:
            return f"Click another point of {axis}, far from the first. Shift keeps it level or upright."
        if self.step is Step.NAME:
            return "Type the name of this axis if it is another one, then press Enter."
        return self._next_axis()

    def _next_axis(self) -> str:
        last, after = self.picks.last_name, "ends" if self.on_numbers else "goes on to the numbers"
        if self.waiting is not None:
            return "Type another name, or Tab and another bay, then press Enter or click the axis after it."
        if self.fields.texts[_BAY]:
            return f"Press Enter to set axis {self.fields.texts[_NAME] or next_name(last)} so far from {last}."
        return f"Click the axis after {last}, or press Tab and type its bay. Enter {after}."

    def choices(self) -> tuple[Choice, ...]:
        """The other ways to a grid, while no axis is picked."""
        if self.letters.ends or self.desk.open_job is None:
            return ()
        rows = [Choice(key="X", words="X axis by axis", take=self._edit)] if self.kept.grid is not None else []
        if can_offer(self.desk):
            rows.append(Choice(key="D", words="D from drawing", take=self._look_at_drawing))
        return tuple(rows)

    def overlay(self) -> Overlay:
        """The axis in hand with its name and its bay; axes taken show as the grid itself."""
        picks, at = self.picks, self.pointer.at if self.pointer is not None else (0.0, 0.0)
        if self.step is Step.FIRST:
            return Overlay()
        if self.step is Step.SECOND:
            at = straight(picks.ends[0], self.pointer) if self.pointer is not None else at
            line = (OverlayLine(points=(picks.ends[0], at)),) if at != picks.ends[0] else ()
            return Overlay(lines=line)
        if self.step is Step.NAME:
            live = self.fields.live(picks.ends[1], (picks.first_name, "—"))
            return Overlay(lines=(OverlayLine(points=(picks.ends[0], picks.ends[1])),), field=live)
        point = self._next_point(self.waiting or at)
        measures = (next_name(picks.last_name), self.desk.units.shown(abs(picks.off_m(point))))
        return Overlay(lines=(self._axis_through(point),), field=self.fields.live(point, measures))

    def aim(self) -> Aim:
        """Axes are picked on the drawing; on a blank level, on whatever is there."""
        sheet = self.kept.sheets.get(self.desk.level) if self.desk.level is not None else None
        return Aim(drawing_only=sheet is not None and sheet.source is not None)

    # What the hand does ----------------------------------------------------------------------------

    @property
    def begun(self) -> bool:
        """Whether an axis goes along with the hand."""
        return self.step is not Step.FIRST

    def pressed(self, pointer: Pointer) -> None:
        """Pick a point of an axis; nothing is kept before the end."""
        self.pointer = pointer
        if self.step is Step.FIRST:
            self.picks.ends.append(pointer.at)
        elif self.step is Step.SECOND:
            at = straight(self.picks.ends[0], pointer)
            if dist(at, self.picks.ends[0]) > DRAWING_TOLERANCE_M:
                self.picks.ends.append(at)
        elif self.step is Step.NAME:
            self._name_first()
            self._wait(pointer.at)
        else:
            self._take_waiting()
            self._wait(pointer.at)
        self._show()

    def typed(self, text: str) -> bool:
        """The name of an axis, then its bay."""
        if self.step not in {Step.NAME, Step.MORE} or not self.fields.typed(text):
            return False
        self._show()
        return True

    def tabbed(self) -> bool:
        """From the name to the bay."""
        if self.step is not Step.MORE:
            return False
        self.fields.next()
        self.refresh()
        return True

    def erased(self) -> bool:
        """Take back the last character, else the last click."""
        if self.fields.erased():
            self._show()
            return True
        return self.escaped()

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Take the axis in hand; with none in hand go on to the numbers, then keep the grid."""
        if self.uses is not None:
            self.uses()
        elif self.step is Step.NAME:
            self._name_first()
        elif self.step is not Step.MORE:
            return self.step is Step.SECOND
        elif self.waiting is not None:
            self._take_waiting()
        elif self.fields.texts[_BAY]:
            if self.pointer is not None:
                self._take(self._next_point(self.pointer.at))
        elif not self.on_numbers:
            self.on_numbers = True
            self.fields.clear()
        elif self.keep(self._deed) is not None:
            self._start_anew()
            if self.kept.grid is not None:
                self._edit()
                return True
        self._show()
        return True

    @property
    def half_done(self) -> bool:
        """Whether an axis is begun, or waits."""
        return self.waiting is not None or bool(self.picks.ends)

    def escaped(self) -> bool:
        """Step back: first what was typed, then click by click."""
        if self.fields:
            self.fields.clear()
        elif self.waiting is not None:
            self.waiting = None
        elif self.picks.others:
            self.picks.others.pop()
        elif self.picks.name:
            self.picks.name = ""
        elif self.picks.ends:
            self.picks.ends.pop()
        elif self.on_numbers:
            self.on_numbers = False
        else:
            return False
        self._show()
        return True

    def let_go(self) -> None:
        """Nothing half-done stays."""
        self._start_anew()
        super().let_go()

    # Steps -----------------------------------------------------------------------------------------

    def _look_at_drawing(self) -> None:
        offer(self.desk, then=self._edit, offered=self._offered)

    def _offered(self, use: Callable[[], None]) -> None:
        self._use = use
        self.refresh()

    def _edit(self) -> None:
        """Go on axis by axis."""
        self.desk.take_tool(EditGrid(self.desk, SetGrid))

    def _start_anew(self) -> None:
        self.letters, self.numbers, self.on_numbers, self.waiting = Picks("A"), Picks("1"), False, None
        self.fields.clear()

    def _name_first(self) -> None:
        self.picks.name = self.fields.texts[_NAME] or self.picks.first_name
        self.fields.clear()

    def _wait(self, point: Point) -> None:
        """Hold the clicked axis; one on the last axis is none."""
        if abs(self.picks.off_m(point)) > DRAWING_TOLERANCE_M:
            self.waiting = point

    def _take_waiting(self) -> None:
        if self.waiting is not None:
            self._take(self._next_point(self.waiting))

    def _take(self, point: Point) -> None:
        name, by_bay = self.fields.texts[_NAME] or next_name(self.picks.last_name), bool(self.fields.texts[_BAY])
        self.picks.others.append((name, point))
        self.waiting = None
        self.fields.clear()
        self.fields.active = _BAY if by_bay else _NAME  # who types bays types one after the other

    def _next_point(self, at: Point) -> Point:
        """A point on the next axis: a typed bay from the last one, or the hand itself."""
        bay = self.fields.figure(_BAY)
        return at if not bay else self.picks.beside(at, bay, clicked=self.waiting is not None)

    def _axis_through(self, point: Point) -> OverlayLine:
        (x0, y0), (x1, y1) = self.picks.ends
        length = hypot(x1 - x0, y1 - y0)
        half = _SHOWN_PX * (self.pointer.m_per_px if self.pointer is not None else 0.01)
        x, y = (x1 - x0) / length * half, (y1 - y0) / length * half
        return OverlayLine(points=((point[0] - x, point[1] - y), (point[0] + x, point[1] + y)))

    def _grid(self) -> Grid | None:
        """The grid as picked so far.

        Raises:
            BadValue: The picks make no grid.
        """
        letters = self.letters.picked
        return None if letters is None else grid_through(letters, self.numbers.picked)

    def _deed(self) -> Edit:
        return set_grid(self.kept, grid=self._grid())

    def _show(self) -> None:
        """Show the grid as picked so far: the rails follow."""
        try:
            grid = self._grid()
        except LeakmapError:
            grid = None
        if grid is not None:
            self.preview(lambda: set_grid(self.kept, grid=grid))
        elif self.desk.open_job is not None:
            self.desk.show(None)
        self.refresh()


def grid_tool(desk: Desk) -> Tool:
    """The tool for the grid: axis by axis where there is one."""
    has_grid = desk.open_job is not None and desk.open_job.job.grid is not None
    return EditGrid(desk, SetGrid) if has_grid else SetGrid(desk)
