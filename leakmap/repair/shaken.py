"""What stays of a work-out when joints change, and what cannot."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from uuid import UUID

from leakmap.base.micrometres import to_um
from leakmap.model.job import Job
from leakmap.repair.islands import SLACK_UM, acting_um
from leakmap.repair.nearby import around
from leakmap.repair.results import Zone
from leakmap.repair.shifted import Shifted
from leakmap.repair.work_out import joint_m
from leakmap.repair.worked_out import NOWHERE, Held, WorkedOut


def shaken(before: WorkedOut, found: Shifted) -> set[int]:
    """Islands on joints that changed, near changed places, or with a way through them."""
    placing, way_um = before.placing, acting_um(before.job)
    networks = (before.ground.network, found.was), (found.ground.network, found.now)
    touched = placing.owners_on(found.joints)
    if _reordered(before, found):
        touched |= before.hidden.keys()
    for network, places in networks:
        touched |= placing.owners(network, around(network, places, way_um))
    ways_um: dict[int, int] = {}
    for zone in before.zones:
        if zone.zone.relief and zone.island not in touched:
            ways_um[zone.island] = max(ways_um.get(zone.island, 0), _longest_way_um(zone.zone))
    step_um = way_um
    while ways_um:
        step_um *= 2
        for network, places in networks:
            near = placing.owners(network, around(network, places, step_um))
            touched |= {island for island in near & ways_um.keys() if ways_um[island] > step_um // 2}
        ways_um = {island: way for island, way in ways_um.items() if way > step_um and island not in touched}
    return touched


def _longest_way_um(zone: Zone) -> int:
    """How far from a zone's cover a way between two of its places may lead."""
    return to_um(sum(piece.to_m - piece.from_m for piece in zone.pieces)) // 2 + SLACK_UM


def on_shifted(before: WorkedOut, job: Job, found: Shifted) -> WorkedOut:
    """What was worked out before, as the ground now would have it told."""
    zones = before.zones
    if _reordered(before, found):
        zones = [_placed(zone, found.ground.order) for zone in before.zones]
    wet_m = {joint: length for joint, length in before.wet_m.items() if joint in job.joints}
    return replace(before, ground=found.ground, joint_m=joint_m(job, before.measure), zones=zones, wet_m=wet_m)


def _reordered(before: WorkedOut, found: Shifted) -> bool:
    """Whether joints have other places in every list now."""
    order = found.ground.order
    return any(order.get(key) != place for key, place in before.ground.order.items())


def _placed(held: Held, order: Mapping[UUID, tuple[int, int]]) -> Held:
    """A zone with its place in another order; one on a joint that is gone has none."""
    first = held.zone.pieces[0]
    place = order.get(first.joint)
    return held._replace(place=NOWHERE if place is None else (*place, first.from_m))
