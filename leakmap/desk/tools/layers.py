"""Layers: the ledger lists the layers of the drawing while this tool is in hand."""

from __future__ import annotations

from leakmap.desk.things import LedgerView
from leakmap.desk.tools.tool import Choice, Tool
from leakmap.desk.tools.ways import LAYERS, layer_ways
from leakmap.work.catch import NOTHING, Aim


class Layers(Tool):
    """Layers (L)."""

    name = "Layers"
    key = "L"
    by_cross = False

    def taken(self) -> None:
        """List layers."""
        self.desk.list_in_drawing(LedgerView.LAYERS)

    def dropped(self) -> None:
        """List levels again."""
        self.desk.list_in_drawing(LedgerView.LEVELS)

    def aim(self) -> Aim:
        """A click on the plan means no place."""
        return NOTHING

    def choices(self) -> tuple[Choice, ...]:
        """What else is done with the drawing here."""
        return layer_ways(self.desk, LAYERS)

    def sentence(self) -> str:
        """What the next click does."""
        job, level = self.desk.job, self.desk.level
        if job is None or level is None or job.sheets[level].source is None:
            return "This level has no drawing, so there are no layers."
        return "Click a layer in the list: full, faint, hidden."
