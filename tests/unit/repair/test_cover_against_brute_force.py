"""The engine against a slow reader of the same rules, on random jobs full of ties."""

from __future__ import annotations

from collections import defaultdict
from itertools import combinations
from uuid import UUID

import pytest

from leakmap.model.job import Job
from leakmap.repair.cover import covered
from leakmap.repair.parts import Covered
from leakmap.repair.results import Piece
from tests.helpers.brute_force import Grain, Reading, read
from tests.helpers.jobs import joint_id
from tests.helpers.random_networks import random_job, with_parted


def grains_of(piece: Piece, step_mm: int) -> range:
    """The steps that a piece covers; it must start and stop on the lattice."""
    low, high = piece.from_m * 1000 / step_mm, piece.to_m * 1000 / step_mm
    assert abs(low - round(low)) < 1e-6
    assert abs(high - round(high)) < 1e-6
    return range(round(low), round(high))


def compare(job: Job, step_mm: int) -> tuple[Covered, Reading]:
    """Hold every figure of the engine against the slow reader's."""
    engine, slow = covered(job), read(job, step_mm)
    assert engine.cover_m == pytest.approx(len(slow.before) * step_mm / 1000, abs=1e-9)
    assert engine.own_cover_m == pytest.approx(slow.own_steps * step_mm / 1000, abs=1e-9)
    parts: list[frozenset[Grain]] = []
    wholes: dict[int, set[Grain]] = defaultdict(set)
    for part in engine.parts:
        grains: set[Grain] = set()
        for piece in part.pieces:
            for k in grains_of(piece, step_mm):
                grain = piece.joint, k
                assert grain not in grains
                grains.add(grain)
                assert (piece.why.value, piece.wetness, frozenset(piece.leaks)) == slow.why[grain]
        parts.append(frozenset(grains))
        wholes[part.whole] |= grains
    assert set(parts) == slow.parts
    assert {frozenset(grains) for grains in wholes.values()} == slow.wholes
    assert {frozenset((parts[a], parts[b])) for a, b in engine.apart} == slow.apart
    idle = [finding for finding in engine.findings if finding.code == "cut-separates-nothing"]
    assert len(idle) == len(slow.idle)
    return engine, slow


def crossings(engine: Covered) -> list[tuple[int, float, int, float]]:
    """Pairs of marks that are one node, by number of the joint."""
    first = joint_id(0).int

    def number(joint: UUID) -> int:
        return joint.int - first

    nodes = [engine.network.members(node) for node in range(len(engine.network.arms))]
    return [
        (number(one), at, number(other), other_at)
        for members in nodes
        for (one, at), (other, other_at) in combinations(members, 2)
    ]


@pytest.mark.parametrize("seed", range(120))
def test_tenths_of_a_metre_agree(seed: int) -> None:
    """Cover, own cover, bridges, parts, cuts and reasons agree where everything is a multiple of 50 mm."""
    job = random_job(seed)
    engine, _ = compare(job, 50)
    compare(with_parted(job, seed, crossings(engine)), 50)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(10))
def test_millimetres_agree(seed: int) -> None:
    """The same with joints on a lattice of 50 mm and leaks, overruns and cuts a millimetre or two beside it: ties."""
    job = random_job(seed, step_m=0.05, fine_m=0.001, side=8)
    engine, _ = compare(job, 1)
    compare(with_parted(job, seed, crossings(engine)), 1)
