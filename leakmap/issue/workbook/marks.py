"""The sheets of joints, of leaks as marked, of what needs another method, and of findings."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Final
from uuid import UUID

from leakmap.base.measures import FLOW
from leakmap.base.rounding import rounded
from leakmap.issue.schedule_pdf.evidence import answers, known
from leakmap.issue.schedule_pdf.words import joint_words, wetness_words
from leakmap.issue.workbook.book import Book, Cell, Column, Formula, Table
from leakmap.issue.workbook.figures import Figures
from leakmap.model.job import Job
from leakmap.model.leak import Leak
from leakmap.model.printed import chainage_m
from leakmap.repair.results import Repairs

_JOINT_LENGTH, _LEAK_FROM, _LEAK_TO, _ANOTHER_LENGTH = 6, 3, 4, 5
_OVERRUN_FREE = frozenset({"another method", "watched"})
JOINT_COLUMNS: Final = tuple(Column(words=words) for words in ("Joint", "Level", "Kind", "Face"))
"""Columns of what ``joint_words`` says."""


def joint_table(book: Book, figures: Figures, job: Job) -> tuple[str, Mapping[UUID, str]]:
    """Write the joints; gives the addresses of all their lengths, and of each by the joint's id."""
    form = figures.length_format
    table = book.table(
        "Joints",
        [
            *JOINT_COLUMNS,
            Column(words=figures.heading("Height m"), form=form),
            Column(words=figures.heading("0 at m"), form=form),
            Column(words=figures.heading("Length m"), form=form),
            Column(words="What is known", wrapped=True),
        ],
    )
    where: dict[UUID, str] = {}
    for joint in job.joints.values():
        row = table.row(
            *joint_words(job, joint),
            figures.length(joint.height_m),
            figures.length(joint.start_m),
            figures.length(rounded(joint.length_m, job.rules.measuring_step_m)),
            known(job, joint),
        )
        where[joint.id] = f"Joints!{table.cell_of(_JOINT_LENGTH, row)}"
    lengths = table.range_of(_JOINT_LENGTH)
    table.closed()
    return lengths, where


def leak_table(book: Book, figures: Figures, job: Job, repairs: Repairs, joints: Mapping[UUID, str]) -> None:
    """Write the leaks as marked.

    Args:
        book: The workbook.
        figures: Its figures.
        job: The job.
        repairs: Its work-out.
        joints: Addresses of the lengths of joints, for leaks that pass the start of a closed one.
    """
    form = figures.length_format
    columns = [
        *_place_columns(figures),
        Column(words="Wetness", form="0"),
        Column(words="In words"),
        Column(words="Seen"),
        Column(words=figures.heading("Overrun before m"), form=form),
        Column(words=figures.heading("Overrun after m"), form=form),
        Column(words=figures.heading("Flow L/min"), form="0.00"),
        Column(words="Answer"),
        Column(words="Note", wrapped=True),
    ]
    table = book.table("Leaks", columns)
    answered = answers(job, repairs)
    for leak in job.leaks.values():
        rule = job.rules.overrun_m[leak.wetness]
        sides = [rule if hand is None else hand for hand in (leak.overrun_from_m, leak.overrun_to_m)]
        bare = answered[leak.id] in _OVERRUN_FREE
        table.row(
            *_place(table, figures, job, leak, joints),
            int(leak.wetness),
            leak.wetness.word,
            leak.seen,
            *(None if bare else figures.length(side) for side in sides),
            None if leak.flow_l_min is None else float(FLOW[job.units].figure(leak.flow_l_min)),
            answered[leak.id],
            leak.note,
        )
    table.closed()


def _place_columns(figures: Figures) -> list[Column]:
    """Columns of a leak's reference and place."""
    lengths = (
        Column(words=figures.heading(f"{words} m"), form=figures.length_format) for words in ("From", "To", "Length")
    )
    return [*(Column(words=words) for words in ("Leak", "Joint", "Level")), *lengths]


def _place(table: Table, figures: Figures, job: Job, leak: Leak, joints: Mapping[UUID, str]) -> list[Cell]:
    """Reference, joint, level, both chainages and the length between them."""
    joint = job.joints[leak.joint]
    ends = [chainage_m(job, joint, at_m) for at_m in (leak.from_m, leak.to_m)]
    wraps = leak.from_m > leak.to_m
    whole = rounded(joint.length_m, job.rules.measuring_step_m) if wraps else Decimal(0)
    text = f"{table.cell_of(_LEAK_TO)}-{table.cell_of(_LEAK_FROM)}" + (f"+{joints[joint.id]}" if wraps else "")
    return [
        leak.ref,
        joint.ref,
        job.sheet_of(joint).name,
        *(figures.length(end) for end in ends),
        Formula(figures.exactly(text), figures.length(ends[1] - ends[0] + whole)),
    ]


def another_table(book: Book, figures: Figures, job: Job, repairs: Repairs) -> str:
    """Write what needs another method; gives the addresses of its lengths."""
    columns = [
        *_place_columns(figures),
        Column(words="Wetness"),
        Column(words="Why", wrapped=True),
    ]
    table = book.table("Another method", columns)
    for item in repairs.another_method:
        leak, joint = job.leaks[item.leak], job.joints[item.joint]
        ends = (figures.length(chainage_m(job, joint, at_m)) for at_m in (leak.from_m, leak.to_m))
        table.row(
            leak.ref,
            joint.ref,
            job.sheet_of(joint).name,
            *ends,
            figures.length(item.length_m),
            wetness_words(leak.wetness),
            item.why,
        )
    lengths = table.range_of(_ANOTHER_LENGTH)
    table.closed()
    return lengths


def finding_table(book: Book, repairs: Repairs) -> None:
    """Write the findings to look at."""
    table = book.table("Findings", [Column(words="Where", wrapped=True), Column(words="What", wrapped=True)])
    for finding in repairs.findings:
        table.row(finding.where, finding.text)
    table.closed()
