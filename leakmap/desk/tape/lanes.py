"""Heights of the tape's lanes, px from its top; and how wide its head is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, NamedTuple

from leakmap.desk.tokens import COMPACT, TAPE_LIMITS, WIDE, Sizes

FIELD_PX: Final = 24.0
"""Left free at either end of the tape."""

FOOT_PX: Final = 4.0
_WITHOUT_BRANCHES: Final = 1.3
"""The height of all lanes for that of those above the branches."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lanes:
    """Where what lies.

    Attributes:
        bubble: Middle of the grid bubbles.
        leak: Middle of the lane of leaks.
        body: Top and bottom of the tape itself.
        zone: Top and bottom of the bands of zones.
        branch: Top of the first branch; its band is ``branch_high`` high.
        pitch: From one row of branches to the next.
        name: Middle of the name of a leak; the chainages stand below.
        height: Of the whole pane.
    """

    bubble: float
    leak: float
    body: tuple[float, float]
    zone: tuple[float, float]
    branch: float
    branch_high: float
    pitch: float
    name: float
    height: float

    @property
    def marked(self) -> tuple[float, float]:
        """Top and bottom of the marker over a leak or a zone."""
        return self.leak - 14.0, self.zone[1] + 6.0

    @property
    def rows(self) -> int:
        """How many rows of branches have room."""
        room = self.height - FOOT_PX - self.branch
        return max(int((room - self.branch_high) // self.pitch) + 1, 0) if room >= self.branch_high else 0

    def row(self, number: int) -> tuple[float, float]:
        """Top and bottom of a row of branches."""
        top = self.branch + number * self.pitch
        return top, top + self.branch_high


class _Usual(NamedTuple):
    """Measures of a layout at the usual size: bubble, leak, name, branch, its height and pitch; body and zone."""

    lines: tuple[float, float, float, float, float, float]
    bands: tuple[tuple[float, float], tuple[float, float]]


_WIDE: Final = _Usual((14, 50, 115, 152, 16, 23), ((66, 100), (116, 136)))
_COMPACT: Final = _Usual((12, 37, 90, 117, 14, 20), ((49, 77), (87, 105)))


def lanes_of(sizes: Sizes, height: float) -> Lanes:
    """The lanes of a layout, on a pane of some height.

    They grow with the tape's own height where letters are larger, as far as all but the branches has room.

    >>> lanes_of(WIDE, 184).rows, lanes_of(WIDE, 320).rows, lanes_of(COMPACT, 120).rows
    (1, 7, 0)
    """
    wide = sizes.wide
    by = min(sizes.tape, max(height * _WITHOUT_BRANCHES, TAPE_LIMITS[0])) / (WIDE if wide else COMPACT).tape
    usual = _WIDE if wide else _COMPACT
    bubble, leak, name, branch, high, pitch = (px * by for px in usual.lines)
    body, zone = ((low * by, top * by) for low, top in usual.bands)
    return Lanes(
        bubble=bubble, leak=leak, body=body, zone=zone, branch=branch, branch_high=high, pitch=pitch, name=name,
        height=height,
    )  # fmt: skip
