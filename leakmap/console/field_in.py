"""``leakmap field-in``: the leaks of a filled field table, listed, and taken where that is asked for."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from leakmap.base.counted import many
from leakmap.console.opened import for_change, for_looking
from leakmap.console.outcome import Outcome, done
from leakmap.console.parser import Parser
from leakmap.console.schedule_text import findings_text
from leakmap.model.job import Job
from leakmap.records.job_file import JobFile
from leakmap.work.field import FieldLeaks, leaks_from, read_field, told
from leakmap.work.here import now, user

_EXAMPLE: Final = """\
  leakmap field-in pit.gpkg "pit field table.xlsx"           what it would add, and what is wrong with it
  leakmap field-in pit.gpkg "pit field table.xlsx" --take    the same, and take it

XLSX or CSV with the columns joint, from, to, wetness, seen, flow and note. Lengths are read as people write them: 6.30,
6,30, 630 cm, 20' 8". Rows that cannot be leaks, or are marked already, are left out and said."""


def parser() -> Parser:
    """Its command line."""
    found = Parser("field-in", "Read a filled field table.", example=_EXAMPLE)
    found.add_argument("job", metavar="JOB", help="the job file")
    found.add_argument("file", metavar="FILE", help="the filled table, XLSX or CSV")
    found.add_argument("--take", action="store_true", help="take its leaks, as one step of undo")
    return found


def run(words: Namespace) -> Outcome:
    """List the leaks, and take them where that is asked for."""
    path = Path(words.file)
    content = path.read_bytes()
    with (for_change if words.take else for_looking)(words.job, at=now()) as file:
        found = leaks_from(file.job, read_field(content, path.name, file.job.units))
        if words.take:
            _save(file, found)
        print("\n".join((*_report(file.job, path.name, found, taken=words.take), *findings_text(found.findings))))
    return done(found.findings)


def _save(file: JobFile, found: FieldLeaks) -> None:
    if found.edit is not None:
        file.save(found.edit.job, words=found.edit.words, user=user(), at=now())


def _report(job: Job, name: str, found: FieldLeaks, *, taken: bool) -> Iterator[str]:
    yield f"{name}: {many(len(found.leaks), 'leak')}."
    yield from (f"  {line}" for line in told(job, found))
    if found.edit is None:
        yield "There is nothing to take. Nothing was changed."
    else:
        yield "Taken." if taken else "Nothing was changed; give --take to take them."
