"""Deeds on the paper that a drawing lies on: straighten and turn it, and show its file as it was read in another way."""

from __future__ import annotations

from dataclasses import replace
from math import atan2, degrees
from typing import Final
from uuid import UUID

from leakmap.base.errors import EditRefused
from leakmap.base.measures import Units
from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.model.sheet import Sheet, Source
from leakmap.work.edits.edit import Changes, Edit, deed, edited, refused, sheet_of
from leakmap.work.edits.scales import place_sheet
from leakmap.work.edits.sheets import add_sheet

_LEAST_SAID_DEG: Final = 0.01


@deed
def straighten(job: Job, *, sheet: UUID, start: Point, end: Point) -> Edit:
    """Turn a sheet's drawing so that a line on it lies level or upright, whichever is nearer; its start stays.

    What is drawn on the sheet goes along.

    Args:
        job: The job.
        sheet: The sheet.
        start: Start of the line, absolute drawing units.
        end: Its end.

    Raises:
        EditRefused: The sheet has no drawing, the line has no length, or it lies level or upright already.
    """
    old = sheet_of(job, sheet)
    if old.source is None:
        raise _no_drawing(old)
    if start == end:
        raise refused("The two points are one; pick two points of one grid line, far apart.", where=old.name)
    (x0, y0), (x1, y1) = map(old.placement.to_site, (start, end))
    turn_deg = degrees(atan2(y1 - y0, x1 - x0))
    more_deg = 90.0 * round(turn_deg / 90.0) - turn_deg
    if more_deg == 0:
        raise refused(f"That line of {old.name} lies straight already.", where=old.name)
    placement = replace(
        old.placement, origin=start, at_m=(x0, y0), turn_deg=_within_half_a_turn(old.placement.turn_deg + more_deg)
    )
    placed = place_sheet(job, sheet=sheet, placement=placement)
    return replace(
        placed, words=f"straighten {old.name}", said=(_turned_words(job.units, old.name, more_deg), *placed.said)
    )


@deed
def quarter_turned(job: Job, *, sheet: UUID) -> Edit:
    """Turn a sheet's drawing by a quarter to the left, about the point that its placement holds.

    What is drawn on the sheet goes along.

    Args:
        job: The job.
        sheet: The sheet.

    Raises:
        EditRefused: The sheet has no drawing.
    """
    old = sheet_of(job, sheet)
    if old.source is None:
        raise _no_drawing(old)
    placement = replace(old.placement, turn_deg=_within_half_a_turn(old.placement.turn_deg + 90.0))
    placed = place_sheet(job, sheet=sheet, placement=placement)
    said = (f"{old.name} is turned to the left by a quarter.", *placed.said)
    return replace(placed, words=f"turn {old.name} by a quarter", said=said)


@deed
def read_otherwise(job: Job, *, sheet: UUID, source: Source) -> Edit:
    """Show another part of a sheet's file, or the same read in another way.

    Places on the drawing stay places on it, unless other corners were laid flat: then its known lengths go, and
    of its turn the quarters stay. What is drawn on the sheet stays where it is in the site plane.

    Args:
        job: The job.
        sheet: The sheet.
        source: Its file, as it was read now.

    Raises:
        EditRefused: The sheet shows another file, or this one read in the same way.
    """
    old = sheet_of(job, sheet)
    if old.source is None:
        raise _no_drawing(old)
    if old.source.sha256 != source.sha256:
        raise refused(f"{old.name} shows another drawing by now, so it was left as it is.", where=old.name)
    if old.source == source:
        raise refused(f"{old.name} is read in this way already.", where=old.name)
    new = replace(old, source=source)
    said: tuple[str, ...] = ()
    if old.source.reading.corners != source.reading.corners:
        upright = replace(old.placement, turn_deg=90.0 * round(old.placement.turn_deg / 90.0))
        new = replace(new, lengths=(), left_behind=(), placement=upright)
        said = _what_went(job, old)
    return edited(job, Changes(sheets={sheet: new}), words=_words(old.name, old.source, source), said=said)


@deed
def part_added(job: Job, *, sheet: UUID, source: Source, name: str) -> Edit:
    """Add a sheet that shows another part of a sheet's file, at the same scale and place, known by the same lengths.

    Args:
        job: The job.
        sheet: The sheet whose file it is.
        source: The file with the other part.
        name: Name of the new sheet.

    Raises:
        EditRefused: The name is empty or in use.
    """
    old = sheet_of(job, sheet)
    added = add_sheet(job, name=name, source=source, placement=old.placement, each_way=old.each_way)
    new = replace(added.job.sheets[added.made[0]], lengths=old.lengths, shown=old.shown)
    return edited(job, Changes(sheets={new.id: new}), words=added.words, made=(new.id,))


def _within_half_a_turn(turn_deg: float) -> float:
    """The same turn, from -180 degrees up to 180.

    >>> _within_half_a_turn(270.0)
    -90.0
    """
    return (turn_deg + 180.0) % 360.0 - 180.0


def _turned_words(units: Units, name: str, by_deg: float) -> str:
    """What straightening did.

    >>> _turned_words(Units.METRIC, "B2", 1.5), _turned_words(Units.METRIC, "B2", -0.004)
    ('B2 is straight now: turned to the left by 1.50°.', 'B2 is straight now: turned by less than 0.01°.')
    """
    if abs(by_deg) < _LEAST_SAID_DEG:
        return f"{name} is straight now: turned by less than {units.fixed(_LEAST_SAID_DEG, 2)}°."
    way = "left" if by_deg > 0 else "right"
    return f"{name} is straight now: turned to the {way} by {units.fixed(abs(by_deg), 2)}°."


def _what_went(job: Job, old: Sheet) -> tuple[str, ...]:
    """What the user should know of a sheet whose drawing has other places now."""
    said = []
    if old.lengths:
        said.append(f"The known lengths of {old.name} were those of the photo; set the scale again.")
    if any(joint.sheet == old.id for joint in job.joints.values()):
        said.append(f"The joints of {old.name} stayed where they are: check that they lie on the plan.")
    return tuple(said)


def _words(name: str, old: Source, new: Source) -> str:
    if old.reading.corners != new.reading.corners:
        return f"lay {name} flat" if new.reading.corners is not None else f"show the photo of {name} as it was taken"
    if old.reading.crop != new.reading.crop:
        return f"crop {name}" if new.reading.crop is not None else f"show all of the drawing of {name}"
    if old.reading.codepage != new.reading.codepage:
        return f"read the texts of {name} as {new.reading.codepage or 'the file says'}"
    return f"read the drawing of {name} again"


def _no_drawing(sheet: Sheet) -> EditRefused:
    return refused(f"{sheet.name} has no drawing.", where=sheet.name)
