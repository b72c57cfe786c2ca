"""Sheets of the job that lie in the plan's place: what each is called, its lines, their deed, and the table it comes from."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from leakmap.desk.things import TABLES, Declared
from leakmap.model.job import Job
from leakmap.work.declared import Line
from leakmap.work.edits.edit import Edit
from leakmap.work.job_facts import change_line, job_lines
from leakmap.work.material_lines import MATERIALS_HEADING, change_material, material_lines, materials_taken
from leakmap.work.rate_lines import RATES_HEADING, change_rate, rate_lines, rates_taken


@dataclass(frozen=True, slots=True, kw_only=True)
class TableFile:
    """A table in a file that a sheet can be taken from.

    Attributes:
        words: What taking it is called.
        files: What such files are called, as Qt's file dialogue wants it.
        taken: The deed that takes the table of a file.
    """

    words: str
    files: str
    taken: Callable[[Job, Path], Edit]


@dataclass(frozen=True, slots=True, kw_only=True)
class JobSheet:
    """A sheet of the job.

    Attributes:
        hint: What follows from its lines, in two sentences.
        change: The deed that puts one line in force, by ``name`` and ``text``.
        table: The table that it can be taken from; None for none.
    """

    title: str
    hint: str
    lines: Callable[[Job], tuple[Line, ...]]
    change: Callable[..., Edit]
    table: TableFile | None = None


JOB_SHEETS: Final[Mapping[object, JobSheet]] = {
    Declared.RULES: JobSheet(
        title="Rules of this job",
        hint="Zones are worked out by these, and papers print them with their origin. Undo takes a change back.",
        lines=job_lines,
        change=change_line,
    ),
    Declared.MATERIALS: JobSheet(
        title=MATERIALS_HEADING,
        hint="Powder, water and batches follow from these. Each has its origin; Undo takes a change back.",
        lines=material_lines,
        change=change_material,
        table=TableFile(words=TABLES[Declared.MATERIALS], files="Material tables (*.toml)", taken=materials_taken),
    ),
    Declared.RATES: JobSheet(
        title=RATES_HEADING,
        hint="What this job asks for a length, a relief point, a zone and the job, without tax. Undo takes a change back.",
        lines=rate_lines,
        change=change_rate,
        table=TableFile(words=TABLES[Declared.RATES], files="Tables of rates (*.toml)", taken=rates_taken),
    ),
}
"""Every sheet of the job."""
