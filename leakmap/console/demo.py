"""``leakmap demo``: the sample job with all of its papers."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path
from typing import Final

from leakmap.base.file_names import safe_name
from leakmap.console.bar import Bar
from leakmap.console.opened import for_change
from leakmap.console.outcome import Outcome
from leakmap.console.parser import Parser
from leakmap.console.schedule_text import findings_text, totals_text
from leakmap.model.words import Purpose
from leakmap.repair.work_out import repairs
from leakmap.work.here import now, user
from leakmap.work.issuing import issue
from leakmap.work.job_drawings import drawings_of
from leakmap.work.job_names import ENDING, SAMPLE_NAME
from leakmap.work.sample_file import make_sample_file
from leakmap.work.storing import report, store

_FOLDER: Final = "leakmap-demo"
_EXAMPLE: Final = """\
  leakmap demo                  into the folder leakmap-demo
  leakmap demo --out sample

The sample is an invented pumping station, Tern Quay, with two levels below ground; its rates are made up. Run again, it
makes the same files again in the same folder; other files there stay as they are. Then try:
  leakmap schedule "leakmap-demo/Tern Quay pumping station.gpkg\""""


def parser() -> Parser:
    """Its command line."""
    found = Parser("demo", "Make the sample job, work it out and write all of its papers.", example=_EXAMPLE)
    found.add_argument("--out", default=_FOLDER, metavar="DIR", help=f"folder (else {_FOLDER} in the current one)")
    return found


def run(words: Namespace) -> Outcome:
    """Make the sample, issue it for work, and say what is where and the totals."""
    folder = Path(words.out)
    folder.mkdir(parents=True, exist_ok=True)
    with Bar() as bar:
        path = folder / f"{safe_name(SAMPLE_NAME)}{ENDING}"
        noticed = make_sample_file(path, user=user(), at=now(), replace=True, progress=bar)
        with for_change(str(path), at=now()) as file:
            held = drawings_of(file, file.job, progress=bar)
            made = issue(
                file.job,
                purpose=Purpose.WORK,
                to_whom="whoever looks round",
                by=user(),
                at=now(),
                sources=held.sources,
                drawings=held.drawings,
                progress=bar,
            )
            paths = store(file, made, folder)
    found = repairs(made.job)
    findings = (*noticed, *made.findings, *found.findings)
    print("\n".join((*report(made, found, (path, *paths)), totals_text(made.job, found), *findings_text(findings))))
    return Outcome.DONE
