"""``leakmap schedule``: zones, lengths and quantities."""

from __future__ import annotations

import sys
from argparse import Namespace
from importlib import import_module
from typing import Final

from leakmap.console.opened import job_in
from leakmap.console.outcome import Outcome, done
from leakmap.console.parser import Parser, add_form
from leakmap.repair.work_out import repairs
from leakmap.work.here import now

_EXAMPLE: Final = """\
  leakmap schedule pit.gpkg                     to read
  leakmap schedule pit.gpkg --csv > rows.csv    a row for each stretch that is opened
  leakmap schedule pit.gpkg --json > pit.json   everything, for another program

Lengths are metres; from and to are chainages, distances along a joint from its 0. The keys of --json are
described in schedule.schema.json, which is installed with leakmap (resources/texts)."""
_WRITERS: Final = {
    "text": ("leakmap.console.schedule_text", "schedule_text"),
    "csv": ("leakmap.issue.schedule_csv", "schedule_csv"),
    "json": ("leakmap.issue.schedule_json", "schedule_json"),
}


def parser() -> Parser:
    """Its command line."""
    found = Parser("schedule", "Show the zones of a job with their lengths and quantities.", example=_EXAMPLE)
    found.add_argument("job", metavar="JOB", help="the job file")
    add_form(found)
    return found


def run(words: Namespace) -> Outcome:
    """Work the job out and print it."""
    job = job_in(words.job, at=now())
    found = repairs(job)
    module, name = _WRITERS[words.form]
    text: str = getattr(import_module(module), name)(job, found)
    sys.stdout.write(text)
    return done(found.findings)
