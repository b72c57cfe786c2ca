"""Areas of zones: bands of one zone united, shared area counted once, in the lower reference."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import partial

import shapely

from leakmap.base.rounding import ZERO, snapped
from leakmap.geometry.bands import rings_of, united, without
from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.repair.bands import Flat, PlaneBands, plane_bands, shared_areas
from leakmap.repair.coats import CoatWidths, coat_widths
from leakmap.repair.network import Network
from leakmap.repair.parts import Part
from leakmap.repair.results import Band, Row

_MM2_PER_M2 = 1e6


@dataclass(frozen=True, slots=True)
class Laid:
    """Bands of one width laid out on every flat face.

    Attributes:
        widths: How wide the band of a joint is.
        plane: Bands of parts.
        of_part: One geometry for each part and flat face.
        shared_m2: What pairs of parts share, lower part first.
    """

    widths: Callable[[Joint], CoatWidths]
    plane: PlaneBands
    of_part: dict[tuple[int, Flat], shapely.Geometry]
    shared_m2: dict[tuple[int, int], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneCoats:
    """Areas of one zone in square metres, unrounded, and its bands for drawing."""

    coat2_m2: Decimal
    wash_m2: Decimal
    bands: tuple[Band, ...]


def laid_out(
    job: Job, network: Network, parts: Sequence[Part], widths: Callable[[Joint], CoatWidths], origin: Point
) -> Laid:
    """The bands of all parts, united part by part, with what they share."""
    plane = plane_bands(job, network, parts, widths, origin)
    of_part = plane.united()
    return Laid(widths, plane, of_part, shared_areas(of_part))


def united_by_zone(
    of_part: Mapping[tuple[int, Flat], shapely.Geometry], zones: Sequence[Sequence[int]]
) -> list[dict[Flat, shapely.Geometry]]:
    """Bands of each zone, face by face.

    Args:
        of_part: One geometry for each part and flat face.
        zones: Numbers of each zone's parts.
    """
    faces: dict[int, list[Flat]] = defaultdict(list)
    for part, flat in of_part:
        faces[part].append(flat)
    result = []
    for parts in zones:
        found: dict[Flat, list[shapely.Geometry]] = defaultdict(list)
        for part in parts:
            for flat in faces[part]:
                found[flat].append(of_part[part, flat])
        result.append({flat: united(shapes) for flat, shapes in found.items()})
    return result


def plane_areas(
    laid: Laid, zones: Sequence[Sequence[int]], bands: Sequence[Mapping[Flat, shapely.Geometry]]
) -> list[Decimal]:
    """Square metres of each zone on flat faces; what it shares with a zone before it is left out.

    Areas are snapped to a millionth, far above what the grid leaves open: turning a plan decides no rounding.

    Args:
        laid: The bands of all parts.
        zones: Numbers of each zone's parts.
        bands: Bands of each zone, face by face.
    """
    zone_of = {part: number for number, parts in enumerate(zones) for part in parts}
    before: dict[int, set[int]] = defaultdict(set)
    for a, b in laid.shared_m2:
        low, high = sorted((zone_of[a], zone_of[b]))
        if low != high:
            before[high].add(low)
    result = []
    for number, by_flat in enumerate(bands):
        area_mm2 = 0.0
        for flat, band in by_flat.items():
            others = [bands[other][flat] for other in sorted(before[number]) if flat in bands[other]]
            area_mm2 += without(band, others).area
        result.append(snapped(area_mm2 / _MM2_PER_M2))
    return result


def area_beside(job: Job, widths: Callable[[Joint], CoatWidths], rows: Sequence[Row]) -> Decimal:
    """Square metres measured as length × width: walls, vertical joints, corners of which little is known."""
    return sum(
        (row.length_m * Decimal(repr(widths(job.joints[row.joint]).beside_m)) for row in rows),
        ZERO,
    )


def washed_out(job: Job, network: Network, parts: Sequence[Part], coat2: Laid) -> Laid:
    """The bands that are washed: those of the second coat unless a rule makes them another width."""
    rules = job.rules
    if rules.wash_m == rules.coat_margin_m:
        return coat2
    widths = partial(coat_widths, slot_width_m=rules.slot_width_m, margin_m=rules.wash_m)
    return laid_out(job, network, parts, widths, coat2.plane.origin_m)


def coats_of_zones(
    job: Job,
    network: Network,
    parts: Sequence[Part],
    zones: Sequence[tuple[Sequence[int], Sequence[Row]]],
    *,
    laid: Laid,
    washed: Laid,
) -> list[ZoneCoats]:
    """Coats of all zones, which come in the order of their numbers.

    Args:
        job: The job.
        network: Its network.
        parts: The connected parts of its cover.
        zones: Numbers of the parts of each zone, and its printed rows.
        laid: The bands of the second coat.
        washed: The bands that are washed.
    """
    members = [numbers for numbers, _ in zones]
    on_faces = united_by_zone(laid.of_part, members)
    coat2 = _areas(job, laid, zones, on_faces)
    wash = coat2 if washed is laid else _areas(job, washed, zones, united_by_zone(washed.of_part, members))
    others = plane_bands(job, network, parts, laid.widths, laid.plane.origin_m, drawn_only=True)
    drawn = _drawn(on_faces, united_by_zone(others.united(), members), laid.plane.origin_m)
    return [
        ZoneCoats(coat2_m2=coat, wash_m2=area, bands=bands)
        for coat, area, bands in zip(coat2, wash, drawn, strict=True)
    ]


def _areas(
    job: Job,
    laid: Laid,
    zones: Sequence[tuple[Sequence[int], Sequence[Row]]],
    bands: Sequence[Mapping[Flat, shapely.Geometry]],
) -> list[Decimal]:
    on_faces = plane_areas(laid, [numbers for numbers, _ in zones], bands)
    return [area + area_beside(job, laid.widths, rows) for area, (_, rows) in zip(on_faces, zones, strict=True)]


def _drawn(
    on_faces: Sequence[Mapping[Flat, shapely.Geometry]],
    beside: Sequence[Mapping[Flat, shapely.Geometry]],
    origin_m: Point,
) -> list[tuple[Band, ...]]:
    """Bands of each zone for drawing; on walls and at corners of which little is known they show the width only."""
    of_zone = [[*one.items(), *other.items()] for one, other in zip(on_faces, beside, strict=True)]
    rings = iter(rings_of([shape for own in of_zone for _, shape in own], origin_m))
    return [tuple(Band(sheet=flat[0], face=flat[1], rings=next(rings)) for flat, _ in own) for own in of_zone]
