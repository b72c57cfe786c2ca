"""Sheets of paper and plot scales: which scale and which sheet a plan is printed at.

Sheets are the trimmed A sizes of ISO 216, borders those of ISO 5457 (20 mm on the filing edge, 10 mm
elsewhere; from memory), scales those of ISO 5455, extended by powers of ten.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count
from typing import Final

SHEETS_MM: Final = {"A4": (210, 297), "A3": (297, 420), "A2": (420, 594), "A1": (594, 841), "A0": (841, 1189)}
"""Short and long side, smallest sheet first."""

LARGEST_BY_DEFAULT: Final = "A1"
FILING_EDGE_MM: Final = 20.0
EDGE_MM: Final = 10.0
KEY_WIDTH_MM: Final = 50.0
TITLE_HEIGHT_MM: Final = 17.0
ROUND_PLAN_MM: Final = 12.0
"""Free strip round the plan, for labels."""

_FIGURES: Final = (1, 2, 5)


def iso_scales() -> Iterator[int]:
    """Denominators of the reduction scales of ISO 5455, largest scale first: 1, 2, 5, 10, 20, 50 and on."""
    for power in count():
        yield from (figure * 10**power for figure in _FIGURES)


@dataclass(frozen=True, slots=True)
class Layout:
    """A sheet of paper, the way it lies, and the plot scale.

    Attributes:
        sheet: Its name, such as "A2".
        width_mm: As it lies.
        height_mm: As it lies.
        scale: Denominator: 100 for 1:100.
    """

    sheet: str
    width_mm: float
    height_mm: float
    scale: int

    @property
    def frame_mm(self) -> tuple[float, float, float, float]:
        """The frame of the drawing space: left, bottom, right, top."""
        return FILING_EDGE_MM, EDGE_MM, self.width_mm - EDGE_MM, self.height_mm - EDGE_MM

    @property
    def field_mm(self) -> tuple[float, float, float, float]:
        """The field of the plan inside the frame: left, bottom, right, top."""
        left, bottom, right, top = self.frame_mm
        return left, bottom + TITLE_HEIGHT_MM, right - KEY_WIDTH_MM, top

    def takes(self, width_m: float, height_m: float) -> bool:
        """Whether a plan of this size fits, labels round it included."""
        left, bottom, right, top = self.field_mm
        room = right - left - 2 * ROUND_PLAN_MM, top - bottom - 2 * ROUND_PLAN_MM
        return width_m * 1000 / self.scale <= room[0] and height_m * 1000 / self.scale <= room[1]


def layouts(sheet: str, scale: int) -> tuple[Layout, Layout]:
    """A sheet lying across and standing."""
    short, long = SHEETS_MM[sheet]
    return Layout(sheet, long, short, scale), Layout(sheet, short, long, scale)


def layout_for(width_m: float, height_m: float, largest: str) -> Layout:
    """The paper for a plan: the largest scale that fits the largest sheet, then the smallest sheet that takes it.

    Args:
        width_m: Width of what is shown, greater than zero.
        height_m: Its height.
        largest: Name of the largest sheet that the office prints.
    """
    names = list(SHEETS_MM)
    allowed = names[: names.index(largest) + 1]
    for scale in iso_scales():
        if any(layout.takes(width_m, height_m) for layout in layouts(largest, scale)):
            return next(
                layout for name in allowed for layout in layouts(name, scale) if layout.takes(width_m, height_m)
            )
    raise AssertionError("scales are endless")
