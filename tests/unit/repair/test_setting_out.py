"""Setting-out by two tapes, against an independent trilateration."""

from __future__ import annotations

from math import cos, hypot, pi, sin, sqrt

import numpy as np
import pytest

from leakmap.repair.setting_out import Known, Surroundings, Tapes, tapes
from leakmap.repair.tapes_to_lines import LONGEST_M, TAPE_ERROR_M, ToJoint

NO_WALLS = np.empty((0, 2, 2))


def known(*points: tuple[float, float]) -> list[Known]:
    """Points that are all as good as each other."""
    return [Known(name=f"P{number}", what="corner", at=point) for number, point in enumerate(points, start=1)]


def met(points: list[Known], found: Tapes, off: tuple[float, float] = (0.0, 0.0)) -> np.ndarray:
    """Where two circles meet on the side told: by the chord through both meetings, which the product does not use."""
    a, b = np.array(points[found.first].at), np.array(points[found.second].at)
    r, s = found.first_m + off[0], found.second_m + off[1]
    base = float(np.linalg.norm(b - a))
    along = (r**2 - s**2 + base**2) / (2 * base)
    up = sqrt(max(r**2 - along**2, 0.0))
    east = (b - a) / base
    north = np.array([-east[1], east[0]])
    return a + along * east + (up if found.left else -up) * north


def test_a_place_in_a_room_is_taped_from_two_corners() -> None:
    """In a room of 4 by 3 m the middle is 2.5 m from each corner; side, angle and miss follow by hand."""
    corners = known((0, 0), (4, 0), (4, 3), (0, 3))
    (found,) = Surroundings(corners, NO_WALLS).tapes_to([(2.0, 1.5)])
    assert isinstance(found, Tapes)
    assert (found.first_m, found.second_m) == (2.5, 2.5)
    assert met(corners, found) == pytest.approx([2.0, 1.5], abs=1e-9)
    one = tapes((3.0, 4.0), [(0.0, 0.0), (3.0, 0.0)], numbers=(0, 1), in_sight=True)
    assert (one.first_m, one.second_m, one.left) == (5.0, 4.0, True)
    square = tapes((1.0, 1.0), [(1.0, 0.0), (0.0, 1.0)], numbers=(0, 1), in_sight=True)
    assert square.angle_deg == pytest.approx(90)
    assert square.miss_m == pytest.approx(0.010 * sqrt(2))
    assert tapes((1.0, -4.0), [(0.0, 0.0), (3.0, 0.0)], numbers=(0, 1), in_sight=True).left is False


def test_tapes_and_side_give_back_the_place_on_random_plans() -> None:
    """On 60 random plans: trilateration from the printed lengths and the side finds the place; the bounds hold."""
    rng = np.random.default_rng(11)
    told = 0
    for _ in range(60):
        points = known(*map(tuple, rng.uniform(0, 60, (rng.integers(2, 30), 2)).tolist()))
        places = [tuple(place) for place in rng.uniform(0, 60, (6, 2)).tolist()]
        for place, found in zip(places, Surroundings(points, NO_WALLS).tapes_to(places), strict=True):
            if found is None:
                continue
            assert isinstance(found, Tapes)
            told += 1
            assert met(points, found) == pytest.approx(place, abs=1e-6)
            assert max(found.first_m, found.second_m) <= LONGEST_M
            assert 30 - 1e-6 <= found.angle_deg <= 150 + 1e-6
    assert told > 200


def test_miss_is_the_worst_of_tapes_that_are_out_by_ten_millimetres() -> None:
    """Tapes of some metres, each out by 10 mm either way or not at all: the worst of nine places lies as far off as told."""
    rng = np.random.default_rng(5)
    for _ in range(80):
        angle, first, second = rng.uniform(pi / 6, 5 * pi / 6), *rng.uniform(3, 12, 2)
        place = (20.0, 20.0)
        ends = known((20 - first, 20.0), (20 - second * cos(angle), 20 - second * sin(angle)))
        found = tapes(place, [end.at for end in ends], numbers=(0, 1), in_sight=True)
        offs = [(a, b) for a in (-TAPE_ERROR_M, 0, TAPE_ERROR_M) for b in (-TAPE_ERROR_M, 0, TAPE_ERROR_M)]
        worst = max(hypot(*(met(ends, found, off) - place)) for off in offs)
        assert worst == pytest.approx(found.miss_m, rel=0.03)


def test_a_point_behind_a_wall_is_not_taped_from_while_others_are_in_sight() -> None:
    """A near corner behind a wall gives way to farther ones; with none in sight the tapes say so."""
    points = known((1.0, 2.0), (0.0, 0.0), (6.0, 0.0))
    wall = np.array([[(-5.0, 1.5), (8.0, 1.5)]])
    (found,) = Surroundings(points, wall).tapes_to([(1.2, 1.0)])
    assert isinstance(found, Tapes)
    assert (found.first, found.second, found.in_sight) == (1, 2, True)
    (through,) = Surroundings(points[:2], wall).tapes_to([(1.2, 1.0)])
    assert through is None or (isinstance(through, Tapes) and not through.in_sight)


def test_a_joint_is_met_by_one_tape_where_two_points_are_not_in_sight() -> None:
    """Of 60 places on a joint along x each is found again where a circle meets the joint, on the side told, at a fair angle.

    A tape that is out by 10 mm moves the place along the joint by no more than the miss, which is 10 to 20 mm.
    """
    rng = np.random.default_rng(2)
    told = 0
    for _ in range(60):
        (x, y), at = rng.uniform(-8, 8, 2), float(rng.uniform(-8, 8))
        (found,) = Surroundings(known((x, y)), NO_WALLS).tapes_to([(at, 0.0)], [(1.0, 0.0)])
        if found is None:
            assert abs(y) > sqrt(3) * abs(at - x) - 1e-9
            continue
        assert isinstance(found, ToJoint)
        told += 1
        side = 1 if found.farther else -1
        places = [x + side * sqrt((found.length_m + off) ** 2 - y**2) for off in (0.0, TAPE_ERROR_M)]
        assert places[0] == pytest.approx(at, abs=1e-9)
        assert abs(places[1] - at) <= found.miss_m + 1e-4
        assert 0.010 <= found.miss_m <= 0.020 + 1e-9
    assert told > 20


def test_a_blocked_place_is_taped_from_afar_before_it_is_taped_through_a_wall() -> None:
    """Forty near corners lie behind a wall, two far ones do not: those are taken; with one of them left, it meets the joint."""
    near = [(0.1 * number, 2.0) for number in range(40)]
    points = known(*near, (-9.0, -8.0), (14.0, -7.0))
    wall = np.array([[(-20.0, 1.0), (20.0, 1.0)]])
    place = [(2.0, 0.0)]
    (two,) = Surroundings(points, wall).tapes_to(place, [(1.0, 0.0)])
    assert isinstance(two, Tapes)
    assert (two.first, two.second, two.in_sight) == (40, 41, True)
    (one,) = Surroundings(points[:41], wall).tapes_to(place, [(1.0, 0.0)])
    assert isinstance(one, ToJoint)
    assert (one.point, one.farther) == (40, True)


def test_lines_that_a_point_lies_on_are_not_in_the_way() -> None:
    """Corners are ends of walls, and a place may lie on one: neither wall hides the other's corner."""
    points = known((0.0, 0.0), (4.0, 3.0))
    walls = np.array([[(0.0, 0.0), (4.0, 0.0)], [(4.0, 0.0), (4.0, 3.0)], [(0.0, 0.0), (0.0, 3.0)]])
    (found,) = Surroundings(points, walls).tapes_to([(2.5, 0.0)])
    assert isinstance(found, Tapes)
    assert found.in_sight


def test_points_in_one_line_with_the_place_give_no_tapes() -> None:
    """Two points on the wall that the place lies on meet at no fair angle, so nothing is told rather than something bad."""
    assert Surroundings(known((0, 0), (9, 0)), NO_WALLS).tapes_to([(4.0, 0.0)]) == (None,)
    assert Surroundings([], NO_WALLS).tapes_to([(4.0, 0.0)]) == (None,)
