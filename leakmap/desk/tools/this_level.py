"""Name, slab level and storey height of the level on the plan; reached from New level (N)."""

from __future__ import annotations

from leakmap.base.trade_words import in_trade_words
from leakmap.desk.state import Desk
from leakmap.desk.tools.fields import Fields, Part, TakesFigures
from leakmap.desk.tools.handles import Gesture
from leakmap.desk.tools.tool import Overlay, Pointer
from leakmap.geometry.path import Point
from leakmap.model.sheet import Sheet
from leakmap.work.catch import NOTHING, Aim
from leakmap.work.edits.edit import Edit, together
from leakmap.work.edits.sheets import remove_sheet, rename_sheet, set_floor_level, set_storey_height
from leakmap.work.typed import Entry, typed_length

_NAME, _LEVEL, _STOREY = 0, 1, 2


class ThisLevel(TakesFigures, Gesture):
    """This level: what is known of it in words and figures."""

    name = "New level"
    key = "N"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.fields = Fields(
            desk,
            Part(Entry.NAME),
            Part(Entry.LEVEL, "level of the slab"),
            Part(Entry.LENGTH, in_trade_words(desk.units, "slab to soffit")),
        )
        self.fields.active = _LEVEL
        self.at: Point = (0.0, 0.0)

    def taken(self) -> None:
        """The field stands where the hand is."""
        super().taken()
        if self.desk.caught is not None:
            self.at = self.desk.caught.raw

    @property
    def sheet(self) -> Sheet | None:
        """The level on the plan, as kept."""
        return self.kept.sheets.get(self.desk.level) if self.desk.level is not None else None

    def aim(self) -> Aim:
        """A click on the plan means no place."""
        return NOTHING

    def sentence(self) -> str:
        """What the next key does."""
        sheet = self.sheet
        if sheet is None:
            return "There is no level yet."
        return f"Type the level of the slab of {sheet.name}, Tab to its height and its name; Enter keeps them."

    def overlay(self) -> Overlay:
        """The live field alone."""
        sheet = self.sheet
        if sheet is None:
            return Overlay()
        level = "not known" if sheet.floor_level_m is None else self.desk.units.shown(sheet.floor_level_m)
        return Overlay(
            field=self.fields.live(self.at, (sheet.name, level, self.desk.units.shown(sheet.storey_height_m)))
        )

    def pressed(self, pointer: Pointer) -> None:
        """Bring the field to the hand."""
        self.at = pointer.raw
        self.refresh()

    def taking(self) -> bool:
        """Once there is a level."""
        return self.sheet is not None

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Keep what was typed, as one step."""
        sheet = self.sheet
        if sheet is None or not self.fields:
            return sheet is not None
        if self.keep(lambda: self._deed(sheet)) is not None:
            self._start_anew()
        self.refresh()
        return True

    def deleted(self) -> bool:
        """Remove the level, if nothing lies on it."""
        sheet = self.sheet
        if sheet is None:
            return False
        self.keep(lambda: remove_sheet(self.kept, sheet=sheet.id))
        self.refresh()
        return True

    def escaped(self) -> bool:
        """Forget what was typed."""
        if not self.fields:
            return False
        self._start_anew()
        self.refresh()
        return True

    def _start_anew(self) -> None:
        self.fields.clear()
        self.fields.active = _LEVEL

    def _deed(self, sheet: Sheet) -> Edit:
        """Everything typed, one deed after the other."""
        edits = []
        job = self.kept
        name, level = self.fields.texts[_NAME], self.fields.figure(_LEVEL)
        storey = typed_length(self.fields.texts[_STOREY], self.desk.units)
        if name:
            edits.append(rename_sheet(job, sheet=sheet.id, name=name))
            job = edits[-1].job
        if level is not None:
            edits.append(set_floor_level(job, sheet=sheet.id, floor_level_m=level))
            job = edits[-1].job
        if storey is not None:
            edits.append(set_storey_height(job, sheet=sheet.id, storey_height_m=storey))
        return edits[0] if len(edits) == 1 else together(edits, words=f"change level {sheet.name}")
