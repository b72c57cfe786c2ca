"""What the hand does on the tape: it moves and zooms it, points, picks, and works the tool in hand along the joint."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QCursor, QMouseEvent, QWheelEvent

from leakmap.desk.larger import reach_of
from leakmap.desk.tape.catching import pointer_at
from leakmap.desk.tape.keys import TapeKeys
from leakmap.desk.tape.reel import Reel
from leakmap.desk.tape.shown import Shown
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tools.at_rest import tool_at_rest
from leakmap.desk.tools.tool import Pointer, Tool
from leakmap.work.hits import Target
from leakmap.work.staffs import Height, hit_at

if TYPE_CHECKING:
    from leakmap.desk.tape.view import TapeView

_STEP: Final = 2**0.25
_NOTCH: Final = 120
_SLIP_PX: Final = 4.0
_SORTS: Final = {
    Target.JOINT: Sort.JOINT, Target.LEAK: Sort.LEAK, Target.ZONE: Sort.ZONE, Target.RELIEF: Sort.ZONE
}  # fmt: skip


class TapeHand:
    """The hand on one tape.

    Attributes:
        on_tape: Pixel that the pointer is on; None when it is elsewhere.
        keys: What keys do.
        has_moved: Whether the tape was moved or zoomed by hand since a joint was laid out.
    """

    def __init__(self, view: TapeView) -> None:
        self.view = view
        self.desk = view.desk
        self.keys = TapeKeys(view)
        self.on_tape: QPointF | None = None
        self.has_moved = False
        self._tape_at: QPointF | None = None
        self._moved_px = 0.0
        self._means_joint = False
        self._working = False
        self._place: Height | None = None  # where a press began: a drag stays on that joint beside every branch
        self._ctrl = self._shift = False

    @property
    def working(self) -> Tool | None:
        """The tool that the button is down for."""
        return (self.desk.tool or tool_at_rest(self.desk)) if self._working else None

    @property
    def along(self) -> Tool | None:
        """The tool in hand, where it works along joints."""
        tool = self.desk.tool
        return tool if tool is not None and tool.along_joints else None

    # Pointer ------------------------------------------------------------------------------------

    def pressed(self, event: QMouseEvent, *, double: bool) -> None:
        """Take hold of the tape, of a thing, or work the tool."""
        self.view.setFocus(Qt.FocusReason.MouseFocusReason)
        self.keys.arrows.settle()
        self._take(event)
        shown, at = self.view.shown, event.position()
        if shown is None:
            return
        if event.button() is Qt.MouseButton.MiddleButton:
            self._hold_tape(at)
        elif event.button() is Qt.MouseButton.LeftButton:
            self._left_pressed(shown, at, double=double)

    def _left_pressed(self, shown: Shown, at: QPointF, *, double: bool) -> None:
        branch, rest = shown.branch_named_at(at.x(), at.y()), tool_at_rest(self.desk)
        self._place = shown.place_at(at.x(), at.y())
        if self.desk.tool is not None and self.along is None:
            self._hold_tape(at)  # a tool of the plan means nothing here, and what it has begun stays
        elif branch is not None and self.working is None:
            self.view.laying.branch(branch.joint.id)
        elif self.along is not None and self._reaches(shown, at):
            self._working = True
            self.along.pressed(replace(self.pointer(), double=double))
        elif self.desk.tool is None and rest is not None and self._holds(shown, at):
            self._working = True
            rest.pressed(self.pointer())
        elif double and self.desk.tool is None:
            self.view.fit()
        else:
            if rest is not None and self.desk.tool is None:
                rest.clicked(self.pointer())
            self._pick(shown, at)

    def moved(self, event: QMouseEvent) -> None:
        """Move the tape, drag, or point."""
        self._take(event)
        if self._tape_at is not None:
            self._move_tape(event.position())
        else:
            self.look_again()

    def look_again(self) -> None:
        """Tell the desk and the tool where the hand is."""
        shown, at = self.view.shown, self.on_tape
        if shown is None or at is None or self.desk.job is None:
            return
        pointer, working = self.pointer(), self.working
        self.desk.catch(pointer)
        if working is not None:
            working.dragged(pointer)
        elif self.along is not None:
            self.along.moved(pointer)
            self.desk.point_at(self._meant(self.along, pointer))
        else:
            branch = shown.branch_named_at(at.x(), at.y())
            thing = shown.thing_at(at.x(), at.y())
            self.desk.point_at(Thing(Sort.JOINT, branch.joint.id) if branch is not None else thing)
        self.show_cursor()
        self.view.update()

    def released(self, event: QMouseEvent) -> None:
        """Let go of the tape or of what is dragged."""
        self._take(event)
        if self._tape_at is not None:
            self._tape_at = None
            if self._means_joint and self._moved_px < _SLIP_PX and self.view.laying.joint is not None:
                self.desk.pick(Thing(Sort.JOINT, self.view.laying.joint))
            self._means_joint = False
            self.show_cursor()
        elif self._working and event.button() is Qt.MouseButton.LeftButton:
            working = self.working
            if working is not None and self.view.shown is not None:
                working.released(self.pointer())
            self._working = False
        self._place = None

    def wheeled(self, event: QWheelEvent) -> None:
        """Zoom about the pointer; a wheel that turns sideways moves the tape."""
        reel, turn = self.view.reel, event.angleDelta()
        if reel is not None and (turn.y() or turn.x()):
            about = event.position().x()
            self.look(reel.zoomed(_STEP ** (turn.y() / _NOTCH), about) if turn.y() else reel.panned(turn.x() / 2))
        event.accept()

    def look(self, reel: Reel) -> None:
        """Show another part of the joint by hand."""
        self.has_moved = True
        self.view.look(reel)
        self.look_again()

    def left(self) -> None:
        """The pointer left the tape."""
        if self.on_tape is None:
            return
        self.on_tape = None
        self.desk.catch(None)
        self.desk.point_at(None)
        self.view.update()

    def pointer(self) -> Pointer:
        """The hand as tools see it."""
        shown, at = self.view.shown, self.on_tape
        assert shown is not None
        assert at is not None
        place = shown.place_at(at.x(), at.y())
        if self._place is not None and self._working:
            place = shown.place_on(self._place.joint, at.x(), at.y())
        return pointer_at(self.desk, shown, place, free=self._ctrl, shift=self._shift, ctrl=self._ctrl)

    # Steps --------------------------------------------------------------------------------------

    def _take(self, event: QMouseEvent) -> None:
        self.on_tape = event.position()
        self._ctrl = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        self._shift = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)

    def _reaches(self, shown: Shown, at: QPointF) -> bool:
        """Whether a tool of joints works at a pixel: on the lanes, not beside a branch."""
        return at.y() < shown.lanes.branch - 4.0 or shown.branch_at(at.x(), at.y()) is not None

    def _holds(self, shown: Shown, at: QPointF) -> bool:
        """Whether there is a handle under the hand: of leaks on their lane, of zones on theirs."""
        rest = tool_at_rest(self.desk)
        own = at.y() < shown.lanes.body[1] if self.desk.stage is Stage.LEAKS else at.y() > shown.lanes.body[0]
        return rest is not None and own and rest.holds(replace(self.pointer(), on=shown.place_at(at.x(), at.y())))

    def _meant(self, tool: Tool, pointer: Pointer) -> Thing | None:
        """What the tool's next click means."""
        order, job, repairs = tool.points_at(), self.desk.job, self.desk.repairs
        if self.desk.dragging or not order or job is None or repairs is None or pointer.on is None:
            return None
        hit = hit_at(job, repairs, pointer.on, reach_of(self.desk.settings).pick_px * pointer.m_per_px, order)
        return None if hit is None else Thing(_SORTS[hit.target], hit.key)

    def _pick(self, shown: Shown, at: QPointF) -> None:
        thing = shown.thing_at(at.x(), at.y())
        if thing is not None:
            self.desk.pick(thing, add=self._shift)
            return
        self._means_joint = self.desk.tool is None and not self._shift
        self._hold_tape(at)

    def _hold_tape(self, at: QPointF) -> None:
        self._tape_at, self._moved_px = at, 0.0
        self.show_cursor()

    def _move_tape(self, at: QPointF) -> None:
        assert self._tape_at is not None
        step = at - self._tape_at
        self._moved_px += step.manhattanLength()
        self._tape_at = at
        if self.view.reel is not None:
            self.has_moved = True
            self.view.look(self.view.reel.panned(step.x()))

    def show_cursor(self) -> None:
        """Show the cursor of what the hand would do."""
        shown, at = self.view.shown, self.on_tape
        named = shown is not None and at is not None and shown.branch_named_at(at.x(), at.y()) is not None
        if self._tape_at is not None:
            shape = Qt.CursorShape.ClosedHandCursor
        elif self.working is not None or (shown is not None and at is not None and self._over_handle(shown, at)):
            shape = Qt.CursorShape.SizeHorCursor
        elif named or (self.desk.tool is None and self.desk.pointed is not None):
            shape = Qt.CursorShape.PointingHandCursor
        elif self.along is not None:
            shape = Qt.CursorShape.CrossCursor
        else:
            shape = Qt.CursorShape.ArrowCursor
        self.view.setCursor(QCursor(shape))

    def _over_handle(self, shown: Shown, at: QPointF) -> bool:
        return self.desk.tool is None and self._holds(shown, at)
