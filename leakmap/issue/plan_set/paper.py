"""Sheets of a plan set: sizes, frame, fields of the frame, and the field that the plan is drawn in.

ISO sheets are those of ISO 216. Borders of 20 mm at the filing edge and 10 mm elsewhere, and fields of 50 mm counted
from the centring marks, the last of them taking what is left, are those of ISO 5457 (from memory; the counts of fields
read in a table of a drawing course). US sheets are those of ASME Y14.1 and the architectural series (both from memory),
with the same borders (ours).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from leakmap.geometry.path import Box
from leakmap.issue.schedule_pdf.paper import EDGE_MM, FILING_EDGE_MM, series_of, taken_sheet
from leakmap.model.grid import LETTERS

FIELD_MM: Final = 50.0
"""Length of a field of the frame."""

BAND_MM: Final = 5.0
"""Width of the band outside the frame that holds the letters and numbers of the fields."""

TITLE_WIDTH_MM: Final = 180.0
"""Width of the title block, at most: that of a standing A4 sheet inside its borders (ISO 7200, from memory)."""

TITLE_HEIGHT_MM: Final = 40.0
SIDE_MM: Final = 54.0
"""Width of the column at the right that holds key plan and key."""

ROUND_PLAN_MM: Final = 12.0
"""Free strip round what is to be seen whole, for labels."""

_LEAST_HEIGHT_MM: Final = 260.0


def allowed(largest: str) -> dict[str, tuple[float, float]]:
    """Sheets of the series of the largest one that the office prints, up to that one; A sizes where nobody knows it.

    The smallest sheet of a series has little room beside its title block; it is taken where nothing larger may be.

    >>> list(allowed("ARCH C")), list(allowed("B7")), list(allowed("A4"))
    (['ARCH B', 'ARCH C'], ['A3', 'A2', 'A1'], ['A4'])
    """
    series = series_of(largest)
    names = list(series)
    last = names.index(taken_sheet(largest))
    return {name: series[name] for name in names[min(last, 1) : last + 1]}


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet of paper as it lies.

    Attributes:
        name: Such as "A1" or "ARCH D".
    """

    name: str
    width_mm: float
    height_mm: float

    @property
    def frame_mm(self) -> Box:
        """The frame of the drawing space: left, bottom, right, top."""
        return FILING_EDGE_MM, EDGE_MM, self.width_mm - EDGE_MM, self.height_mm - EDGE_MM

    @property
    def narrow(self) -> bool:
        """Whether the title block takes the whole width, so that the revisions stand over it."""
        left, _, right, _ = self.frame_mm
        return right - left < TITLE_WIDTH_MM + 80

    @property
    def title_mm(self) -> Box:
        """The title block, at the lower right of the frame."""
        left, bottom, right, _ = self.frame_mm
        return max(left, right - TITLE_WIDTH_MM), bottom, right, bottom + TITLE_HEIGHT_MM

    @property
    def strip_mm(self) -> Box:
        """The strip along the foot of the frame: title block and revisions."""
        left, bottom, right, _ = self.frame_mm
        return left, bottom, right, bottom + TITLE_HEIGHT_MM * (1.6 if self.narrow else 1)

    @property
    def field_mm(self) -> Box:
        """Where the plan is drawn."""
        left, _, right, top = self.frame_mm
        return left, self.strip_mm[3], right - SIDE_MM, top

    @property
    def room_mm(self) -> tuple[float, float]:
        """Width and height of what can be seen whole in the field, with labels round it."""
        left, bottom, right, top = self.field_mm
        return right - left - 2 * ROUND_PLAN_MM, top - bottom - 2 * ROUND_PLAN_MM


def both_ways(name: str, sides_mm: tuple[float, float]) -> tuple[Paper, Paper]:
    """A sheet lying across and standing."""
    short, long = sides_mm
    return Paper(name, long, short), Paper(name, short, long)


def ways(name: str, sides_mm: tuple[float, float]) -> tuple[Paper, ...]:
    """The ways in which a sheet may lie: the smallest stands, or its key would find no room beside the plan."""
    across, standing = both_ways(name, sides_mm)
    return (standing,) if across.height_mm < _LEAST_HEIGHT_MM else (across, standing)


@dataclass(frozen=True, slots=True)
class FrameField:
    """A field of the frame along one side: its name, and where it begins and ends on the page, mm."""

    name: str
    from_mm: float
    to_mm: float


def frame_fields(paper: Paper) -> tuple[tuple[FrameField, ...], tuple[FrameField, ...]]:
    """Fields with numbers from left to right, and fields with letters, without I and O, from top to bottom.

    >>> [len(fields) for fields in frame_fields(Paper("A1", 841, 594))]
    [16, 12]
    """
    left, bottom, right, top = paper.frame_mm
    across = [(str(number), *ends) for number, ends in enumerate(_fields(left, right), start=1)]
    down = list(reversed(_fields(bottom, top)))
    lettered = [(LETTERS[number], *ends) for number, ends in enumerate(down)]
    return tuple(FrameField(*field) for field in across), tuple(FrameField(*field) for field in lettered)


def _fields(low: float, high: float) -> list[tuple[float, float]]:
    middle, half = (low + high) / 2, max(round((high - low) / 2 / FIELD_MM), 1)
    stops = [low, *(middle + FIELD_MM * step for step in range(1 - half, half)), high]
    return list(pairwise(stops))
