"""The metres of a comparison, summed zone by zone from its stretches."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from decimal import Decimal

from leakmap.base.rounding import ZERO
from leakmap.repair.compared import Compared, OldRepairs, ZoneCompared
from leakmap.repair.results import Repairs


class ComparedMetres:
    """Metres of zones, summed stretch by stretch."""

    def __init__(self) -> None:
        self._added: dict[int, Decimal] = defaultdict(Decimal)
        self._gone: dict[int, Decimal] = defaultdict(Decimal)
        self._anew: dict[int, Decimal] = defaultdict(Decimal)
        self._passed: dict[int, Decimal] = defaultdict(Decimal)

    def take(self, each: Compared) -> None:
        """Add a stretch."""
        if each.before is None:
            self._added[each.shown.zone] += each.shown.length_m
        elif each.after is None:
            self._gone[each.shown.zone] += each.shown.length_m
        else:
            before_m, after_m = each.before.length_m, each.after.length_m
            if before_m != after_m:
                self._anew[each.after.zone] += after_m - before_m
            if each.before.zone != each.after.zone:
                self._passed[each.after.zone] += before_m
                self._passed[each.before.zone] -= before_m

    def zones(self, old: OldRepairs, new: Repairs) -> Iterator[ZoneCompared]:
        """Zones of both jobs, lowest number first."""
        before = {zone.number: zone.length_m for zone in old.zones}
        after = {zone.number: zone.length_m for zone in new.zones}
        for number in sorted({*before, *after}):
            yield ZoneCompared(
                number=number,
                before_m=before.get(number, ZERO),
                added_m=self._added.get(number, ZERO),
                gone_m=self._gone.get(number, ZERO),
                passed_m=self._passed.get(number, ZERO),
                anew_m=self._anew.get(number, ZERO),
                after_m=after.get(number, ZERO),
            )
