"""What prices in the ledger take of the window, beside the same without them.

Run from the top of the working copy: ``QT_QPA_PLATFORM=offscreen python tests/benchmarks/bench_prices.py``, with
``--leaks N`` for another number. It prints milliseconds of the processor and ratios of ways side by side in one run, in
stage Repair of a basement: with the columns of the site engineer, which show no price, and of the estimator, without rates
in the job and with. Each way is taken in turn, so that what else the machine does falls on all alike.

Edit: the wetness of a leak, until it is painted. Hover: the pointer goes from zone to zone. Drag: an end of a leak is
shown elsewhere, not kept. Rate: another rate is entered, so that every zone is priced anew.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from itertools import count
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from PySide6.QtWidgets import QApplication

from leakmap.desk.theme import theme
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.window import MainWindow
from leakmap.model.job import Numbers
from leakmap.model.rates import Rates
from leakmap.model.words import Wetness
from leakmap.work.edits.leaks import move_leak_ends, set_wetness
from leakmap.work.edits.rates import take_rates
from leakmap.work.settings import Role
from tests.benchmarks.bench_theme import timed
from tests.benchmarks.bench_workout import basement
from tests.helpers.windows import window_with

TIMES = 24
RATES = Rates(
    currency="EUR", slot_plug=Decimal("61.5"), deep_plug=Decimal(90), deep_plug_relief=Decimal("112.25"),
    relief_point=Decimal(85), zone=Decimal(30), job=Decimal(650),
)  # fmt: skip
WAYS = {
    "engineer, no rates": (Rates(), Role.ENGINEER),
    "engineer, rates": (RATES, Role.ENGINEER),
    "estimator, no rates": (Rates(), Role.ESTIMATOR),
    "estimator, rates": (RATES, Role.ESTIMATOR),
}
"""Prices are shown in the last of these ways alone."""

Timed = tuple[float, float, float]


class Prices:
    """A window on a job, and the deeds that are timed in it."""

    def __init__(self, window: MainWindow) -> None:
        self.window, self.desk, self._turns = window, window.desk, count()

    def put(self, rates: Rates, role: Role) -> None:
        """Put rates into the job and show a role's columns."""
        assert self.desk.open_job is not None
        edit = take_rates(self.desk.open_job.job, rates=rates)
        if edit.changed:
            self.desk.do(edit)
        self.desk.take_settings(replace(self.desk.settings, role=role))
        timed(self.window, self.window.update)
        timed(self.window, self.window.update)

    def edit(self) -> Timed:
        """Another wetness of one leak."""
        assert self.desk.open_job is not None
        job = self.desk.open_job.job
        leak = list(job.leaks.values())[37 * next(self._turns) % len(job.leaks)]
        wetness = Wetness.DAMP if leak.wetness is not Wetness.DAMP else Wetness.SEEP
        edit = set_wetness(job, leak=leak.id, wetness=wetness)
        return timed(self.window, lambda: self.desk.do(edit))

    def hover(self) -> Timed:
        """Point at another zone."""
        zones = self.desk.repairs.zones if self.desk.repairs is not None else ()
        zone = Thing(Sort.ZONE, zones[37 * next(self._turns) % len(zones)].number)
        return timed(self.window, lambda: self.desk.point_at(zone))

    def drag(self) -> Timed:
        """Show the end of a leak elsewhere."""
        assert self.desk.open_job is not None
        job, turn = self.desk.open_job.job, next(self._turns)
        leak = next(each for each in job.leaks.values() if each.to_m - each.from_m > 0.4)
        edit = move_leak_ends(job, leak=leak.id, to_m=leak.to_m - 0.01 * (1 + turn % 9))
        return timed(self.window, lambda: self.desk.show(edit))

    def rate(self) -> Timed:
        """Enter another rate."""
        assert self.desk.open_job is not None
        job = self.desk.open_job.job
        value = Decimal(60 + next(self._turns) % 9)
        edit = take_rates(job, rates=replace(RATES, slot_plug=value))
        return timed(self.window, lambda: self.desk.do(edit))


def in_turn(prices: Prices) -> dict[str, dict[str, list[Timed]]]:
    """What every deed took in every way, taken in turn; the first turn warms up."""
    deeds: dict[str, Callable[[], Timed]] = {"edit": prices.edit, "hover": prices.hover, "drag": prices.drag}
    found: dict[str, dict[str, list[Timed]]] = {name: {way: [] for way in WAYS} for name in deeds}
    for turn in range(TIMES):
        for way, (rates, role) in WAYS.items():
            prices.put(rates, role)
            for name, deed in deeds.items():
                took = deed()
                prices.desk.show(None)
                if turn:
                    found[name][way].append(took)
    return found


def say(name: str, found: dict[str, list[Timed]]) -> None:
    """Print rows: what each way took until it was painted, its longest step, and with rates beside the same without."""
    without = 0.0
    for way, each in found.items():
        painted, longest = (median(one[at] for one in each) for at in (0, 1))
        beside = f"   {painted / without:5.2f} times" if without else ""
        without = painted if not without else 0.0
        print(f"  {name:<6} {way:<20} painted {painted:7.1f} ms   longest step {longest:7.1f} ms{beside}")


def main() -> None:
    """Measure every way in turn."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--leaks", type=int, default=2000)
    leaks = parser.parse_args().leaks
    app = QApplication([])
    theme().dress(app)
    job = replace(basement(leaks), numbers=Numbers(joint=10_000, leak=100_000, zone=100_000))
    with TemporaryDirectory() as folder, window_with(job, Path(folder)) as window:
        window.desk.go_to(Stage.REPAIR)
        prices = Prices(window)
        found, zones = in_turn(prices), window.desk.repairs.zones if window.desk.repairs else ()
        print(f"{leaks} leaks, {len(zones)} zones, median of {TIMES - 1}")
        for name, ways in found.items():
            say(name, ways)
        rated: dict[str, list[Timed]] = {}
        for way in ("engineer, rates", "estimator, rates"):
            prices.put(*WAYS[way])
            rated[way] = [prices.rate() for _ in range(TIMES)]
        say("rate", rated)


if __name__ == "__main__":
    main()
