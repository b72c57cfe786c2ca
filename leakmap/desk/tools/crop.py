"""Keep a part of a drawing only, where several plans stand on one sheet; reached from Layers (L).

The file is read again apart, and the part becomes the drawing of this level, or of another one.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from leakmap.base.errors import LeakmapError
from leakmap.desk.aside import Aside
from leakmap.desk.state import Desk
from leakmap.desk.tools.handles import ByClicks
from leakmap.desk.tools.tool import Choice, Overlay, OverlayLine, Pointer, Stroke
from leakmap.desk.tools.ways import CROP, layer_ways, sheet_on_plan
from leakmap.drawings.side_by_side import PlanInDrawing, plans_side_by_side
from leakmap.geometry.path import Box, Point
from leakmap.model.drawing import Drawing
from leakmap.model.sheet import Sheet
from leakmap.work.catch import NOTHING, Aim

_LEAST_PX: Final = 12.0
_MOST_DIGITS: Final = 9
_MOST_CELLS: Final = 4
_LONGEST: Final = 12


class Crop(ByClicks):
    """Crop: two clicks on opposite corners of the part to keep, or the number of a plan that was found."""

    name = "Layers"
    key = "L"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.start: Point | None = None
        self.box: Box | None = None  # absolute drawing units
        self.plans: tuple[PlanInDrawing, ...] = ()
        self._aside: Aside | None = None

    def taken(self) -> None:
        """Look for plans that stand side by side, aside."""
        super().taken()
        drawing = self._drawing()
        if drawing is not None:
            aside = self._aside = Aside(lambda: plans_side_by_side(drawing), self.desk)
            aside.finished.connect(self._found)

    def _found(self, plans: tuple[PlanInDrawing, ...]) -> None:
        self._aside = None
        if self.desk.tool is self:
            self.plans = plans[:_MOST_DIGITS]
            self.refresh()

    def settle(self) -> None:
        """Wait until plans were looked for."""
        if self._aside is not None:
            self._aside.settle()

    # What is said and seen -------------------------------------------------------------------------

    def sentence(self) -> str:
        """What the next click does."""
        sheet = sheet_on_plan(self.desk)
        if sheet is None:
            return "This level has no drawing."
        if self.box is not None:
            return f"Press Enter to keep this part only on {sheet.name}, or N to make another level of it."
        if self.start is not None:
            return "Click the opposite corner of the part to keep."
        found = f", or press 1 to {len(self.plans)} for a plan that was found" if self.plans else ""
        again = "; Enter shows all of the drawing again" if _is_cropped(sheet) else ""
        return f"Click one corner of the part to keep{found}{again}."

    def choices(self) -> tuple[Choice, ...]:
        """What becomes of the part; before there is one, the plans that were found and what else Layers does."""
        if self.box is not None:
            return (
                Choice(key="", words="this level", chosen=True, take=self._for_this),
                Choice(key="N", words="another level", take=self._for_another),
            )
        cells = (self._cell(number, plan) for number, plan in enumerate(self.plans[:_MOST_CELLS], start=1))
        return (*layer_ways(self.desk, CROP), *cells)

    def _cell(self, number: int, plan: PlanInDrawing) -> Choice:
        words = f"{number} {_short(plan.name)}".strip()
        return Choice(key=str(number), words=words, take=lambda: self._take_plan(number))

    def overlay(self) -> Overlay:
        """The rectangle in hand, and those of the plans that were found."""
        sheet = sheet_on_plan(self.desk)
        if sheet is None:
            return Overlay()
        box = self.box or self._to_hand(sheet)
        if box is not None:
            return Overlay(lines=(OverlayLine(points=_ring(sheet, box), closed=True),))
        rings = (_ring(sheet, plan.box) for plan in self.plans)
        return Overlay(lines=tuple(OverlayLine(points=ring, closed=True, stroke=Stroke.INK) for ring in rings))

    def aim(self) -> Aim:
        """The rectangle goes round the plan, not through its lines."""
        return NOTHING

    # What the hand does ----------------------------------------------------------------------------

    @property
    def begun(self) -> bool:
        """Whether a rectangle ends at the hand."""
        return self.start is not None and self.box is None

    def pressed(self, pointer: Pointer) -> None:
        """Take a corner; a third click starts anew."""
        self.pointer = pointer
        sheet = sheet_on_plan(self.desk)
        if sheet is None:
            return
        if self.start is None or self.box is not None:
            self.start, self.box = pointer.at, None
        elif min(abs(a - b) for a, b in zip(self.start, pointer.at, strict=True)) < _LEAST_PX * pointer.m_per_px:
            self.hint("That rectangle is too small; click the opposite corner of the part to keep.")
        else:
            self.box = self._to_hand(sheet)
        self.refresh()

    def typed(self, text: str) -> bool:
        """Digits take a plan that was found; N makes another level of the part."""
        if self.box is not None and text.upper() == "N":
            self._for_another()
            return True
        if self.box is None and text.isdecimal() and 1 <= int(text) <= len(self.plans):
            self._take_plan(int(text))
            return True
        return False

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Keep the part on this level, or show all of the drawing again."""
        sheet = sheet_on_plan(self.desk)
        if sheet is None or sheet.source is None:
            return False
        if self.box is not None:
            self._for_this()
            return True
        if self.start is None and _is_cropped(sheet):
            self.desk.reading_asked.emit(sheet.id, replace(sheet.source.reading, crop=None), False)
            return True
        return False

    @property
    def half_done(self) -> bool:
        """Whether a corner is clicked."""
        return self.start is not None

    def escaped(self) -> bool:
        """Take back the rectangle, then its first corner."""
        if self.box is None and self.start is None:
            return False
        self.start, self.box = None, None
        self.refresh()
        return True

    def let_go(self) -> None:
        """Nothing half-done stays."""
        self.start, self.box = None, None
        super().let_go()

    # Steps -----------------------------------------------------------------------------------------

    def _take_plan(self, number: int) -> None:
        self.start, self.box = None, self.plans[number - 1].box
        self.refresh()

    def _for_this(self) -> None:
        self._ask(as_new=False)

    def _for_another(self) -> None:
        self._ask(as_new=True)

    def _ask(self, *, as_new: bool) -> None:
        sheet, box = sheet_on_plan(self.desk), self.box
        if sheet is None or sheet.source is None or box is None:
            return
        self.start, self.box = None, None
        self.refresh()
        self.desk.reading_asked.emit(sheet.id, replace(sheet.source.reading, crop=box), as_new)

    def _to_hand(self, sheet: Sheet) -> Box | None:
        """The rectangle from its first corner to the hand, along the axes of the drawing."""
        if self.start is None or self.pointer is None:
            return None
        (x0, y0), (x1, y1) = map(sheet.placement.to_drawing, (self.start, self.pointer.at))
        box = (min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))
        return box if box[0] < box[2] and box[1] < box[3] else None

    def _drawing(self) -> Drawing | None:
        sheet = sheet_on_plan(self.desk)
        if sheet is None or self.desk.open_job is None:
            return None
        try:
            return self.desk.open_job.drawing(sheet.id)
        except LeakmapError:
            return None  # the plan says so where it shows the drawing


def _is_cropped(sheet: Sheet) -> bool:
    return sheet.source is not None and sheet.source.reading.crop is not None


def _ring(sheet: Sheet, box: Box) -> tuple[Point, ...]:
    """The corners of a rectangle of the drawing in the site plane."""
    left, bottom, right, top = box
    return tuple(map(sheet.placement.to_site, ((left, bottom), (right, bottom), (right, top), (left, top))))


def _short(words: str) -> str:
    """The start of a name.

    >>> _short("Level B2"), _short("Basement, east wing")
    ('Level B2', 'Basement,…')
    """
    return words if len(words) <= _LONGEST else f"{words[: _LONGEST - 2].rstrip()}…"
