"""Numbers of zones: they stay once issued, and none is used twice.

Before the first issue numbers are provisional, in sheet, joint, chainage order. Later each zone
looks for its issued number by shared metres of cover.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from uuid import UUID

from leakmap.geometry.tolerance import MICRON_M
from leakmap.model.job import Job
from leakmap.repair.chainages import Span, merged, shared_m, spans_of

Cover = dict[UUID, tuple[Span, ...]]
"""Covered spans joint by joint, sorted and disjoint."""


def zone_numbers(job: Job, covers: Sequence[Cover]) -> list[tuple[int, bool]]:
    """Number of each zone, and whether it comes from an issue.

    Pairs of a zone and an issued number are taken by shared metres, descending, then lower number,
    if both are free; the other zones continue above the highest number ever issued.

    Args:
        job: The job, with the stretches of its last issue.
        covers: Cover of each zone, blind stretches too, in sheet, joint, chainage order.
    """
    issued = _issued_covers(job)
    of_zone: dict[int, int] = {}
    taken: set[int] = set()
    for _, number, zone in sorted(_sharing(issued, covers)):
        if zone not in of_zone and number not in taken:
            of_zone[zone] = number
            taken.add(number)
    highest = max([job.numbers.zone, *issued])
    result = []
    for zone in range(len(covers)):
        if zone in of_zone:
            result.append((of_zone[zone], True))
        else:
            highest += 1
            result.append((highest, False))
    return result


def _issued_covers(job: Job) -> dict[int, Cover]:
    found: dict[int, dict[UUID, list[Span]]] = defaultdict(lambda: defaultdict(list))
    for stretch in job.issued.values():
        if stretch.joint in job.joints:
            found[stretch.zone][stretch.joint].extend(spans_of(job.joints[stretch.joint], stretch.from_m, stretch.to_m))
    return {number: {joint: merged(spans) for joint, spans in by_joint.items()} for number, by_joint in found.items()}


def _sharing(issued: dict[int, Cover], covers: Sequence[Cover]) -> list[tuple[int, int, int]]:
    """(-shared micrometres, issued number, zone) of every pair that shares some cover."""
    on_joint: dict[UUID, list[int]] = defaultdict(list)
    for number, cover in issued.items():
        for joint in cover:
            on_joint[joint].append(number)
    found = []
    for zone, cover in enumerate(covers):
        for number in {number for joint in cover for number in on_joint[joint]}:
            shared = sum(shared_m(spans, issued[number].get(joint, ())) for joint, spans in cover.items())
            if shared > MICRON_M:
                found.append((-round(shared / MICRON_M), number, zone))
    return found
