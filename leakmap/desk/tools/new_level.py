"""Make a level: its name and the level of its slab are typed; its drawing can be laid under it later."""

from __future__ import annotations

from dataclasses import replace

from leakmap.desk.state import Desk
from leakmap.desk.tools.fields import Fields, Part, TakesFigures
from leakmap.desk.tools.handles import Gesture
from leakmap.desk.tools.import_drawing import import_drawing
from leakmap.desk.tools.lay_over import LayOver
from leakmap.desk.tools.this_level import ThisLevel
from leakmap.desk.tools.tool import Choice, Overlay, Pointer
from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.work.catch import NOTHING, Aim
from leakmap.work.edits.edit import Edit, refused
from leakmap.work.edits.sheets import add_sheet
from leakmap.work.typed import Entry

_NAME, _LEVEL = 0, 1


class NewLevel(TakesFigures, Gesture):
    """New level (N)."""

    name = "New level"
    key = "N"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.fields = Fields(desk, Part(Entry.NAME), Part(Entry.LEVEL, "level of the slab"))
        self.at: Point = (0.0, 0.0)

    def taken(self) -> None:
        """The field stands where the hand is."""
        super().taken()
        if self.desk.caught is not None:
            self.at = self.desk.caught.raw

    def aim(self) -> Aim:
        """A click on the plan means no place."""
        return NOTHING

    def sentence(self) -> str:
        """What the next key does."""
        if not self.fields.texts[_NAME]:
            return "Type the name of the level, such as B2."
        if self.fields.active == _NAME:
            return f"Press Tab and type the level of its slab, such as {self.desk.units.shown(-7.8)}; or Enter, if it is not known."
        return f"Press Enter: {self.fields.texts[_NAME]} is a blank sheet over the same site plane as the other levels."

    def choices(self) -> tuple[Choice, ...]:
        """What else makes or places a level; by keys with Alt, because letters and digits are the name."""
        rows = (
            Choice(key="", words="blank", chosen=True),
            Choice(key="D", words="D drawing", alt=True, take=self._with_drawing),
            Choice(key="T", words="T this level", alt=True, take=self._this_level),
            Choice(key="O", words="O lay over", alt=True, take=self._lay_over),
        )
        levels = len(self.kept.sheets) if self.desk.open_job is not None else 0
        return rows[: 2 + min(levels, 2)]

    def overlay(self) -> Overlay:
        """The live field alone."""
        return Overlay(field=self.fields.live(self.at, ("name", "not known")))

    def pressed(self, pointer: Pointer) -> None:
        """Bring the field to the hand."""
        self.at = pointer.raw
        self.refresh()

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Make the level and go to it."""
        if self.desk.open_job is None:
            return False
        edit = self.keep(self._deed)
        if edit is not None:
            self.fields.clear()
            self.desk.show_level(edit.made[0])
        self.refresh()
        return True

    def escaped(self) -> bool:
        """Forget what was typed."""
        if not self.fields:
            return False
        self.fields.clear()
        self.refresh()
        return True

    def _with_drawing(self) -> None:
        self.desk.take_tool(None)
        import_drawing(self.desk)

    def _this_level(self) -> None:
        self.desk.take_tool(ThisLevel(self.desk))

    def _lay_over(self) -> None:
        self.desk.take_tool(LayOver(self.desk))

    def _deed(self) -> Edit:
        if not self.fields.texts[_NAME].strip():
            raise refused("A level needs a name, such as B2; type it first.")
        return new_level(self.kept, name=self.fields.texts[_NAME], floor_level_m=self.fields.figure(_LEVEL))


def new_level(job: Job, *, name: str, floor_level_m: float | None) -> Edit:
    """The edit that makes a blank level whose storey reaches up to the next higher floor, where one is known.

    Raises:
        EditRefused: The name is empty or in use.
    """
    floors = ((sheet.floor_level_m, sheet.name) for sheet in job.sheets.values() if sheet.floor_level_m is not None)
    higher = [(at_m, name) for at_m, name in floors if floor_level_m is not None and at_m > floor_level_m]
    if floor_level_m is None or not higher:
        return add_sheet(job, name=name, floor_level_m=floor_level_m)
    at_m, above = min(higher)
    height = round(at_m - floor_level_m, 6)
    edit = add_sheet(job, name=name, floor_level_m=floor_level_m, storey_height_m=height)
    return replace(edit, said=(*edit.said, f"Its storey is {job.units.said(height)} high, up to the floor of {above}."))
