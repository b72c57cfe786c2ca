"""The zones' rows of the ledger, made in slices while another stage is listed, so that stage Repair comes at once."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QObject, QTimer

from leakmap.desk.ledger.listing import sheet_listed
from leakmap.desk.ledger.pricing import Pricing
from leakmap.desk.slices import Slices
from leakmap.desk.state import Desk
from leakmap.desk.things import Stage
from leakmap.work.ledger_prices import shows_prices

_REST_MS: Final = 100  # the plan shows what a deed did first


class Ahead(QObject):
    """Makes what stage Repair will list.

    Args:
        desk: The desk.
        pricing: Makes the rows, with what zones cost where that is shown.
        parent: Its owner.
    """

    def __init__(self, desk: Desk, pricing: Pricing, parent: QObject) -> None:
        super().__init__(parent)
        self._desk, self._pricing = desk, pricing
        self._made_of: tuple[object, ...] = ()
        self._slices: Slices | None = None
        self._rest = QTimer(self, singleShot=True, interval=_REST_MS)
        self._rest.timeout.connect(self._begin)

    @property
    def busy(self) -> bool:
        """Whether rows are still to be made."""
        return self._rest.isActive() or (self._slices is not None and self._slices.running)

    def look(self) -> None:
        """Begin anew where the desk holds something else; in stage Repair itself all rows are made when it is listed."""
        desk = self._desk
        of = (desk.job, desk.repairs, sheet_listed(desk), shows_prices(desk.job, desk.role))
        if len(of) == len(self._made_of) and all(a is b for a, b in zip(of, self._made_of, strict=True)):
            return
        self.stop()
        if desk.dragging or desk.job is None:
            return
        self._made_of = of
        if desk.stage is not Stage.REPAIR:
            self._rest.start()

    def stop(self) -> None:
        """Make no more rows."""
        self._rest.stop()
        self._made_of = ()
        if self._slices is not None and self._slices.running:
            self._slices.give_up()
        self._slices = None

    def _begin(self) -> None:
        if self._desk.repairs is not None and not self._desk.dragging:
            self._slices = Slices("Zones listed", len(self._desk.repairs.zones), self._pricing.listed(), self)
