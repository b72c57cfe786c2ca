"""``leakmap check``: proves a job file whole."""

from __future__ import annotations

from argparse import Namespace
from typing import Final

from leakmap.console.outcome import Outcome, done
from leakmap.console.parser import Parser
from leakmap.console.places import job_path
from leakmap.console.schedule_text import findings_text
from leakmap.records.check import check_job_file

_EXAMPLE: Final = """\
  leakmap check pit.gpkg

It looks at the database, at the rules of the GeoPackage standard, at the job, and at the SHA-256 of everything
that was issued. Nothing is changed, and nothing is written."""


def parser() -> Parser:
    """Its command line."""
    found = Parser("check", "Prove a job file whole, or name everything that is broken.", example=_EXAMPLE)
    found.add_argument("job", metavar="JOB", help="the job file")
    return found


def run(words: Namespace) -> Outcome:
    """Check the file and say what was found."""
    path = job_path(words.job)
    findings = check_job_file(path)
    print("\n".join(findings_text(findings)) if findings else f"{path} is whole.")
    return done(findings)
