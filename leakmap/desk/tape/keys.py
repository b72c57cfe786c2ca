"""What keys do on the tape: they work the tool in hand, nudge what is picked along the joint, step, zoom."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final
from uuid import UUID

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from leakmap.desk.plan.arrows import Arrows
from leakmap.desk.stepping import step_by_key
from leakmap.desk.surface_keys import ENTER, PAN_PX, STEP, SurfaceKeys
from leakmap.desk.things import Sort, Thing
from leakmap.desk.tools.at_rest import tool_at_rest
from leakmap.desk.tools.handles import Handle, HandleTool
from leakmap.desk.tools.leak_handles import arrow_along
from leakmap.work.staffs import Height

if TYPE_CHECKING:
    from leakmap.desk.tape.view import TapeView

_WAYS: Final = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1, Qt.Key.Key_Down: -1, Qt.Key.Key_Up: 1}
"""Along the joint; on a vertical one up is up."""


class TapeKeys(SurfaceKeys):
    """The keys of one tape."""

    def __init__(self, view: TapeView) -> None:
        super().__init__(view.desk, Arrows(view.desk))
        self.view = view
        self._reached: object = None  # key of the handle that Tab came to

    def tabbed(self, event: QKeyEvent) -> bool:
        """Tab goes to the next part of the live field, else round the handles on the tape, then on."""
        tool = self.desk.tool
        if event.key() not in {Qt.Key.Key_Tab, Qt.Key.Key_Backtab}:
            return False
        if tool is not None:
            return event.key() == Qt.Key.Key_Tab and tool.tabbed()
        return self._to_handle(tool_at_rest(self.desk), 1 if event.key() == Qt.Key.Key_Tab else -1)

    def _to_handle(self, rest: HandleTool[Any] | None, step: int) -> bool:
        handles = self._handles(rest)
        if rest is None or not handles:
            return False
        keys = [handle.key for handle in handles]
        now = next((k for k, grip in enumerate(keys) if grip == self._reached), -1 if step > 0 else len(keys))
        if not 0 <= now + step < len(keys):
            self._reached = None
            return False
        self._reached = keys[now + step]
        rest.handle_picked(handles[now + step])
        rest.refresh()
        return True

    def _handles(self, rest: HandleTool[Any] | None) -> list[Handle[Any]]:
        """Handles that are on the tape, from left to right."""
        shown = self.view.shown
        if rest is None or shown is None or self.desk.open_job is None:
            return []
        there = [(at, handle) for handle in rest.handles() if handle.on and (at := shown.pixel_of(handle.on))]
        return [handle for _, handle in sorted(there, key=lambda each: each[0])]

    def _arrowed(self, key: Qt.Key, event: QKeyEvent, *, ctrl: bool) -> bool:
        """Nudge what is picked along the joint, else move the tape."""
        if ctrl:
            return False
        shift = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        tool, place = self.desk.tool or tool_at_rest(self.desk), self._place()
        if tool is not None and place is not None and self.desk.job is not None:
            joint = self.desk.job.joints[place.joint]
            if self.arrows.nudged_by(
                tool, *arrow_along(joint, place.at_m, _WAYS[key] * self.desk.units.nudges_m[shift])
            ):
                return True
        reel = self.view.reel
        if reel is not None and key in {Qt.Key.Key_Left, Qt.Key.Key_Right}:
            self.view.hand.look(reel.panned(-_WAYS[key] * PAN_PX))
        elif self.desk.tool is None:
            self._point_at_branch(-_WAYS[key])
        return True

    def _point_at_branch(self, step: int) -> None:
        """Point at the next branch along the joint, round and round; Enter lays it out."""
        branches = self._branches()
        pointed = self.desk.pointed
        at = branches.index(pointed) if pointed in branches else (-1 if step > 0 else 0)
        if branches:
            self.desk.point_at(branches[(at + step) % len(branches)])

    def _branches(self) -> list[Thing]:
        """The joints that branch off, from left to right."""
        shown = self.view.shown
        along = sorted(shown.branches, key=lambda one: one.x) if shown is not None else ()
        return list(dict.fromkeys(Thing(Sort.JOINT, one.branch.joint.id) for one in along))

    def _lay_branch_out(self) -> bool:
        """Lay out the branch that is pointed at; whether one is."""
        pointed = self.desk.pointed
        if pointed is None or pointed not in self._branches() or not isinstance(pointed.key, UUID):
            return False
        self.desk.point_at(None)
        self.view.laying.branch(pointed.key)
        return True

    def _place(self) -> Height | None:
        """A place of what arrows would move, in the kept job: the picked grip, else the picked leak."""
        rest = self.desk.tool or tool_at_rest(self.desk)
        if not isinstance(rest, HandleTool) or self.desk.open_job is None:
            return None
        handles = rest.handles()
        picked = [grip.on for grip in rest.overlay().grips if grip.picked and grip.on is not None]
        if picked:
            return picked[0]
        laid = self.view.laying.joint
        return next((handle.on for handle in handles if handle.on is not None and handle.on.joint == laid), None)

    def _looked(self, key: Qt.Key, event: QKeyEvent) -> bool:
        """Move, zoom, step, go back from a branch."""
        reel, hand = self.view.reel, self.view.hand
        if key is Qt.Key.Key_Backspace:
            return self.view.laying.back()
        if key in ENTER:
            return self._lay_branch_out()
        if key is Qt.Key.Key_Home:
            self.view.fit()
        elif key in {Qt.Key.Key_Plus, Qt.Key.Key_Equal, Qt.Key.Key_Minus} and reel is not None:
            about = hand.on_tape.x() if hand.on_tape is not None else (reel.left + reel.right) / 2
            hand.look(reel.zoomed(1 / STEP if key is Qt.Key.Key_Minus else STEP, about))
        elif key is Qt.Key.Key_F2:
            from leakmap.desk.tools.facts import open_facts  # noqa: PLC0415 - late

            open_facts(self.desk)
        elif key is Qt.Key.Key_Escape and self.desk.picked:
            self.desk.pick()
        else:
            return self._may_step() and step_by_key(self.desk, event.text())
        return True
