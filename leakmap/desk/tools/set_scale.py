"""Set or check the scale of a drawing by lengths that are known on site."""

from __future__ import annotations

from math import hypot
from typing import Final

from leakmap.base.errors import LeakmapError
from leakmap.desk.state import Desk
from leakmap.desk.tools.fields import Fields, Part
from leakmap.desk.tools.handles import ByClicks
from leakmap.desk.tools.tool import Choice, Overlay, OverlayLine, Pointer
from leakmap.desk.tools.ways import KNOWN_LENGTH, scale_ways
from leakmap.desk.trouble import Answer, Trouble
from leakmap.geometry.path import Point
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M
from leakmap.model.sheet import (
    AGREE_SHARE,
    KnownLength,
    Sheet,
    can_scale_each_way,
    scale_is_checked,
    third_length_needed,
    unscaled_unit,
)
from leakmap.work.catch import Aim
from leakmap.work.edits.edit import Edit, refused
from leakmap.work.edits.scales import add_known_length, scale_each_way
from leakmap.work.typed import Entry, typed_length

_TICK_PX: Final = 7.0


class SetScale(ByClicks):
    """Set scale (S)."""

    name = "Set scale"
    key = "S"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.ends: list[Point] = []
        self.fields = Fields(desk, Part(Entry.LENGTH, "on site"))

    # What is said and seen -------------------------------------------------------------------------

    @property
    def sheet(self) -> Sheet | None:
        """The level whose drawing is measured."""
        if self.desk.open_job is None or self.desk.level is None:
            return None
        return self.kept.sheets.get(self.desk.level)

    def sentence(self) -> str:
        """What the next click does."""
        sheet = self.sheet
        if sheet is None:
            return "Import a drawing first."
        if sheet.source is None:
            return f"{sheet.name} has no drawing, so its lengths are true; it needs no scale."
        if self.ends:
            typing = len(self.ends) == 2
            return (
                f"Type its length on site in {self.desk.units.words} and press Enter."
                if typing
                else "Click the other end of the length."
            )
        return self._first_click(sheet)

    @staticmethod
    def _first_click(sheet: Sheet) -> str:
        if not sheet.lengths:
            return "Click one end of a length you know, such as from one grid axis to the last."
        if scale_is_checked(sheet):
            return "The scale is checked; Esc leaves. Click one end of another length to check it again."
        if third_length_needed(sheet):
            return "The two ways differ. Click one end of a third length, to tell which of the two is right."
        return "Now check it the other way: click one end of a length across the first."

    def choices(self) -> tuple[Choice, ...]:
        """What else is done with the drawing here."""
        return scale_ways(self.desk, KNOWN_LENGTH)

    def overlay(self) -> Overlay:
        """The length in hand between two ticks, with what it measures on the drawing as it is placed."""
        points = self._points()
        if len(points) < 2 or points[0] == points[1]:
            return Overlay()
        (x0, y0), (x1, y1) = points
        length = hypot(x1 - x0, y1 - y0)
        m_per_px = self.pointer.m_per_px if self.pointer is not None else 0.01
        across = -(y1 - y0) / length * _TICK_PX * m_per_px, (x1 - x0) / length * _TICK_PX * m_per_px
        ticks = (
            OverlayLine(points=((x - across[0], y - across[1]), (x + across[0], y + across[1]))) for x, y in points
        )
        middle, measure = ((x0 + x1) / 2, (y0 + y1) / 2), self._measure(length)
        return Overlay(lines=(OverlayLine(points=points), *ticks), field=self.fields.live(middle, (measure,)))

    def aim(self) -> Aim:
        """Lengths are read off the drawing."""
        return Aim(drawing_only=True)

    # What the hand does ----------------------------------------------------------------------------

    @property
    def begun(self) -> bool:
        """Whether the length ends at the hand."""
        return len(self.ends) == 1

    def pressed(self, pointer: Pointer) -> None:
        """Take an end; a third click starts anew."""
        self.pointer = pointer
        sheet = self.sheet
        if sheet is None or sheet.source is None:
            self.desk.said.emit(self.sentence())
            return
        at = self._straight(pointer)
        if len(self.ends) == 1 and _apart(self.ends[0], at) <= DRAWING_TOLERANCE_M:
            return
        self.ends = [*self.ends, at] if len(self.ends) == 1 else [at]
        self.fields.clear()
        self.refresh()

    def typed(self, text: str) -> bool:
        """Digits are the length on site."""
        if len(self.ends) < 2 or not self.fields.typed(text):
            return False
        self.refresh()
        return True

    def erased(self) -> bool:
        """Take back the last digit, else the last end."""
        if self.fields.erased():
            self.refresh()
            return True
        return self.escaped()

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Keep the length that was typed."""
        if len(self.ends) < 2:
            return False
        doubt = self._doubt()
        edit = self.keep(self._deed)
        if edit is not None:
            self.ends = []
            self.fields.clear()
            if doubt:
                self.desk.said.emit(doubt)
            elif self.sheet is not None and can_scale_each_way(self.sheet):
                each_way = Answer(words="Each way its own scale", give=lambda: give_each_way(self.desk))
                self.desk.troubled.emit(Trouble(sentence=" ".join(edit.said), answers=(each_way,), waits=False))
        self.refresh()
        return True

    @property
    def half_done(self) -> bool:
        """Whether an end is clicked."""
        return bool(self.ends)

    def escaped(self) -> bool:
        """Step back: first what was typed, then end by end."""
        if self.fields:
            self.fields.clear()
        elif self.ends:
            self.ends.pop()
        else:
            return False
        self.refresh()
        return True

    def let_go(self) -> None:
        """Nothing half-done stays."""
        self.ends = []
        super().let_go()

    # Steps -----------------------------------------------------------------------------------------

    def _measure(self, length_m: float) -> str:
        """What a length measures on the drawing as it is placed; a dash where nothing says how large it is."""
        sheet = self.sheet
        unknown = sheet is not None and unscaled_unit(sheet) is not None
        return "—" if unknown else self.desk.units.shown(length_m)

    def _points(self) -> tuple[Point, ...]:
        if len(self.ends) == 1 and self.pointer is not None:
            return self.ends[0], self._straight(self.pointer)
        return tuple(self.ends)

    def _straight(self, pointer: Pointer) -> Point:
        """Where the hand is; with Shift level or upright from the first end."""
        return straight(self.ends[0], pointer) if len(self.ends) == 1 else pointer.at

    def _doubt(self) -> str:
        """What to say of a first length that disagrees with the unit that the file gives; empty for nothing."""
        sheet, length, (a, b) = self.sheet, self.fields.figure(0), self.ends
        if sheet is None or sheet.lengths or not length or not self._unit_known(sheet):
            return ""
        drawn, units = _apart(a, b), self.kept.units
        if abs(drawn / length - 1) <= AGREE_SHARE:
            return ""
        return (
            f"By the unit of {sheet.source.name if sheet.source else 'the drawing'} this is {units.said(drawn)},"
            f" not {units.said(length)}. If the drawing is right, undo and click its ends again."
        )

    def _unit_known(self, sheet: Sheet) -> bool:
        """Whether the file, or the user at import, gave a unit."""
        assert self.desk.open_job is not None
        if sheet.source is None or sheet.source.unit is not None:
            return sheet.source is not None
        try:
            drawing = self.desk.open_job.drawing(sheet.id)
        except LeakmapError:
            return False  # the plan says so where it shows the drawing
        return drawing is not None and drawing.unit.m_per_unit is not None

    def _deed(self) -> Edit:
        sheet = self.sheet
        assert sheet is not None
        length = typed_length(self.fields.texts[0], self.desk.units)
        if length is None:
            raise refused("Type how long it is on site.")
        start, end = (sheet.placement.to_drawing(point) for point in self.ends)
        return add_known_length(self.kept, sheet=sheet.id, known=KnownLength(start=start, end=end, length_m=length))


def give_each_way(desk: Desk) -> None:
    """Give each way of the drawing on the plan its own scale."""
    job, level = desk.job, desk.level
    if job is not None and level is not None and desk.may_change():
        desk.attempt(lambda: desk.do(scale_each_way(job, sheet=level, each_way=True)))


def straight(start: Point, pointer: Pointer) -> Point:
    """Where the hand is; with Shift along x or along y from a start, whichever is nearer."""
    (x0, y0), (x, y) = start, pointer.at
    if not pointer.shift:
        return x, y
    return (x, y0) if abs(x - x0) >= abs(y - y0) else (x0, y)


def _apart(a: Point, b: Point) -> float:
    return hypot(b[0] - a[0], b[1] - a[1])
