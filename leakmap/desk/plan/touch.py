"""What fingers do on the plan.

With a tool in hand a finger carries the ring, which sits above it so that it is seen; the first tap points, a second
one there picks: it works the tool where the ring is. Without a tool a finger moves the paper, or takes hold of a
handle; a tap points at what lies under it and a second one picks that. Two fingers move the paper and zoom.
"""

from __future__ import annotations

from math import dist
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QEvent
from PySide6.QtGui import QEventPoint, QTouchEvent

from leakmap.desk.larger import RING_ABOVE_PX
from leakmap.geometry.path import Point

if TYPE_CHECKING:
    from leakmap.desk.plan.hand import Hand

SLIP_PX: Final = 12.0
"""A finger that wanders no farther has tapped."""

AGAIN_PX: Final = 44.0
"""A tap so near to the one before, or to the ring, is the second one."""


class Touch:
    """The fingers on one plan.

    Args:
        hand: What they move.

    Attributes:
        ring: Pixel that was pointed at and that a second tap picks; None: nothing was.
    """

    def __init__(self, hand: Hand) -> None:
        self.hand = hand
        self.desk = hand.desk
        self.ring: Point | None = None
        self._down: Point | None = None
        self._last: Point | None = None
        self._tapped: Point | None = None
        self._slid = False
        self._two: tuple[Point, float] | None = None
        self.desk.tool_changed.connect(self._follow_tool)
        self._tool = self.desk.tool

    def take(self, event: QTouchEvent) -> None:
        """Do what the fingers of an event do."""
        event.accept()
        kind = event.type()
        fingers = [at(point) for point in event.points() if point.state() is not QEventPoint.State.Released]
        if kind is QEvent.Type.TouchCancel:
            self._give_up()
        elif len(fingers) > 1:
            self._move_two(fingers[0], fingers[1])
        elif kind is QEvent.Type.TouchBegin:
            self._put_down(fingers[0])
        elif fingers and self._two is None:
            self._slide(fingers[0])
        elif kind is QEvent.Type.TouchEnd:
            self._lift()

    def _follow_tool(self) -> None:
        """Nothing is pointed at any more with another tool."""
        if self.desk.tool is not self._tool:
            self._tool, self.ring, self._tapped = self.desk.tool, None, None

    # One finger ---------------------------------------------------------------------------------

    def _put_down(self, finger: Point) -> None:
        self._down = self._last = finger
        self._slid, self._two = False, None
        self.hand.arrows.settle()
        if self.desk.tool is None:
            self.hand.put_on(finger)
            self.hand.press()  # takes hold of a handle, if there is one
        elif not self._is_again(finger):
            self._carry(finger)

    def _slide(self, finger: Point) -> None:
        if self._down is None or self._last is None:
            return
        self._slid = self._slid or dist(finger, self._down) > SLIP_PX
        if self.desk.tool is not None and self._slid:
            self._carry(finger)
        elif self.desk.tool is None and self.hand.working:
            self.hand.put_on(finger)
        elif self.desk.tool is None and self._slid:
            self.hand.move_paper(finger[0] - self._last[0], finger[1] - self._last[1])
        self._last = finger

    def _lift(self) -> None:
        finger, self._down, self._last = self._last, None, None
        two, self._two = self._two, None
        if finger is None or two is not None:
            return
        if self.hand.working:
            self.hand.let_go()
        elif not self._slid:
            self._tap(finger)
        self._tapped = None if self._slid and self.desk.tool is None else finger

    def _tap(self, finger: Point) -> None:
        """The first tap points, a second picks."""
        again = self._is_again(finger)
        if self.desk.tool is None:
            self.hand.put_on(finger)
            if again or self.desk.pointed is None:
                self.hand.pick_here()
        elif again and self.ring is not None:
            self.hand.put_on(self.ring)
            self.hand.press()
            self.hand.let_go()
            self.ring = None

    def _is_again(self, finger: Point) -> bool:
        if self.desk.tool is None:
            return self._tapped is not None and dist(finger, self._tapped) <= AGAIN_PX
        near = (place for place in (self._tapped, self.ring) if place is not None)
        return self.ring is not None and any(dist(finger, place) <= AGAIN_PX for place in near)

    def _carry(self, finger: Point) -> None:
        """Carry the ring above a finger, or under it where the plan ends above."""
        above = finger[1] - RING_ABOVE_PX
        self.ring = finger[0], above if above > self.hand.view.camera.field[1] else finger[1] + RING_ABOVE_PX
        self.hand.put_on(self.ring)

    # Two fingers --------------------------------------------------------------------------------

    def _move_two(self, one: Point, other: Point) -> None:
        """Move the paper with the middle between two fingers, and zoom with their distance."""
        middle = (one[0] + other[0]) / 2, (one[1] + other[1]) / 2
        apart = max(dist(one, other), 1.0)
        if self._two is None:
            self._give_up()
        else:
            (x, y), before = self._two
            self.hand.move_paper(middle[0] - x, middle[1] - y)
            self.hand.view.look(self.hand.view.camera.zoomed(apart / before, middle))
        self._two = middle, apart

    def _give_up(self) -> None:
        """What one finger began is not meant: what it drags goes back."""
        if self.hand.working:
            self.hand.drop()
        self._down = self._last = self._tapped = self._two = None


def at(point: QEventPoint) -> Point:
    """Pixel of a finger."""
    place = point.position()
    return place.x(), place.y()
