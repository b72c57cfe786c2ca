"""Going to what was found: its level, into view, picked, so that the tape lays it out; a mere spot is marked."""

from __future__ import annotations

from typing import Final
from uuid import UUID

from leakmap.desk.ledger.answers import look_at, show_level_of, take
from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tools.places import point_of
from leakmap.geometry.path import Point
from leakmap.work.find.places import Place

_SHOWN_FROM: Final = {Sort.LEAK: Stage.LEAKS, Sort.ZONE: Stage.REPAIR}
"""The first stage whose plan shows a thing; later ones do too."""


def go_to(desk: Desk, place: Place) -> None:
    """Bring a place into view: a thing is picked, a level shown, a spot marked."""
    desk.show_declared(None)
    if desk.paper is not None:
        desk.take_tool(None)  # the tool laid the paper over the plan
    thing = Thing(Sort(place.where.sort), place.where.key) if place.where is not None else None
    if thing is not None and thing.sort is Sort.SHEET:
        show_level_of(desk, thing)
        desk.pick(thing)
    elif thing is not None and thing.sort is Sort.REVISION:
        desk.go_to(Stage.ISSUE)
        desk.pick(thing)
    elif thing is not None and place.at is None:
        if desk.stage < _SHOWN_FROM.get(thing.sort, desk.stage):
            desk.go_to(_SHOWN_FROM[thing.sort])
        look_at(desk, thing)
    elif place.at is not None:
        if place.sheet is not None:
            desk.show_level(place.sheet)
        desk.pick(*((thing,) if thing is not None else ()))
        desk.mark_spot(_on_staff(desk, place) or place.at)


def _on_staff(desk: Desk, place: Place) -> Point | None:
    """Where a height of a vertical joint stands on the staff that the tool in hand has raised for it; None: on none."""
    key = place.where.key if place.where is not None else None
    if desk.job is None or place.along_m is None or not isinstance(key, UUID) or key not in desk.staffs:
        return None
    joint = desk.job.joints[key]
    return point_of(joint, place.along_m, desk.staffs)


def take_with(desk: Desk, thing: Thing, stage: Stage, key: str) -> None:
    """Pick a thing, bring it into view, and take the action of a letter in a stage."""
    desk.go_to(stage)
    look_at(desk, thing)
    take(desk, stage, key)
