"""``leakmap issue``: the next revision and its papers."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from leakmap.base.errors import UnusableFile
from leakmap.console.bar import Bar
from leakmap.console.here import now, user
from leakmap.console.opened import for_change
from leakmap.console.outcome import Outcome, done
from leakmap.console.parser import Parser
from leakmap.console.schedule_text import findings_text, many
from leakmap.model.words import Purpose
from leakmap.records.job_file import JobFile
from leakmap.repair.results import Repairs
from leakmap.repair.work_out import repairs
from leakmap.work.issuing import Issue, issue
from leakmap.work.job_drawings import drawings_of
from leakmap.work.papers import refuse_to_replace, staged

_EXAMPLE: Final = """\
  leakmap issue pit.gpkg --purpose price --to "The client" --out papers
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
    found.add_argument("--out", required=True, metavar="DIR", help="folder for the papers; none there is replaced")
    return found


def run(words: Namespace) -> Outcome:
    """Make the papers, store the issue, and say what is where."""
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
            progress=bar,
        )
        refuse_to_replace(folder, made.papers)
        paths = store(file, made, folder)
    found = repairs(made.job)
    findings = (*made.findings, *found.findings)
    print("\n".join((*report(made, found, paths), *findings_text(findings))))
    return done(findings)


def store(file: JobFile, made: Issue, folder: Path) -> tuple[Path, ...]:
    """Keep an issue in the job file and put its papers into a folder; over others of the same name.

    Raises:
        UnusableFile: The issue is kept, but a paper could not be put into the folder.
        UnusableJobFile: It could not be kept; the folder is as it was.
        OSError: The folder cannot be written; nothing was issued.
    """
    revision = made.revision
    with staged(folder, made.papers) as placed:
        file.store_issue(
            made.job,
            frozen_job=made.frozen,
            schedule_json=made.schedule,
            papers=made.papers,
            words=f"Issued {revision.name}",
            user=revision.by,
            at=revision.at,
        )
        try:
            return placed()
        except (OSError, KeyboardInterrupt) as problem:
            reason = problem.strerror if isinstance(problem, OSError) else "stopped"
            raise UnusableFile(
                f"{revision.name} is issued and its papers are kept in {file.path.name}, but {folder} could not take"
                f" them all: {reason}.",
                where=str(folder),
            ) from problem


def report(made: Issue, found: Repairs, paths: tuple[Path, ...]) -> Iterator[str]:
    """What was issued, and where it is.

    Args:
        made: The issue.
        found: The work-out of its job.
        paths: Where its papers are.
    """
    revision, totals = made.revision, found.totals
    yield f"{made.job.name} {revision.name} is issued for {revision.purpose.value} to {revision.to_whom}."
    yield (
        f"{many(len(found.zones), 'zone')}, {totals.repair_m:.3f} m measured, {totals.chargeable_m:.3f} m chargeable,"
        f" {totals.wet_m:.3f} m wet."
    )
    yield from (f"  {path}" for path in paths)
    apart = [zone.ref for zone in found.zones if zone.provisional]
    if apart:
        what = "not for work" if revision.purpose is Purpose.WORK else "for price only"
        yield f"Provisional, {what}: {', '.join(apart)} ({totals.provisional_m:.3f} m)."
