"""What F2 opens of the thing that is picked: what was seen of a leak, the name of a joint or of a level."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Final
from uuid import UUID

from leakmap.base.measures import FLOW, System
from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tools.asking import Asking, Held
from leakmap.desk.tools.fields import Part
from leakmap.desk.tools.joint_facts import JointFacts
from leakmap.desk.tools.level_facts import LevelFacts
from leakmap.desk.tools.places import point_of
from leakmap.desk.trouble import Trouble
from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.model.leak import Leak
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.grid import rename_axis
from leakmap.work.edits.leaks import describe_leak
from leakmap.work.edits.places import stretch_length_m
from leakmap.work.typed import Entry, day_of

_SEEN, _FLOW, _NOTE = 0, 1, 2
_FLOWS: Final = {System.METRIC: "litres", System.IMPERIAL: "gallons"}
_NOTHING_PICKED: Final = "Pick a leak or a joint first; F2 then opens what can be written about it."
_NO_NAME: Final = "Zones get their names by themselves; nothing of them is written by hand here."


class LeakFacts(Asking):
    """What was seen of a leak: its date, its flow, its note."""

    def __init__(self, desk: Desk, leak: Leak) -> None:
        flow = (
            "" if leak.flow_l_min is None else desk.units.number(FLOW[desk.units].figure(leak.flow_l_min).normalize())
        )
        texts = ("" if leak.seen is None else desk.units.day(leak.seen), flow, leak.note)
        parts = (Part(Entry.DAY, "seen"), Part(Entry.FIGURE, FLOW[desk.units].symbol), Part(Entry.WORDS, "note"))
        assert desk.job is not None
        super().__init__(
            desk,
            Held(desk, *parts, texts=texts),
            empty=("no date", "not measured", "no note"),
            at=_middle(desk.job, leak),
        )
        self._leak = leak.id
        self._ref = leak.ref

    def sentence(self) -> str:
        """What the next key does."""
        what = ("day on which it was seen", f"flow in {_FLOWS[self.desk.units.system]} a minute", "note")[
            self.fields.active
        ]
        return f"{self._ref}: type the {what}; Tab goes on, Delete empties it, Enter takes all three."

    def take(self) -> bool:
        """Set what differs, as one step."""
        return self.keep(self._deed) is not None

    def _deed(self) -> Edit:
        day, note = self.fields.texts[_SEEN].strip(), self.fields.texts[_NOTE].strip()
        seen = day_of(day, self.desk.units.locale) if day else None
        return describe_leak(self.kept, leak=self._leak, seen=seen, flow_l_min=self._flow_l_min(), note=note)

    def _flow_l_min(self) -> float | None:
        """What was typed; the flow as it was where that is only what was shown of it."""
        typed, was = self.fields.figure(_FLOW), self.kept.leaks[self._leak].flow_l_min
        scale = FLOW[self.desk.units]
        if typed is not None and was is not None and Decimal(str(typed)) == scale.figure(was):
            return was
        return None if typed is None else scale.kept(Decimal(str(typed)))


class Rename(Asking):
    """The name of a joint, a level or an axis of the grid.

    Args:
        desk: The desk.
        name: Its name now.
        deed: Gives it another name.
        at: Where the field stands.
        entry: What the field takes.
    """

    def __init__(
        self,
        desk: Desk,
        name: str,
        deed: Callable[[Job, str], Edit],
        *,
        at: Point | None = None,
        entry: Entry = Entry.NAME,
    ) -> None:
        super().__init__(desk, Held(desk, Part(entry), texts=(name,)), empty=("name",), at=at)
        self._name, self._deed = name, deed

    def sentence(self) -> str:
        """What the next key does."""
        return f"Type another name for {self._name} and press Enter; Esc leaves it as it is."

    def take(self) -> bool:
        """Rename it; the same name again changes nothing."""
        name = self.fields.texts[0].strip()
        return name == self._name or self.keep(lambda: self._deed(self.kept, name)) is not None


def open_facts(desk: Desk) -> None:
    """Ask for what can be written about the thing picked last; in stage Drawing, about the level on the plan."""
    tool = _asking_of(desk, desk.picked[-1] if desk.picked else None)
    if tool is not None:
        _take(desk, tool)
    elif desk.open_job is not None and not isinstance(desk.tool, Asking):
        zone = bool(desk.picked) and desk.picked[-1].sort is Sort.ZONE
        desk.troubled.emit(Trouble(sentence=_NO_NAME if zone else _NOTHING_PICKED, grave=False))


def rename_axis_of_grid(desk: Desk, name: str) -> None:
    """Ask for another letter or number of an axis of the grid."""
    if desk.open_job is not None and not isinstance(desk.tool, Asking):
        _take(desk, Rename(desk, name, lambda job, words: rename_axis(job, name=name, to=words), entry=Entry.AXIS))


def _take(desk: Desk, asking: Asking) -> None:
    """Ask, unless the job can only be looked at."""
    if desk.may_change():
        desk.take_tool(asking)


def _asking_of(desk: Desk, thing: Thing | None) -> Asking | None:
    """What asks about a thing; None where nothing can be written about it."""
    if desk.open_job is None or isinstance(desk.tool, Asking):
        return None
    job = desk.open_job.job
    key = desk.level if thing is None and desk.stage is Stage.DRAWING else thing and thing.key
    if not isinstance(key, UUID):
        return None
    if key in job.leaks:
        return LeakFacts(desk, job.leaks[key])
    if key in job.joints:
        return JointFacts(desk, job.joints[key])
    return LevelFacts(desk, job.sheets[key]) if key in job.sheets else None


def _middle(job: Job, leak: Leak) -> Point:
    """The middle of a leak in plan."""
    joint = job.joints[leak.joint]
    half_m = stretch_length_m(joint, leak.from_m, leak.to_m) / 2
    return point_of(joint, (leak.from_m + half_m) % joint.length_m if joint.closed else leak.from_m + half_m)
