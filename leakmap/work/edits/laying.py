"""Lay one level over another by places that both show, so that vertical joints meet.

One place shifts the level; two or more turn it as well, so that the sum of squares of what they are out by is least.
Its scale stays where it is known. What is drawn on the level goes along; the other level stays.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final
from uuid import UUID

from leakmap.base.measures import Units
from leakmap.geometry.fit import Fit, Freedom, Pair, fitted
from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.model.sheet import Sheet
from leakmap.work.edits.edit import Edit, deed, refused, sheet_of
from leakmap.work.edits.scales import place_sheet

Place = tuple[Point, Point]
"""One place twice, metres of the site plane: where it lies on the level that moves, and where on the other."""

_LEAST_TURN_DEG: Final = 0.005


@deed
def lay_over(job: Job, *, sheet: UUID, over: UUID, places: Sequence[Place], with_scale: bool = False) -> Edit:
    """Move a level so that places on it lie on the same places of another.

    Args:
        job: The job.
        sheet: The level that moves.
        over: The level that it is laid over, which stays.
        places: One place at least, each as both levels show it now.
        with_scale: Whether places set the level's scale too, because it is not known; that takes two.

    Raises:
        EditRefused: The levels are one, there is no place, or the places say no turn; or the scale is asked for and
            is known already, or takes another place.
    """
    moving, staying = sheet_of(job, sheet), sheet_of(job, over)
    if sheet == over:
        raise refused(f"{moving.name} cannot be laid over itself; choose another level.", where=moving.name)
    if not places:
        raise refused(f"Pick a place that {moving.name} and {staying.name} both show.", where=moving.name)
    if with_scale:
        _refuse_scale(moving, places)
    fit = laid(moving, places, with_scale=with_scale)
    edit = place_sheet(job, sheet=sheet, placement=fit.placement)
    said = (_moved(job.units, moving, fit, places[0][0]), *residual_words(moving.name, staying.name, fit, job.units))
    return replace(edit, words=f"lay {moving.name} over {staying.name}", said=(*edit.said, *said))


def laid(sheet: Sheet, places: Sequence[Place], *, with_scale: bool = False) -> Fit:
    """The placement that lays a level by places, and what each of them is out by.

    Raises:
        BadValue: There is no place, or the places say no turn.
    """
    turn = Freedom.SCALE if with_scale and sheet.source is not None else Freedom.TURN
    pairs = [Pair(drawn=sheet.placement.to_drawing(here), site=there) for here, there in places]
    return fitted(sheet.placement, pairs, turn if len(pairs) > 1 else Freedom.SHIFT)


def residual_words(one: str, other: str, fit: Fit, units: Units = Units.METRIC) -> Iterator[str]:
    """How well places of two levels or drawings lie on each other, and what to do where not; nothing for a single place."""
    out = fit.residuals_m
    if len(out) < 2:
        return
    if fit.agrees:
        yield f"All {len(out)} places lie on each other within {units.out_by(fit.worst_m)}."
    elif len(out) == 2:
        yield (
            f"The two places are out by {units.out_by(fit.worst_m)} each, because {one} and {other} do not"
            " measure the same between them: pick them again, or check the scale of both."
        )
    else:
        number = out.index(fit.worst_m) + 1
        yield (
            f"Place {number} is out by {units.out_by(fit.worst_m)}, the most of {len(out)}: pick it again, or check"
            f" the scale of {one} and {other}."
        )


def _refuse_scale(sheet: Sheet, places: Sequence[Place]) -> None:
    if sheet.source is None:
        raise refused(f"{sheet.name} has no drawing, so its lengths are true; it needs no scale.", where=sheet.name)
    if sheet.lengths:
        raise refused(f"{sheet.name} has its scale by known lengths; lay it over without one.", where=sheet.name)
    if len(places) < 2:
        raise refused(f"To give {sheet.name} its scale as well, pick a second place.", where=sheet.name)


def _moved(units: Units, old: Sheet, fit: Fit, place: Point) -> str:
    """What the deed did: by how much it moved a place, turned and scaled the level."""
    to = fit.placement.to_site(old.placement.to_drawing(place))
    across, up = to[0] - place[0], to[1] - place[1]
    parts = [f"moved by {units.said(across)} across and {units.said(up)} up"]
    turn_deg = (fit.placement.turn_deg - old.placement.turn_deg + 180) % 360 - 180
    if abs(turn_deg) >= _LEAST_TURN_DEG:
        parts.append(f"turned by {units.fixed(turn_deg, 2)}°")
    share = fit.placement.x_m_per_unit / old.placement.x_m_per_unit
    if abs(share - 1) > 1e-6:
        parts.append(f"made {share:.4g} times as large")
    return f"{old.name} {', '.join(parts)}."
