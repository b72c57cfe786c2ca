"""What the window tells apart: stages of the work, sorts of things, and what may lie in the plan's place."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass
from enum import IntEnum, StrEnum
from typing import Final
from uuid import UUID

from leakmap.model.job import Job
from leakmap.repair.results import Repairs, Zone
from leakmap.work.offered import Offered


class Stage(IntEnum):
    """A stage of the work, by its number on the stage line."""

    DRAWING = 1
    JOINTS = 2
    LEAKS = 3
    REPAIR = 4
    ISSUE = 5
    AS_BUILT = 6

    @property
    def title(self) -> str:
        """Its name on the stage line."""
        return "As-built" if self is Stage.AS_BUILT else self.name.capitalize()


class Sort(StrEnum):
    """What can be picked or pointed at."""

    SHEET = "sheet"
    JOINT = "joint"
    LEAK = "leak"
    ZONE = "zone"
    REVISION = "revision"
    PROPOSAL = "proposal"  # a line that could be a joint


@dataclass(frozen=True, slots=True)
class Thing:
    """Something on the plan and in the ledger.

    Attributes:
        key: Its id; a zone's is its number, and so is a proposal's.
    """

    sort: Sort
    key: UUID | int


class LedgerView(StrEnum):
    """What the ledger lists in stage Drawing."""

    LEVELS = "levels"
    LAYERS = "layers"


class Paper(StrEnum):
    """A paper that is looked at in the plan's place: what would be issued, or what changed since."""

    MARKED = "marked drawing"
    SCHEDULE = "repair schedule"
    PLAN_SET = "plan set"
    CHANGES = "changes"


class Declared(StrEnum):
    """What lies in the plan's place line by line, to be changed, to be read as a leaflet, or to choose an old job from."""

    SETTINGS = "settings"
    RULES = "rules"
    MATERIALS = "materials"
    RATES = "rates"
    CAUTIONS = "cautions"
    CHANGES = "changes"
    OLD_JOBS = "old jobs"


OF_JOB: Final = frozenset({Declared.RULES, Declared.MATERIALS, Declared.RATES})
"""Sheets that only an open job has."""

TABLES: Final = {Declared.MATERIALS: "Take a material table in", Declared.RATES: "Take a table of rates in"}
"""What taking such a sheet from the table of a file is called."""

TO_READ: Final = frozenset({Declared.CAUTIONS, Declared.CHANGES})
"""Leaflets that are always there."""


class Pane(StrEnum):
    """A pane that the keyboard may be in, besides the plan."""

    STAGES = "stages"
    FIND = "find box"
    LEVELS = "levels"
    TAPE = "tape"
    LEDGER = "ledger"
    FOOT = "foot"
    SETTINGS = "settings"
    RULES = "rules"
    MATERIALS = "materials"
    RATES = "rates"
    LEAFLET = "leaflet"
    OLD_JOBS = "old jobs"
    PAGES = "pages"
    GUIDE = "guide"


def keys_of(job: Job, repairs: Repairs, offered: Offered | None) -> dict[Sort, Container[object]]:
    """Keys of all that can be picked, by their sort."""
    return {
        Sort.SHEET: job.sheets,
        Sort.JOINT: job.joints,
        Sort.LEAK: job.leaks,
        Sort.ZONE: {zone.number for zone in repairs.zones},
        Sort.REVISION: job.revisions,
        Sort.PROPOSAL: {line.number for line in offered.lines} if offered is not None else (),
    }


def renumbered(thing: Thing, kept: Repairs, shown: Repairs) -> Thing:
    """A picked thing in another state of the job: a zone is the one that has most of its leaks."""
    leaks = next((_leaks(zone) for zone in kept.zones if thing == Thing(Sort.ZONE, zone.number)), None)
    if leaks is None or not shown.zones:
        return thing
    found = max(shown.zones, key=lambda zone: len(_leaks(zone) & leaks))
    return Thing(Sort.ZONE, found.number) if _leaks(found) & leaks else thing


def _leaks(zone: Zone) -> frozenset[UUID]:
    return frozenset(leak for piece in zone.pieces for leak in piece.leaks)
