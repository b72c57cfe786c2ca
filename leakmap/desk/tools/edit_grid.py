"""Change the grid axis by axis: a click picks an axis, and what is typed or dragged then is about that one.

Beside the outermost axes a click stands the next one there; Enter keeps it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from math import dist
from typing import Final

from leakmap.base.errors import LeakmapError
from leakmap.desk.larger import reach_of
from leakmap.desk.state import Desk
from leakmap.desk.tools.fields import Fields, Part, TakesFigures
from leakmap.desk.tools.handles import DRAG_PX, Gesture
from leakmap.desk.tools.offer_grid import can_offer, offer
from leakmap.desk.tools.tool import Choice, LiveField, Overlay, OverlayLine, Pointer, Stroke, ToolMaker
from leakmap.geometry.path import Point
from leakmap.model.grid import (
    Axes,
    Axis,
    Grid,
    beyond,
    family_of,
    from_origin_m,
    line_of,
    name_before,
    nearest_axis,
    next_name,
)
from leakmap.work.catch import Aim
from leakmap.work.edits.edit import Edit, refused, together
from leakmap.work.edits.grid import Family, remove_axis, rename_axis, set_axis, set_bay
from leakmap.work.typed import Entry, typed_length

_NAME, _BAY = 0, 1
_SHOWN_PX: Final = 2000.0
_FREE_DIGITS: Final = 3  # a place that is caught on nothing is read to the millimetre


@dataclass(frozen=True, slots=True, kw_only=True)
class Next:
    """An axis that stands beside the last one, and is not kept yet.

    Attributes:
        family: Whether it is a letter axis or a number axis.
        last: The outermost axis that it stands beside.
        at_m: Where it was clicked.
        after: Whether it comes after the last axis, not before the first.
    """

    family: Family
    last: Axis
    at_m: float
    after: bool

    @property
    def name(self) -> str:
        """The name that comes next; empty where none does."""
        return next_name(self.last.name) if self.after else name_before(self.last.name)


class EditGrid(TakesFigures, Gesture):
    """Set grid (G), where there is a grid.

    Args:
        desk: The desk.
        anew: Makes the tool that picks a whole grid anew; None: that is not offered.
    """

    name = "Set grid"
    key = "G"

    def __init__(self, desk: Desk, anew: ToolMaker | None = None) -> None:
        super().__init__(desk)
        self._anew = anew
        self.fields = Fields(desk, Part(Entry.AXIS, "axis"), Part(Entry.LENGTH, "bay"))
        self.picked: str | None = None
        self.next: Next | None = None
        self.pointer: Pointer | None = None
        self._pressed: Pointer | None = None  # on the picked axis, and the button is still down
        self._dragging = False
        self._rest_fields()

    # What is said and seen -------------------------------------------------------------------------

    @property
    def grid(self) -> Grid:
        """The grid as kept."""
        return self.kept.grid or Grid()

    def sentence(self) -> str:
        """What the next click does."""
        if self.next is not None:
            name = self.fields.texts[_NAME] or self.next.name
            after = "Type its name, then Enter" if not name else f"Enter adds axis {name}"
            return f"{after}. A typed figure is its bay from {self.next.last.name}; Tab goes to its name."
        if self.picked is not None:
            bay = self._bay_words(self.picked)
            return f"Type {bay}its letter (Tab: number), then Enter. Drag moves it, Delete removes it."
        if not self.grid.axes:
            return "There is no grid any more; press G again to set one."
        return "Click an axis to change it, or beside the outermost one to add the next."

    def choices(self) -> tuple[Choice, ...]:
        """Axis by axis, the whole grid anew, or as the drawing shows it; with Alt while a name can be typed."""
        alt = self.taking()
        rows = [Choice(key="", words="axis by axis", chosen=True)]
        if self._anew is not None:
            rows.append(Choice(key="W", words="W all anew", alt=alt, take=self._all_anew))
        if can_offer(self.desk):
            look = partial(offer, self.desk, then=self.refresh)
            rows.append(Choice(key="D", words="D from drawing", alt=alt, take=look))
        return tuple(rows)

    def overlay(self) -> Overlay:
        """The axis pointed at and the one picked in marker, with the live field."""
        shown = self._pointed() if self.next is None and not self._dragging else None
        names = dict.fromkeys(name for name in (shown, self.picked) if name is not None)
        lines = tuple(self._line(name) for name in names)
        if self.next is not None:
            at_m = self._next_m(self.next)
            axes = self._axes(self.next.family)
            new = Axis(name="?", at_m=at_m)
            bay = self.desk.units.shown(abs(at_m - self.next.last.at_m))
            field = self.fields.live(self._foot(axes, new), (self.next.name or "name", bay))
            return Overlay(lines=(OverlayLine(points=self._ends(axes, new)),), field=field)
        return Overlay(lines=lines, field=self._field() if self.picked is not None else None)

    def aim(self) -> Aim:
        """Axes stand on what the drawing shows; on a blank level, on whatever is there."""
        sheet = self.kept.sheets.get(self.desk.level) if self.desk.level is not None else None
        return Aim(drawing_only=sheet is not None and sheet.source is not None)

    # What the hand does ----------------------------------------------------------------------------

    def moved(self, pointer: Pointer) -> None:
        """Mark the axis under the hand."""
        self.pointer = pointer
        self.refresh()

    def pressed(self, pointer: Pointer) -> None:
        """Pick an axis, or stand the next one beside the last; nothing changes yet."""
        self.pointer = pointer
        name = self._pointed()
        if name != self.picked or self.next is not None:
            self._rest_fields()
        self.picked, self._pressed, self._dragging = name, pointer if name is not None else None, False
        self.next = self._beside(pointer) if name is None else None
        self.refresh()

    def dragged(self, pointer: Pointer) -> None:
        """Show the picked axis where the hand would leave it."""
        self.pointer = pointer
        if self._pressed is None or self.picked is None:
            return
        apart = dist(pointer.raw, self._pressed.raw)
        self._dragging = self._dragging or apart > DRAG_PX * pointer.m_per_px
        if self._dragging:
            try:
                self.desk.show(self._moved(self.picked, pointer))
            except LeakmapError:
                return  # on another axis: what was shown before stays
            self.refresh()

    def released(self, pointer: Pointer) -> None:
        """Keep where the axis was dragged to."""
        name, dragged = self.picked, self._dragging
        self._pressed, self._dragging = None, False
        if dragged and name is not None:
            self.keep(lambda: self._moved(name, pointer))
        self.refresh()

    def taking(self) -> bool:
        """Once an axis is picked or stands ready."""
        return self.picked is not None or self.next is not None

    def typed(self, text: str) -> bool:
        """Figures are the bay, letters the name."""
        if self.taking() and text.isalpha() and self.fields.active == _BAY and not self.fields.texts[_BAY]:
            self.fields.active = _NAME
        return super().typed(text)

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Keep the next axis, or what was typed of the picked one, as one step."""
        name = self.fields.texts[_NAME]
        if self.next is not None:
            new = self.next
            if self.keep(lambda: self._added(new)) is not None:
                self.picked, self.next = name or new.name, None
                self._rest_fields()
        elif self.picked is not None and self.fields:
            picked = self.picked
            if self.keep(lambda: self._changed(picked)) is not None:
                self.picked = name or picked
                self._rest_fields()
        elif self.picked is None:
            return False
        self.refresh()
        return True

    def deleted(self) -> bool:
        """Remove the picked axis."""
        if self.picked is None:
            return False
        name = self.picked
        if self.keep(lambda: remove_axis(self.kept, name=name)) is not None:
            self.picked = None
            self._rest_fields()
        self.refresh()
        return True

    def nudged(self, across_m: float, up_m: float) -> bool:
        """Move the picked axis by what of the step runs across it."""
        axes = family_of(self.grid, self.picked) if self.picked is not None else None
        if axes is None or self.picked is None:
            return False
        name, (x, y) = self.picked, axes.towards
        at_m = self._axis(name).at_m + across_m * x + up_m * y
        self.keep(lambda: set_axis(self.kept, family=self._family(name), name=name, at_m=at_m))
        self.refresh()
        return True

    def escaped(self) -> bool:
        """Step back: what is dragged or typed, the axis that stands ready, the one picked."""
        if self._pressed is not None:
            self._pressed, self._dragging = None, False
            self.desk.show(None)
        elif self.fields:
            self._rest_fields()
        elif self.next is not None:
            self.next = None
        elif self.picked is not None:
            self.picked = None
        else:
            return False
        self.refresh()
        return True

    def taken(self) -> None:
        """An undo may take the picked axis away."""
        super().taken()
        self.desk.changed.connect(self._look_again)

    def dropped(self) -> None:
        """Nothing half-done stays."""
        self.desk.changed.disconnect(self._look_again)
        super().dropped()

    def let_go(self) -> None:
        """The grid is that of all levels, but what the hand holds is not."""
        self.next, self._pressed, self._dragging = None, None, False
        super().let_go()

    # Steps -----------------------------------------------------------------------------------------

    def _all_anew(self) -> None:
        if self._anew is not None:
            self.desk.take_tool(self._anew(self.desk))

    def _look_again(self, _rows: object = None) -> None:
        if self.picked is not None and family_of(self.grid, self.picked) is None:
            self.picked = None
            self._rest_fields()

    def _rest_fields(self) -> None:
        self.fields.clear()
        self.fields.active = _BAY

    def _pointed(self) -> str | None:
        """The axis under the hand, of the grid as kept."""
        if self.pointer is None:
            return None
        near, within_m = nearest_axis(self.grid, self.pointer.raw), self._hit_px * self.pointer.m_per_px
        return near[1].name if near is not None and near[0] <= within_m else None

    @property
    def _hit_px(self) -> float:
        return reach_of(self.desk.settings).handle_px

    def _beside(self, pointer: Pointer) -> Next | None:
        """The axis that would stand where the hand is; None between axes."""
        found = beyond(self.grid, pointer.at)
        if found is None:
            return None
        axes, last = found
        family: Family = "letters" if axes == self.grid.letters else "numbers"
        at_m = _read(from_origin_m(self.grid, axes, pointer.at), pointer)
        return Next(family=family, last=last, at_m=at_m, after=at_m > last.at_m)

    def _family(self, name: str) -> Family:
        return "letters" if any(axis.name == name for axis in self.grid.letters.each) else "numbers"

    def _axes(self, family: Family) -> Axes:
        return self.grid.letters if family == "letters" else self.grid.numbers

    def _axis(self, name: str) -> Axis:
        return next(axis for axis in self.grid.axes if axis.name == name)

    def _neighbours(self, name: str) -> tuple[Axis | None, Axis | None]:
        """The axes before and after one."""
        each = self._axes(self._family(name)).each
        place = next(number for number, axis in enumerate(each) if axis.name == name)
        return each[place - 1] if place else None, each[place + 1] if place + 1 < len(each) else None

    def _bay_words(self, name: str) -> str:
        before, after = self._neighbours(name)
        if before is not None:
            return f"the bay from {before.name} to {name}, or "
        return f"the bay from {name} to {after.name}, or " if after is not None else ""

    def _field(self) -> LiveField | None:
        """Name of the picked axis, and the bay that a figure sets."""
        if self.picked is None or family_of(self.grid, self.picked) is None:
            return None
        name = self.picked
        before, after = self._neighbours(name)
        other = before or after
        shown = self.desk.job.grid if self.desk.job is not None and self.desk.job.grid is not None else self.grid
        places = {axis.name: axis.at_m for axis in shown.axes}
        bay = self.desk.units.shown(abs(places[name] - places[other.name])) if other is not None else "—"
        way = "" if other is None else f"from {other.name}" if before is not None else f"to {other.name}"
        live = self.fields.live(self._foot(self._axes(self._family(name)), self._axis(name)), (name, bay))
        return replace(live, units=("axis", self.desk.units.before(way)))

    def _next_m(self, new: Next) -> float:
        bay = self.fields.figure(_BAY)
        return new.at_m if not bay else new.last.at_m + (bay if new.after else -bay)

    def _moved(self, name: str, pointer: Pointer) -> Edit:
        family = self._family(name)
        at_m = _read(from_origin_m(self.grid, self._axes(family), pointer.at), pointer)
        return set_axis(self.kept, family=family, name=name, at_m=at_m)

    def _added(self, new: Next) -> Edit:
        name = self.fields.texts[_NAME] or new.name
        if not name:
            raise refused(f"No name comes before {new.last.name}; type the name of the new axis.")
        typed_length(self.fields.texts[_BAY], self.desk.units)  # refuses a bay of nothing
        if family_of(self.grid, name) is not None:
            raise refused(f"There is an axis {name} already; type another name.", where=name)
        return set_axis(self.kept, family=new.family, name=name, at_m=self._next_m(new))

    def _changed(self, name: str) -> Edit:
        """What was typed of an axis: its bay, then its name."""
        edits: list[Edit] = []
        job = self.kept
        bay, to = typed_length(self.fields.texts[_BAY], self.desk.units), self.fields.texts[_NAME]
        if bay is not None:
            before = self._neighbours(name)[0]
            edits.append(set_bay(job, after=name if before is None else before.name, length_m=bay))
            job = edits[-1].job
        if to:
            edits.append(rename_axis(job, name=name, to=to))
        return edits[0] if len(edits) == 1 else together(edits, words=f"change axis {name}")

    def _line(self, name: str) -> OverlayLine:
        """An axis in marker, as it is shown now."""
        shown = self.desk.job.grid if self.desk.job is not None and self.desk.job.grid is not None else self.grid
        axes = family_of(shown, name) or self._axes(self._family(name))
        axis = next((each for each in axes.each if each.name == name), self._axis(name))
        return OverlayLine(points=self._ends(axes, axis), stroke=Stroke.MARKER)

    def _foot(self, axes: Axes, axis: Axis) -> Point:
        """The place on an axis that is nearest to the hand."""
        (x, y), (dx, dy) = line_of(self.grid, axes, axis)
        at = self.pointer.raw if self.pointer is not None else (x, y)
        along = (at[0] - x) * dx + (at[1] - y) * dy
        return x + along * dx, y + along * dy

    def _ends(self, axes: Axes, axis: Axis) -> tuple[Point, Point]:
        """Two places on an axis, far to both sides of the hand."""
        (x, y), (dx, dy) = self._foot(axes, axis), axes.along
        half = _SHOWN_PX * (self.pointer.m_per_px if self.pointer is not None else 0.01)
        return (x - dx * half, y - dy * half), (x + dx * half, y + dy * half)


def _read(at_m: float, pointer: Pointer) -> float:
    return at_m if pointer.catch is not None else round(at_m, _FREE_DIGITS)
