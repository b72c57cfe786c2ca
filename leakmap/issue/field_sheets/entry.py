"""The table that a crew fills in: a workbook with one row for each leak, its joints given, its choices in lists."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from leakmap.base.measures import FLOW, System
from leakmap.base.trade_words import in_trade_words
from leakmap.issue.heading import provisional_heading
from leakmap.issue.office_paper import office_papers
from leakmap.issue.schedule_pdf.words import joint_words, wetness_words
from leakmap.issue.workbook.book import Book, Column, Table
from leakmap.issue.workbook.figures import Figures
from leakmap.issue.workbook.marks import JOINT_COLUMNS
from leakmap.model.job import Job
from leakmap.model.words import Wetness

ENTRY_COLUMNS: Final = ("joint", "from", "to", "wetness", "seen", "flow", "note")
"""Headings of the table, in their order; what is read again goes by them."""

_LENGTHS: Final = {
    System.METRIC: "in metres, such as 6.30",
    System.IMPERIAL: "in feet and inches, such as 6' 4 1/2\", or in feet alone, such as 6.5",
}
_MOST_ROWS: Final = 500
_WIDTHS: Final = (14, 12, 12, 14, 14, 12, 50)


def entry_xlsx(job: Job, *, at: datetime, paper: str | None = None) -> bytes:
    """A table to fill in, every joint begun; the same input gives the same bytes.

    Args:
        job: The job.
        at: When it is made, with time zone.
        paper: A paper of the office; None: the small one of the job's.
    """
    book = Book(provisional_heading(job, at), f"{job.name}: field table", paper=paper or office_papers(job.rules)[0])
    table = book.table("Leaks", [Column(words=words) for words in ENTRY_COLUMNS])
    refs = [joint.ref for joint in job.joints.values()]
    for ref in refs:
        table.row(ref, *[None] * (len(ENTRY_COLUMNS) - 1))
    for at_column, width in enumerate(_WIDTHS):
        table.sheet.set_column(at_column, at_column, width)
    _choices(table, len(refs))
    _joints(book, job)
    _help(book, job)
    return book.written()


def _choices(table: Table, joints: int) -> None:
    """Lists to choose from; what is not in them is warned of, not refused, and said again when the table comes back."""
    last, warn = joints + _MOST_ROWS, {"error_type": "warning"}
    wetness = list(map(wetness_words, Wetness))
    if joints:
        table.sheet.data_validation(
            1, 0, last, 0, {"validate": "list", "source": f"=Joints!$A$2:$A${joints + 1}", **warn}
        )
    table.sheet.data_validation(1, 3, last, 3, {"validate": "list", "source": wetness, **warn})


def _joints(book: Book, job: Job) -> None:
    figures = Figures(job.units)
    form = figures.length_format
    table = book.table(
        "Joints",
        [
            *JOINT_COLUMNS,
            Column(words=figures.heading("0 at m"), form=form),
            Column(words=figures.heading("Length m"), form=form),
        ],
    )
    for joint in job.joints.values():
        table.row(
            *joint_words(job, joint),
            figures.length(joint.start_m),
            figures.length(joint.length_m),
        )
    table.closed()


def _help(book: Book, job: Job) -> None:
    sheet = book.sheet("How to fill in")
    sheet.set_column(0, 0, 100)
    lines = (
        f"{job.name}, made {book.heading.day}",
        "One row for each leak. A joint that leaks nowhere stays as it is; for a second leak write the joint again below.",
        f"from and to: chainages of the joint, {_LENGTHS[job.units.system]}. Leave to empty for a spot.",
        "wetness: " + ", ".join(map(wetness_words, Wetness)) + ".",
        f"seen: the day. flow: {FLOW[job.units].symbol}, where it was measured. note: whatever else was seen.",
    )
    for row, words in enumerate(lines):
        book.cell(sheet, row, 0, in_trade_words(job.units, words) if row else words, wrapped=True)
