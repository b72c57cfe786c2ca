"""What keys do on the tape: they work the tool in hand, nudge what is picked along the joint, step, zoom."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from leakmap.desk.plan.arrows import Arrows
from leakmap.desk.stepping import step_by_key
from leakmap.desk.tools.at_rest import tool_at_rest
from leakmap.desk.tools.by_letter import typed
from leakmap.desk.tools.facts import open_facts
from leakmap.desk.tools.handles import Handle, HandleTool
from leakmap.desk.tools.leak_handles import arrow_along
from leakmap.desk.tools.tool import Tool
from leakmap.desk.trouble import Trouble
from leakmap.work.staffs import Height

if TYPE_CHECKING:
    from leakmap.desk.tape.view import TapeView

_STEP: Final = 2**0.5
_PAN_PX: Final = 60.0
_ENTER: Final = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
_WAYS: Final = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1, Qt.Key.Key_Down: -1, Qt.Key.Key_Up: 1}
"""Along the joint; on a vertical one up is up."""

_OWN: Final = frozenset(
    (*_WAYS, *_ENTER, Qt.Key.Key_Backspace, Qt.Key.Key_Delete, Qt.Key.Key_Home, Qt.Key.Key_F2, Qt.Key.Key_Plus,
     Qt.Key.Key_Minus, Qt.Key.Key_Equal)
)  # fmt: skip
_PLAIN: Final = Qt.KeyboardModifier.NoModifier | Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier


class TapeKeys:
    """The keys of one tape."""

    def __init__(self, view: TapeView) -> None:
        self.view = view
        self.desk = view.desk
        self._arrows = Arrows(view.desk)
        self._reached: object = None  # key of the handle that Tab came to

    def wants(self, event: QKeyEvent) -> bool:
        """Whether a key is the tape's although the window has a use for it."""
        if event.modifiers() & ~(_PLAIN | Qt.KeyboardModifier.ControlModifier):
            return False
        ctrl = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        if event.key() in _OWN:
            return not ctrl or event.key() in _ENTER
        sign, tool = event.text(), self.desk.tool
        if ctrl or tool is None or len(sign) != 1 or not sign.isprintable():
            return False
        return not sign.isalpha() or tool.overlay().field is not None

    def pressed(self, event: QKeyEvent) -> bool:
        """Give a key to the tool, or let it move or step; whether it was used."""
        key, ctrl = Qt.Key(event.key()), bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        if key in _WAYS:
            return not ctrl and self._arrowed(key, shift=bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier))
        if key is Qt.Key.Key_Escape and self._arrows.give_up():
            return True
        self.settle()
        tool, rest = self.desk.tool, tool_at_rest(self.desk)
        if tool is not None:
            if self._worked(tool, key, event, ctrl=ctrl):
                return True
        elif rest is not None and self._rest_worked(rest, key, event, ctrl=ctrl):
            return True
        return not ctrl and self._looked(key, event.text())

    def released(self, event: QKeyEvent) -> bool:
        """An arrow was let go: keep what it did."""
        if event.key() in _WAYS and not event.isAutoRepeat():
            self.settle()
            return True
        return False

    def settle(self) -> None:
        """Keep what a held arrow showed."""
        self._arrows.settle()

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

    def _arrowed(self, key: Qt.Key, *, shift: bool) -> bool:
        """Nudge what is picked along the joint, else move the tape."""
        tool, place = self.desk.tool or tool_at_rest(self.desk), self._place()
        if tool is not None and place is not None and self.desk.job is not None:
            joint = self.desk.job.joints[place.joint]
            if self._arrows.nudged_by(
                tool, *arrow_along(joint, place.at_m, _WAYS[key] * self.desk.units.nudges_m[shift])
            ):
                return True
        reel = self.view.reel
        if reel is not None and key in {Qt.Key.Key_Left, Qt.Key.Key_Right}:
            self.view.hand.look(reel.panned(-_WAYS[key] * _PAN_PX))
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

    def _worked(self, tool: Tool, key: Qt.Key, event: QKeyEvent, *, ctrl: bool) -> bool:
        """Give a key to the tool in hand."""
        if key in _ENTER:
            return self._says_no(tool) or tool.entered(both=ctrl)
        if key is Qt.Key.Key_Escape:
            if not tool.escaped():
                self.desk.take_tool(None)
            return True
        if key is Qt.Key.Key_Backspace and tool.erased():
            return True
        if key is Qt.Key.Key_Delete:
            return tool.deleted()
        text = event.text()
        return not ctrl and len(text) == 1 and text.isprintable() and typed(tool, text)

    def _says_no(self, tool: Tool) -> bool:
        """Whether what is typed cannot be read, which the band then says."""
        sentence = tool.misread()
        if sentence:
            self.desk.troubled.emit(Trouble(sentence=sentence, grave=False))
        return bool(sentence)

    def _rest_worked(self, rest: HandleTool[Any], key: Qt.Key, event: QKeyEvent, *, ctrl: bool) -> bool:
        """Let keys change what is picked."""
        if key is Qt.Key.Key_Escape:
            return rest.escaped()
        if key is Qt.Key.Key_Delete:
            return rest.deleted()
        return not ctrl and len(event.text()) == 1 and rest.typed(event.text())

    def _looked(self, key: Qt.Key, text: str) -> bool:
        """Move, zoom, step, go back from a branch."""
        reel, hand = self.view.reel, self.view.hand
        if key is Qt.Key.Key_Backspace:
            return self.view.laying.back()
        if key is Qt.Key.Key_Home:
            self.view.fit()
        elif key in {Qt.Key.Key_Plus, Qt.Key.Key_Equal, Qt.Key.Key_Minus} and reel is not None:
            about = hand.on_tape.x() if hand.on_tape is not None else (reel.left + reel.right) / 2
            hand.look(reel.zoomed(1 / _STEP if key is Qt.Key.Key_Minus else _STEP, about))
        elif key is Qt.Key.Key_F2:
            open_facts(self.desk)
        elif key is Qt.Key.Key_Escape and self.desk.picked:
            self.desk.pick()
        else:
            tool = self.desk.tool
            return (tool is None or tool.overlay().field is None) and step_by_key(self.desk, text)
        return True
