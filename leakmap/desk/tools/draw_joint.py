"""Draw a joint by clicks along it, typed lengths and angles; a pipe collar by its middle and diameter."""

from __future__ import annotations

from itertools import pairwise
from math import atan2, cos, degrees, hypot, radians, sin
from typing import Final
from uuid import UUID, uuid4

from leakmap.desk.state import Desk, Sort, Thing
from leakmap.desk.tools.fields import Fields, Part
from leakmap.desk.tools.handles import Gesture
from leakmap.desk.tools.kinds import (
    KINDS,
    face_choice,
    kind_choices,
    room_words,
    side_choice,
    side_choices,
    taken_by_key,
)
from leakmap.desk.tools.tool import Choice, Grip, LiveField, Overlay, OverlayGrip, OverlayLine, Pointer
from leakmap.geometry.path import Point
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M
from leakmap.model.joint import ring
from leakmap.model.words import Face, Kind, Side
from leakmap.work.catch import Aim, Catch, Ray
from leakmap.work.edits.edit import Edit, refused
from leakmap.work.edits.joints import draw_collar, draw_joint, usual_face
from leakmap.work.typed import Entry

OWN_START: Final = "its own start"
"""Why the pointer is caught where the joint in hand begins."""

_STEP_DEG: Final = 45.0
_TICK_PX: Final = 18.0
_LENGTH, _ANGLE = 0, 1
_HEIGHT = _SIDE = 2  # of a joint on a wall, in a corner


class DrawJoint(Gesture):
    """Draw joint (J)."""

    name = "Draw joint"
    key = "J"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.points: list[Point] = []
        self.pointer: Pointer | None = None
        self.side: Side | None = None  # on which the room of a corner joint lies; kept for the next one
        self.id = uuid4()  # of the joint in hand, so that panes can follow it
        self.fields = self._fresh()

    # What is said and seen -------------------------------------------------------------------------

    def sentence(self) -> str:
        """What the next click does."""
        if self.desk.level is None:
            return "Import a drawing or make a level first; joints lie on a level."
        if not self.points:
            what = "where the middle of the pipe is" if self._collar else "where the joint starts"
            side = ", 8 the side of the room" if self._corner else ""
            return f"Click {what}; 1 to 6 choose its kind, 7 its face{side}."
        if self._collar:
            return "Type the diameter of the pipe and press Enter, or click its rim."
        if self._corner and self.fields.active == _SIDE:
            return "Press 1 to 3 for the side on which the room lies, looking the way you draw; Tab goes back to the length."
        if len(self.points) > 1:
            return "Click the next bend, or type a length and press Enter. Enter alone or a double click ends it."
        return "Click along the joint, or type a length and press Enter. Shift keeps to steps of 45°."

    def choices(self) -> tuple[Choice, ...]:
        """Kind, face and room side before the first click; after it the room side of a corner joint."""
        if self.points:
            return side_choices(self.side, self._take_side) if self._corner else ()
        sides = (side_choice(self.side, self._take_side),) if self._corner else ()
        kinds = kind_choices(KINDS, self.desk.kind, self._take_kind)
        return (*kinds, face_choice(self.face, self._take_face), *sides)

    def overlay(self) -> Overlay:
        """The line in hand with its live field."""
        if not self.points:
            return Overlay()
        target = self.target()
        if self._collar:
            lines = self._rim()
            return Overlay(lines=lines, field=self._field(target))
        line = OverlayLine(points=(*self.points, target))
        grips = tuple(OverlayGrip(at=point, grip=Grip.BEND) for point in self.points)
        lines = (line, *self._room_ticks(line.points)) if len(set(line.points)) > 1 else ()
        return Overlay(lines=lines, grips=grips, field=self._field(target))

    def aim(self) -> Aim:
        """Square to what is near, and on its own start where that would close the joint."""
        if not self.points or self._collar:
            return Aim()
        own = (Catch(at=self.points[0], words=OWN_START),) if len(self.points) > 2 else ()
        return Aim(origin=self.points[-1], own=own)

    def ray(self, at: Point) -> Ray | None:
        """Square to the last piece, in steps of 45°, unless an angle is typed."""
        if not self.points or self._collar or self.fields.figure(_ANGLE) is not None:
            return None
        angle = radians(self._stepped_deg(at))
        return Ray(self.points[-1], (cos(angle), sin(angle)))

    @property
    def face(self) -> Face:
        """The face of the next joint."""
        return self.desk.face or usual_face(self.desk.kind)

    def target(self) -> Point:
        """Where the next point would lie: what is typed decides, then Shift, then the hand."""
        last = self.points[-1]
        at = self.pointer.at if self.pointer is not None else last
        length, angle = self.fields.figure(_LENGTH), None if self._collar else self.fields.figure(_ANGLE)
        if angle is None and self.pointer is not None and self.pointer.shift:
            angle = self._stepped_deg(at)
        if angle is None:
            if length is None:
                return at
            angle = _turn_deg(last, at)
        way = cos(radians(angle)), sin(radians(angle))
        if length is None:
            length = max((at[0] - last[0]) * way[0] + (at[1] - last[1]) * way[1], 0.0)
        return last[0] + length * way[0], last[1] + length * way[1]

    # What the hand does ----------------------------------------------------------------------------

    def moved(self, pointer: Pointer) -> None:
        """Show the joint as it would be."""
        self.pointer = pointer
        if self.points:
            self._show()

    def dragged(self, pointer: Pointer) -> None:
        """A press that wanders is still a click."""
        self.moved(pointer)

    def pressed(self, pointer: Pointer) -> None:
        """Start the joint, bend it, close it or end it."""
        self.pointer = pointer
        if self.desk.level is None:
            self.desk.said.emit(self.sentence())
        elif not self.points:
            self.points = [pointer.at]
        elif self._collar or (pointer.double and not self.fields):
            if self._collar or len(self.points) > 1:
                self._finish()
        elif pointer.catch is not None and pointer.catch.words == OWN_START:
            self._finish(closed=True)
        else:
            self._bend()
        self._show()

    def typed(self, text: str) -> bool:
        """Digits choose kind and face before the first click, and are a figure after it."""
        by_key = not self.points or (self._corner and self.fields.active == _SIDE)
        used = taken_by_key(self.choices(), text) if by_key else self.fields.typed(text)
        if used:
            self._show()
        return used

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Take the typed piece; with nothing typed, end the joint."""
        if not self.points:
            return False
        if self._collar:
            self._finish()
        elif self.fields.texts[_LENGTH] or self.fields.texts[_ANGLE]:
            self._bend()
        elif len(self.points) > 1:
            self._finish()
        self._show()
        return True

    def tabbed(self) -> bool:
        """From length to angle, on a wall to the height, in a corner to the side of the room."""
        if not self.points or len(self.fields.parts) < 2:
            return False
        self.fields.next()
        self.refresh()
        return True

    def erased(self) -> bool:
        """Take back the last digit, else the last bend."""
        if not self.points:
            return False
        if not self.fields.erased():
            self.points.pop()
        self._show()
        return True

    def escaped(self) -> bool:
        """Step back: first what was typed, then click by click."""
        if not self.points:
            return False
        if self.fields:
            self.fields.clear()
        else:
            self.points.pop()
        self._show()
        return True

    def let_go(self) -> None:
        """Nothing half-done stays."""
        self.points = []
        self._unpick()
        super().let_go()

    # Steps -----------------------------------------------------------------------------------------

    @property
    def _collar(self) -> bool:
        return self.desk.kind is Kind.PIPE_COLLAR

    @property
    def _corner(self) -> bool:
        return self.face is Face.CORNER and not self._collar

    def _fresh(self) -> Fields:
        if self._collar:
            return Fields(Part(Entry.LENGTH, "m across"))
        third = {Face.WALL: (Part(Entry.SIGNED, "m high"),), Face.CORNER: (Part(Entry.AXIS),)}.get(self.face, ())
        return Fields(Part(Entry.LENGTH, "m"), Part(Entry.SIGNED, "°"), *third)

    def _take_kind(self, kind: Kind) -> None:
        self.desk.kind, self.desk.face = kind, None
        self.fields = self._fresh()
        self.refresh()

    def _take_face(self, face: Face) -> None:
        self.desk.face = None if face is usual_face(self.desk.kind) else face
        self.fields = self._fresh()
        self.refresh()

    def _take_side(self, side: Side | None) -> None:
        self.side = side
        self._show()

    def _bend(self) -> None:
        """Put the next point; one on the last is no point."""
        target = self.target()
        if _apart(target, self.points[-1]) > DRAWING_TOLERANCE_M:
            self.points.append(target)
            height = self.fields.texts[_HEIGHT:]
            self.fields.clear()
            self.fields.texts[_HEIGHT:] = height

    def _finish(self, *, closed: bool = False) -> None:
        edit = self.keep(lambda: self._deed(self.points, closed=closed))
        if edit is not None:
            self.points = []
            self.id = uuid4()
            self.fields = self._fresh()
            self.desk.pick(Thing(Sort.JOINT, edit.made[0]))

    def _show(self) -> None:
        """Show the joint as it would be, so that the ledger tells its length."""
        if self.points and (self._collar or len({*self.points, self.target()}) > 1):
            if self.preview(lambda: self._deed([*self.points, *(() if self._collar else (self.target(),))])):
                self.desk.pick(Thing(Sort.JOINT, self.id))
        elif self.desk.open_job is not None:
            self._unpick()
            self.desk.show(None)
        self.refresh()

    def _deed(self, points: list[Point], *, closed: bool = False) -> Edit:
        assert self.desk.level is not None
        job, face = self.kept, self.face
        if self._collar:
            diameter = self._diameter_m()
            if diameter is None:
                raise refused("The collar has no diameter yet; type that of the pipe, or click its rim.")
            return draw_collar(
                job, sheet=self.desk.level, point=points[0], diameter_m=diameter, face=face, new_id=self._same_id
            )
        height = self.fields.figure(_HEIGHT) if face is Face.WALL else None
        return draw_joint(
            job, sheet=self.desk.level, kind=self.desk.kind, points=points, closed=closed, face=face, height_m=height or 0.0,
            room_side=self.side if self._corner else None, new_id=self._same_id,
        )  # fmt: skip

    def _unpick(self) -> None:
        """The joint in hand is picked while it is drawn; when it is gone, it is not."""
        if Thing(Sort.JOINT, self.id) in self.desk.picked:
            self.desk.pick()

    def _same_id(self) -> UUID:
        return self.id

    # Measures --------------------------------------------------------------------------------------

    def _diameter_m(self) -> float | None:
        typed = self.fields.figure(_LENGTH)
        if typed is not None:
            return typed
        away = 2 * _apart(self.pointer.at, self.points[0]) if self.pointer is not None else 0.0
        return away if away > DRAWING_TOLERANCE_M else None

    def _rim(self) -> tuple[OverlayLine, ...]:
        diameter = self._diameter_m()
        if not diameter:
            return ()
        return (OverlayLine(points=ring(self.points[0], diameter).points, closed=True),)

    def _field(self, target: Point) -> LiveField:
        if self._collar:
            return self.fields.live(target, (f"{self._diameter_m() or 0.0:.2f}",))
        last = self.points[-1]
        angle = _turn_deg(last, target) % 360 if target != last else 0.0
        third = room_words(self.side) if self._corner else "0.00"
        measures = (f"{_apart(last, target):.2f}", f"{angle:.0f}", third)
        return self.fields.live(target, measures[: len(self.fields.parts)])

    def _room_ticks(self, points: tuple[Point, ...]) -> tuple[OverlayLine, ...]:
        """A tick on each piece towards the room of a corner joint."""
        if not self._corner or self.side is None or self.pointer is None:
            return ()
        turn = 90.0 if self.side is Side.LEFT else -90.0
        ticks = []
        for a, b in pairwise(points):
            middle, way = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), radians(_turn_deg(a, b) + turn)
            reach = _TICK_PX * self.pointer.m_per_px
            ticks.append(OverlayLine(points=(middle, (middle[0] + reach * cos(way), middle[1] + reach * sin(way)))))
        return tuple(ticks)

    def _stepped_deg(self, at: Point) -> float:
        """The nearest step of 45° from the last piece, or from the drawing's x."""
        base = _turn_deg(self.points[-2], self.points[-1]) if len(self.points) > 1 else 0.0
        return base + round((_turn_deg(self.points[-1], at) - base) / _STEP_DEG) * _STEP_DEG


def _turn_deg(a: Point, b: Point) -> float:
    """Direction from a to b, degrees counter-clockwise from the site's x."""
    return degrees(atan2(b[1] - a[1], b[0] - a[0]))


def _apart(a: Point, b: Point) -> float:
    return hypot(b[0] - a[0], b[1] - a[1])
