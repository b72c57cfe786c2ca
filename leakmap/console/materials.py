"""``leakmap materials``: the material table of a job, and another one taken in."""

from __future__ import annotations

import sys
from argparse import Namespace
from typing import Final

from leakmap.console.opened import job_in
from leakmap.console.outcome import Outcome
from leakmap.console.parser import Parser
from leakmap.console.taken import take_table
from leakmap.issue.need_words import needs_csv
from leakmap.records.tables.material_table import materials_toml
from leakmap.repair.work_out import repairs
from leakmap.work.here import now
from leakmap.work.material_lines import materials_taken

_EXAMPLE: Final = """\
  leakmap materials pit.gpkg > own.toml         the table of the job, to be changed in any editor
  leakmap materials pit.gpkg --take own.toml    take it in, as one step of undo
  leakmap materials pit.gpkg --csv > needs.csv  powder, water and batches of every zone, for programs

A table (TOML) has a part for each of plugging_mortar, slurry_coat, dry_pack and repair_mortar, with figures such as
bag_kg = 25 or bag_kg = { value = 25, origin = "data sheet of 2026" }. What it leaves out stays as it is."""


def parser() -> Parser:
    """Its command line."""
    found = Parser("materials", "Show the material table of a job, or take another one in.", example=_EXAMPLE)
    found.add_argument("job", metavar="JOB", help="the job file")
    found.add_argument("--take", metavar="FILE.toml", help="a material table that is taken into the job")
    found.add_argument("--csv", action="store_true", help="what every zone takes instead of the table")
    return found


def run(words: Namespace) -> Outcome:
    """Print the table or what follows from it, or take another one in."""
    if words.take is not None:
        return take_table(words.job, words.take, materials_taken)
    job = job_in(words.job, at=now())
    sys.stdout.write(needs_csv(job, repairs(job)) if words.csv else materials_toml(job.materials))
    return Outcome.DONE
