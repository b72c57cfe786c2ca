"""Bands of coat in plan: where each connected part lies on each flat face, and what parts share.

A chain is an unbroken opened stretch of one joint in one part. Its band is mitred at the joint's
bends; where chains of one face meet at a node, every pair of arms is mitred as if they were one
line. A face is a pair (sheet, floor or soffit); bands of different faces never touch.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations, permutations
from math import hypot
from uuid import UUID

import numpy as np
import shapely

from leakmap.base.micrometres import PER_METRE
from leakmap.geometry.bands import (
    SHARPEST_COSINE,
    Line,
    PolygonArray,
    bands,
    poked_through,
    shared_area_mm2,
    to_local_mm,
    united,
    wedges,
    without,
)
from leakmap.geometry.path import Path, Point
from leakmap.geometry.tolerance import MICRON_M
from leakmap.model.job import Job
from leakmap.model.joint import Joint, plan_path
from leakmap.model.words import Face
from leakmap.repair.chainages import Span
from leakmap.repair.coats import CoatWidths
from leakmap.repair.network import Network
from leakmap.repair.parts import Part
from leakmap.repair.wet import marks_on

Flat = tuple[UUID, Face]
"""A flat face: a sheet, and its floor or soffit (any face where bands are only drawn)."""

_MM_PER_M = 1000.0
_MM2_PER_M2 = 1e6
_COLLINEAR = 1.0 - 1e-9
_STRAIGHT = 1e-9


@dataclass(frozen=True, slots=True)
class Chain:
    """An unbroken opened stretch of a joint in a part, with the widths of its band."""

    part: int
    joint: UUID
    from_m: float
    to_m: float
    path: Path
    flat: Flat
    left_m: float
    right_m: float

    @property
    def whole_round(self) -> bool:
        """Whether it goes once round a closed joint."""
        return self.path.closed and self.to_m - self.from_m >= self.path.length_m - MICRON_M


@dataclass(frozen=True, slots=True)
class Arm:
    """A chain leaving a node: from where, which way, and how far it is straight.

    Attributes:
        left_m: Reach on the left, looking away from the node.
    """

    at: Point
    out: Point
    left_m: float
    right_m: float
    straight_m: float
    joint: UUID
    node_m: float
    chain: int


Meetings = dict[tuple[int, Flat, object], list[Arm]]
"""Arms that meet: by part, flat face, and node (a closed joint's start counts as one)."""


@dataclass(frozen=True, slots=True)
class PlaneBands:
    """Bands of all parts on flat faces.

    Attributes:
        origin_m: Site position of the polygons' origin; polygons are in millimetres from there.
        of_part: Polygons of each part on each flat face; they may overlap within a part.
    """

    origin_m: Point
    of_part: dict[tuple[int, Flat], list[shapely.Geometry]]

    def united(self) -> dict[tuple[int, Flat], shapely.Geometry]:
        """One geometry for each part and flat face."""
        return {key: united(polygons) for key, polygons in self.of_part.items()}


def opened_spans(part: Part) -> dict[UUID, tuple[Span, ...]]:
    """Opened stretches of a part, joint by joint, blind ones left out."""
    return part.opened


def plane_bands(
    job: Job,
    network: Network,
    parts: Sequence[Part],
    widths: Callable[[Joint], CoatWidths],
    origin: Point,
    *,
    drawn_only: bool = False,
) -> PlaneBands:
    """Bands of every part.

    Args:
        job: The job.
        network: Its network.
        parts: The connected parts of its cover.
        widths: How wide the band of a joint is.
        origin: Site position of the polygons' origin.
        drawn_only: Give the bands that are drawn in plan but belong to no flat face, instead of those that do.
    """
    chains = _chains(job, parts, widths, drawn_only=drawn_only)
    if not chains:
        return PlaneBands(origin, {})
    of_part: dict[tuple[int, Flat], list[shapely.Geometry]] = defaultdict(list)
    drawn = bands([_line(chain, origin) for chain in chains])
    meetings = _arms(network, chains)
    for number, poked in _poked_through(meetings, origin).items():
        drawn[number] = without(drawn[number], poked)
    for chain, band in zip(chains, drawn, strict=True):
        of_part[chain.part, chain.flat].append(band)
    keys, mitres = _mitres(meetings, origin)
    for key, mitre in zip(keys, mitres, strict=True):
        of_part[key].append(mitre)
    return PlaneBands(origin, dict(of_part))


def shared_areas(geometries: dict[tuple[int, Flat], shapely.Geometry]) -> dict[tuple[int, int], float]:
    """Square metres that each pair of parts shares over all flat faces; pairs that share none are left out."""
    by_flat: dict[Flat, list[int]] = defaultdict(list)
    for part, flat in geometries:
        by_flat[flat].append(part)
    shared: dict[tuple[int, int], float] = defaultdict(float)
    for flat, numbers in by_flat.items():
        shapes = np.array([geometries[number, flat] for number in numbers], dtype=object)
        a, b = shapely.STRtree(shapes).query(shapes, predicate="intersects")
        a, b = a[a < b], b[a < b]
        for i, j, area in zip(a.tolist(), b.tolist(), shared_area_mm2(shapes[a], shapes[b]).tolist(), strict=True):
            if area > 0:
                shared[min(numbers[i], numbers[j]), max(numbers[i], numbers[j])] += area / _MM2_PER_M2
    return dict(shared)


def _chains(job: Job, parts: Sequence[Part], widths: Callable[[Joint], CoatWidths], *, drawn_only: bool) -> list[Chain]:
    known: dict[UUID, tuple[Path | None, CoatWidths]] = {}
    chains = []
    for number, part in enumerate(parts):
        for joint_id, spans in opened_spans(part).items():
            joint = job.joints[joint_id]
            if joint_id not in known:
                known[joint_id] = plan_path(joint), widths(joint)
            path, width = known[joint_id]
            if path is None or (width.plane is None) is not drawn_only:
                continue
            flat = (joint.sheet, width.plane or joint.face)
            for from_m, to_m in _in_path(path, joint, spans):
                chains.append(Chain(number, joint_id, from_m, to_m, path, flat, width.left_m, width.right_m))
    return chains


def _in_path(path: Path, joint: Joint, spans: Iterable[Span]) -> list[Span]:
    """Spans with the joint's end taken as the path's, whose last bits may differ."""
    end_m = path.length_m
    return [(from_m, end_m if to_m >= joint.length_m - MICRON_M else to_m) for from_m, to_m in spans]


def _line(chain: Chain, origin: Point) -> Line:
    points = chain.path.corners if chain.whole_round else chain.path.part(chain.from_m, chain.to_m)
    local = to_local_mm(points, origin)
    if len(local) > 2:
        apart = np.hypot(*np.diff(local, axis=0).T) > MICRON_M * _MM_PER_M
        local = local[np.concatenate(([True], apart))] if not apart.all() else local
    return Line(local, chain.left_m * _MM_PER_M, chain.right_m * _MM_PER_M, closed=chain.whole_round)


def _poked_through(meetings: Meetings, origin: Point) -> dict[int, list[shapely.Geometry]]:
    """What chains must lose where one-sided bands meet at less than 90°, as in a sharp corner of a room."""
    found: dict[int, list[shapely.Geometry]] = defaultdict(list)
    for arms in meetings.values():
        for a, b in permutations(arms, 2):
            reach = _only_between(a, b)
            if reach > 0 and 0 < a.out[0] * b.out[0] + a.out[1] * b.out[1] <= SHARPEST_COSINE:
                at = to_local_mm([a.at], origin)[0]
                poked = poked_through(at, np.array(a.out), np.array(b.out), reach * _MM_PER_M)
                found[a.chain].append(poked)
    return found


def _only_between(a: Arm, b: Arm) -> float:
    """Reach of two one-sided bands that both lie between their arms; 0 of any others."""
    if min(a.left_m, a.right_m) > 0 or min(b.left_m, b.right_m) > 0 or _same_place(a, b):
        return 0.0
    side = _outer_side(a, b)
    if side == 0:
        return 0.0
    return min(a.right_m, b.left_m) if side > 0 else min(a.left_m, b.right_m)


def _mitres(meetings: Meetings, origin: Point) -> tuple[list[tuple[int, Flat]], PolygonArray]:
    """Wedges of every pair of arms that meet at a node, with the part and face of each."""
    keys: list[tuple[int, Flat]] = []
    pairs: list[tuple[Arm, Arm]] = []
    reaches: list[float] = []
    for (part, flat, _), arms in meetings.items():
        for a, b in combinations(arms, 2):
            reach = _outer_reach(a, b)
            if reach > 0 and not _lies_in_another(a, b, reach, arms):
                keys.append((part, flat))
                pairs.append((a, b))
                reaches.append(reach * _MM_PER_M)
    if not pairs:
        return [], np.empty(0, dtype=object)
    at_a, at_b = (to_local_mm([pair[i].at for pair in pairs], origin) for i in (0, 1))
    out_a, out_b = (np.array([pair[i].out for pair in pairs]) for i in (0, 1))
    return keys, wedges(at_a, out_a, at_b, out_b, np.array(reaches))


def _arms(network: Network, chains: Sequence[Chain]) -> Meetings:
    """Arms of one part and face at each node; a closed joint's start counts as one."""
    found: Meetings = defaultdict(list)
    for number, chain in enumerate(chains):
        for at_um, node in marks_on(network, chain.joint, (chain.from_m, chain.to_m)):
            found[chain.part, chain.flat, node].extend(_arms_at(number, chain, at_um / PER_METRE))
        if chain.path.closed and not chain.whole_round:
            for at_m in (0.0, chain.path.length_m):
                if chain.from_m - MICRON_M <= at_m <= chain.to_m + MICRON_M:
                    found[chain.part, chain.flat, chain.joint].extend(_arms_at(number, chain, at_m))
    return {key: arms for key, arms in found.items() if len(arms) > 1}


def _arms_at(number: int, chain: Chain, at_m: float) -> list[Arm]:
    """The arms of a chain at a chainage: one on the side of falling, one on that of rising chainage, where covered."""
    at_m = min(max(at_m, chain.from_m), chain.to_m)
    arms = []
    if at_m < chain.to_m - MICRON_M:
        piece = chain.path.piece_at(at_m + MICRON_M)
        straight = min(chain.path.chainages[piece + 1], chain.to_m) - at_m
        arms.append(_arm(number, chain, at_m, piece, way=1.0, straight_m=straight))
    if at_m > chain.from_m + MICRON_M:
        piece = chain.path.piece_at(at_m - MICRON_M)
        straight = at_m - max(chain.path.chainages[piece], chain.from_m)
        arms.append(_arm(number, chain, at_m, piece, way=-1.0, straight_m=straight))
    return arms


def _arm(number: int, chain: Chain, at_m: float, piece: int, *, way: float, straight_m: float) -> Arm:
    (x0, y0), (x1, y1) = chain.path.corners[piece], chain.path.corners[piece + 1]
    length = hypot(x1 - x0, y1 - y0) * way
    left, right = (chain.left_m, chain.right_m) if way > 0 else (chain.right_m, chain.left_m)
    out = ((x1 - x0) / length, (y1 - y0) / length)
    return Arm(chain.path.point_at(at_m), out, left, right, straight_m, chain.joint, at_m, number)


def _outer_reach(a: Arm, b: Arm) -> float:
    """Reach of both arms on the outer side of their bend; 0 where one has none, or one joint runs straight through.

    Coming in along ``a`` its sides are swapped: its left, seen from the node, is the right of who comes in.
    """
    side = 0.0 if _same_place(a, b) else _outer_side(a, b)
    if side == 0:
        return 0.0
    return min(a.left_m, b.right_m) if side > 0 else min(a.right_m, b.left_m)


def _same_place(a: Arm, b: Arm) -> bool:
    """Whether two arms are one joint passing a node; its own band is mitred there."""
    return a.joint == b.joint and abs(a.node_m - b.node_m) <= MICRON_M


def _outer_side(a: Arm, b: Arm) -> float:
    """Side of the wedge, coming in along the first arm: above 0 right, below 0 left, 0 straight on."""
    side = a.out[1] * b.out[0] - a.out[0] * b.out[1]
    return 0.0 if abs(side) < _STRAIGHT else side


def _lies_in_another(a: Arm, b: Arm, reach_m: float, arms: Sequence[Arm]) -> bool:
    """Whether an arm that carries on straight covers the wedge, so that it need not be drawn."""
    cosine = -(a.out[0] * b.out[0] + a.out[1] * b.out[1])  # of the turn
    if cosine < -0.9:
        return False
    sine = (1 - cosine * cosine) ** 0.5
    needed_m = reach_m * max(sine, sine / (1 + cosine))
    return any(
        c.straight_m >= needed_m
        and min(c.left_m, c.right_m) >= reach_m
        and any(-(c.out[0] * x.out[0] + c.out[1] * x.out[1]) > _COLLINEAR and c.at == x.at for x in (a, b))
        for c in arms
    )
