"""Asking for words in a live field that holds what is there: names, days, notes.

What asks is taken by a key or by what has just been done, not by a button, and gives the hand back the
tool that it had.
"""

from __future__ import annotations

from typing import Final

from leakmap.desk.state import Desk
from leakmap.desk.tools.fields import Fields, Part, TakesFigures
from leakmap.desk.tools.handles import Gesture
from leakmap.desk.tools.tool import LiveField, Overlay, Pointer
from leakmap.geometry.path import Point
from leakmap.work.catch import NOTHING, Aim

_SHOWN: Final = 44
"""Characters of a part that are shown; of a longer one, its end."""


class Held(Fields):
    """Parts that hold what is there: the first character typed in a part replaces it, Backspace changes it.

    Attributes:
        fresh: Whether the part in hand was not touched yet.
    """

    def __init__(self, desk: Desk, *parts: Part, texts: tuple[str, ...]) -> None:
        super().__init__(desk, *parts)
        self.texts = list(texts)
        self.fresh = True

    def typed(self, text: str) -> bool:
        """Take one character; whether it was used."""
        before = self.texts[self.active]
        if self.fresh:
            self.texts[self.active] = ""
        if not super().typed(text):
            self.texts[self.active] = before
            return False
        self.fresh = False
        return True

    def erased(self) -> bool:
        """Take the last character back; whether there was one."""
        self.fresh = False
        return super().erased()

    def emptied(self) -> None:
        """Leave nothing in the part in hand."""
        self.texts[self.active], self.fresh = "", False

    def next(self) -> None:
        """Go to the next part."""
        super().next()
        self.fresh = True


class Asking(TakesFigures, Gesture):
    """Asks for words at a place of the plan.

    Args:
        desk: The desk.
        fields: The parts, with what is there.
        empty: What a part says while nothing stands in it.
        at: The place that the field stands beside; None: where the hand is.

    Attributes:
        before: The tool that the hand had, and gets back.
    """

    by_cross = False
    fields: Held

    def __init__(self, desk: Desk, fields: Held, *, empty: tuple[str, ...], at: Point | None = None) -> None:
        super().__init__(desk)
        self.fields, self._empty = fields, empty
        self._at = at or (desk.caught.raw if desk.caught is not None else (0.0, 0.0))
        self.before = desk.tool

    def take(self) -> bool:
        """Do what the words mean; False where that was refused, which the band says."""
        raise NotImplementedError

    def aim(self) -> Aim:
        """A click on the plan means no place."""
        return NOTHING

    def overlay(self) -> Overlay:
        """The live field alone."""
        measures = tuple(text or empty for text, empty in zip(self.fields.texts, self._empty, strict=True))
        live = self.fields.live(self._at, measures)
        texts = tuple(_tail(text) for text in live.texts)
        typed = bool(self.fields.fresh and self.fields.texts[self.fields.active])
        field = LiveField(at=live.at, texts=texts, units=live.units, active=live.active, typed=typed)
        return Overlay(field=field)

    def pressed(self, pointer: Pointer) -> None:  # noqa: ARG002 - wherever it is
        """A click beside the field takes what stands in it."""
        self.entered()

    def typed(self, text: str) -> bool:
        """Into the part in hand; what that does not take means nothing else either."""
        super().typed(text)
        return True

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Take what stands in the field and go back; where it is refused, it can be typed again."""
        if self.take():
            self._back()
        else:
            self.refresh()
        return True

    def deleted(self) -> bool:
        """Empty the part in hand."""
        self.fields.emptied()
        self.figures_changed()
        return True

    def escaped(self) -> bool:
        """Go back; everything is as it was."""
        self._back()
        return True

    def let_go(self) -> None:
        """Another level: what is asked about does not lie on it."""
        super().let_go()
        if self.desk.tool is self:
            self._back()

    def _back(self) -> None:
        if self.desk.tool is self:
            self.desk.take_tool(self.before)


def _tail(text: str) -> str:
    """The end of a long text.

    >>> _tail("cold"), len(_tail("x" * 60))
    ('cold', 44)
    """
    return text if len(text) <= _SHOWN else f"…{text[1 - _SHOWN :]}"
