"""What keys do on any surface: they work the tool in hand, nudge or change what is picked, and move what is shown."""

from __future__ import annotations

from typing import Any, ClassVar, Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from leakmap.desk.plan.arrows import ARROWS, Arrows
from leakmap.desk.state import Desk
from leakmap.desk.tools.at_rest import tool_at_rest
from leakmap.desk.tools.by_letter import typed
from leakmap.desk.tools.handles import HandleTool
from leakmap.desk.tools.tool import Tool
from leakmap.desk.trouble import Trouble

PAN_PX: Final = 60.0
"""How far an arrow moves what is shown."""

STEP: Final = 2**0.5
"""How much nearer plus brings it."""

ENTER: Final = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
_PLAIN: Final = Qt.KeyboardModifier.NoModifier | Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier


class SurfaceKeys:
    """The keys of one surface.

    Args:
        desk: The desk.
        arrows: What a held arrow does.
    """

    own: ClassVar[frozenset[Qt.Key]] = frozenset(
        (*ARROWS, *ENTER, Qt.Key.Key_Backspace, Qt.Key.Key_Delete, Qt.Key.Key_Home, Qt.Key.Key_F2, Qt.Key.Key_Plus,
         Qt.Key.Key_Minus, Qt.Key.Key_Equal)
    )  # fmt: skip
    """Keys that are the surface's although the window has a use for them."""

    def __init__(self, desk: Desk, arrows: Arrows) -> None:
        self.desk = desk
        self.arrows = arrows

    def wants(self, event: QKeyEvent) -> bool:
        """Whether a key is the surface's although the window has a use for it."""
        if event.modifiers() & ~(_PLAIN | Qt.KeyboardModifier.ControlModifier):
            return False
        ctrl = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        if event.key() in self.own:
            return not ctrl or event.key() in ENTER
        sign, tool = event.text(), self.desk.tool
        if ctrl or tool is None or len(sign) != 1 or not sign.isprintable():
            return False
        return not sign.isalpha() or tool.overlay().field is not None

    def pressed(self, event: QKeyEvent) -> bool:
        """Give a key to the tool, or let it change what is picked or shown; whether it was used."""
        key, ctrl = Qt.Key(event.key()), bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        if key in ARROWS:
            return self._arrowed(key, event, ctrl=ctrl)
        if key is Qt.Key.Key_Escape and self.arrows.give_up():
            return True
        self.arrows.settle()
        tool, rest = self.desk.tool, tool_at_rest(self.desk)
        if tool is not None:
            if self._worked(tool, key, event, ctrl=ctrl):
                return True
        elif rest is not None and self._rest_worked(rest, key, event, ctrl=ctrl):
            return True
        return not ctrl and self._looked(key, event)

    def released(self, event: QKeyEvent) -> bool:
        """Keep what an arrow did that is let go of; whether it was one."""
        if event.key() in ARROWS and not event.isAutoRepeat():
            self.arrows.settle()
            return True
        return False

    def tabbed(self, event: QKeyEvent) -> bool:
        """Tab goes to the next part of the live field; whether there is one."""
        tool = self.desk.tool
        return event.key() == Qt.Key.Key_Tab and tool is not None and tool.tabbed()

    def let_go(self) -> None:
        """No key is held any more."""
        self.arrows.settle()

    def _arrowed(self, key: Qt.Key, event: QKeyEvent, *, ctrl: bool) -> bool:
        """Nudge what is picked, else move what is shown."""
        raise NotImplementedError

    def _looked(self, key: Qt.Key, event: QKeyEvent) -> bool:
        """Show something else."""
        raise NotImplementedError

    def _worked(self, tool: Tool, key: Qt.Key, event: QKeyEvent, *, ctrl: bool) -> bool:
        """Give a key to the tool in hand."""
        if key in ENTER:
            return self._says_no(tool) or tool.entered(both=ctrl)
        if key is Qt.Key.Key_Escape:
            if not tool.escaped():
                self.desk.take_tool(None)
            return True
        if key is Qt.Key.Key_Backspace:
            return tool.erased()
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

    def _may_step(self) -> bool:
        """Whether another thing may be picked: nothing is half-done that a tool shows with its live field."""
        tool = self.desk.tool
        return tool is None or tool.overlay().field is None
