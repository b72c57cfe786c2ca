"""What keys do on the plan: they work the tool in hand, change what is picked, and move the paper."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from leakmap.desk.levels import neighbour
from leakmap.desk.plan.arrows import ARROWS
from leakmap.desk.plan.rails import axis_at
from leakmap.desk.stepping import step_by_key
from leakmap.desk.surface_keys import PAN_PX, STEP, SurfaceKeys
from leakmap.desk.tools.tool import Tool

if TYPE_CHECKING:
    from leakmap.desk.plan.hand import Hand


class Keys(SurfaceKeys):
    """The keys of a hand on one plan.

    Attributes:
        space: Whether Space is held, by which the hand takes the paper.
        ctrl: Whether Ctrl is held.
        shift: Whether Shift is held.
    """

    own = SurfaceKeys.own | {Qt.Key.Key_PageUp, Qt.Key.Key_PageDown, Qt.Key.Key_Space}

    def __init__(self, hand: Hand) -> None:
        super().__init__(hand.desk, hand.arrows)
        self.hand = hand
        self.space = self.ctrl = self.shift = False

    def pressed(self, event: QKeyEvent) -> bool:
        """Give a key to the tool, or move the paper; whether it was used."""
        if event.key() == Qt.Key.Key_Control:
            self.arrows.settle()
        if event.key() in {Qt.Key.Key_Control, Qt.Key.Key_Shift}:
            self._hold(event)
            return True
        return super().pressed(event)

    def released(self, event: QKeyEvent) -> bool:
        """Let go of Ctrl, Shift, Space or an arrow; whether it was one of them."""
        key = event.key()
        if key in ARROWS and not event.isAutoRepeat():
            self.arrows.settle()
        elif key == Qt.Key.Key_Space and not event.isAutoRepeat():
            self.space = False
            self.hand.show_cursor()
        elif key in {Qt.Key.Key_Control, Qt.Key.Key_Shift}:
            self._hold(event)
        return key in {Qt.Key.Key_Space, Qt.Key.Key_Control, Qt.Key.Key_Shift, *ARROWS}

    def let_go(self) -> None:
        """No key is held any more."""
        super().let_go()
        self.space = self.ctrl = self.shift = False

    def _hold(self, event: QKeyEvent) -> None:
        """Ctrl and Shift change what is caught and how, without a move."""
        down = event.type() == event.Type.KeyPress
        if event.key() == Qt.Key.Key_Control:
            self.ctrl = down
        else:
            self.shift = down
        self.hand.look_again()

    def _worked(self, tool: Tool, key: Qt.Key, event: QKeyEvent, *, ctrl: bool) -> bool:
        """Give a key to the tool in hand; Space is a click where a cross stands."""
        used = super()._worked(tool, key, event, ctrl=ctrl)
        if key is Qt.Key.Key_Escape:
            self.hand.look_again()
        return used or (key is Qt.Key.Key_Space and self._put_point(tool, again=event.isAutoRepeat()))

    def _put_point(self, tool: Tool, *, again: bool) -> bool:
        """Space clicks where a cross stands, which goes on from the place that it was caught on; whether there is one."""
        if self.arrows.cross is not None and not again:
            pointer = self.hand.pointer()
            tool.pressed(pointer)
            tool.released(pointer)
            if self.arrows.cross is not None:
                self.arrows.cross = pointer.at
            self.hand.look_again()
        return self.arrows.cross is not None

    def _arrowed(self, key: Qt.Key, event: QKeyEvent, *, ctrl: bool) -> bool:
        """Nudge what is picked; else, with a tool in hand, move the cross, and without one the paper."""
        shift = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        tool = self.desk.tool or self.hand.at_rest
        if tool is not None and not ctrl and self.arrows.nudged(tool, key, shift=shift):
            return True
        if self.desk.tool is not None and self.desk.tool.by_cross:
            self._move_cross(key, shift=shift, ctrl=ctrl)
            return True
        return not ctrl and self._looked(key, event)

    def _move_cross(self, key: Qt.Key, *, shift: bool, ctrl: bool) -> None:
        """Move the cross from where the pointer is, else from a marked spot or the middle; the paper follows it past its edge."""
        camera = self.hand.view.camera
        x, y = camera.to_site(camera.middle)
        rest = self.desk.spot or (round(x, 1), round(y, 1))
        start = self.hand.pointer().at if self.hand.on_plan is not None else rest
        cross = self.arrows.step(key, start, shift=shift, ctrl=ctrl)
        x0, y0, x1, y1 = camera.shown
        if not (x0 < cross[0] < x1 and y0 < cross[1] < y1):
            self.hand.has_moved = True
            self.hand.view.look(replace(camera, centre=cross))
        self.hand.look_again()

    def _looked(self, key: Qt.Key, event: QKeyEvent) -> bool:
        """Move the paper, zoom, change the level, let go of what is picked."""
        view = self.hand.view
        if key in ARROWS:
            across, up = ARROWS[key]
            self.hand.move_paper(-across * PAN_PX, up * PAN_PX)
        elif key is Qt.Key.Key_Home:
            self.hand.has_moved = False
            view.fit()
        elif key in {Qt.Key.Key_Plus, Qt.Key.Key_Equal, Qt.Key.Key_Minus}:
            self.hand.has_moved = True
            factor = 1 / STEP if key is Qt.Key.Key_Minus else STEP
            view.look(view.camera.zoomed(factor, self.hand.on_plan or view.camera.middle))
        elif key in {Qt.Key.Key_PageUp, Qt.Key.Key_PageDown} and self.desk.job is not None:
            level = neighbour(self.desk.job, self.desk.level, -1 if key is Qt.Key.Key_PageUp else 1)
            if level is not None:
                self.desk.show_level(level)
        elif key is Qt.Key.Key_F2:
            self._open_facts()
        elif self._may_step() and step_by_key(self.desk, event.text()):
            pass
        elif key is Qt.Key.Key_Space:
            self.space = self.space or not event.isAutoRepeat()
            self.hand.show_cursor()
        elif key is Qt.Key.Key_Escape and self.desk.picked:
            self.desk.pick()
        else:
            return False
        return True

    def _open_facts(self) -> None:
        """Ask for what can be written: about the axis whose bubble the pointer is on, else about what is picked."""
        from leakmap.desk.tools.facts import open_facts, rename_axis_of_grid  # noqa: PLC0415 - late

        job, camera = self.desk.job, self.hand.view.camera
        grid = job.grid if job is not None else None
        axis = axis_at(grid, camera, self.hand.on_plan) if grid is not None and self.hand.on_plan is not None else None
        if axis is None:
            open_facts(self.desk)
        else:
            rename_axis_of_grid(self.desk, axis)
