"""``leakmap compare``: what changed between two revisions, or since one."""

from __future__ import annotations

import sys
from argparse import Namespace
from typing import Final

from leakmap.base.errors import BadValue
from leakmap.console.opened import for_looking
from leakmap.console.outcome import Outcome
from leakmap.console.parser import Parser, add_form
from leakmap.issue.changes import changes_csv, changes_json, changes_text
from leakmap.issue.listed_words import listed_csv
from leakmap.repair.sides import differences
from leakmap.work.here import now
from leakmap.work.revisions import NOW, side_of

_EXAMPLE: Final = """\
  leakmap compare pit.gpkg                         since the last revision
  leakmap compare pit.gpkg --from C01 --to C02     between two
  leakmap compare pit.gpkg --from C01 --csv        a row for each stretch, for programs
  leakmap compare pit.gpkg --csv --values          joints, leaks and rules with values before and now

Metres are those of printed rows: old + added - gone + from other zones + measured anew = new, zone by zone."""
_WRITERS: Final = {"text": changes_text, "csv": changes_csv, "json": changes_json}


def parser() -> Parser:
    """Its command line."""
    found = Parser("compare", "Show what changed between two revisions, or since one.", example=_EXAMPLE)
    found.add_argument("job", metavar="JOB", help="the job file")
    found.add_argument("--from", dest="old", metavar="NAME", help="the earlier revision (else the last one)")
    found.add_argument("--to", dest="new", default=NOW, metavar="NAME", help="the later one (else the job as it is)")
    add_form(found)
    found.add_argument(
        "--values", action="store_true", help="with --csv: joints, leaks and rules with values before and now instead"
    )
    return found


def run(words: Namespace) -> Outcome:
    """Compare and print."""
    with for_looking(words.job, at=now()) as file:
        issued = list(file.job.revisions.values())
        if not issued:
            raise BadValue("Nothing is issued yet, so there is nothing to compare with; see: leakmap issue --help")
        old = words.old or issued[-1].name
        sides = side_of(file.job, old, file.blob), side_of(file.job, words.new, file.blob)
    if words.values and words.form != "csv":
        raise BadValue("--values goes with --csv; text and --json say the values anyway.")
    found = differences(*sides)
    sys.stdout.write(listed_csv(found.listed) if words.values else _WRITERS[words.form](found))
    return Outcome.DONE
