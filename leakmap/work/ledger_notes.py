"""What stands below the ledger's tables: lists of sentences under a heading, each with a sign and a place to look."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final
from uuid import UUID

from leakmap.base.findings import Effect, Finding
from leakmap.base.rounding import snapped
from leakmap.geometry.path import Point
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import Layer, LayerState
from leakmap.model.grid import position_words
from leakmap.model.job import Job
from leakmap.model.leak import Leak
from leakmap.model.revision import Paper, Revision
from leakmap.model.rules import Suspects
from leakmap.model.sheet import (
    AGREE_SHARE,
    Sheet,
    Source,
    can_scale_each_way,
    disagreement,
    length_error_m,
    pixel_m,
    placed_length_m,
    residuals_mm,
    scale_is_checked,
    third_length_needed,
    two_ways_share,
)
from leakmap.repair.results import Repairs
from leakmap.work.check_list import Check, Where, suspect_words
from leakmap.work.left_behind import joints_left_behind

UNIT_CODES: Final = frozenset({"unit-guessed", "unit-contradicted"})
"""Findings on the unit or scale of a drawing: they stand with its known lengths."""

_LOOKED_AT: Final = frozenset({Effect.LOST, Effect.LOOK})
_SCALE_CODES: Final = frozenset({"page-scale"})
"""Findings that a scale answers which the user gave after the drawing was read."""


class Sign(StrEnum):
    """What stands before a sentence."""

    NONE = ""
    LOOK = "look"
    DONE = "done"
    FULL = "full"  # a layer that shows in full
    FAINT = "faint"
    HIDDEN = "hidden"


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """One sentence below a table.

    Attributes:
        more: A second, quieter line.
        where: What it speaks of; None when it is no one thing.
        shows: Whether a click on it brings that into view.
        layer: Name of the layer that it stands for; empty for none.
        paper: The issued paper that it stands for; None for none.
        each_way: Whether a click on it gives each way of the level's drawing its own scale.
    """

    words: str
    more: str = ""
    sign: Sign = Sign.NONE
    where: Where | None = None
    shows: bool = False
    layer: str = ""
    paper: Paper | None = None
    each_way: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """Sentences under a heading."""

    heading: str
    notes: tuple[Note, ...]


def scale_section(job: Job, sheet: Sheet, findings: Sequence[Finding] = ()) -> Section:
    """Known lengths of a level, each with what the drawing says, what is still asked for, and hints of the drawing.

    Args:
        job: The job.
        sheet: The level.
        findings: What was noticed in its drawing.
    """
    if sheet.source is None:
        true = Note(words="Drawn true to size, no drawing behind it", sign=Sign.DONE)
        return Section(heading="Scale check", notes=(true,))
    notes = []
    for known, off_mm in zip(sheet.lengths, residuals_mm(sheet), strict=True):
        read_m = snapped(placed_length_m(sheet, known))
        agrees = abs(disagreement(sheet, known)) <= AGREE_SHARE
        ends = _ends(job, sheet.placement, known.start, known.end)
        more = f"read {job.units.shown(read_m)}, off by {job.units.small(abs(off_mm) / 1000)}"
        sign = Sign.DONE if agrees else Sign.LOOK
        notes.append(Note(words=f"{ends}{job.units.with_unit(known.length_m)}", more=more, sign=sign))
    if not scale_is_checked(sheet) and all(note.sign is Sign.DONE for note in notes):
        words = "The other way is not yet checked" if notes else "No length is checked yet"
        if third_length_needed(sheet):
            words = f"The two ways differ by {two_ways_share(sheet):.1%}: a third length must agree"
        more, where = "set the scale by a length you know", Where("sheet", sheet.id)
        notes.append(Note(words=words, more=more, sign=Sign.LOOK, where=where, shows=True))
    if can_scale_each_way(sheet) and any(note.sign is Sign.LOOK for note in notes):
        more = "as paper that was scanned or copied needs; else measure again"
        notes.append(Note(words="Give each way its own scale", more=more, each_way=True))
    hints = (found for found in findings if found.code in UNIT_CODES and not scale_is_checked(sheet))
    notes += [Note(words=found.text, more="a hint only", sign=Sign.LOOK) for found in hints]
    pixel, error = pixel_m(sheet), length_error_m(sheet, job.units.reading_m)
    if pixel is not None and error is not None:
        words = f"A scan: one pixel is {job.units.fixed(pixel * 1000, 1)} mm"
        more = f"{job.units.reading_words} read off it can be out by {job.units.out_by(error)}"
        notes.append(Note(words=words, more=more, sign=Sign.DONE))
    return Section(heading="Scale check", notes=tuple(notes))


def layer_section(sheet: Sheet, layers: Iterable[Layer], faint: frozenset[str]) -> Section:
    """Layers of a level's drawing and how they show.

    Args:
        sheet: The level.
        layers: Layers of its drawing.
        faint: Names of those that the window shows faint.
    """
    chosen = dict(sheet.shown)
    notes = []
    for layer in layers:
        sign = Sign.HIDDEN
        if chosen.get(layer.name, layer.state is LayerState.ON):
            sign = Sign.FAINT if layer.name in faint else Sign.FULL
        more = {Sign.FULL: "shown full", Sign.FAINT: "shown faint", Sign.HIDDEN: "hidden"}[sign]
        notes.append(Note(words=layer.name, more=more, sign=sign, layer=layer.name))
    return Section(heading=f"Layers of {sheet.name}", notes=tuple(notes))


def noticed_section(source: Source | None, findings: Sequence[Finding]) -> Section | None:
    """What the reader noticed in a level's drawing, what is lost or doubtful first; None where there is nothing.

    Args:
        source: The drawing's file.
        findings: What was noticed in it.
    """
    if source is None or not findings:
        return None
    more = {
        Effect.LOST: "missing from the plan",
        Effect.LOOK: "to be looked at",
        Effect.FIXED: "put right",
        Effect.TOLD: "as it was",
    }
    elsewhere = UNIT_CODES | (_SCALE_CODES if source.unit is not None else frozenset())
    findings = [found for found in findings if found.code not in elsewhere]
    if not findings:
        return None
    notes = [
        Note(words=found.text, more=more[found.effect], sign=Sign.LOOK if effect in _LOOKED_AT else Sign.DONE)
        for effect in more
        for found in findings
        if found.effect is effect
    ]
    return Section(heading=f"Noticed in {source.name}", notes=tuple(notes))


def left_behind_section(job: Job, sheet: Sheet) -> Section | None:
    """Joints of a level that its new drawing left behind, each to be looked at; None where there are none."""
    left = joints_left_behind(job, sheet=sheet.id)
    more = "move it, or say that it is right: show on plan"
    notes = [
        Note(
            words=f"{joint.ref} lay on a line that is gone",
            more=more,
            sign=Sign.LOOK,
            where=Where("joint", joint.id),
            shows=True,
        )
        for joint in left
    ]
    return Section(heading=f"Left behind by the new drawing of {sheet.name}", notes=tuple(notes)) if notes else None


def apart_section(job: Job, repairs: Repairs, sheet: UUID | None) -> Section | None:
    """Leaks that need another method, each with its joint and why; None when there are none.

    Args:
        job: The job.
        repairs: Its work-out.
        sheet: Those of this level only; None for all.
    """
    notes = []
    for item in repairs.another_method:
        leak, joint = job.leaks[item.leak], job.joints[item.joint]
        if sheet in (None, joint.sheet):
            words = f"{leak.ref} on {joint.ref}, {job.units.with_unit(item.length_m)}, {leak.wetness.word}"
            notes.append(Note(words=words, more=item.why, where=Where("leak", leak.id)))
    return Section(heading="Needs another method", notes=tuple(notes)) if notes else None


def watched_section(job: Job, repairs: Repairs, sheet: UUID | None) -> Section | None:
    """Suspects that the rules only watch, counted in one sentence and named one by one; None when there are none."""
    leaks = [job.leaks[leak] for leak in repairs.watched]
    leaks = [leak for leak in leaks if sheet in (None, job.joints[leak.joint].sheet)]
    if not leaks:
        return None
    notes = tuple(Note(words=_on(job, leak), where=Where("leak", leak.id)) for leak in leaks)
    return Section(heading=f"{suspect_words(len(leaks), Suspects.WATCH)}.", notes=notes)


def check_section(checks: Sequence[Check], next_name: str) -> Section:
    """The check list before a revision is issued."""
    return Section(heading=f"Before {next_name} is issued", notes=tuple(map(_check_note, checks)))


def papers_section(revision: Revision) -> Section:
    """The papers of a revision, each with the start of its hash."""
    notes = [
        Note(words=paper.name, more=f"SHA-256 {paper.sha256[:12]}… · open it", paper=paper) for paper in revision.papers
    ]
    return Section(heading=f"Papers of {revision.name}", notes=tuple(notes))


def _check_note(check: Check) -> Note:
    show = "" if check.where is None else "set scale" if check.where.sort == "sheet" else "show on plan"
    at = f"at {check.at}" if check.at else ""
    more = " · ".join(words for words in (check.limits, at, show) if words)
    sign = Sign.DONE if check.done else Sign.LOOK
    return Note(words=check.words, more="" if check.done else more, sign=sign, where=check.where, shows=True)


def _ends(job: Job, placement: Placement, start: Point, end: Point) -> str:
    """The ends of a known length by the grid, to be followed by its metres; empty without a grid."""
    if job.grid is None:
        return ""
    places = [position_words(job.grid, placement.to_site(point), job.units) for point in (start, end)]
    return f"{places[0]} to {places[1]}: " if all(places) else ""


def _on(job: Job, leak: Leak) -> str:
    return f"{leak.ref} on {job.joints[leak.joint].ref}"
