"""What the hand does on the plan: it moves the paper, points, picks, and works the tool in hand."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QCursor, QKeyEvent, QMouseEvent, QWheelEvent

from leakmap.desk.levels import neighbour
from leakmap.desk.plan.arrows import ARROWS, CROSS_REACH_M, Arrows
from leakmap.desk.plan.catching import SNAP_PX, Catching
from leakmap.desk.plan.rails import axis_at
from leakmap.desk.plan.raising import Raising
from leakmap.desk.state import Sort, Thing
from leakmap.desk.stepping import step_by_key
from leakmap.desk.tools.at_rest import tool_at_rest
from leakmap.desk.tools.facts import open_facts, rename_axis_of_grid
from leakmap.desk.tools.handles import HandleTool
from leakmap.desk.tools.tool import Pointer, Tool
from leakmap.geometry.path import Point
from leakmap.work.hits import Target

if TYPE_CHECKING:
    from leakmap.desk.plan.view import PlanView

PICK_PX: Final = 10.0
_STEP: Final = 2**0.25
_NOTCH: Final = 120
_SLIP_PX: Final = 4.0
_PAN_PX: Final = 60.0
_ENTER: Final = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
_OWN: Final = frozenset(
    (*ARROWS, *_ENTER, Qt.Key.Key_Backspace, Qt.Key.Key_Delete, Qt.Key.Key_Home, Qt.Key.Key_F2,
     Qt.Key.Key_PageUp, Qt.Key.Key_PageDown, Qt.Key.Key_Space, Qt.Key.Key_Plus, Qt.Key.Key_Minus, Qt.Key.Key_Equal)
)  # fmt: skip
_PLAIN: Final = Qt.KeyboardModifier.NoModifier | Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier


class Hand:
    """The hand on one plan.

    Attributes:
        on_plan: Pixel that the pointer is on; None when it is elsewhere.
        has_moved: Whether the paper was ever moved or zoomed by hand.
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
        self._space = False
        self._ctrl = False
        self._shift = False
        self.at_rest = tool_at_rest(self.desk)
        self._raising = Raising(view.desk, view.scene)
        for signal in (self.desk.stage_changed, self.desk.opened):
            signal.connect(self._rest)
        for signal in (self.desk.tool_changed, self.desk.picked_changed):
            signal.connect(self._raise)

    def _rest(self) -> None:
        """Another stage, another job: what works without a tool is another."""
        self.at_rest = tool_at_rest(self.desk)

    def _drop_cross(self) -> None:
        """The cross goes with the tool that it works for."""
        if self.desk.tool is None and self.arrows.cross is not None:
            self.arrows.cross, self.on_plan = None, None
            self.desk.catch(None)

    # Pointer ------------------------------------------------------------------------------------

    def pressed(self, event: QMouseEvent, *, double: bool) -> None:
        """Take hold of the paper, of a thing, or work the tool."""
        self.view.setFocus(Qt.FocusReason.MouseFocusReason)
        self.arrows.settle()
        self._take(event)
        button = event.button()
        if button is Qt.MouseButton.MiddleButton or (button is Qt.MouseButton.LeftButton and self._space):
            self._hold_paper(event.position())
        elif button is Qt.MouseButton.LeftButton and self.desk.tool is not None:
            self._working = True
            self.desk.tool.pressed(replace(self._pointer(), double=double))
        elif button is Qt.MouseButton.LeftButton and self.at_rest is not None and self.at_rest.holds(self._pointer()):
            self._working = True
            self.at_rest.pressed(self._pointer())
        elif button is Qt.MouseButton.LeftButton:
            if self.at_rest is not None:
                self.at_rest.clicked(self._pointer())
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
        pointer = self._pointer()
        self.desk.catch(pointer)
        tool = self.desk.tool or (self.at_rest if self._working else None)
        if tool is None:
            self.desk.point_at(self.view.scene.at(pointer.raw, PICK_PX * pointer.m_per_px))
        elif self._working:
            tool.dragged(pointer)
        else:
            tool.moved(pointer)
            self._mark(tool, pointer)
        self._raise()
        self._show_cursor()

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
            self.desk.point_at(self.view.scene.at(pointer.raw, PICK_PX * pointer.m_per_px, order) if order else None)

    def _raise(self) -> None:
        """Let vertical joints that the hand may mean show their staffs."""
        tool, camera = self.desk.tool or (self.at_rest if self._working else None), self.view.camera
        at = camera.to_site(self.on_plan) if self.on_plan is not None else None
        if self._raising.look(tool, at, camera.m_per_px):
            self.view.renew()

    def released(self, event: QMouseEvent) -> None:
        """Let go of the paper or of what is dragged."""
        self._take(event)
        if self._paper_at is not None and event.button() in {Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton}:
            self._paper_at = None
            if self._clicks_nothing and self._moved_px < _SLIP_PX:
                self.desk.pick()
            self._clicks_nothing = False
            self._show_cursor()
        elif self._working and event.button() is Qt.MouseButton.LeftButton:
            tool = self.desk.tool or self.at_rest
            if tool is not None:
                tool.released(self._pointer())
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

    # Keys ---------------------------------------------------------------------------------------

    def wants(self, event: QKeyEvent) -> bool:
        """Whether a key is the plan's although the window has a use for it."""
        if event.modifiers() & ~(_PLAIN | Qt.KeyboardModifier.ControlModifier):
            return False
        ctrl = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        if event.key() in _OWN:
            return not ctrl or event.key() in _ENTER
        typed = event.text()
        tool = self.desk.tool
        if ctrl or tool is None or len(typed) != 1 or not typed.isprintable():
            return False
        return not typed.isalpha() or tool.overlay().field is not None

    def tabbed(self, event: QKeyEvent) -> bool:
        """Tab goes to the next part of the live field, where there is one."""
        tool = self.desk.tool
        return event.key() == Qt.Key.Key_Tab and tool is not None and tool.tabbed()

    def key_pressed(self, event: QKeyEvent) -> bool:
        """Give a key to the tool, or move the paper; whether it was used."""
        key = Qt.Key(event.key())
        if key is Qt.Key.Key_Control or key is Qt.Key.Key_Shift:
            if key is Qt.Key.Key_Control:
                self.arrows.settle()
            self._hold(event)
            return True
        ctrl = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        if key in ARROWS:
            return self._arrowed(key, event, ctrl=ctrl)
        if key is Qt.Key.Key_Escape and self.arrows.give_up():
            return True
        self.arrows.settle()
        tool = self.desk.tool
        if tool is not None and self._worked(tool, key, event, ctrl=ctrl):
            return True
        if tool is None and self.at_rest is not None and self._rest_worked(self.at_rest, key, event, ctrl=ctrl):
            return True
        return not ctrl and self._looked(key, event)

    def key_released(self, event: QKeyEvent) -> bool:
        """Let go of Ctrl, Shift, Space or an arrow; whether it was one of them."""
        key = event.key()
        if key in ARROWS and not event.isAutoRepeat():
            self.arrows.settle()
        elif key == Qt.Key.Key_Space and not event.isAutoRepeat():
            self._space = False
            self._show_cursor()
        elif key in {Qt.Key.Key_Control, Qt.Key.Key_Shift}:
            self._hold(event)
        return key in {Qt.Key.Key_Space, Qt.Key.Key_Control, Qt.Key.Key_Shift, *ARROWS}

    def let_go_of_keys(self) -> None:
        """No key is held any more."""
        self.arrows.settle()
        self._space = self._ctrl = self._shift = False

    def _hold(self, event: QKeyEvent) -> None:
        """Ctrl and Shift change what is caught and how, without a move."""
        down = event.type() == event.Type.KeyPress
        if event.key() == Qt.Key.Key_Control:
            self._ctrl = down
        else:
            self._shift = down
        self.look_again()

    def _worked(self, tool: Tool, key: Qt.Key, event: QKeyEvent, *, ctrl: bool) -> bool:
        """Give a key to the tool."""
        if key in _ENTER:
            return tool.entered(both=ctrl)
        if key is Qt.Key.Key_Escape:
            if not tool.escaped():
                self.desk.take_tool(None)
            self.look_again()
            return True
        if key is Qt.Key.Key_Backspace:
            return tool.erased()
        if key is Qt.Key.Key_Delete:
            return tool.deleted()
        text = event.text()
        if not ctrl and len(text) == 1 and text.isprintable() and tool.typed(text):
            return True
        return key is Qt.Key.Key_Space and self._put_point(tool, again=event.isAutoRepeat())

    def _put_point(self, tool: Tool, *, again: bool) -> bool:
        """Space clicks where a cross stands, which goes on from the place that it was caught on; whether there is one."""
        if self.arrows.cross is not None and not again:
            pointer = self._pointer()
            tool.pressed(pointer)
            tool.released(pointer)
            if self.arrows.cross is not None:
                self.arrows.cross = pointer.at
            self.look_again()
        return self.arrows.cross is not None

    def _arrowed(self, key: Qt.Key, event: QKeyEvent, *, ctrl: bool) -> bool:
        """Nudge what is picked; else, with a tool in hand, move the cross, and without one the paper."""
        shift = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        tool = self.desk.tool or self.at_rest
        if tool is not None and not ctrl and self.arrows.nudged(tool, key, shift=shift):
            return True
        if self.desk.tool is not None and self.desk.tool.by_cross:
            self._move_cross(key, shift=shift, ctrl=ctrl)
            return True
        return not ctrl and self._looked(key, event)

    def _move_cross(self, key: Qt.Key, *, shift: bool, ctrl: bool) -> None:
        """Move the cross from where the pointer is, else from the middle; the paper follows it past its edge."""
        camera = self.view.camera
        x, y = camera.to_site(camera.middle)
        start = self._pointer().at if self.on_plan is not None else (round(x, 1), round(y, 1))
        cross = self.arrows.step(key, start, shift=shift, ctrl=ctrl)
        x0, y0, x1, y1 = camera.shown
        if not (x0 < cross[0] < x1 and y0 < cross[1] < y1):
            self.has_moved = True
            self.view.look(replace(camera, centre=cross))
        self.look_again()

    def _rest_worked(self, rest: HandleTool[Any], key: Qt.Key, event: QKeyEvent, *, ctrl: bool) -> bool:
        """Let keys change what is picked."""
        if key is Qt.Key.Key_Escape:
            return rest.escaped()
        if key is Qt.Key.Key_Delete:
            return rest.deleted()
        return not ctrl and len(event.text()) == 1 and rest.typed(event.text())

    def _looked(self, key: Qt.Key, event: QKeyEvent) -> bool:
        """Move the paper, zoom, change the level, let go of what is picked."""
        view = self.view
        if key in ARROWS:
            across, up = ARROWS[key]
            self._look_moved(-across * _PAN_PX, up * _PAN_PX)
        elif key is Qt.Key.Key_Home:
            self.has_moved = False
            view.fit()
        elif key in {Qt.Key.Key_Plus, Qt.Key.Key_Equal, Qt.Key.Key_Minus}:
            self.has_moved = True
            factor = 1 / _STEP**2 if key is Qt.Key.Key_Minus else _STEP**2
            view.look(view.camera.zoomed(factor, self.on_plan or view.camera.middle))
        elif key in {Qt.Key.Key_PageUp, Qt.Key.Key_PageDown} and self.desk.job is not None:
            level = neighbour(self.desk.job, self.desk.level, -1 if key is Qt.Key.Key_PageUp else 1)
            if level is not None:
                self.desk.show_level(level)
        elif key is Qt.Key.Key_F2:
            self._open_facts()
        elif self._may_step() and step_by_key(self.desk, event.text()):
            pass
        elif key is Qt.Key.Key_Space:
            self._space = self._space or not event.isAutoRepeat()
            self._show_cursor()
        elif key is Qt.Key.Key_Escape and self.desk.picked:
            self.desk.pick()
        else:
            return False
        return True

    def _open_facts(self) -> None:
        """Ask for what can be written: about the axis whose bubble the pointer is on, else about what is picked."""
        job, camera = self.desk.job, self.view.camera
        grid = job.grid if job is not None else None
        axis = axis_at(grid, camera, self.on_plan) if grid is not None and self.on_plan is not None else None
        if axis is None:
            open_facts(self.desk)
        else:
            rename_axis_of_grid(self.desk, axis)

    def _may_step(self) -> bool:
        """Whether another thing may be picked: nothing is half-done that a tool shows with its live field."""
        tool = self.desk.tool
        return tool is None or tool.overlay().field is None

    # The paper ----------------------------------------------------------------------------------

    def _pick(self, event: QMouseEvent) -> None:
        if self.desk.job is None:
            return
        pointer = self._pointer()
        thing = self.view.scene.at(pointer.raw, PICK_PX * pointer.m_per_px)
        if thing is None:
            self._clicks_nothing = True
            self._hold_paper(event.position())
        else:
            self.desk.pick(thing, add=pointer.shift)

    def _hold_paper(self, at: QPointF) -> None:
        self._paper_at, self._moved_px = at, 0.0
        self._show_cursor()

    def _move_paper(self, at: QPointF) -> None:
        assert self._paper_at is not None
        step = at - self._paper_at
        self._moved_px += step.manhattanLength()
        self._paper_at = at
        self._look_moved(step.x(), step.y())

    def _look_moved(self, right_px: float, down_px: float) -> None:
        self.has_moved = True
        self.view.look(self.view.camera.panned(right_px, down_px))

    def _take(self, event: QMouseEvent) -> None:
        self.on_plan, self.arrows.cross = (event.position().x(), event.position().y()), None
        self._ctrl = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        self._shift = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)

    def _pointer(self) -> Pointer:
        assert self.on_plan is not None
        camera, tool = self.view.camera, self.desk.tool or (self.at_rest if self._working else None)
        cross = self.arrows.cross
        raw = cross or camera.to_site(self.on_plan)
        shift = self._shift and cross is None  # with a cross Shift only makes its steps longer
        free = self.arrows.fine if cross is not None else self._ctrl
        catch = None
        if tool is not None and not free:
            radius_m = SNAP_PX * camera.m_per_px if cross is None else CROSS_REACH_M
            catch = self._catching.catch(raw, radius_m, tool, shift=shift)
        return Pointer(
            at=catch.at if catch is not None else raw,
            raw=raw,
            catch=catch,
            m_per_px=camera.m_per_px,
            shift=shift,
            ctrl=self._ctrl,
        )

    def _show_cursor(self) -> None:
        if self._paper_at is not None:
            shape = Qt.CursorShape.ClosedHandCursor
        elif self._space:
            shape = Qt.CursorShape.OpenHandCursor
        elif self.desk.tool is not None:
            shape = Qt.CursorShape.CrossCursor
        elif self.desk.pointed is not None:
            shape = Qt.CursorShape.PointingHandCursor
        else:
            shape = Qt.CursorShape.ArrowCursor
        self.view.setCursor(QCursor(shape))
