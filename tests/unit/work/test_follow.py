"""Following the lines of a drawing, against networkx on the same lines."""

from __future__ import annotations

from itertools import pairwise
from math import hypot, pi
from random import Random

import networkx as nx
import numpy as np
import pytest
import shapely

from leakmap.geometry.path import Point
from leakmap.work.follow import STRAIGHT_M, Meetings, WaySearch, way_along
from leakmap.work.snap_lines import Lines, lines_of

Piece = tuple[Point, Point]


def lines(*pieces: Piece) -> Lines:
    """Lines with their index."""
    array = np.array(pieces, dtype=np.float64)
    return lines_of(array[:, 0], array[:, 1])


def length(points: tuple[Point, ...]) -> float:
    """Length of a way."""
    return shapely.LineString(points).length


def test_way_round_a_room() -> None:
    """Along three sides of a room, not across it: 1 + 4 + 1 m, with its two corners."""
    room = lines(((0, 0), (0, 3)), ((0, 3), (4, 3)), ((4, 3), (4, 0)))
    assert way_along(room, (0, 2), (4, 2)) == ((0, 2), (0, 3), (4, 3), (4, 2))


def test_shorter_side_is_taken() -> None:
    """Round a closed room both ways lead to the goal; the shorter one is taken."""
    room = lines(((0, 0), (0, 3)), ((0, 3), (4, 3)), ((4, 3), (4, 0)), ((4, 0), (0, 0)))
    assert way_along(room, (0, 1), (4, 1)) == ((0, 1), (0, 0), (4, 0), (4, 1))


def test_straight_on_over_many_pieces_has_no_bends() -> None:
    """A line drawn as ten pieces is followed as one."""
    pieces = [((n, 0), (n + 1, 0)) for n in range(10)]
    assert way_along(lines(*pieces), (0.5, 0), (9.5, 0)) == ((0.5, 0), (9.5, 0))


def test_crossing_lines_and_ends_on_lines_are_met() -> None:
    """The way may turn where lines cross at their insides, and where one ends on another."""
    crossing = lines(((0, 0), (10, 0)), ((5, -5), (5, 5)), ((5, 4), (9, 4)))
    assert way_along(crossing, (1, 0), (8, 4)) == ((1, 0), (5, 0), (5, 4), (8, 4))


@pytest.mark.parametrize(("gap", "met"), [(0.0, True), (0.009, True), (0.011, False)])
def test_gaps_up_to_the_drawing_tolerance_are_passed(gap: float, met: bool) -> None:  # noqa: FBT001 - a row of a table
    """Ends that lie up to 10 mm apart meet; farther apart they do not."""
    way = way_along(lines(((0, 0), (2, 0)), ((2 + gap, 0), (2 + gap, 3))), (1, 0), (2 + gap, 2))
    assert (way is not None) == met


def test_no_way_between_lines_that_do_not_meet() -> None:
    """Apart, from beside all lines, or from a place to itself there is no way."""
    two = lines(((0, 0), (4, 0)), ((0, 1), (4, 1)))
    assert way_along(two, (1, 0), (1, 1)) is None
    assert way_along(two, (1, 0.5), (3, 0)) is None
    assert way_along(two, (1, 0), (1, 0)) is None
    assert way_along(lines_of(np.empty((0, 2)), np.empty((0, 2))), (0, 0), (1, 0)) is None


def test_search_is_given_up() -> None:
    """A way through more meetings than are looked at is not found."""
    stairs = [((n, n), (n + 1, n)) for n in range(50)] + [((n + 1, n), (n + 1, n + 1)) for n in range(50)]
    assert way_along(lines(*stairs), (0, 0), (50, 50), most_steps=20) is None
    assert way_along(lines(*stairs), (0, 0), (50, 50)) is not None


@pytest.mark.parametrize(("radius_m", "chords"), [(0.2, 8), (2.0, 32), (20.0, 128)])
def test_curve_becomes_few_chords(radius_m: float, chords: int) -> None:
    """Along a quarter of a circle bends lie within 5 mm of what is drawn, and at most π/6 · 5 mm of length is lost."""
    turns = np.linspace(0, pi / 2, chords + 1)
    arc = radius_m * np.stack((np.cos(turns), np.sin(turns)), axis=1)
    way = way_along(lines_of(arc[:-1], arc[1:]), (radius_m, 0.0), tuple(arc[-1].tolist()))
    assert way is not None
    assert len(way) <= chords / 2 + 1
    drawn = shapely.LineString(arc)
    assert shapely.LineString(way).hausdorff_distance(drawn) <= STRAIGHT_M + 1e-9
    assert 0 <= drawn.length - length(way) <= pi / 6 * STRAIGHT_M + 1e-9


def test_search_in_slices_finds_the_same() -> None:
    """Gone on with one place at a time, and with what an earlier search found out, the way is the same."""
    room = lines(((0, 0), (0, 3)), ((0, 3), (4, 3)), ((4, 3), (4, 0)), ((4, 0), (0, 0)), ((2, 0), (2, 3)))
    found: Meetings = {}
    for goal in ((4.0, 2.0), (2.0, 1.0), (0.0, 3.0)):
        search = WaySearch(room, (0, 1), goal, meetings=found)
        assert not search.go_on(0)
        while not search.go_on(1):
            assert search.way is None
        assert search.way == way_along(room, (0, 1), goal)
    assert found


@pytest.mark.parametrize("seed", range(40))
def test_way_is_the_shortest_one(seed: int) -> None:
    """On random grids with holes the way is as long as networkx's shortest path over the same meetings."""
    chance = Random(seed)  # noqa: S311 - test drawings, not secrets
    across, up = [sorted(chance.sample(range(20), 5)) for _ in range(2)]
    pieces: list[Piece] = [
        *(((x0, y), (x1, y)) for y in up for x0, x1 in pairwise(across) if chance.random() < 0.8),
        *(((x, y0), (x, y1)) for x in across for y0, y1 in pairwise(up) if chance.random() < 0.8),
        ((across[0], up[0]), (across[2], up[2])),
    ]
    graph = nx.Graph()
    noded = shapely.node(shapely.MultiLineString(pieces))
    for line in noded.geoms:
        (x0, y0), (x1, y1) = line.coords[0], line.coords[-1]
        a, b = (round(x0, 6), round(y0, 6)), (round(x1, 6), round(y1, 6))
        graph.add_edge(a, b, weight=hypot(b[0] - a[0], b[1] - a[1]))
    start, goal = chance.sample(sorted(graph.nodes), 2)
    way = way_along(lines(*pieces), start, goal)
    if not nx.has_path(graph, start, goal):
        assert way is None
        return
    assert way is not None
    assert length(way) == pytest.approx(nx.shortest_path_length(graph, start, goal, weight="weight"), abs=1e-6)
    assert noded.buffer(1e-6).covers(shapely.LineString(way))
