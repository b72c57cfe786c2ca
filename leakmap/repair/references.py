"""Numbers of zones: they stay once issued, and none is used twice.

Before the first issue numbers are provisional, in sheet, joint, chainage order. Later each zone
looks for its issued number by shared metres of cover.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from leakmap.geometry.tolerance import MICRON_M
from leakmap.model.job import Job
from leakmap.repair.chainages import Span, merged, shared_m, spans_of
from leakmap.repair.results import Zone

Cover = dict[UUID, tuple[Span, ...]]
"""Covered spans joint by joint, sorted and disjoint."""


def cover_of(zone: Zone) -> Cover:
    """What a zone covers, hidden parts included."""
    found: dict[UUID, list[Span]] = defaultdict(list)
    for piece in zone.pieces:
        found[piece.joint].append((piece.from_m, piece.to_m))
    return {joint: merged(spans) for joint, spans in found.items()}


Sharing = tuple[tuple[int, int], ...]
"""What one zone shares with issued zones: (-shared micrometres, issued number) of each."""


@dataclass(frozen=True, slots=True)
class Issued:
    """Zones as last issued.

    Attributes:
        covers: Cover of each number.
        on: Of each joint, the numbers of the zones on it.
    """

    covers: Mapping[int, Cover]
    on: Mapping[UUID, Sequence[int]]

    def shared_with(self, cover: Cover) -> Sharing:
        """What a zone of some cover shares with issued zones."""
        numbers = {number for joint in cover for number in self.on.get(joint, ())} if self.on else ()
        found = []
        for number in numbers:
            known = self.covers[number]
            shared = sum(shared_m(spans, known.get(joint, ())) for joint, spans in cover.items())
            if shared > MICRON_M:
                found.append((-round(shared / MICRON_M), number))
        return tuple(found)


def zone_numbers(job: Job, covers: Sequence[Cover]) -> list[tuple[int, bool]]:
    """Number of each zone, and whether it comes from an issue.

    Args:
        job: The job, with the stretches of its last issue.
        covers: Cover of each zone, blind stretches too, in sheet, joint, chainage order.
    """
    issued = issued_of(job)
    return numbers_of(job, issued, [issued.shared_with(cover) for cover in covers])


def numbers_of(job: Job, issued: Issued, sharings: Sequence[Sharing]) -> list[tuple[int, bool]]:
    """Number of each zone, and whether it comes from an issue, by what they share with issued zones.

    Pairs of a zone and an issued number are taken by shared metres, descending, then lower number,
    if both are free; the other zones continue above the highest number ever issued.
    """
    if not issued.covers:
        return [provisional_number(job, at) for at in range(len(sharings))]
    of_zone: dict[int, int] = {}
    taken: set[int] = set()
    pairs = ((less, number, zone) for zone, sharing in enumerate(sharings) for less, number in sharing)
    for _, number, zone in sorted(pairs):
        if zone not in of_zone and number not in taken:
            of_zone[zone] = number
            taken.add(number)
    highest = max([job.numbers.zone, *issued.covers])
    result = []
    for zone in range(len(sharings)):
        if zone in of_zone:
            result.append((of_zone[zone], True))
        else:
            highest += 1
            result.append((highest, False))
    return result


def provisional_number(job: Job, at: int) -> tuple[int, bool]:
    """Number of the zone at an index of the listing, and that it comes from no issue, while no zone is issued."""
    return job.numbers.zone + 1 + at, False


def issued_of(job: Job) -> Issued:
    """Zones as a job's last issue left them."""
    found: dict[int, dict[UUID, list[Span]]] = defaultdict(lambda: defaultdict(list))
    for stretch in job.issued.values():
        if stretch.joint in job.joints:
            found[stretch.zone][stretch.joint].extend(spans_of(job.joints[stretch.joint], stretch.from_m, stretch.to_m))
    covers = {number: {joint: merged(spans) for joint, spans in by_joint.items()} for number, by_joint in found.items()}
    on: dict[UUID, list[int]] = defaultdict(list)
    for number, cover in covers.items():
        for joint in cover:
            on[joint].append(number)
    return Issued(covers, dict(on))
