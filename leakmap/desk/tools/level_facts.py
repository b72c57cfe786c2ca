"""What is asked about levels beside the plan: the name and slab of one, and how high the water outside stands."""

from __future__ import annotations

from leakmap.base.errors import BadValue
from leakmap.base.length_text import metres_of
from leakmap.desk.state import Desk
from leakmap.desk.tools.asking import Asking, Held
from leakmap.desk.tools.fields import Part
from leakmap.model.job import Job
from leakmap.model.sheet import Sheet
from leakmap.work.edits.edit import Edit, together
from leakmap.work.edits.rules import set_water_level
from leakmap.work.edits.sheets import rename_sheet, set_floor_level
from leakmap.work.typed import Entry, day_of

_NAME, _SLAB = 0, 1
_LEVEL, _SEEN, _SOURCE = 0, 1, 2


class LevelFacts(Asking):
    """The name of a level and the level of its slab."""

    def __init__(self, desk: Desk, sheet: Sheet) -> None:
        self._slab = "" if sheet.floor_level_m is None else desk.units.level(sheet.floor_level_m).removeprefix("+")
        parts = (Part(Entry.NAME), Part(Entry.LEVEL, "level of the slab"))
        super().__init__(desk, Held(desk, *parts, texts=(sheet.name, self._slab)), empty=("name", "not known"))
        self._sheet, self._name = sheet.id, sheet.name

    def sentence(self) -> str:
        """What the next key does."""
        if self.fields.active == _NAME:
            return f"Type another name for {self._name}; Tab goes to its slab, Enter takes both, Esc leaves them."
        return f"Type the level of the slab of {self._name}, such as {self.desk.units.shown(-7.8)}; Delete empties it."

    def take(self) -> bool:
        """Set what differs, as one step; what is the same changes nothing."""
        name, slab = (text.strip() for text in self.fields.texts)
        if (name, slab) == (self._name, self._slab):
            return True
        return self.keep(lambda: self._deed(self.kept, name, slab)) is not None

    def _deed(self, job: Job, name: str, slab: str) -> Edit:
        edits: list[Edit] = []
        if name != self._name:
            edits.append(rename_sheet(job, sheet=self._sheet, name=name))
            job = edits[-1].job
        if slab != self._slab:
            edits.append(set_floor_level(job, sheet=self._sheet, floor_level_m=_level_m(self.desk, slab)))
        return edits[0] if len(edits) == 1 else together(edits, words=f"set name and slab of {self._name}")


class WaterFacts(Asking):
    """The level of the water outside, with its day and source."""

    def __init__(self, desk: Desk) -> None:
        job = desk.job
        assert job is not None
        water = job.water
        level = "" if water is None else desk.units.level(water.level_m).removeprefix("+")
        seen = "" if water is None or water.seen is None else desk.units.day(water.seen)
        self._before = (level, seen, "" if water is None else water.source)
        parts = (Part(Entry.LEVEL, "water"), Part(Entry.DAY, "seen"), Part(Entry.WORDS, "source"))
        empty = ("not known", "no date", "no source")
        super().__init__(desk, Held(desk, *parts, texts=self._before), empty=empty)

    def sentence(self) -> str:
        """What the next key does."""
        what = ("level of the ground water", "day on which it was seen", "source of it")[self.fields.active]
        return f"Type the {what}; Tab goes on, Delete empties it, Enter takes all three."

    def take(self) -> bool:
        """Set it, as one step; what is the same changes nothing."""
        texts = tuple(text.strip() for text in self.fields.texts)
        return texts == self._before or self.keep(lambda: self._deed(*texts)) is not None

    def _deed(self, level: str, seen: str, source: str) -> Edit:
        water = self.kept.water
        same = water is not None and level == self._before[_LEVEL]
        level_m = water.level_m if same and water is not None else _level_m(self.desk, level)
        if level_m is None and (seen or source):
            raise BadValue("A day or a source needs the level of the water; type it, or empty all three.")
        return set_water_level(
            self.kept, level_m=level_m, seen=day_of(seen, self.desk.units.locale) if seen else None, source=source
        )


def ask_level(desk: Desk, level: object) -> None:
    """Ask for the name and the slab of a level."""
    sheet = (
        next((sheet for key, sheet in desk.open_job.job.sheets.items() if key == level), None)
        if desk.open_job
        else None
    )
    if sheet is not None and desk.may_change():
        desk.take_tool(LevelFacts(desk, sheet))


def ask_water(desk: Desk) -> None:
    """Ask for the level of the water outside."""
    if desk.open_job is not None and not isinstance(desk.tool, Asking) and desk.may_change():
        desk.take_tool(WaterFacts(desk))


def _level_m(desk: Desk, words: str) -> float | None:
    """A level as typed; None where nothing is."""
    return float(metres_of(words.removeprefix("+"), desk.units)) if words else None
