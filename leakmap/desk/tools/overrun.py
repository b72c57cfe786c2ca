"""How far a repair runs past the water, typed: the tool Overrun. Tab goes round the ends of the picked zone."""

from __future__ import annotations

from collections.abc import Callable

from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Thing
from leakmap.desk.tools.fields import Fields, Part, TakesFigures
from leakmap.desk.tools.handles import Handle
from leakmap.desk.tools.places import zone_at
from leakmap.desk.tools.tool import LiveField, Overlay, Pointer
from leakmap.desk.tools.zone_handles import ZoneHandles
from leakmap.repair.results import End
from leakmap.work.edits.edit import Edit
from leakmap.work.hits import Target
from leakmap.work.typed import Entry


class Overrun(TakesFigures, ZoneHandles):
    """Sets how far a zone runs past the water."""

    name = "Overrun"
    key = "O"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.fields = Fields(desk, Part(Entry.LENGTH))

    def sentence(self) -> str:
        """What the next click does."""
        if self.picked_zone() is None:
            return "Pick a zone, then drag either end of its band or type the overrun."
        if self.end is None:
            return "Drag an end of the band, or type its overrun; Tab or a click picks another end."
        return "Type the overrun or press arrows: Enter sets this end, Ctrl-Enter every end; Delete gives it back to the rule."

    def overlay(self) -> Overlay:
        """Handles of the picked zone and the overrun at the picked end."""
        moved = None if self.fields else self.moved_field()
        return Overlay(grips=self.shown_grips(), field=moved or self._field())

    def _field(self) -> LiveField | None:
        side = self.side_at(self.end) if self.end is not None else None
        if self.end is None or side is None:
            return None
        unit = self.desk.units.before(f"past {self.kept.leaks[side.leak].ref}")
        return self.fields.live(self.place_of(self.end), (self.desk.units.shown(side.overrun_m),), (unit,))

    def points_at(self) -> tuple[Target, ...]:
        """The zone that would be picked."""
        return (Target.ZONE,)

    def clicked(self, pointer: Pointer) -> None:
        """Pick the zone under the hand."""
        zone = zone_at(self.desk, pointer)
        self._let_go_of_end()
        self.desk.show(None)
        if zone is None:
            self.desk.pick()
        else:
            self.desk.pick(Thing(Sort.ZONE, zone.number))
        self.refresh()

    def handle_picked(self, handle: Handle[End]) -> None:
        """Pick an end."""
        super().handle_picked(handle)
        self.fields.clear()

    def taking(self) -> bool:
        """Once an end is picked."""
        return self.end is not None

    def typed(self, text: str) -> bool:
        """Into the overrun of the picked end; a digit that comes before one is picked picks the first."""
        if self.end is None and text.isdecimal():
            self.tabbed()
        return super().typed(text)

    def figures_changed(self) -> None:
        """Show the overrun that is typed at the picked end."""
        if self.fields:
            self.preview(self._deed(both=False))
        else:
            self.desk.show(None)
        self.refresh()

    def nudging(self, across_m: float, up_m: float) -> bool:
        """An arrow takes the place of what was typed."""
        self.fields.clear()
        return super().nudging(across_m, up_m)

    def tabbed(self) -> bool:
        """Go to the next end of the zone."""
        ends = self.ends()
        if not ends:
            return False
        at = ends.index(self.end) + 1 if self.end in ends else 0
        self._end = ends[at % len(ends)]
        self.fields.clear()
        self.desk.show(None)
        self.refresh()
        return True

    def entered(self, *, both: bool = False) -> bool:
        """Set the typed overrun at the picked end, or at every end of the zone."""
        end = self.end
        if end is None or not self.fields:
            return False
        deed = self._deed(both=both)
        self.fields.clear()
        if self.keep(deed) is not None:
            self.follow(end)
        self.refresh()
        return True

    def escaped(self) -> bool:
        """Step back: the typed digits, then the picked end."""
        if super().escaped():
            return True
        if self.end is None:
            return False
        if self.fields:
            self.fields.clear()
        else:
            self._end = None
        self.desk.show(None)
        self.refresh()
        return True

    def let_go(self) -> None:
        """Nothing half-done stays."""
        self._let_go_of_end()
        super().let_go()

    def _let_go_of_end(self) -> None:
        self._end = None
        self.fields.clear()

    def _deed(self, *, both: bool) -> Callable[[], Edit]:
        zone, end, overrun_m, job = self.picked_zone(), self.end, self.fields.figure(0), self.kept
        assert zone is not None
        assert end is not None
        ends = tuple(other for other in zone.ends if other.owner is not None) if both else (end,)
        return lambda: self.set_at(job, ends, overrun_m, f"set overrun of {zone.ref}")
