"""What the job costs, for the ledger: where zones are many they are priced in slices, so that a rate holds nothing up.

Ten thousand zones take half a second: the ledger says that it is not done, and there is nothing worth stopping.
"""

from __future__ import annotations

from collections.abc import Callable, Generator
from typing import Final

from PySide6.QtCore import QObject, Signal

from leakmap.desk.ledger.listing import sheet_listed, zones_listed
from leakmap.desk.slices import Slices, Steps
from leakmap.desk.state import Desk
from leakmap.model.rates import Rates
from leakmap.repair.price import Prices
from leakmap.work.kept import Kept
from leakmap.work.ledger_lines import Line
from leakmap.work.ledger_prices import kept_prices, shows_prices, zone_price
from leakmap.work.ledger_zones import zone_lines

_AT_ONCE: Final = 500
"""Zones that are priced at once, in about a frame."""


class Pricing(QObject):
    """Prices zones while somebody looks at prices, each once.

    Args:
        desk: The desk.
        kept: Where prices and rows are kept, and found when they are asked for.
        take: Takes each line, so that its row is there too.
        parent: Its owner.
    """

    done = Signal()  # every zone has its price

    def __init__(self, desk: Desk, kept: Kept, take: Callable[[Line], object], parent: QObject) -> None:
        super().__init__(parent)
        self._desk, self._kept, self._take = desk, kept, take
        self._by: Rates | None = None  # the rates that every zone is priced by
        self._next: Rates | None = None  # those by which zones are being priced
        self._slices: Slices | None = None

    @property
    def busy(self) -> bool:
        """Whether zones are being priced."""
        return self._slices is not None and self._slices.running

    def look(self) -> Prices | None:
        """What the job costs; None where nobody looks at prices, and until many zones are priced by other rates."""
        desk = self._desk
        job, repairs = desk.job, desk.repairs
        if job is None or repairs is None or not shows_prices(desk.job, desk.role):
            self.stop()
            return None
        if len(repairs.zones) > _AT_ONCE and job.rates is not self._by:
            self._begin(job.rates)
            return None
        return kept_prices(job, repairs, self._kept)

    def steps(self) -> Generator[int, None, Prices]:
        """Every zone of the job as it is, priced one by one."""
        job, repairs = self._desk.job, self._desk.repairs
        assert job is not None
        assert repairs is not None
        for number, zone in enumerate(repairs.zones):
            zone_price(job, zone, self._kept)
            yield number
        self._by = job.rates
        return kept_prices(job, repairs, self._kept)

    def listed(self) -> Steps:
        """The rows of zones as they are listed, made one by one, after what each costs where that is shown."""
        job, repairs, sheet = self._desk.job, self._desk.repairs, sheet_listed(self._desk)
        assert job is not None
        assert repairs is not None
        prices: Prices | None = None
        if shows_prices(job, self._desk.role):
            prices = yield from self.steps()
        for number, line in enumerate(zone_lines(job, repairs, sheet, self._kept, prices=prices)):
            self._take(line)
            yield number
        return zones_listed(job, repairs, sheet, self._kept, prices)

    def stop(self) -> None:
        """Price no more."""
        slices, self._slices, self._next = self._slices, None, None
        if slices is not None and slices.running:
            slices.give_up()

    def settle(self) -> None:
        """Wait until every zone has its price; for pictures and tests."""
        while self._slices is not None and self._slices.running:
            self._slices.go_on()

    def _begin(self, rates: Rates) -> None:
        if self.busy and rates is self._next:
            return
        self.stop()
        self._next = rates
        assert self._desk.repairs is not None
        self._slices = Slices("Zones priced", len(self._desk.repairs.zones), self.listed(), self)
        self._slices.finished.connect(self.done)
