"""``leakmap new --from-marked``: a job read back out of a drawing that leakmap marked."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from leakmap.base.counted import many
from leakmap.base.errors import BadValue
from leakmap.console.bar import Bar
from leakmap.console.outcome import Outcome, done
from leakmap.console.parser import given
from leakmap.console.places import new_job_path
from leakmap.console.schedule_text import findings_text
from leakmap.records.job_file import create_job_file
from leakmap.work.from_marked import FromMarked, job_from_marked
from leakmap.work.here import now, user

_OTHER_WORDS: Final = (
    "drawing", "page", "scale", "unit", "crop", "corners", "codepage", "sheet", "straight", "joints",
    "joints-from-layer", "leaks", "units", "locale", "legal-owner", "approver", "north", "grid-from-drawing",
)  # fmt: skip


def run_from_marked(words: Namespace) -> Outcome:
    """Make the job of a marked drawing and say where it comes from."""
    _refuse_other_words(words)
    path, (marked, *others) = new_job_path(words.job), [Path(name) for name in words.from_marked]
    with Bar() as bar:
        more = {other.name: other.read_bytes() for other in others}
        found = job_from_marked(marked.name, marked.read_bytes(), others=more, job_name=path.stem, progress=bar)
        bar.report(f"Writing {path.name}", 0, None)
        create_job_file(
            path,
            found.job,
            user=user(),
            at=now(),
            sources=[drawing.content for drawing in found.drawings],
            parsed={key: kept for drawing in found.drawings for key, kept in drawing.parsed.items()},
        )
    print("\n".join(_report(path, found)))
    return done(found.findings)


def _refuse_other_words(words: Namespace) -> None:
    others = given(words, _OTHER_WORDS)
    if others:
        raise BadValue(f"--from-marked takes all from the record in the drawing; leave {others[0]} out.")


def _report(path: Path, found: FromMarked) -> Iterator[str]:
    job = found.job
    yield (
        f"{path} is made from {found.origin}: {many(len(job.sheets), 'sheet')}, {many(len(job.joints), 'joint')},"
        f" {many(len(job.leaks), 'leak')}."
    )
    yield "  Its revisions count anew; what was issued before stays in the job file that it came from."
    yield from findings_text(found.findings)
