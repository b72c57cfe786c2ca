"""``leakmap rates``: the rates of a job, and others taken in."""

from __future__ import annotations

import sys
from argparse import Namespace
from typing import Final

from leakmap.console.opened import job_in
from leakmap.console.outcome import Outcome
from leakmap.console.parser import Parser
from leakmap.console.taken import take_table
from leakmap.issue.price_words import price_csv
from leakmap.records.tables.rate_table import rates_toml
from leakmap.repair.work_out import repairs
from leakmap.work.here import now
from leakmap.work.rate_lines import rates_taken

_EXAMPLE: Final = """\
  leakmap rates pit.gpkg > own.toml         the rates of the job, to be changed in any editor
  leakmap rates pit.gpkg --take own.toml    take them in, as one step of undo
  leakmap rates pit.gpkg --csv > price.csv  a line for each zone and rate, for programs

A table (TOML) has a currency (ISO 4217), per (metre or foot: the length that rates are for), and rates such as
slot_plug = 61.50. What it leaves out stays as it is; no rate is converted. Prices stand in the schedule and on papers
issued for price, without tax."""


def parser() -> Parser:
    """Its command line."""
    found = Parser("rates", "Show the rates of a job, or take others in.", example=_EXAMPLE)
    found.add_argument("job", metavar="JOB", help="the job file")
    found.add_argument("--take", metavar="FILE.toml", help="a table of rates that is taken into the job")
    found.add_argument("--csv", action="store_true", help="what every zone costs instead of the rates")
    return found


def run(words: Namespace) -> Outcome:
    """Print the rates or what follows from them, or take others in."""
    if words.take is not None:
        return take_table(words.job, words.take, rates_taken)
    job = job_in(words.job, at=now())
    sys.stdout.write(price_csv(job, repairs(job)) if words.csv else rates_toml(job.rates))
    return Outcome.DONE
