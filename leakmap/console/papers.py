"""``leakmap papers``: the papers of a revision again."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path
from typing import Final

from leakmap.console.opened import for_looking
from leakmap.console.outcome import Outcome, done
from leakmap.console.parser import Parser
from leakmap.work.here import now
from leakmap.work.papers import refuse_to_replace, staged
from leakmap.work.reprints import reprints
from leakmap.work.revisions import revision_named, superseded_by

_EXAMPLE: Final = """\
  leakmap papers pit.gpkg --revision C02 --out papers     as they were issued, each proved by its SHA-256
  leakmap papers pit.gpkg --revision C01 --out old        C02 took its place: every page of the copies says so

What was issued stays in the job file as it was sealed. Copies of tables say it in a last column (CSV), a first key
(JSON) and a first sheet (XLSX), all called "superseded"; programs read the rest as before."""


def parser() -> Parser:
    """Its command line."""
    found = Parser("papers", "Put the papers of a revision into a folder again.", example=_EXAMPLE)
    found.add_argument("job", metavar="JOB", help="the job file")
    found.add_argument("--revision", required=True, metavar="NAME", help="the revision, such as C01")
    found.add_argument("--out", required=True, metavar="DIR", help="folder for the papers; none there is replaced")
    return found


def run(words: Namespace) -> Outcome:
    """Prove the papers, mark those that are superseded, and say where they are."""
    folder = Path(words.out)
    with for_looking(words.job, at=now()) as file:
        revision = revision_named(file.job, words.revision)
        by = superseded_by(file.job, revision)
        files = {each.name: each.content for each in reprints(file.job, revision, file.blob)}
    refuse_to_replace(folder, files)
    with staged(folder, files) as placed:
        paths = placed()
    state = f"superseded by {by.name} of {file.job.units.day(by.at)}" if by is not None else "in force"
    print(f"{file.job.name} {revision.name}, issued for {revision.purpose} to {revision.to_whom}: {state}.")
    print("\n".join(f"  {path}" for path in paths))
    return done(by)
