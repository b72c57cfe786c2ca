"""What is not a repair zone: another method, suspects, watched, other items, blind stretches, findings."""

from __future__ import annotations

from decimal import Decimal

from reportlab.platypus import Flowable, Spacer

from leakmap.base.rounding import rounded
from leakmap.issue.other_words import quantity_words
from leakmap.issue.schedule_pdf.evidence import answers
from leakmap.issue.schedule_pdf.lettering import MM
from leakmap.issue.schedule_pdf.styles import BOLD, TEXT, Setting
from leakmap.issue.schedule_pdf.tables import Column, Grid, section
from leakmap.issue.schedule_pdf.words import at, length, wetness_words
from leakmap.model.job import Job
from leakmap.model.leak import Leak
from leakmap.model.words import Wetness
from leakmap.repair.results import Repairs


def apart_sections(setting: Setting, job: Job, repairs: Repairs) -> list[Flowable]:
    """The tables of everything that carries no zone or wants a look; empty ones are named in one sentence."""
    grids = [
        ("Needs another method", _another(setting, job, repairs)),
        ("Suspects", _suspects(setting, job, repairs)),
        ("Other items", _others(setting, job)),
        ("Blind stretches", _blind(setting, job)),
        ("Findings to look at", _findings(setting, repairs)),
    ]
    found = [part for words, grid in grids if not grid.empty for part in section(setting, words, grid)]
    empty = [words.lower() for words, grid in grids if grid.empty]
    if empty:
        found += [Spacer(1, 4 * MM), setting.words(f"Nothing is listed under: {', '.join(empty)}.", TEXT)]
    return found


def _another(setting: Setting, job: Job, repairs: Repairs) -> Grid:
    columns = [Column("Leak", 16), Column("Joint", 18), Column("Level", 16), Column("From m", 18, right=True),
               Column("To m", 18, right=True), Column("Length m", 20, right=True), Column("Wetness", 20),
               Column("Why", 0)]  # fmt: skip
    grid = Grid(setting, columns)
    for item in repairs.another_method:
        leak, joint = job.leaks[item.leak], job.joints[item.joint]
        ends = at(job, leak.joint, leak.from_m), at(job, leak.joint, leak.to_m)
        grid.row(
            setting.words(leak.ref, BOLD),
            joint.ref,
            job.sheet_of(joint).name,
            *ends,
            length(job.units, item.length_m),
            wetness_words(leak.wetness),
            item.why,
        )
    if not grid.empty:
        total_m = sum((item.length_m for item in repairs.another_method), Decimal(0))
        grid.total("Another method", "", "", "", "", length(job.units, total_m))
        grid.spread(0, 4)
    return grid


def _suspects(setting: Setting, job: Job, repairs: Repairs) -> Grid:
    columns = [Column("Leak", 16), Column("Joint", 18), Column("Level", 16), Column("From m", 18, right=True),
               Column("To m", 18, right=True), Column("Length m", 20, right=True), Column("Answer", 28),
               Column("Note", 0)]  # fmt: skip
    grid = Grid(setting, columns)
    answered = answers(job, repairs)
    for leak in job.leaks.values():
        if leak.wetness is Wetness.SUSPECT:
            joint = job.joints[leak.joint]
            ends = at(job, leak.joint, leak.from_m), at(job, leak.joint, leak.to_m)
            level = job.sheet_of(joint).name
            grid.row(
                setting.words(leak.ref, BOLD),
                joint.ref,
                level,
                *ends,
                length(job.units, _length_m(job, leak)),
                answered[leak.id],
                leak.note,
            )
    return grid


def _length_m(job: Job, leak: Leak) -> Decimal:
    step = job.rules.measuring_step_m
    difference = rounded(leak.to_m, step) - rounded(leak.from_m, step)
    return difference if leak.from_m <= leak.to_m else difference + rounded(job.joints[leak.joint].length_m, step)


def _others(setting: Setting, job: Job) -> Grid:
    columns = [Column("Level", 18), Column("Item", 50), Column("Quantity", 24, right=True), Column("Unit", 18),
               Column("Note", 0)]  # fmt: skip
    grid = Grid(setting, columns)
    for item in job.others.values():
        grid.row(job.sheets[item.sheet].name, item.what, *quantity_words(job.units, item), item.note)
    return grid


def _blind(setting: Setting, job: Job) -> Grid:
    columns = [Column("Joint", 18), Column("Level", 18), Column("From m", 20, right=True), Column("To m", 20, right=True),
               Column("Hidden by", 50), Column("Cleared by", 0)]  # fmt: skip
    grid = Grid(setting, columns)
    for joint in job.joints.values():
        for hidden in joint.blind:
            ends = at(job, joint.id, hidden.from_m), at(job, joint.id, hidden.to_m)
            level = job.sheet_of(joint).name
            grid.row(setting.words(joint.ref, BOLD), level, *ends, hidden.what, hidden.cleared_by or "nobody named yet")
    return grid


def _findings(setting: Setting, repairs: Repairs) -> Grid:
    grid = Grid(setting, [Column("Where", 34), Column("What", 0)])
    for finding in repairs.findings:
        grid.row(setting.fitted(finding.where, BOLD, 28 * MM), finding.text)
    return grid
