"""A job that is worked out, as a value from which a later edit goes on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, NamedTuple
from uuid import UUID

from leakmap.base.findings import Finding
from leakmap.model.job import Job
from leakmap.repair.ground import Ground
from leakmap.repair.islands import Island
from leakmap.repair.marked import Marked
from leakmap.repair.measure import Measure
from leakmap.repair.nearby import Bands, Placing
from leakmap.repair.references import Cover, Issued, Sharing
from leakmap.repair.results import Repairs, Zone
from leakmap.repair.work_out import Hiding, Sums

Place = tuple[int, int, float]
"""Place of a zone in the listing: sheet, joint, chainage."""

NOWHERE: Final[Place] = (-1, -1, 0.0)
"""Place of a zone whose first joint is gone."""


class Held(NamedTuple):
    """A zone: its place in the listing, its island, its cover, and what that shares with issued zones."""

    place: Place
    island: int
    cover: Cover
    sharing: Sharing
    zone: Zone


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedOut:
    """A job that is worked out, with what a later edit needs.

    Attributes:
        job: The job.
        ground: Its joints.
        measure: The rounding of chainages.
        joint_m: Measured length of all joints.
        marked: What follows from each leak by itself.
        wet_m: Of each joint, its measured wet length.
        islands: By number; no number is used twice.
        next_island: The next number.
        own_um: Own covers of all wet stretches, summed.
        before_um: Length of the cover before bridging.
        placing: Where islands lie.
        bands: Their coat bands.
        issued: Zones as last issued.
        zones: Every zone, in sheet, joint, chainage order.
        sums: Sums over the zones.
        no_length: What is said of leaks that cover nothing with length.
        idle: What is said of cuts that separate nothing.
        off_wet: What is said of relief points that serve no wet stretch.
        hidden: Relief points that cannot be made, island by island.
        repairs: What follows from the job.
    """

    job: Job
    ground: Ground
    measure: Measure
    joint_m: Decimal
    marked: Marked
    wet_m: Mapping[UUID, Decimal]
    islands: Mapping[int, Island]
    next_island: int
    own_um: int
    before_um: int
    placing: Placing
    bands: Bands
    issued: Issued
    zones: Sequence[Held]
    sums: Sums
    no_length: Mapping[UUID, Finding]
    idle: Mapping[UUID, Finding]
    off_wet: Mapping[UUID, Finding]
    hidden: Mapping[int, Sequence[Hiding]]
    repairs: Repairs
