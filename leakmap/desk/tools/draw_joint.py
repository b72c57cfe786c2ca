"""Draw a joint by clicks along it, typed lengths and angles; a pipe collar by its middle and diameter.

It may follow lines of the drawing: while the hand points at a place on a line that hangs together with the last point,
the shortest way there is shown, and a click takes it with all its bends.
"""

from __future__ import annotations

from math import cos, radians, sin
from typing import Final
from uuid import UUID, uuid4

from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Thing
from leakmap.desk.tools.fields import Fields, Part
from leakmap.desk.tools.following import FOLLOW_KEY, Following
from leakmap.desk.tools.handles import Gesture
from leakmap.desk.tools.kinds import room_words, taken_by_key
from leakmap.desk.tools.line_in_hand import LineInHand, apart_m, length_of, room_ticks, turn_deg
from leakmap.desk.tools.next_joint import NextJoint
from leakmap.desk.tools.tool import Choice, Grip, LiveField, Overlay, OverlayGrip, OverlayLine, Pointer
from leakmap.geometry.path import Path, Point
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, MICRON_M
from leakmap.model.joint import ring
from leakmap.model.words import Face
from leakmap.work.catch import Aim, Catch, Ray
from leakmap.work.edits.edit import Edit, refused
from leakmap.work.edits.joints import draw_collar, draw_joint
from leakmap.work.typed import Entry

OWN_START: Final = "its own start"
"""Why the pointer is caught where the joint in hand begins."""

_TICK_PX: Final = 18.0
_LENGTH, _ANGLE = 0, 1
_HEIGHT = _SIDE = 2  # of a joint on a wall, in a corner


class DrawJoint(Gesture):
    """Draw joint (J)."""

    name = "Draw joint"
    key = "J"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.line = LineInHand()
        self.following = Following(desk, self._show)
        self.pointer: Pointer | None = None
        self.next = NextJoint(desk, self._another_sort, self._show)
        self.id = uuid4()  # of the joint in hand, so that panes can follow it
        self.fields = self._fresh()

    @property
    def points(self) -> list[Point]:
        """Points of the joint in hand."""
        return self.line.points

    # What is said and seen -------------------------------------------------------------------------

    def sentence(self) -> str:
        """What the next click does."""
        if self.desk.level is None:
            return "Import a drawing or make a level first; joints lie on a level."
        if not self.points:
            what = "where the middle of the pipe is" if self.next.collar else "where the joint starts"
            side = ", 8 the side of the room" if self.next.corner else ""
            return f"Click {what}; 1 to 6 choose its kind, 7 its face{side}."
        return self._sentence_along()

    def _sentence_along(self) -> str:
        """The same after the first click."""
        if self.next.collar:
            return "Type the diameter of the pipe and press Enter, or click its rim."
        if self.next.corner and self.fields.active == _SIDE:
            return "Press 1 to 3 for the side on which the room lies, looking the way you draw; Tab goes back to the length."
        if self.following.on:
            return self.following.sentence()
        if len(self.points) > 1:
            return "Click the next bend, or type a length and press Enter. Enter alone or a double click ends it."
        return "Click along the joint, or type a length and press Enter. Shift keeps to steps of 45°."

    def choices(self) -> tuple[Choice, ...]:
        """Kind, face and room side before the first click; after it following, and the room side of a corner joint."""
        if self.points:
            follow = (self.following.choice(self._follow),) if self.following.possible else ()
            return (*follow, *self.next.side_choices())
        return self.next.choices()

    def overlay(self) -> Overlay:
        """The line in hand with its live field."""
        if not self.points:
            return Overlay()
        ahead = self.ahead()
        if self.next.collar:
            lines = self._rim()
            return Overlay(lines=lines, field=self._field(ahead))
        line = OverlayLine(points=(*self.points, *ahead))
        grips = tuple(OverlayGrip(at=point, grip=Grip.BEND) for point in self.points)
        lines = (line, *self._room_ticks(line.points)) if len(set(line.points)) > 1 else ()
        return Overlay(lines=lines, grips=grips, field=self._field(ahead))

    def so_far(self) -> str:
        """Length of the joint in hand, once it has a bend."""
        if len(self.points) < 2 or self.next.collar:
            return ""
        return f"{self.desk.units.with_unit(length_of((*self.points, *self.ahead())))} in all"

    def aim(self) -> Aim:
        """Square to what is near, and on its own start where that would close the joint."""
        if not self.points or self.next.collar:
            return Aim()
        own = (Catch(at=self.points[0], words=OWN_START),) if len(self.points) > 2 else ()
        return Aim(origin=self.points[-1], own=own)

    def ray(self, at: Point) -> Ray | None:
        """Square to the last piece, in steps of 45°, unless an angle is typed."""
        if not self.points or self.next.collar or self.fields.figure(_ANGLE) is not None:
            return None
        angle = radians(self.line.stepped_deg(at))
        return Ray(self.points[-1], (cos(angle), sin(angle)))

    def target(self) -> Point:
        """Where the next point would lie: what is typed decides, then Shift, then the hand."""
        last = self.points[-1]
        at = self.pointer.at if self.pointer is not None else last
        length, angle = self.fields.figure(_LENGTH), None if self.next.collar else self.fields.figure(_ANGLE)
        if angle is None and self.pointer is not None and self.pointer.shift:
            angle = self.line.stepped_deg(at)
        if angle is None:
            if length is None:
                return at
            angle = turn_deg(last, at)
        way = cos(radians(angle)), sin(radians(angle))
        if length is None:
            length = max((at[0] - last[0]) * way[0] + (at[1] - last[1]) * way[1], 0.0)
        return last[0] + length * way[0], last[1] + length * way[1]

    def ahead(self) -> tuple[Point, ...]:
        """The points that the next click would bring: a way along lines as far as a typed length, else one point."""
        way = self.following.way
        if way is None:
            return (self.target(),)
        path, typed = Path(way), self.fields.figure(_LENGTH)
        return way[1:] if not typed or typed >= path.length_m else path.part(0.0, typed)[1:]

    # What the hand does ----------------------------------------------------------------------------

    def moved(self, pointer: Pointer) -> None:
        """Show the joint as it would be."""
        self.pointer = pointer
        self._look_for_way()
        if self.points:
            self._show()

    def dragged(self, pointer: Pointer) -> None:
        """A press that wanders is still a click."""
        self.moved(pointer)

    def pressed(self, pointer: Pointer) -> None:
        """Start the joint, bend it, close it or end it."""
        self.pointer = pointer
        self._look_for_way()
        if self.desk.level is None:
            self.desk.said.emit(self.sentence())
        elif not self.points:
            self.line.add(pointer.at)
        elif self.next.collar or (pointer.double and not self.fields):
            if self.next.collar or len(self.points) > 1:
                self._finish()
        elif not self.following.settle():
            self.hint("The way along the lines is still looked for; click again once it is shown.")
        elif pointer.catch is not None and pointer.catch.words == OWN_START:
            self._finish(closed=True)
        else:
            self._bend()
        self._show()

    def typed(self, text: str) -> bool:
        """Digits choose kind and face before the first click, and are a figure after it, W follows lines."""
        if self.points and self.following.possible and text.upper() == FOLLOW_KEY:
            self._follow()
            return True
        by_key = not self.points or (self.next.corner and self.fields.active == _SIDE)
        used = taken_by_key(self.choices(), text) if by_key else self.fields.typed(text)
        if used:
            self._look_for_way()
            self._show()
        return used

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Take the typed piece; with nothing typed, end the joint."""
        if not self.points:
            return False
        if self.next.collar:
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
        """Take back the last digit, else the last click with the whole way that it brought."""
        if not self.points:
            return False
        if not self.fields.erased():
            self.line.take_back()
        self._look_for_way()
        self._show()
        return True

    @property
    def half_done(self) -> bool:
        """Whether a point is clicked."""
        return bool(self.points)

    def escaped(self) -> bool:
        """Step back: first what was typed, then click by click."""
        if not self.points:
            return False
        if self.fields:
            self.fields.clear()
        else:
            self.line.take_back()
        self._look_for_way()
        self._show()
        return True

    def let_go(self) -> None:
        """Nothing half-done stays."""
        self.line.clear()
        self.following.forget()
        self._unpick()
        super().let_go()

    def dropped(self) -> None:
        """Nobody looks for a way any more."""
        super().dropped()
        self.following.close()

    def _follow(self) -> None:
        """Follow lines from now on, or no more."""
        self.desk.follows = not self.desk.follows
        self._look_for_way()
        self._show()

    def _look_for_way(self) -> None:
        """Look for the way to where the hand points, where lines are followed and nothing else is meant."""
        pointer = self.pointer
        if pointer is not None and self.points and self.following.on and not self._straight(pointer):
            self.following.look(self.points[-1], pointer.at)
        else:
            self.following.forget()

    def _straight(self, pointer: Pointer) -> bool:
        """Whether a straight piece is meant although lines are followed."""
        return pointer.shift or pointer.catch is None or bool(self.fields.texts[_ANGLE])

    # Steps -----------------------------------------------------------------------------------------

    def _another_sort(self) -> None:
        """Another kind or face was taken."""
        self.fields = self._fresh()
        self.refresh()

    def _fresh(self) -> Fields:
        if self.next.collar:
            return Fields(self.desk, Part(Entry.LENGTH, "across"))
        third = {Face.WALL: (Part(Entry.LEVEL, "high"),), Face.CORNER: (Part(Entry.AXIS),)}.get(self.next.face, ())
        return Fields(self.desk, Part(Entry.LENGTH), Part(Entry.SIGNED, "°"), *third)

    def _bend(self) -> None:
        """Take what lies ahead; a point on the last is no point, and a way is no longer than it is."""
        way, typed = self.following.way, self.fields.figure(_LENGTH)
        if way is not None and typed is not None and typed > Path(way).length_m + MICRON_M:
            self.hint(
                f"The way along the lines is only {self.desk.units.with_unit(Path(way).length_m)} long; point farther along them."
            )
            return
        ahead = self.ahead()
        if len(ahead) > 1 or apart_m(ahead[-1], self.points[-1]) > DRAWING_TOLERANCE_M:
            self.line.add(*ahead)
            self.following.forget()
            height = self.fields.texts[_HEIGHT:]
            self.fields.clear()
            self.fields.texts[_HEIGHT:] = height

    def _finish(self, *, closed: bool = False) -> None:
        way = self.following.way if closed else None  # back to its start along lines, too
        points = [*self.points, *(() if way is None else way[1:-1])]
        edit = self.keep(lambda: self._deed(points, closed=closed))
        if edit is not None:
            self.line.clear()
            self.following.forget()
            self.id = uuid4()
            self.fields = self._fresh()
            self.desk.pick(Thing(Sort.JOINT, edit.made[0]))

    def _show(self) -> None:
        """Show the joint as it would be, so that the ledger tells its length."""
        ahead = self.ahead() if self.points and not self.next.collar else ()
        if self.points and (self.next.collar or len({*self.points, *ahead}) > 1):
            if self.preview(lambda: self._deed([*self.points, *ahead])):
                self.desk.pick(Thing(Sort.JOINT, self.id))
        elif self.desk.open_job is not None:
            self._unpick()
            self.desk.show(None)
        self.refresh()

    def _deed(self, points: list[Point], *, closed: bool = False) -> Edit:
        assert self.desk.level is not None
        job, face = self.kept, self.next.face
        if self.next.collar:
            diameter = self._diameter_m()
            if diameter is None:
                raise refused("The collar has no diameter yet; type that of the pipe, or click its rim.")
            return draw_collar(
                job, sheet=self.desk.level, point=points[0], diameter_m=diameter, face=face, new_id=self._same_id
            )
        height = self.fields.figure(_HEIGHT) if face is Face.WALL else None
        return draw_joint(
            job, sheet=self.desk.level, kind=self.desk.kind, points=points, closed=closed, face=face, height_m=height or 0.0,
            room_side=self.next.side if self.next.corner else None, new_id=self._same_id,
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
        away = 2 * apart_m(self.pointer.at, self.points[0]) if self.pointer is not None else 0.0
        return away if away > DRAWING_TOLERANCE_M else None

    def _rim(self) -> tuple[OverlayLine, ...]:
        diameter = self._diameter_m()
        if not diameter:
            return ()
        return (OverlayLine(points=ring(self.points[0], diameter).points, closed=True),)

    def _field(self, ahead: tuple[Point, ...]) -> LiveField:
        target = ahead[-1]
        if self.next.collar:
            return self.fields.live(target, (self.desk.units.shown(self._diameter_m() or 0.0),))
        last = self.points[-1]
        angle = "–" if len(ahead) > 1 else f"{round(turn_deg(last, target)) % 360 if target != last else 0}"
        third = room_words(self.next.side) if self.next.corner else self.desk.units.shown(0)
        measures = (self.desk.units.shown(length_of((last, *ahead))), angle, third)
        return self.fields.live(target, measures[: len(self.fields.parts)])

    def _room_ticks(self, points: tuple[Point, ...]) -> tuple[OverlayLine, ...]:
        """Ticks towards the room of a corner joint, where its side is known."""
        if not self.next.corner or self.next.side is None or self.pointer is None:
            return ()
        return room_ticks(points, self.next.side, _TICK_PX * self.pointer.m_per_px)
