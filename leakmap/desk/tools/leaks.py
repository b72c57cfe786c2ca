"""Marking leaks: the tool that draws a wet stretch, and what the hand does in stage Leaks without a tool.

A stretch starts at a click on a joint and stops at the second click, or where a typed length ends.
Enter after the first click makes a spot. On a closed joint the stretch takes the shorter way; with Shift
the other one. On an upright joint, a mere point in plan, two heights are typed instead.

With the tool in hand 0 to 5 choose the wetness of the next leak; with no tool they change the picked one.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import hypot
from uuid import UUID

from leakmap.desk.state import Desk, Sort, Stage, Thing
from leakmap.desk.tools.figures import grown, metres_of, shown_m
from leakmap.desk.tools.handles import Handle, HandleTool
from leakmap.desk.tools.places import (
    REACH_PX,
    Spot,
    across_at,
    along,
    is_upright,
    on_level,
    part_of,
    point_of,
    spot_at,
    tidy_m,
)
from leakmap.desk.tools.tool import Choice, LiveField, Overlay, OverlayLine, Pointer, Stroke
from leakmap.desk.trouble import Answer, Trouble
from leakmap.geometry.path import Point
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.printed import metres
from leakmap.model.words import Wetness
from leakmap.work.catch import Aim
from leakmap.work.edits.edit import Edit, leak_of, refused, together
from leakmap.work.edits.leaks import LeakEnd, add_leak, move_leak_ends, remove_leak, set_wetness
from leakmap.work.edits.places import stretch_length_m

NO_JOINT = "Leaks lie on joints."
_BRACKET_PX = 10.0


def wetness_choices(chosen: Wetness | None, take: Callable[[Wetness], None]) -> tuple[Choice, ...]:
    """The row of wetness cells."""
    return tuple(
        Choice(
            key=str(wetness.value),
            words=f"{wetness.value} {wetness.word}",
            sign=f"wetness-{wetness.value}",
            chosen=wetness is chosen,
            take=lambda wetness=wetness: take(wetness),  # type: ignore[misc] # a default keeps the value of each turn
        )
        for wetness in Wetness
    )


def wetness_of(text: str) -> Wetness | None:
    """The wetness that a digit stands for.

    >>> wetness_of("3"), wetness_of("7")
    (<Wetness.DRIP: 3>, None)
    """
    return Wetness(int(text)) if len(text) == 1 and text in "012345" else None


LeakEndKey = tuple[UUID, LeakEnd]


class LeakHandles(HandleTool[LeakEndKey]):
    """A tool with handles at the ends of the picked leaks."""

    def aim(self) -> Aim:
        """Leaks lie on joints."""
        return Aim(joints_only=True)

    def picked_leaks(self) -> tuple[Leak, ...]:
        """Leaks that are picked and on this level."""
        job = self.desk.job
        if job is None:
            return ()
        here = {joint.id for joint in on_level(job, self.desk.level)}
        leaks = [
            job.leaks[thing.key] for thing in self.desk.picked if isinstance(thing.key, UUID) and thing.key in job.leaks
        ]
        return tuple(leak for leak in leaks if leak.joint in here)

    def handles(self) -> tuple[Handle[LeakEndKey], ...]:
        """Both ends of each picked leak on a line."""
        assert self.desk.job is not None
        return tuple(
            Handle(key=(leak.id, end), at=point_of(joint, at_m), across=across_at(joint, at_m))
            for leak in self.picked_leaks()
            if not is_upright(joint := self.desk.job.joints[leak.joint])
            for end, at_m in ((LeakEnd.FROM, leak.from_m), (LeakEnd.TO, leak.to_m))
        )

    def dragged_to(self, handle: Handle[LeakEndKey], pointer: Pointer) -> Edit:
        """Move an end of a leak; dragged past its other end, it becomes that."""
        key, end = handle.key
        leak = leak_of(self.kept, key)
        joint = self.kept.joints[leak.joint]
        at_m = tidy_m(joint, along(joint, pointer.at), pointer)
        from_m, to_m = (at_m, leak.to_m) if end is LeakEnd.FROM else (leak.from_m, at_m)
        if from_m > to_m and not joint.closed:
            from_m, to_m = to_m, from_m
        return move_leak_ends(
            self.kept,
            leak=key,
            from_m=None if from_m == leak.from_m else from_m,
            to_m=None if to_m == leak.to_m else to_m,
        )

    def dragged_field(self) -> LiveField | None:
        """The length of the leak whose end is dragged."""
        job = self.desk.job
        if not self.dragging or self.held is None or self.pointer is None or job is None:
            return None
        leak = job.leaks.get(self.held.key[0])
        if leak is None:
            return None
        length_m = stretch_length_m(job.joints[leak.joint], leak.from_m, leak.to_m)
        return LiveField(at=self.pointer.at, texts=(shown_m(length_m),), units=(f"m {leak.wetness.word}",))

    def deleted(self) -> bool:
        """Remove the picked leaks, as one step."""
        leaks = self.picked_leaks()
        if not leaks:
            return False
        self.keep(lambda: self._each(leaks, lambda job, leak: remove_leak(job, leak=leak.id), "remove"))
        self.refresh()
        return True

    def change_wetness(self, wetness: Wetness) -> bool:
        """Say how wet the picked leaks are, as one step; False when none is picked."""
        leaks = self.picked_leaks()
        if not leaks:
            return False
        self.keep(
            lambda: self._each(
                leaks, lambda job, leak: set_wetness(job, leak=leak.id, wetness=wetness), "set wetness of"
            )
        )
        self.refresh()
        return True

    def _each(self, leaks: tuple[Leak, ...], deed: Callable[..., Edit], words: str) -> Edit:
        job, edits = self.kept, []
        for leak in leaks:
            edits.append(deed(job, leak))
            job = edits[-1].job
        return together(edits, words=f"{words} {' and '.join(leak.ref for leak in leaks)}")


class LeakAtRest(LeakHandles):
    """What the hand does in stage Leaks with no tool: clicks pick, and what is picked can be changed."""

    def sentence(self) -> str:
        """What can be done with the picked leak."""
        if self.picked_leaks():
            return "Drag an end, press 0 to 5 for its wetness, or Delete to remove it."
        return "Click a leak to pick it, or press L to mark one."

    def choices(self) -> tuple[Choice, ...]:
        """The wetness of the picked leak."""
        found = {leak.wetness for leak in self.picked_leaks()}
        if not found:
            return ()
        return wetness_choices(next(iter(found)) if len(found) == 1 else None, self._take)

    def _take(self, wetness: Wetness) -> None:
        self.change_wetness(wetness)

    def overlay(self) -> Overlay:
        """Handles at the ends of the picked leaks."""
        return Overlay(grips=self.grips(), field=self.dragged_field())

    def typed(self, text: str) -> bool:
        """A digit changes how wet the picked leaks are."""
        wetness = wetness_of(text)
        return wetness is not None and self.change_wetness(wetness)


@dataclass(slots=True)
class _Begun:
    """A stretch that has its start.

    Attributes:
        texts: What was typed: the length, or on an upright joint both heights.
        active: Index of the live field that digits go to; the last field is the wetness.
    """

    start: Spot
    texts: list[str]
    active: int = 0

    @property
    def joint(self) -> Joint:
        """The joint that it lies on."""
        return self.start.joint


class LeakStretch(LeakHandles):
    """Marks a leak: start, then stop."""

    name = "Leak stretch"
    key = "L"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._begun: _Begun | None = None
        self._pulled = False  # the button that made the start is still down

    # What is seen ------------------------------------------------------------------------------------

    def sentence(self) -> str:
        """What the next click does."""
        if self.desk.job is not None and not self.desk.job.joints:
            return f"{NO_JOINT} Draw a joint first, in stage Joints."
        if self._begun is None:
            return "Press 0 to 5 for the wetness, then click where the wet stretch starts."
        if self._upright:
            return f"Type the heights on {self._begun.joint.ref}, from and to, Tab between them, then Enter."
        other = "; Shift takes the other way round" if self._begun.joint.closed else ""
        return f"Click where it stops, or type its length and press Enter{other}; Enter alone makes a spot."

    def choices(self) -> tuple[Choice, ...]:
        """The six wetnesses."""
        return wetness_choices(self.desk.wetness, self._choose)

    def overlay(self) -> Overlay:
        """The stretch in hand with its live field, or handles of the picked leak."""
        if self._begun is None:
            return Overlay(grips=self.grips(), field=self.dragged_field())
        lines = () if self._upright else self._lines()
        return Overlay(lines=lines, field=self._field(self._begun))

    def _lines(self) -> tuple[OverlayLine, ...]:
        assert self._begun is not None
        joint, (from_m, to_m) = self._begun.joint, self._stretch()
        m_per_px = self.pointer.m_per_px if self.pointer is not None else 0.01
        ends = tuple(_bar(joint, at_m, _BRACKET_PX * m_per_px) for at_m in (from_m, to_m))
        course = OverlayLine(points=part_of(joint, from_m, to_m), stroke=Stroke.LIVE)
        return (course, *ends) if from_m != to_m else ends

    def _field(self, begun: _Begun) -> LiveField:
        measures = [shown_m(value) for value in self._measures()]
        texts = [typed or measure for typed, measure in zip(begun.texts, measures, strict=True)]
        units = ("m from", "m to", "") if self._upright else ("m", "")
        at = self.pointer.at if self.pointer is not None and not self._upright else self._start_point()
        typed = begun.active < len(begun.texts) and bool(begun.texts[begun.active])
        return LiveField(at=at, texts=(*texts, self.desk.wetness.word), units=units, active=begun.active, typed=typed)

    def _measures(self) -> tuple[float, ...]:
        assert self._begun is not None
        from_m, to_m = self._stretch()
        return (from_m, to_m) if self._upright else (stretch_length_m(self._begun.joint, from_m, to_m),)

    def _start_point(self) -> Point:
        assert self._begun is not None
        return point_of(self._begun.joint, self._begun.start.at_m)

    @property
    def _upright(self) -> bool:
        return self._begun is not None and is_upright(self._begun.joint)

    # What the hand does ------------------------------------------------------------------------------

    def clicked(self, pointer: Pointer) -> None:
        """Start the stretch, or stop it."""
        if self._begun is None:
            self._begin(pointer)
        elif self._upright:
            self.hint(self.sentence())
        elif not pointer.double or self._apart(pointer):
            self._finish(*self._stretch())
        self.refresh()

    def handle_picked(self, handle: Handle[LeakEndKey]) -> None:  # noqa: ARG002 - the base tool's argument
        """A click on an end of the picked leak starts a stretch there: leaks may touch."""
        if self.pointer is not None:
            self.clicked(self.pointer)

    def moved(self, pointer: Pointer) -> None:
        """Show the stretch as it would be."""
        super().moved(pointer)
        if self._begun is not None:
            self._show()

    def dragged(self, pointer: Pointer) -> None:
        """Drag an end of the picked leak, or draw the stretch in one pull."""
        super().dragged(pointer)
        if self._begun is not None:
            self.moved(pointer)

    def released(self, pointer: Pointer) -> None:
        """A stretch pulled out with the button down ends where it is let go."""
        super().released(pointer)
        begun = self._begun
        if begun is not None and not self._upright and self._pulled and self._apart(pointer):
            self._finish(*self._stretch())
        self._pulled = False
        self.refresh()

    def typed(self, text: str) -> bool:
        """Digits are the wetness before the first click, then the length or the heights."""
        begun = self._begun
        if begun is None or begun.active == len(begun.texts):
            wetness = wetness_of(text)
            if wetness is not None:
                self._choose(wetness)
            return wetness is not None or (begun is not None and text.isdigit())
        figure = grown(begun.texts[begun.active], text)
        if figure is None:
            return False
        begun.texts[begun.active] = figure
        self._show()
        return True

    def erased(self) -> bool:
        """Take back the last character typed."""
        begun = self._begun
        if begun is None or begun.active == len(begun.texts) or not begun.texts[begun.active]:
            return False
        begun.texts[begun.active] = begun.texts[begun.active][:-1]
        self._show()
        return True

    def tabbed(self) -> bool:
        """Go to the next field; the wetness is the last."""
        begun = self._begun
        if begun is None:
            return False
        begun.active = (begun.active + 1) % (len(begun.texts) + 1)
        self.refresh()
        return True

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Keep the stretch that was typed; with nothing typed, a spot where it started."""
        begun = self._begun
        if begun is None:
            return False
        if self._upright or any(begun.texts):
            self._finish(*self._stretch())
        else:
            self._finish(begun.start.at_m, begun.start.at_m)
        self.refresh()
        return True

    def escaped(self) -> bool:
        """Step back: first what was typed, then the start."""
        begun = self._begun
        if begun is None:
            return super().escaped()
        if any(begun.texts):
            begun.texts = [""] * len(begun.texts)
            self._show()
            return True
        self._begun = None
        self.desk.show(None)
        self.refresh()
        return True

    def let_go(self) -> None:
        """Nothing half-done stays."""
        self._begun = None
        super().let_go()

    # Steps -------------------------------------------------------------------------------------------

    def _begin(self, pointer: Pointer) -> None:
        picked = [thing.key for thing in self.desk.picked if thing.sort is Sort.JOINT and isinstance(thing.key, UUID)]
        spot = spot_at(self.kept, self.desk.level, pointer, picked[-1] if picked else None)
        if spot is None:
            self.desk.troubled.emit(Trouble(sentence=NO_JOINT, answers=(_joint_first(self.desk),), grave=False))
            return
        self._begun = _Begun(spot, ["", ""] if is_upright(spot.joint) else [""])
        self._pulled = True
        self._show()

    def _show(self) -> None:
        self.preview(self._deed)
        self.refresh()

    def _deed(self) -> Edit:
        return self._added(*self._stretch())

    def _added(self, from_m: float, to_m: float) -> Edit:
        assert self._begun is not None
        assert self.desk.open_job is not None
        joint = self._begun.joint
        if not joint.closed and not 0 <= from_m <= to_m <= joint.length_m + 0.001:
            room_m = joint.length_m - self._begun.start.at_m if to_m > joint.length_m else self._begun.start.at_m
            raise refused(f"{joint.ref} has only {metres(room_m)} on that side of the start.", where=joint.ref)
        return add_leak(
            self.kept,
            joint=joint.id,
            from_m=from_m,
            to_m=to_m,
            wetness=self.desk.wetness,
            seen=self.desk.open_job.today,
        )

    def _finish(self, from_m: float, to_m: float) -> None:
        edit = self.keep(lambda: self._added(from_m, to_m))
        if edit is not None:
            self._begun = None
            self.desk.pick(Thing(Sort.LEAK, edit.made[0]))

    def _choose(self, wetness: Wetness) -> None:
        self.desk.wetness = wetness
        if self._begun is not None:
            self._show()
        self.refresh()

    def _apart(self, pointer: Pointer) -> bool:
        """Whether the hand is farther from the start than a slip."""
        x, y = self._start_point()
        return hypot(pointer.raw[0] - x, pointer.raw[1] - y) > REACH_PX * pointer.m_per_px

    # Lengths -----------------------------------------------------------------------------------------

    def _stretch(self) -> tuple[float, float]:
        """From and to of the stretch as it would be kept now."""
        assert self._begun is not None
        if self._upright:
            return self._heights(self._begun)
        joint, start_m = self._begun.joint, self._begun.start.at_m
        there_m = start_m if self.pointer is None else tidy_m(joint, along(joint, self.pointer.at), self.pointer)
        typed_m = metres_of(self._begun.texts[0])
        if joint.closed:
            return self._round(joint, start_m, there_m, typed_m)
        if typed_m is None:
            return min(start_m, there_m), max(start_m, there_m)
        back = there_m < start_m
        return (start_m - typed_m, start_m) if back else (start_m, start_m + typed_m)

    def _heights(self, begun: _Begun) -> tuple[float, float]:
        from_m, to_m = (metres_of(text) for text in begun.texts)
        if from_m is None:
            from_m = begun.start.at_m
        if to_m is None:
            to_m = from_m
        return (from_m, to_m) if begun.joint.closed else (min(from_m, to_m), max(from_m, to_m))

    def _round(self, joint: Joint, start_m: float, there_m: float, typed_m: float | None) -> tuple[float, float]:
        """A stretch of a closed joint: the shorter way, with Shift the other."""
        length_m = joint.length_m
        forward = (there_m - start_m) % length_m <= length_m / 2
        if self.pointer is not None and self.pointer.shift:
            forward = not forward
        if typed_m is None:
            return (start_m, there_m) if forward else (there_m, start_m)
        if typed_m > length_m + 0.001:
            return start_m, start_m + typed_m  # past its end: the deed says so
        if typed_m >= length_m - 0.001:
            return 0.0, length_m
        end_m = (start_m + typed_m if forward else start_m - typed_m) % length_m
        return (start_m, end_m) if forward else (end_m, start_m)


def _bar(joint: Joint, at_m: float, half_m: float) -> OverlayLine:
    """A short line across a joint."""
    (x, y), (dx, dy) = point_of(joint, at_m), across_at(joint, at_m)
    return OverlayLine(points=((x - dx * half_m, y - dy * half_m), (x + dx * half_m, y + dy * half_m)))


def _joint_first(desk: Desk) -> Answer:
    """The button that draws a joint and then comes back to marking leaks."""

    def give() -> None:
        from leakmap.desk.tools.table import action_for  # noqa: PLC0415 - the table holds this tool

        def back(rows: object) -> None:
            if isinstance(rows, frozenset) and any(collection == "joints" for collection, _ in rows):
                desk.changed.disconnect(back)
                desk.go_to(Stage.LEAKS)
                desk.take_tool(LeakStretch(desk))

        action = action_for(Stage.JOINTS, "J")
        desk.go_to(Stage.JOINTS)
        if action is not None and action.tool is not None:
            desk.take_tool(action.tool(desk))
            desk.changed.connect(back)

    return Answer(words="Draw joint, then return", give=give)
