"""Bands of whole zones against the engine's own buffers, which are another way to the same shape."""

from __future__ import annotations

from itertools import combinations, pairwise
from math import acos, degrees, hypot

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from leakmap.geometry.bands import GRID
from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.repair.bands import opened_spans
from leakmap.repair.cover import covered
from leakmap.repair.parts import Part
from leakmap.repair.work_out import repairs
from tests.helpers.jobs import job_of, leak, line

HALF_M = 0.1625
SHARPEST_DEG = 24.0  # arms closer than this pass the mitre limit, where the engine bevels in another way


def drawn(points: list[Point]) -> shapely.Geometry:
    """A flat and mitred band along points by the engine's own buffer."""
    return shapely.buffer(
        shapely.LineString(points), HALF_M, cap_style="flat", join_style="mitre", mitre_limit=5.0, quad_segs=8
    )


def plan_of(job: Job, part: Part) -> tuple[list[list[Point]], dict[Point, list[Point]]]:
    """Covered straight pieces of a part, and at each place where any end or meet the far ends of the arms there."""
    network = covered(job).network
    pieces, arms = [], {}
    for joint, spans in opened_spans(part).items():
        path = job.joints[joint].path
        at_marks = [at_m for at_m, _ in network.marks(joint)]
        for from_m, to_m in spans:
            pieces.append(list(path.part(from_m, to_m)))
            ends = sorted({from_m, to_m, *(at for at in at_marks if from_m < at < to_m)})
            for a, b in pairwise(ends):
                first, last = (tuple(round(x, 6) for x in path.point_at(at)) for at in (a, b))
                arms.setdefault(first, []).append(last)
                arms.setdefault(last, []).append(first)
    return pieces, arms


def angle_deg(node: Point, a: Point, b: Point) -> float:
    """Angle between two arms of a node."""
    (ax, ay), (bx, by) = ((p[0] - node[0], p[1] - node[1]) for p in (a, b))
    return degrees(acos(max(-1.0, min(1.0, (ax * bx + ay * by) / hypot(ax, ay) / hypot(bx, by)))))


PLACES = st.tuples(st.integers(0, 8), st.integers(0, 8)).map(lambda p: (p[0] / 2, p[1] / 2))
STRAIGHT = st.tuples(PLACES, PLACES).filter(lambda ends: ends[0] != ends[1])


@st.composite
def straight_jobs(draw: st.DrawFn) -> Job:
    """Straight floor joints that meet and cross, with seeps."""
    joints = [line(*ends) for ends in draw(st.lists(STRAIGHT, min_size=2, max_size=5, unique=True))]
    leaks = []
    for number, joint in enumerate(joints, 1):
        at_m = draw(st.integers(0, int(joint.length_m * 10))) / 10
        leaks.append(leak(number, at_m, min(at_m + 0.5, joint.length_m)))
    return job_of(joints, leaks)


@pytest.mark.slow
@settings(max_examples=40, derandomize=True, deadline=None)
@given(straight_jobs())
def test_coats_agree_with_buffers_of_every_pair_of_arms(job: Job) -> None:
    """The coat of a job is the union of its pieces' buffers and of every pair of arms at a node, buffered as one line."""
    shapes = []
    for part in covered(job).parts:
        pieces, arms = plan_of(job, part)
        shapes += map(drawn, pieces)
        for node, ends in arms.items():
            for a, b in combinations(ends, 2):
                assume(angle_deg(node, a, b) > SHARPEST_DEG)
                shapes.append(drawn([a, node, b]))
    area_m2 = shapely.union_all(shapes, grid_size=GRID).area
    assert float(repairs(job).totals.coat2_m2) == pytest.approx(area_m2, abs=0.002)
