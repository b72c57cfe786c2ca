"""What the hand does on the plan: it moves the paper, points, picks, and works the tool in hand."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QCursor, QMouseEvent, QWheelEvent

from leakmap.desk.larger import Reach, reach_of
from leakmap.desk.plan.arrows import CROSS_REACH_M, Arrows
from leakmap.desk.plan.catching import Catching
from leakmap.desk.plan.keys import Keys
from leakmap.desk.plan.raising import Raising
from leakmap.desk.things import Sort, Thing
from leakmap.desk.tools.at_rest import tool_at_rest
from leakmap.desk.tools.tool import Pointer, Tool
from leakmap.geometry.path import Point
from leakmap.model.sheet import Sheet
from leakmap.work.hits import Target

if TYPE_CHECKING:
    from leakmap.desk.plan.view import PlanView

_STEP: Final = 2**0.25
_NOTCH: Final = 120
_SLIP_PX: Final = 4.0


class Hand:
    """The hand on one plan.

    Attributes:
        on_plan: Pixel that the pointer is on; None when it is elsewhere.
        has_moved: Whether the paper was ever moved or zoomed by hand.
        arrows: What its arrow keys do.
        keys: What its other keys do.
    """

    def __init__(self, view: PlanView) -> None:
        self.view = view
        self.desk = view.desk
        self.on_plan: Point | None = None
        self.has_moved = False
        self.arrows = Arrows(view.desk)
        self.desk.tool_changed.connect(self._drop_cross)
        self._catching = Catching(view.desk)
        self._paper_at: QPointF | None = None
        self._moved_px = 0.0
        self._clicks_nothing = False
        self._working = False
        self.keys = Keys(self)
        self.at_rest = tool_at_rest(self.desk)
        self._raising = Raising(view.desk, view.scene)
        for signal in (self.desk.stage_changed, self.desk.opened):
            signal.connect(self._rest)
        for signal in (self.desk.tool_changed, self.desk.picked_changed):
            signal.connect(self._raise)
        self.desk.spot_marked.connect(self._cross_to_spot)

    def _rest(self) -> None:
        """Another stage, another job: what works without a tool is another."""
        self.at_rest = tool_at_rest(self.desk)

    def _drop_cross(self) -> None:
        """The cross goes with the tool that it works for."""
        if self.desk.tool is None and self.arrows.cross is not None:
            self.arrows.cross, self.on_plan = None, None
            self.desk.catch(None)

    def _cross_to_spot(self) -> None:
        """A spot that was looked for is where the tool in hand points next, until the mouse moves."""
        tool, spot = self.desk.tool, self.desk.spot
        if spot is not None and tool is not None and tool.by_cross:
            self.arrows.cross, self.arrows.fine = spot, False
            self.look_again()

    def go_along(self, before: Sheet, now: Sheet) -> None:
        """Keep the cross on its place of the drawing, which lies otherwise since a deed."""
        if self.arrows.cross is not None and before.id == now.id and before.placement != now.placement:
            self.arrows.cross = now.placement.to_site(before.placement.to_drawing(self.arrows.cross))
            self.look_again()

    @property
    def reach(self) -> Reach:
        """How near it must come to something."""
        return reach_of(self.desk.settings)

    # Pointer ------------------------------------------------------------------------------------

    def pressed(self, event: QMouseEvent, *, double: bool) -> None:
        """Take hold of the paper, of a thing, or work the tool."""
        self.view.setFocus(Qt.FocusReason.MouseFocusReason)
        self.arrows.settle()
        self._take(event)
        button = event.button()
        if button is Qt.MouseButton.MiddleButton or (button is Qt.MouseButton.LeftButton and self.keys.space):
            self._hold_paper(event.position())
        elif button is Qt.MouseButton.LeftButton and self.desk.tool is not None:
            self._working = True
            self.desk.tool.pressed(replace(self.pointer(), double=double))
        elif button is Qt.MouseButton.LeftButton and self.at_rest is not None and self.at_rest.holds(self.pointer()):
            self._working = True
            self.at_rest.pressed(self.pointer())
        elif button is Qt.MouseButton.LeftButton:
            if self.at_rest is not None:
                self.at_rest.clicked(self.pointer())
            self._pick(event)

    def moved(self, event: QMouseEvent) -> None:
        """Move the paper, drag, or point."""
        self._take(event)
        if self._paper_at is not None:
            self._move_paper(event.position())
            return
        self.look_again()

    def look_again(self) -> None:
        """Tell the desk and the tool where the pointer is, after it, the paper or a held key moved."""
        if self.arrows.cross is not None:
            self.on_plan = self.view.camera.to_screen(self.arrows.cross)
        if self.on_plan is None or self.desk.job is None:
            return
        pointer = self.pointer()
        self.desk.catch(pointer)
        tool = self.desk.tool or (self.at_rest if self._working else None)
        if tool is None:
            self.desk.point_at(self.view.scene.at(pointer.raw, self.reach.pick_px * pointer.m_per_px))
        elif self._working:
            tool.dragged(pointer)
        else:
            tool.moved(pointer)
            self._mark(tool, pointer)
        self._raise()
        self.show_cursor()

    def _mark(self, tool: Tool, pointer: Pointer) -> None:
        """Mark what the tool's next click means; what it shows already needs no mark."""
        own = tool.thing_at(pointer)
        if own is not None:
            self.desk.point_at(own)
            return
        order = () if self.desk.dragging else tool.points_at()
        caught = pointer.catch.joint if pointer.catch is not None else None
        if order == (Target.JOINT,) and caught is not None:
            self.desk.point_at(Thing(Sort.JOINT, caught))
        else:
            self.desk.point_at(
                self.view.scene.at(pointer.raw, self.reach.pick_px * pointer.m_per_px, order) if order else None
            )

    def _raise(self) -> None:
        """Let vertical joints that the hand may mean show their staffs."""
        tool, camera = self.desk.tool or (self.at_rest if self._working else None), self.view.camera
        at = camera.to_site(self.on_plan) if self.on_plan is not None else None
        if self._raising.look(tool, at, camera.m_per_px):
            self.view.renew()

    def put_on(self, at: Point, *, shift: bool = False) -> None:
        """Put the pointer on a pixel, as a finger does that has no buttons."""
        self.on_plan, self.arrows.cross = at, None
        self.keys.shift, self.keys.ctrl = shift, False
        self.look_again()

    def press(self) -> None:
        """Work the tool, or what is held at rest, where the pointer is."""
        tool = self.desk.tool
        if tool is not None:
            self._working = True
            tool.pressed(self.pointer())
        elif self.at_rest is not None and self.at_rest.holds(self.pointer()):
            self._working = True
            self.at_rest.pressed(self.pointer())

    @property
    def working(self) -> bool:
        """Whether something is being pressed or dragged."""
        return self._working

    def let_go(self) -> None:
        """End what ``press`` began."""
        tool = self.desk.tool or self.at_rest
        if self._working and tool is not None:
            tool.released(self.pointer())
        self._working = False

    def drop(self) -> None:
        """Give up what ``press`` began; it goes back to where it was."""
        tool = self.desk.tool or self.at_rest
        if self._working and tool is not None:
            tool.escaped()
        self._working = False

    def pick_here(self) -> None:
        """Pick what the pointer is on, or nothing."""
        if self.desk.job is not None:
            pointer = self.pointer()
            thing = self.view.scene.at(pointer.raw, self.reach.pick_px * pointer.m_per_px)
            self.desk.pick(*((thing,) if thing is not None else ()))

    def released(self, event: QMouseEvent) -> None:
        """Let go of the paper or of what is dragged."""
        self._take(event)
        if self._paper_at is not None and event.button() in {Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton}:
            self._paper_at = None
            if self._clicks_nothing and self._moved_px < _SLIP_PX:
                self.desk.pick()
            self._clicks_nothing = False
            self.show_cursor()
        elif self._working and event.button() is Qt.MouseButton.LeftButton:
            tool = self.desk.tool or self.at_rest
            if tool is not None:
                tool.released(self.pointer())
            self._working = False

    def wheeled(self, event: QWheelEvent) -> None:
        """Zoom about the pointer."""
        turned = event.angleDelta().y()
        if turned:
            self.has_moved = True
            at = event.position()
            self.view.look(self.view.camera.zoomed(_STEP ** (turned / _NOTCH), (at.x(), at.y())))
        event.accept()

    def left(self) -> None:
        """The pointer left the plan; a cross stays."""
        if self.arrows.cross is not None:
            return
        self.on_plan = None
        self.desk.catch(None)
        self.desk.point_at(None)
        self._raise()
        self.view.update()

    # The paper ----------------------------------------------------------------------------------

    def _pick(self, event: QMouseEvent) -> None:
        if self.desk.job is None:
            return
        pointer = self.pointer()
        thing = self.view.scene.at(pointer.raw, self.reach.pick_px * pointer.m_per_px)
        if thing is None:
            self._clicks_nothing = True
            self._hold_paper(event.position())
        else:
            self.desk.pick(thing, add=pointer.shift)

    def _hold_paper(self, at: QPointF) -> None:
        self._paper_at, self._moved_px = at, 0.0
        self.show_cursor()

    def _move_paper(self, at: QPointF) -> None:
        assert self._paper_at is not None
        step = at - self._paper_at
        self._moved_px += step.manhattanLength()
        self._paper_at = at
        self.move_paper(step.x(), step.y())

    def move_paper(self, right_px: float, down_px: float) -> None:
        """Move the paper by hand."""
        self.has_moved = True
        self.view.look(self.view.camera.panned(right_px, down_px))

    def _take(self, event: QMouseEvent) -> None:
        self.on_plan, self.arrows.cross = (event.position().x(), event.position().y()), None
        self.keys.ctrl = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        self.keys.shift = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)

    def pointer(self) -> Pointer:
        """The hand as tools see it."""
        assert self.on_plan is not None
        camera, tool = self.view.camera, self.desk.tool or (self.at_rest if self._working else None)
        cross = self.arrows.cross
        raw = cross or camera.to_site(self.on_plan)
        shift = self.keys.shift and cross is None  # with a cross Shift only makes its steps longer
        free = self.arrows.fine if cross is not None else self.keys.ctrl
        catch = None
        if tool is not None and not free:
            radius_m = self.reach.catch_px * camera.m_per_px if cross is None else CROSS_REACH_M
            catch = self._catching.catch(raw, radius_m, tool, shift=shift)
        return Pointer(
            units=self.desk.units,
            at=catch.at if catch is not None else raw,
            raw=raw,
            catch=catch,
            m_per_px=camera.m_per_px,
            shift=shift,
            ctrl=self.keys.ctrl,
        )

    def show_cursor(self) -> None:
        """Show the cursor of what the hand would do."""
        if self._paper_at is not None:
            shape = Qt.CursorShape.ClosedHandCursor
        elif self.keys.space:
            shape = Qt.CursorShape.OpenHandCursor
        elif self.desk.tool is not None:
            shape = Qt.CursorShape.CrossCursor
        elif self.desk.pointed is not None:
            shape = Qt.CursorShape.PointingHandCursor
        else:
            shape = Qt.CursorShape.ArrowCursor
        self.view.setCursor(QCursor(shape))
