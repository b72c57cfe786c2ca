"""``leakmap issue``: the next revision and its papers."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path
from typing import Final

from leakmap.base.errors import BadValue
from leakmap.base.findings import to_look_at
from leakmap.console.bar import Bar
from leakmap.console.opened import for_change, for_looking
from leakmap.console.outcome import Outcome, done
from leakmap.console.parser import Parser
from leakmap.console.schedule_text import checks_text, findings_text
from leakmap.model.words import Purpose
from leakmap.repair.work_out import repairs
from leakmap.work.check_list import check_list, next_name, open_checks
from leakmap.work.here import now, user
from leakmap.work.issuing import issue, refuse_to_issue
from leakmap.work.job_drawings import drawings_of
from leakmap.work.papers import refuse_to_replace
from leakmap.work.revisions import side_before
from leakmap.work.storing import report, store

_EXAMPLE: Final = """\
  leakmap issue pit.gpkg --purpose price --to "The client" --out papers
  leakmap issue pit.gpkg --purpose work --to "The crew" --check        what needs a look first
  leakmap issue pit.gpkg --purpose work --to "The crew" --out papers

Revisions for price are P01, P02 and so on, for work C01, C02. An issue freezes the job: zones keep their numbers,
and what was issued stays in the job file with the papers. For work every scale must be checked (leakmap scale);
provisional zones are listed apart there, as not for work."""


def parser() -> Parser:
    """Its command line."""
    found = Parser("issue", "Issue the next revision with its papers.", example=_EXAMPLE)
    found.add_argument("job", metavar="JOB", help="the job file")
    found.add_argument(
        "--purpose", required=True, choices=[purpose.value for purpose in Purpose], help="what it is for"
    )
    found.add_argument("--to", required=True, metavar="WHO", help="who gets it")
    found.add_argument("--out", metavar="DIR", help="folder for the papers; none there is replaced")
    found.add_argument("--check", action="store_true", help="only list what needs a look first; issue nothing")
    return found


def run(words: Namespace) -> Outcome:
    """Make the papers, store the issue, and say what is where; or only list what needs a look."""
    if words.check:
        return _checked(words)
    if words.out is None:
        raise BadValue("An issue needs a folder for its papers: --out DIR. Nothing was issued.")
    folder, at = Path(words.out), now()
    with Bar() as bar, for_change(words.job, at=at) as file:
        held = drawings_of(file, file.job, progress=bar)
        made = issue(
            file.job,
            purpose=Purpose(words.purpose),
            to_whom=words.to,
            by=user(),
            at=at,
            sources=held.sources,
            drawings=held.drawings,
            before=side_before(file.job, Purpose(words.purpose), file.blob),
            progress=bar,
        )
        refuse_to_replace(folder, made.papers)
        paths = store(file, made, folder)
    found = repairs(made.job)
    checks = open_checks(check_list(made.job, found))
    lines = (*report(made, found, paths), *checks_text(checks), *findings_text(made.findings))
    print("\n".join(lines))
    return done(to_look_at((*made.findings, *found.findings)))


def _checked(words: Namespace) -> Outcome:
    """List what needs a look before the next revision is issued; what would be refused is refused here too."""
    purpose = Purpose(words.purpose)
    with for_looking(words.job, at=now()) as file:
        job = file.job
    found = repairs(job)
    refuse_to_issue(job, found, purpose=purpose, to_whom=words.to)
    checks = open_checks(check_list(job, found))
    name = next_name(job, purpose)
    nothing = "" if checks else " nothing needs a look."
    print("\n".join((f"{job.name}, before {name} is issued for {purpose.value}:{nothing}", *checks_text(checks))))
    return done(checks)
