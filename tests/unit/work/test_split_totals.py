"""Splitting a joint changes no measured total, wherever it is split.

Left out, because there the rules ask for another result:

- joints drawn over each other or over themselves: their metres count twice, and which joint meets
  which at the split is anybody's guess;
- places within δ of a node or of a crossing with a movement joint: marks that near become one;
- places within τ of an end of cover: a reach that ends that near a node takes the node;
- places within τ of a spot: on a node it has the larger of its overruns on both sides;
- litres and coats of jobs with runs or jets: a short deep stretch is clipped to its joint.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random
from uuid import UUID

import pytest

from leakmap.base.errors import EditRefused
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, TIE_M
from leakmap.model.job import Job, Numbers
from leakmap.model.words import Wetness
from leakmap.repair.cover import covered
from leakmap.repair.ground import Ground, ground_of
from leakmap.repair.results import Repairs
from leakmap.repair.work_out import repairs
from leakmap.work.edits.splits import split_joint
from tests.helpers.random_networks import random_job

LENGTHS = ("joint_m", "wet_m", "repair_m", "provisional_m", "saved_m", "bridged_m", "blind_m", "chargeable_m")


def places(job: Job, ground: Ground, joint: UUID) -> tuple[list[float], list[float]]:
    """Places of a joint where a split is left out: nodes and crossings; ends of cover and spots."""
    network, cover = ground.network, covered(job, ground)
    length_m = job.joints[joint].length_m
    meet = [0.0, length_m, *(place.at_m for place in ground.junctions.movement if place.joint == joint)]
    meet += [at_m for at_m, _ in network.marks(joint)] if joint in network else []
    pieces = [piece for part in cover.parts for piece in part.pieces if piece.joint == joint]
    spots = [leak.from_m for leak in job.leaks.values() if leak.joint == joint and leak.from_m == leak.to_m]
    return meet, [*spots, *(end for piece in pieces for end in (piece.from_m, piece.to_m))]


def near(at_m: float, others: list[float], gap_m: float) -> bool:
    """Whether a place lies within a gap of any other."""
    return any(abs(at_m - other) <= gap_m for other in others)


def splits(job: Job, chance: Random) -> list[tuple[UUID, float]]:
    """Some places where joints are split: joint and chainage."""
    ground, found = ground_of(job), []
    for joint in job.joints.values():
        meet, ends = places(job, ground, joint.id)
        crossed = [place.at_m for place in ground.junctions.movement if place.joint == joint.id]
        tried = [chance.uniform(0, joint.length_m), *(at_m + chance.choice((-0.05, 0.05)) for at_m in crossed)]
        for at_m in (round(at_m, 3) for at_m in tried):
            also = [at_m, 0.0, joint.length_m] if joint.closed else [at_m]  # a closed joint is split at its start too
            apart = not near(at_m, meet, 3 * DRAWING_TOLERANCE_M) and not any(near(at, ends, 3 * TIE_M) for at in also)
            if apart and not (joint.closed and near(0.0, meet[2:], 3 * DRAWING_TOLERANCE_M)):
                found.append((joint.id, at_m))
    return found


def totals(found: Repairs, *, deep: bool) -> dict[str, str]:
    """Measured totals: lengths, and where nothing is deep every other one."""
    names = LENGTHS if deep else found.totals.__slots__
    return {name: str(getattr(found.totals, name)) for name in names}


@pytest.mark.slow
@pytest.mark.parametrize("block", range(4))
def test_splitting_a_joint_changes_no_measured_total(block: int) -> None:
    """Whatever joint is split, wherever, every measured total stays."""
    done = 0
    for seed in range(block * 15, block * 15 + 15):
        chance = Random(seed)  # noqa: S311 - test jobs, not secrets
        job = random_job(seed, side=24)
        job = replace(job, numbers=Numbers(joint=99, vertical=99, leak=99), cuts={})
        before = repairs(job)
        if any(finding.code == "drawn-over" for finding in before.findings):
            continue
        deep = any(leak.wetness >= Wetness.RUN or leak.method for leak in job.leaks.values())
        for joint, at_m in splits(job, chance):
            try:
                edit = split_joint(job, joint=joint, at_m=at_m)
            except EditRefused:  # a pipe collar
                continue
            assert totals(repairs(edit.job), deep=deep) == totals(before, deep=deep), (seed, at_m)
            done += 1
    assert done > 10
