"""Where the site lies on the screen: metres to pixels and back.

Site y goes up, screen y goes down. A camera is a value: moving it gives another one.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from leakmap.geometry.path import Box, Point

LEAST_PX_PER_M: Final = 0.5
MOST_PX_PER_M: Final = 2000.0
LEAST_M: Final = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """What part of the site a field of the screen shows.

    Attributes:
        px_per_m: Pixels for one metre, greater than zero.
        centre: Site position shown in the middle of the field, metres.
        field: The field on the screen: left, top, right, bottom, pixels.
        farthest: Pixels for one metre that zooming ends at; a fitted camera can always go to half its own.
        nearest: The same for zooming in.
    """

    px_per_m: float = 30.0
    centre: Point = (0.0, 0.0)
    field: Box = (0.0, 0.0, 100.0, 100.0)
    farthest: float = LEAST_PX_PER_M
    nearest: float = MOST_PX_PER_M

    @property
    def middle(self) -> Point:
        """Middle of the field, pixels."""
        left, top, right, bottom = self.field
        return (left + right) / 2, (top + bottom) / 2

    @property
    def m_per_px(self) -> float:
        """Metres of one pixel."""
        return 1 / self.px_per_m

    @property
    def shown(self) -> Box:
        """The part of the site that the field shows: min x, min y, max x, max y, metres."""
        left, top, right, bottom = self.field
        return (*self.to_site((left, bottom)), *self.to_site((right, top)))

    def to_screen(self, at: Point) -> Point:
        """Pixels of a site position."""
        x, y = self.middle
        return x + (at[0] - self.centre[0]) * self.px_per_m, y - (at[1] - self.centre[1]) * self.px_per_m

    def to_site(self, at: Point) -> Point:
        """Site position, metres, of a pixel."""
        x, y = self.middle
        return self.centre[0] + (at[0] - x) / self.px_per_m, self.centre[1] - (at[1] - y) / self.px_per_m

    def fitted(self, box: Box, margin_px: float = 24.0, *, least_m: float = LEAST_M) -> Camera:
        """The camera that shows all of a box of the site, however large, with a margin round it.

        Args:
            box: Metres.
            margin_px: Left free on each side.
            least_m: A smaller box is shown as if it were so wide and high; 0 for boxes of unknown unit, which may
                need any zoom.
        """
        left, top, right, bottom = self.field
        wide, high = max(box[2] - box[0], least_m, 1e-9), max(box[3] - box[1], least_m, 1e-9)
        room = max(right - left - 2 * margin_px, 1.0), max(bottom - top - 2 * margin_px, 1.0)
        px_per_m = min(room[0] / wide, room[1] / high)
        px_per_m = min(px_per_m, MOST_PX_PER_M) if least_m else px_per_m
        centre = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
        return replace(self, px_per_m=px_per_m, centre=centre, farthest=min(LEAST_PX_PER_M, px_per_m / 2))

    def zoomed(self, factor: float, about: Point) -> Camera:
        """Nearer (``factor`` above 1) or farther; the site position under the pixel ``about`` stays there."""
        px_per_m = min(max(self.px_per_m * factor, self.farthest), self.nearest)
        site, middle = self.to_site(about), self.middle
        centre = (site[0] - (about[0] - middle[0]) / px_per_m, site[1] + (about[1] - middle[1]) / px_per_m)
        return replace(self, px_per_m=px_per_m, centre=centre)

    def panned(self, right_px: float, down_px: float) -> Camera:
        """The paper moved by pixels."""
        x, y = self.centre
        return replace(self, centre=(x - right_px / self.px_per_m, y + down_px / self.px_per_m))

    def filling(self, field: Box) -> Camera:
        """The same middle and zoom on another field."""
        return replace(self, field=field)
