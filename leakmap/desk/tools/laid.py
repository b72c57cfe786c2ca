"""A drawing in blue over the one on the plan: that of another level which is laid over it, or a new one for the level."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from leakmap.desk.tools.handles import ByClicks
from leakmap.geometry.path import Point
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import Drawing
from leakmap.model.sheet import Sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """A drawing that lies over the one on the plan.

    Attributes:
        sheet: Its level.
        kept: A placement as it is.
        shown: That placement as it would be; the drawing moves as this one does.
        new: The level as it would be, at the placement ``kept``, with a drawing that it does not show yet; None: the
            level and its drawing are those of the job.
    """

    sheet: UUID
    kept: Placement
    shown: Placement
    new: tuple[Sheet, Drawing] | None = None

    def to_shown(self, point: Point) -> Point:
        """Where a site position of the level comes to lie."""
        return self.shown.to_site(self.kept.to_drawing(point))


class Lays(ByClicks):
    """A tool that lays one drawing over another.

    Class attributes:
        under_new: Whether that is a new drawing of the level, under which the old one gives way.
    """

    under_new = False

    def laid(self) -> Laid | None:
        """The drawing that lies over the one on the plan in blue, as it would lie; None for none."""
        raise NotImplementedError
