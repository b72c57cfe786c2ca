"""Random jobs on a lattice, full of ties: everything is a whole number of steps.

The same seed gives the same job on every machine and in every release of Python 3.11 and newer.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from random import Random

from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.model.joint import Blind, Joint
from leakmap.model.leak import Leak
from leakmap.model.rules import Rules, Suspects
from leakmap.model.words import Face, Kind, Method, Wetness
from tests.helpers.jobs import cut, job_of, leak, line, parted, sheet, upright


def random_job(seed: int, *, step_m: float = 0.1, fine_m: float = 0.1, side: int = 16) -> Job:
    """A job of a few joints that cross, turn, close and rise, with leaks, cuts and whatever else acts on cover.

    Args:
        seed: Seed of its own random numbers.
        step_m: Joints lie on a lattice of this step.
        fine_m: Leaks, overruns, blind stretches and cuts are multiples of this.
        side: Size of the plan in steps.
    """
    random = Random(seed)  # noqa: S311 - test jobs, not secrets
    joints = [_line(random, step_m, side) for _ in range(random.randint(1, 5))]
    joints += [_rectangle(random, step_m, side) for _ in range(random.randint(0, 2))]
    joints += [_upright(random, step_m, side) for _ in range(random.randint(0, 2))]
    joints = [_blinded(random, joint, fine_m) for joint in joints]
    leaks = [_leak(random, joints, step_m, fine_m) for _ in range(random.randint(1, 5))]
    return job_of(
        joints,
        leaks,
        cuts=[cut(*_place(random, joints, step_m, fine_m)) for _ in range(random.randint(0, 3))],
        sheets=[sheet(1, storey_height_m=_m(10, step_m)), sheet(2, storey_height_m=_m(10, step_m))],
        rules=Rules(
            bridge_m=_m(random.choice((0, 1, 3, 3, 5)), step_m),
            overrun_m=tuple(_m(n, fine_m) for n in _overruns(step_m, fine_m)),  # type: ignore[arg-type] - six by construction
            suspects=random.choice(list(Suspects)),
        ),
    )


def slanted_job(seed: int) -> Job:
    """A job off any lattice: slanted joints, some drawn a few millimetres beside others, odd numbers everywhere."""
    random = Random(seed)  # noqa: S311 - test jobs, not secrets

    def point() -> Point:
        x, y = random.uniform(0, 2), random.uniform(0, 2)
        if random.random() < 0.5:
            slip = random.choice((1e-9, 0.012))
            x, y = (round(at, 1) + random.uniform(-slip, slip) for at in (x, y))
        return x, y

    joints = []
    for _ in range(random.randint(2, 7)):
        if random.random() < 0.15:
            joints.append(upright(point(), random.uniform(0.005, 3), head=random.choice((None, 2))))
            continue
        closed = random.random() < 0.2
        kind = random.choice((Kind.CONSTRUCTION, Kind.CRACK, Kind.MOVEMENT, Kind.PIPE_COLLAR))
        joints.append(line(*(point() for _ in range(random.randint(3 if closed else 2, 6))), closed=closed, kind=kind))
    leaks = []
    for _ in range(random.randint(1, 8)):
        number = random.randint(1, len(joints))
        length = joints[number - 1].length_m
        at = [random.choice((0.0, length, random.uniform(0, length))) for _ in range(2)]
        by_hand = [random.choice((None, 0.0, random.uniform(0, 3))) for _ in range(2)]
        low, high = at if joints[number - 1].closed else sorted(at)
        leaks.append(
            leak(number, low, high, random.choice(list(Wetness)), overrun_from_m=by_hand[0], overrun_to_m=by_hand[1])
        )
    return job_of(joints, leaks, cuts=[cut(random.randint(1, len(joints)), random.uniform(0, 2)) for _ in range(2)])


def with_parted(job: Job, seed: int, crossings: list[tuple[int, float, int, float]]) -> Job:
    """The job with some of its crossings (joint, chainage, other joint, chainage) taken apart."""
    random = Random(seed)  # noqa: S311 - test jobs, not secrets
    chosen = random.sample(crossings, min(len(crossings), random.randint(0, 2)))
    return replace(job, parted=job_of(list(job.joints.values()), parted=[parted(*each) for each in chosen]).parted)


def _overruns(step_m: float, fine_m: float) -> tuple[int, ...]:
    scale = round(step_m / fine_m)
    return 3 * scale, 3 * scale, 3 * scale, 4 * scale, 4 * scale + scale // 2, 4 * scale + scale // 2


def _m(steps: int, step_m: float) -> float:
    return round(steps * step_m, 6)


def _line(random: Random, step_m: float, side: int) -> Joint:
    while True:
        corners = [(random.randint(0, side), random.randint(0, side))]
        flat = random.random() < 0.5
        for _ in range(random.randint(1, 3)):
            x, y = corners[-1]
            corners.append((random.randint(0, side), y) if flat else (x, random.randint(0, side)))
            flat = not flat
        if all(a != b for a, b in pairwise(corners)):
            break
    return _dressed(random, _points(corners, step_m), closed=False)


def _rectangle(random: Random, step_m: float, side: int) -> Joint:
    x, y = random.randint(0, side - 2), random.randint(0, side - 2)
    w, h = random.choice((1, 2, 4, 8)), random.choice((1, 2, 4, 8))
    corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
    turn = random.randint(0, 3)
    corners = corners[turn:] + corners[:turn]
    return _dressed(random, _points(corners if random.random() < 0.5 else corners[::-1], step_m), closed=True)


def _upright(random: Random, step_m: float, side: int) -> Joint:
    point = (_m(random.randint(0, side), step_m), _m(random.randint(0, side), step_m))
    return upright(point, _m(random.choice((5, 10)), step_m), head=random.choice((None, 2)))


def _points(corners: list[tuple[int, int]], step_m: float) -> list[Point]:
    return [(_m(x, step_m), _m(y, step_m)) for x, y in corners]


def _dressed(random: Random, points: list[Point], *, closed: bool) -> Joint:
    kind = random.choices((Kind.CONSTRUCTION, Kind.PIPE_COLLAR, Kind.MOVEMENT), (8, 2, 1))[0]
    face = random.choices((Face.FLOOR, Face.CORNER, Face.SOFFIT), (5, 2, 1))[0]
    clearance = 0.1 if kind is Kind.MOVEMENT else None
    return line(*points, closed=closed, on=random.choice((1, 1, 1, 2)), kind=kind, face=face, clearance_m=clearance)


def _blinded(random: Random, joint: Joint, fine_m: float) -> Joint:
    if random.random() > 0.2:
        return joint
    low, high = sorted(random.sample(range(round(joint.length_m / fine_m) + 1), 2))
    return replace(joint, blind=(Blind(from_m=_m(low, fine_m), to_m=_m(high, fine_m), what="tank"),))


def _place(random: Random, joints: list[Joint], step_m: float, fine_m: float) -> tuple[int, float]:
    number = random.randint(1, len(joints))
    return number, _m(_near_lattice(random, round(joints[number - 1].length_m / fine_m), step_m, fine_m), fine_m)


def _near_lattice(random: Random, most: int, step_m: float, fine_m: float) -> int:
    """Up to so many fine steps: on the lattice of joints, or a few fine steps beside it."""
    scale = round(step_m / fine_m)
    beside = random.randint(-2, 2) if scale > 1 else 0
    return min(max(random.randint(0, most // scale) * scale + beside, 0), most)


def _leak(random: Random, joints: list[Joint], step_m: float, fine_m: float) -> Leak:
    number, at = _place(random, joints, step_m, fine_m)
    joint = joints[number - 1]
    steps, low = round(joint.length_m / fine_m), round(at / fine_m)
    length = random.choice((0, 0, 1, _near_lattice(random, steps, step_m, fine_m), steps))
    high = (low + length) % steps if joint.closed and low + length > steps else min(low + length, steps)
    by_hand = [
        _m(_near_lattice(random, round(8 * step_m / fine_m), step_m, fine_m), fine_m) if random.random() < 0.4 else None
        for _ in range(2)
    ]
    return leak(
        number,
        _m(low, fine_m),
        _m(high, fine_m),
        random.choice(list(Wetness)),
        overrun_from_m=by_hand[0],
        overrun_to_m=by_hand[1],
        method=Method.ANOTHER if random.random() < 0.05 else None,
    )
