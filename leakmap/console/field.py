"""``leakmap field``: blank sheets and a table to write leaks on at the structure."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path
from typing import Final

from leakmap.console.opened import job_in
from leakmap.console.outcome import Outcome, done
from leakmap.console.parser import Parser
from leakmap.console.schedule_text import findings_text
from leakmap.issue.office_paper import OFFICE_MM
from leakmap.repair.work_out import repairs
from leakmap.work.field import field_papers
from leakmap.work.here import now
from leakmap.work.papers import refuse_to_replace, staged

_EXAMPLE: Final = """\
  leakmap field pit.gpkg --out field
  leakmap field pit.gpkg --out field --paper A3

Every joint is a blank strip at a true scale, with its chainages, axes and the joints that meet it, to write leaks on
while it leaks. The table has a row for each leak; filled in, it comes back by leakmap field-in."""


def parser() -> Parser:
    """Its command line."""
    found = Parser("field", "Make blank sheets and a table to write leaks on.", example=_EXAMPLE)
    found.add_argument("job", metavar="JOB", help="the job file")
    found.add_argument("--out", required=True, metavar="DIR", help="folder for both; none there is replaced")
    found.add_argument(
        "--paper", choices=tuple(OFFICE_MM), help="what they are printed on; that of the job's office else"
    )
    return found


def run(words: Namespace) -> Outcome:
    """Make both and say where they are."""
    at, folder = now(), Path(words.out)
    job = job_in(words.job, at=at)
    papers = field_papers(job, repairs(job), at=at, paper=words.paper)
    refuse_to_replace(folder, papers.files)
    with staged(folder, papers.files) as placed:
        paths = placed()
    print("\n".join((f"{job.name}: field sheets.", *(f"  {path}" for path in paths), *findings_text(papers.findings))))
    return done(papers.findings)
