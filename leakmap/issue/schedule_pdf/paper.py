"""Sheets of paper and plot scales: which scale and which sheet a plan is printed at.

Sheets are the trimmed A sizes of ISO 216, or where the office prints US sheets those of ASME Y14.1 and the
architectural series (both from memory); borders those of ISO 5457 (20 mm on the filing edge, 10 mm
elsewhere; from memory), scales those of ISO 5455, extended by powers of ten.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import count, takewhile
from typing import Final

SHEETS_MM: Final = {"A4": (210, 297), "A3": (297, 420), "A2": (420, 594), "A1": (594, 841), "A0": (841, 1189)}
"""Short and long side, smallest sheet first."""

_INCH_MM: Final = 25.4
_ANSI_IN: Final[Mapping[str, tuple[float, float]]] = {
    "A": (8.5, 11),
    "B": (11, 17),
    "C": (17, 22),
    "D": (22, 34),
    "E": (34, 44),
}
_ARCH_IN: Final[Mapping[str, tuple[float, float]]] = {
    "A": (9, 12),
    "B": (12, 18),
    "C": (18, 24),
    "D": (24, 36),
    "E": (36, 48),
}


def _in_mm(series: str, sizes: Mapping[str, tuple[float, float]]) -> dict[str, tuple[float, float]]:
    return {f"{series} {name}": (short * _INCH_MM, long * _INCH_MM) for name, (short, long) in sizes.items()}


SERIES_MM: Final[tuple[dict[str, tuple[float, float]], ...]] = (
    {name: (float(short), float(long)) for name, (short, long) in SHEETS_MM.items()},
    _in_mm("ANSI", _ANSI_IN),
    _in_mm("ARCH", _ARCH_IN),
)
"""Series of sheets, each with the short and the long side by name, smallest sheet first."""

SHEET_NAMES: Final = tuple(name for series in SERIES_MM for name in reversed(series))
"""Every sheet that papers are laid out on, series by series, the largest first."""

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


def scales_up_to(scale: int) -> list[int]:
    """Those scales that are no smaller than one of them, largest scale first.

    >>> scales_up_to(20)
    [1, 2, 5, 10, 20]
    """
    return list(takewhile(lambda each: each <= scale, iso_scales()))


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


def series_of(largest: str) -> Mapping[str, tuple[float, float]]:
    """The series of sheets that the largest one belongs to; the A sizes where nobody knows it.

    >>> list(series_of("ANSI D"))[:2], list(series_of("B7"))[:2]
    (['ANSI A', 'ANSI B'], ['A4', 'A3'])
    """
    return next((series for series in SERIES_MM if largest in series), SERIES_MM[0])


def taken_sheet(largest: str) -> str:
    """The largest sheet that is taken: the one of that name, or the usual one where nobody knows it.

    >>> taken_sheet("ARCH C"), taken_sheet("B7")
    ('ARCH C', 'A1')
    """
    return largest if largest in series_of(largest) else LARGEST_BY_DEFAULT


def smallest_sheet(largest: str) -> str:
    """The smallest sheet of the series of the largest one: room enough for a level on which nothing is to be seen.

    >>> smallest_sheet("ARCH C"), smallest_sheet("A1")
    ('ARCH A', 'A4')
    """
    return next(iter(series_of(largest)))


def layouts(sheet: str, scale: int) -> tuple[Layout, Layout]:
    """A sheet lying across and standing."""
    short, long = series_of(sheet)[sheet]
    return Layout(sheet, long, short, scale), Layout(sheet, short, long, scale)


def layout_for(width_m: float, height_m: float, largest: str) -> Layout:
    """The paper for a plan: the largest scale that fits the largest sheet, then the smallest sheet that takes it.

    Args:
        width_m: Width of what is shown, greater than zero.
        height_m: Its height.
        largest: Name of the largest sheet that the office prints.
    """
    names = list(series_of(largest))
    allowed = names[: names.index(largest) + 1]
    for scale in iso_scales():
        if any(layout.takes(width_m, height_m) for layout in layouts(largest, scale)):
            return next(
                layout for name in allowed for layout in layouts(name, scale) if layout.takes(width_m, height_m)
            )
    raise AssertionError("scales are endless")
