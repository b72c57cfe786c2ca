"""What things of a level are drawn from, and what of it is otherwise after a deed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple
from uuid import UUID

from leakmap.base.differing import differing
from leakmap.desk.plan.bands import Lines
from leakmap.issue.marks.signs import Staff
from leakmap.model.job import Job
from leakmap.model.leak import Leak
from leakmap.repair.results import Repairs
from leakmap.work.changes_since import Changes


@dataclass(frozen=True, slots=True, eq=False)
class Basis:
    """All that recipes are made from."""

    job: Job
    repairs: Repairs
    lines: Lines
    places: Mapping[UUID, Staff]
    changes: Changes | None

    def same_but_marks(self, other: Basis) -> bool:
        """Whether the two differ at most in leaks, cuts, zones and what changed of these."""
        one, two = self.job, other.job
        return (
            self.lines is other.lines
            and all(a is b for a, b in ((one.joints, two.joints), (one.sheets, two.sheets), (one.rules, two.rules)))
            and one.units == two.units
            and (self.places is other.places or self.places == other.places)
            and (self.changes is None) is (other.changes is None)
        )

    def same_but_changes(self, other: Basis) -> bool:
        """Whether the two differ only in what is told of changes."""
        same = (self.lines is other.lines, self.job is other.job, self.repairs is other.repairs)
        return all(same) and self.places == other.places


class Differing(NamedTuple):
    """What differs where only marks do: leaks that went and came, whether cuts and relief points do, numbers of zones."""

    gone: list[Leak]
    come: list[Leak]
    cuts: bool
    reliefs: bool
    numbers: frozenset[int]


def differing_marks(before: Basis, now: Basis, told: frozenset[int]) -> Differing:
    """What differs of leaks, cuts and zones; ``told`` are numbers of zones of which other changes are told."""
    gone, come = differing(before.job.leaks.values(), now.job.leaks.values())
    zones = [zone for each in differing(before.repairs.zones, now.repairs.zones) for zone in each]
    return Differing(
        gone=gone,
        come=come,
        cuts=now.job.cuts is not before.job.cuts,
        reliefs=any(zone.relief for zone in zones),
        numbers=told.union(zone.number for zone in zones),
    )
