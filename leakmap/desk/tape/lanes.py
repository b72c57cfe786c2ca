"""Heights of the tape's lanes, px from its top; and how wide its head is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from leakmap.desk.tokens import WIDE, Sizes

FIELD_PX: Final = 24.0
"""Left free at either end of the tape."""

FOOT_PX: Final = 4.0


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
        name: Baseline of the name of a leak; the chainages stand below.
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


def lanes_of(sizes: Sizes, height: float) -> Lanes:
    """The lanes of a layout, on a pane of some height.

    >>> from leakmap.desk.tokens import COMPACT
    >>> lanes_of(WIDE, 184).rows, lanes_of(WIDE, 320).rows, lanes_of(COMPACT, 120).rows
    (1, 7, 0)
    """
    if sizes is WIDE:
        return Lanes(
            bubble=14, leak=50, body=(66, 100), zone=(116, 136), branch=152, branch_high=16, pitch=23, name=120,
            height=height,
        )  # fmt: skip
    return Lanes(
        bubble=12, leak=37, body=(49, 77), zone=(87, 105), branch=117, branch_high=14, pitch=20, name=95, height=height
    )
