"""Marking leaks: the tool that draws a wet stretch.

A stretch starts at a click on a joint and stops at the second click, or where a typed length ends.
Enter after the first click makes a spot. On a closed joint the stretch takes the shorter way; with Shift
the other one. On a vertical joint both heights are clicked on its staff, or typed.

With the tool in hand 0 to 5 choose the wetness of the next leak, never that of the one marked before.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot
from uuid import UUID

from PySide6.QtCore import QTimer

from leakmap.base.length_text import metres_so_far, why_no_length
from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tools.handles import Handle
from leakmap.desk.tools.leak_handles import LeakEndKey, LeakHandles, wetness_choices, wetness_of
from leakmap.desk.tools.places import (
    REACH_PX,
    Spot,
    across_at,
    hand_m,
    is_upright,
    line_of,
    part_of,
    point_of,
    spot_at,
    spot_on_staff,
    tidy_m,
)
from leakmap.desk.tools.tool import Choice, LiveField, Overlay, OverlayLine, Pointer, Stroke
from leakmap.desk.trouble import Answer, Trouble
from leakmap.geometry.path import Point
from leakmap.model.joint import Joint
from leakmap.model.words import Wetness
from leakmap.work.edits.edit import Edit, refused
from leakmap.work.edits.leaks import add_leak
from leakmap.work.edits.places import stretch_length_m
from leakmap.work.hits import Target
from leakmap.work.staffs import Height, Staffs
from leakmap.work.typed import Entry, grown

NO_JOINT = "Leaks lie on joints."
_BRACKET_PX = 10.0


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
    along_joints = True

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._begun: _Begun | None = None
        self._told = False  # the band says that leaks lie on joints
        self._pulled = False  # the button that made the start is still down

    # What is seen ------------------------------------------------------------------------------------

    def sentence(self) -> str:
        """What the next click does."""
        if self.desk.job is not None and not self.desk.job.joints:
            return f"{NO_JOINT} Draw a joint first, in stage Joints."
        if self._begun is None:
            return "Press 0 to 5 for the wetness, then click where the wet stretch starts."
        if self._upright:
            ref, on_staff = self._begun.joint.ref, self._begun.joint.id in self.desk.staffs
            click = "Click on the staff where it stops, or type" if on_staff else "Type"
            return f"{click} the heights on {ref}, from and to, Tab between them, then Enter."
        other = "; Shift takes the other way round" if self._begun.joint.closed else ""
        return f"Click where it stops, or type its length and press Enter{other}; Enter alone makes a spot."

    def choices(self) -> tuple[Choice, ...]:
        """The six wetnesses."""
        return wetness_choices(self.desk.wetness, self._choose)

    def overlay(self) -> Overlay:
        """The stretch in hand with its live field, or handles of the picked leak."""
        if self._begun is None:
            return Overlay(grips=self.grips(), field=self.dragged_field())
        lines = () if line_of(self._begun.joint, self.desk.staffs) is None else self._lines()
        start = Height(self._begun.joint.id, self._begun.start.at_m)
        return Overlay(lines=lines, field=self._field(self._begun), on=(start,))

    def points_at(self) -> tuple[Target, ...]:
        """The vertical joint that a stretch would start on; the ring says enough of one in plan."""
        catch = self.pointer.catch if self.pointer is not None else None
        joint = self.kept.joints.get(catch.joint) if catch is not None and catch.joint is not None else None
        return (Target.JOINT,) if self._begun is None and joint is not None and joint.vertical else ()

    def _lines(self) -> tuple[OverlayLine, ...]:
        assert self._begun is not None
        joint, (from_m, to_m) = self._begun.joint, self._stretch()
        m_per_px = self.pointer.m_per_px if self.pointer is not None else 0.01
        staffs = self.desk.staffs
        ends = tuple(_bar(joint, at_m, _BRACKET_PX * m_per_px, staffs) for at_m in (from_m, to_m))
        course = OverlayLine(points=part_of(joint, from_m, to_m, staffs), stroke=Stroke.LIVE)
        return (course, *ends) if from_m != to_m else ends

    def _field(self, begun: _Begun) -> LiveField:
        measures = [self.desk.units.shown(value) for value in self._measures()]
        texts = [typed or measure for typed, measure in zip(begun.texts, measures, strict=True)]
        unit = self.desk.units.before
        units = (unit("to"), unit("up"), "") if self._upright else (unit(""), "")
        on_staff = self._upright and self._pointed_m() is not None
        at = self.pointer.at if self.pointer is not None and (on_staff or not self._upright) else self._start_point()
        typed = begun.active < len(begun.texts) and bool(begun.texts[begun.active])
        return LiveField(at=at, texts=(*texts, self.desk.wetness.word), units=units, active=begun.active, typed=typed)

    def _measures(self) -> tuple[float, ...]:
        assert self._begun is not None
        from_m, to_m = self._stretch()
        return (from_m, to_m) if self._upright else (stretch_length_m(self._begun.joint, from_m, to_m),)

    def _start_point(self) -> Point:
        assert self._begun is not None
        return point_of(self._begun.joint, self._begun.start.at_m, self.desk.staffs)

    @property
    def _upright(self) -> bool:
        return self._begun is not None and is_upright(self._begun.joint)

    # What the hand does ------------------------------------------------------------------------------

    def clicked(self, pointer: Pointer) -> None:
        """Start the stretch, or stop it."""
        if self._begun is None:
            self._begin(pointer)
        elif self._upright and self._pointed_m() is None:
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
        if begun is not None and self._pulled and self._apart(pointer):
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
        now = grown(Entry.LENGTH, begun.texts[begun.active], text, self.desk.units)
        if now is None:
            return False
        begun.texts[begun.active] = now
        self._show()
        return True

    def misread(self) -> str:
        """Why what is typed says no length."""
        texts = self._begun.texts if self._begun is not None else ()
        return next(filter(None, (why_no_length(text, self.desk.units) for text in texts)), "")

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

    @property
    def half_done(self) -> bool:
        """Whether the start is clicked."""
        return self._begun is not None

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
        spot = spot_at(self.kept, self.desk.level, pointer, picked[-1] if picked else None, self.desk.staffs)
        if spot is None:
            self.desk.troubled.emit(Trouble(sentence=NO_JOINT, answers=(_joint_first(self.desk),), grave=False))
            self._told = True
            return
        if self._told:
            self._told = False
            self.desk.troubled.emit(None)
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
            raise refused(
                f"{joint.ref} has only {self.kept.units.said(room_m)} on that side of the start.", where=joint.ref
            )
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
        """Whether the hand is farther from the start than a slip; on a staff, at another height."""
        assert self._begun is not None
        if self._upright:
            there_m = self._pointed_m()
            return there_m is not None and there_m != self._begun.start.at_m
        x, y = self._start_point()
        return hypot(pointer.raw[0] - x, pointer.raw[1] - y) > REACH_PX * pointer.m_per_px

    # Lengths -----------------------------------------------------------------------------------------

    def _stretch(self) -> tuple[float, float]:
        """From and to of the stretch as it would be kept now."""
        assert self._begun is not None
        if self._upright:
            return self._heights(self._begun)
        joint, start_m = self._begun.joint, self._begun.start.at_m
        there_m = start_m if self.pointer is None else tidy_m(joint, hand_m(joint, self.pointer), self.pointer)
        typed_m = metres_so_far(self._begun.texts[0], self.desk.units)
        if joint.closed:
            return self._round(joint, start_m, there_m, typed_m)
        if typed_m is None:
            return min(start_m, there_m), max(start_m, there_m)
        back = there_m < start_m
        return (start_m - typed_m, start_m) if back else (start_m, start_m + typed_m)

    def _heights(self, begun: _Begun) -> tuple[float, float]:
        from_m, to_m = (metres_so_far(text, self.desk.units) for text in begun.texts)
        if from_m is None:
            from_m = begun.start.at_m
        if to_m is None:
            there_m = self._pointed_m()
            to_m = from_m if there_m is None else there_m
        return (from_m, to_m) if begun.joint.closed else (min(from_m, to_m), max(from_m, to_m))

    def _pointed_m(self) -> float | None:
        """The height that the hand points at on the staff of the joint in hand; None where it is not on it."""
        assert self._begun is not None
        spot = None if self.pointer is None else spot_on_staff(self.kept, self.desk.staffs, self.pointer)
        return spot.at_m if spot is not None and spot.joint.id == self._begun.joint.id else None

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


def _bar(joint: Joint, at_m: float, half_m: float, staffs: Staffs) -> OverlayLine:
    """A short line across a joint."""
    (x, y), (dx, dy) = point_of(joint, at_m, staffs), across_at(joint, at_m, staffs)
    return OverlayLine(points=((x - dx * half_m, y - dy * half_m), (x + dx * half_m, y + dy * half_m)))


def _joint_first(desk: Desk) -> Answer:
    """The button that draws a joint and then comes back to marking leaks."""

    def give() -> None:
        from leakmap.desk.tools.table import action_for  # noqa: PLC0415 - the table holds this tool

        desk.go_to(Stage.JOINTS)
        action = action_for(Stage.JOINTS, "J")
        assert action is not None
        assert action.tool is not None
        tool = action.tool(desk)
        desk.take_tool(tool)

        def back() -> None:
            if desk.tool is tool:
                desk.go_to(Stage.LEAKS)
                desk.take_tool(LeakStretch(desk))

        def watch(rows: object) -> None:
            drawn = isinstance(rows, frozenset) and any(collection == "joints" for collection, _ in rows)
            if drawn or desk.tool is not tool:
                desk.changed.disconnect(watch)
                QTimer.singleShot(0, desk, back)  # after the tool has finished with its joint

        desk.changed.connect(watch)

    return Answer(words="Draw joint, then return", give=give)
