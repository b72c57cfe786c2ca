"""The live field's parts under typing: what stands in each, and which one digits go to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from leakmap.base.length_text import metres_so_far, why_no_length
from leakmap.desk.state import Desk
from leakmap.desk.tools.tool import LiveField, Tool
from leakmap.geometry.path import Point
from leakmap.work.typed import LENGTHS, Entry, figure, grown


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a live field.

    Attributes:
        entry: What it takes.
        unit: What stands behind it; behind a length, what stands behind its unit.
    """

    entry: Entry
    unit: str = ""


class Fields:
    """Parts of a live field; each says what is typed, or else a measure."""

    def __init__(self, desk: Desk, *parts: Part) -> None:
        self._desk = desk
        self.parts = parts
        self.texts = [""] * len(parts)
        self.active = 0

    def __bool__(self) -> bool:
        """Whether anything is typed."""
        return any(self.texts)

    def clear(self) -> None:
        """Forget what was typed; digits go to the first part again."""
        self.texts = [""] * len(self.parts)
        self.active = 0

    def typed(self, text: str) -> bool:
        """Take one character; whether it was used."""
        now = grown(self.parts[self.active].entry, self.texts[self.active], text, self._desk.units)
        if now is None:
            return False
        self.texts[self.active] = now
        return True

    def erased(self) -> bool:
        """Take the last character back; whether there was one."""
        if not self.texts[self.active]:
            return False
        self.texts[self.active] = self.texts[self.active][:-1]
        return True

    def next(self) -> None:
        """Go to the next part."""
        self.active = (self.active + 1) % len(self.parts)

    def figure(self, part: int) -> float | None:
        """The number typed in a part, metres of a length, as far as it is typed; None: none."""
        text = self.texts[part]
        return metres_so_far(text, self._desk.units) if self.parts[part].entry in LENGTHS else figure(text)

    def misread(self) -> str:
        """Why what is typed says no length; empty where every part can be read."""
        lengths = (text for part, text in zip(self.parts, self.texts, strict=True) if part.entry in LENGTHS)
        return next(filter(None, (why_no_length(text, self._desk.units) for text in lengths)), "")

    def _unit(self, part: Part) -> str:
        return self._desk.units.before(part.unit) if part.entry in LENGTHS else part.unit

    def live(self, at: Point, measures: Sequence[str], units: Sequence[str] | None = None) -> LiveField:
        """The live field: what is typed, else the measures; ``units`` where they are not always the same."""
        return LiveField(
            at=at,
            texts=tuple(typed or measure for typed, measure in zip(self.texts, measures, strict=True)),
            units=tuple(map(self._unit, self.parts)) if units is None else tuple(units),
            active=self.active,
            typed=bool(self.texts[self.active]),
        )


class TakesFigures(Tool):
    """Mixed into a tool with a live field: what is typed goes to the parts of its field.

    Attributes:
        fields: The parts.
    """

    fields: Fields

    def taking(self) -> bool:
        """Whether figures are taken now."""
        return True

    def figures_changed(self) -> None:
        """Show what the figures mean now."""
        self.refresh()

    def misread(self) -> str:
        """Why what is typed says no length."""
        return self.fields.misread()

    def typed(self, text: str) -> bool:
        """Into the part in hand."""
        if not self.taking() or not self.fields.typed(text):
            return False
        self.figures_changed()
        return True

    def tabbed(self) -> bool:
        """To the next part."""
        if not self.taking():
            return False
        self.fields.next()
        self.refresh()
        return True

    def erased(self) -> bool:
        """Take back the last character."""
        if not self.fields.erased():
            return False
        self.figures_changed()
        return True
