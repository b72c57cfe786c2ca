"""What part of a joint the tape shows: chainages to pixels and back."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

MOST_PX_PER_M: Final = 400.0
"""Nearer than this a tape is never zoomed, unless all of the joint needs less room."""

_BEYOND_PX: Final = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Reel:
    """A joint on a field of the screen.

    Attributes:
        length_m: Length of the joint, greater than zero.
        left: Left edge of the field, px.
        right: Right edge, px, greater than ``left``.
        px_per_m: How large a metre is shown; 0: as large as all of the joint can be.
        from_m: Chainage at the left edge.
    """

    length_m: float
    left: float
    right: float
    px_per_m: float = 0.0
    from_m: float = 0.0

    def __post_init__(self) -> None:
        """Keep the zoom between its limits, and the tape in its field."""
        fit = (self.right - self.left) / self.length_m
        px_per_m = min(max(self.px_per_m, fit), max(MOST_PX_PER_M, fit))
        room_m = (self.right - self.left) / px_per_m
        object.__setattr__(self, "px_per_m", px_per_m)
        object.__setattr__(self, "from_m", min(max(self.from_m, 0.0), max(self.length_m - room_m, 0.0)))

    @property
    def fits(self) -> bool:
        """Whether all of the joint is shown."""
        return self.px_per_m * self.length_m <= self.right - self.left + 1e-6

    @property
    def ends(self) -> tuple[float, float]:
        """Pixels of both ends of the joint, or of places well outside of the pane that it goes on beyond."""
        return max(self.x(0.0), self.left - _BEYOND_PX), min(self.x(self.length_m), self.right + _BEYOND_PX)

    @property
    def to_m(self) -> float:
        """Chainage at the right edge."""
        return min(self.from_m + (self.right - self.left) / self.px_per_m, self.length_m)

    def x(self, at_m: float) -> float:
        """The pixel of a chainage.

        >>> Reel(length_m=10.0, left=20.0, right=520.0).x(3.0)
        170.0
        """
        return self.left + (at_m - self.from_m) * self.px_per_m

    def at(self, x: float) -> float:
        """The chainage of a pixel; outside the joint its nearer end.

        >>> reel = Reel(length_m=10.0, left=20.0, right=520.0)
        >>> reel.at(170.0), reel.at(0.0), reel.at(600.0)
        (3.0, 0.0, 10.0)
        """
        return min(max(self.from_m + (x - self.left) / self.px_per_m, 0.0), self.length_m)

    def fitted(self) -> Reel:
        """All of the joint."""
        return replace(self, px_per_m=0.0, from_m=0.0)

    def zoomed(self, factor: float, about: float) -> Reel:
        """Nearer (``factor`` above 1) or farther; the chainage under the pixel ``about`` stays there where it can.

        >>> near = Reel(length_m=10.0, left=0.0, right=500.0).zoomed(2.0, 300.0)
        >>> near.px_per_m, near.at(300.0), near.from_m
        (100.0, 6.0, 3.0)
        """
        there_m = self.from_m + (about - self.left) / self.px_per_m
        near = replace(self, px_per_m=self.px_per_m * factor)
        return replace(near, from_m=there_m - (about - self.left) / near.px_per_m)

    def panned(self, right_px: float) -> Reel:
        """The tape moved by pixels."""
        return replace(self, from_m=self.from_m - right_px / self.px_per_m)

    def showing(self, at_m: float) -> Reel:
        """The tape moved, where needed, so that a chainage is in its middle."""
        if self.from_m <= at_m <= self.to_m:
            return self
        return replace(self, from_m=at_m - (self.right - self.left) / self.px_per_m / 2)
