"""What the pointer is caught on."""

from __future__ import annotations

from math import cos, hypot, pi, sin
from uuid import UUID

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.geometry.placement import Placement
from leakmap.model.drawing import Drawing, Layer, LayerState, Strokes, UnitHint
from leakmap.model.grid import Grid, axes_with_bays
from leakmap.model.job import Job
from leakmap.model.sheet import Sheet
from leakmap.model.words import Face, Kind
from leakmap.work.catch import NOTHING, Aim, Catch, Ray, on_ray
from leakmap.work.edits.grid import set_grid
from leakmap.work.edits.joints import draw_collar, draw_vertical_joint
from leakmap.work.edits.sheets import add_sheet
from leakmap.work.snap import drawing_places, snap, snap_on_ray, snap_places
from leakmap.work.snap_drawing import CORNER, CROSSING, END, LINE, caught_on_drawing, places_of_polylines
from tests.helpers.small_jobs import one_line, one_sheet, with_line

NEAR = 0.14  # 14 px at 100 px/m
SHEET = Sheet(id=UUID(int=9), name="B2")


def drawing_of(*polylines: list[tuple[float, float]], states: tuple[LayerState, ...] = ()) -> Drawing:
    """A drawing of polylines; with states, each on a layer of its own."""
    starts = np.cumsum([0, *map(len, polylines)]).astype(np.int32)
    layers = tuple(Layer(f"layer {number}", state) for number, state in enumerate(states or (LayerState.ON,)))
    layer = np.arange(len(polylines), dtype=np.int32) if states else np.zeros(len(polylines), dtype=np.int32)
    xy = np.array([point for line in polylines for point in line], dtype=np.float64).reshape(-1, 2)
    return Drawing((0.0, 0.0), layers, Strokes(xy, starts, layer), (), UnitHint(1.0, "test"), None)


def caught(job: Job, at: tuple[float, float], aim: Aim | None = None, drawing: Drawing | None = None) -> Catch | None:
    """What a pointer is caught on at 100 px/m on the first sheet."""
    level = next(iter(job.sheets))
    places = snap_places(job, level, drawing_places(drawing, job.sheets[level]) if drawing is not None else None)
    return snap(places, at, radius_m=NEAR, aim=aim or Aim())


def words_at(job: Job, at: tuple[float, float], aim: Aim | None = None, drawing: Drawing | None = None) -> str:
    """The reason in words; empty for none."""
    catch = caught(job, at, aim, drawing)
    return catch.words if catch is not None else ""


def test_ends_come_before_bends_before_places_along() -> None:
    """On J-01 from 0,0 over 4,0 to 4,3 each place says what it is, with its chainage."""
    job, joint = one_line()
    assert caught(job, (0.1, 0.05)) == Catch(at=(0, 0), words="end of J-01", joint=joint, chainage_m=0.0)
    assert caught(job, (4.05, 2.95)) == Catch(at=(4, 3), words="end of J-01", joint=joint, chainage_m=7.0)
    assert caught(job, (3.9, 0.05)) == Catch(at=(4, 0), words="bend of J-01", joint=joint, chainage_m=4.0)
    assert caught(job, (4.1, 1.5)) == Catch(
        at=(4, 1.5), words="on J-01", joint=joint, chainage_m=5.5, line=((4, 0), (4, 3))
    )
    assert caught(job, (2.0, 0.2)) is None


def test_where_joints_cross_both_are_named() -> None:
    """J-02 crosses J-01 at 2,0: that place comes before places along either."""
    job, one = one_line()
    job, _ = with_line(job, [(2, -1), (2, 1)])
    catch = caught(job, (2.08, 0.08))
    assert catch is not None
    assert (catch.at, catch.words, catch.joint, catch.chainage_m) == ((2, 0), "J-01 and J-02 meet", one, 2.0)


def test_a_joint_that_crosses_itself_meets_no_other() -> None:
    """Where J-01 comes back over itself at 2,0 only J-01 is named; another joint across it there is named with it."""
    job, _ = one_line([(0, 0), (4, 0), (4, 2), (2, 2), (2, -1)])
    assert words_at(job, (2.05, 0.05)) == "on J-01"
    job, _ = with_line(job, [(1, -1), (3, 1)])
    assert words_at(job, (2.05, 0.0)) == "J-01 and J-02 meet"


def test_a_piece_from_a_point_is_caught_square() -> None:
    """From 1.5,2 the line meets J-01 squarely at 1.5,0, which catches from 1.6; from 2.2 the joint itself does."""
    job, _ = one_line()
    aim = Aim(origin=(1.5, 2.0))
    catch = caught(job, (1.6, 0.05), aim)
    assert catch is not None
    assert (catch.at, catch.words, catch.chainage_m) == ((1.5, 0), "square to J-01", 1.5)
    assert words_at(job, (2.2, 0.05), aim) == "on J-01"
    assert words_at(job, (1.6, 0.05), Aim(origin=(0.5, 0.0))) == "on J-01"  # from the joint itself nothing is square


def test_a_joint_that_is_dragged_catches_nothing() -> None:
    """Left out joints neither catch nor hide others; own places come before everything."""
    job, joint = one_line()
    job, _ = with_line(job, [(4, -1), (4, 0.5)])
    assert words_at(job, (4.0, 0.0)) == "bend of J-01"
    assert words_at(job, (4.0, 0.0), Aim(without=frozenset({joint}))) == "on J-02"
    own = Catch(at=(4.05, 0.0), words="its own start")
    assert caught(job, (4.0, 0.0), Aim(own=(own,))) == own


def test_uprights_and_collars_are_named_by_what_lies_there() -> None:
    """A vertical joint has its foot on its level and its head above; a collar in the floor its ring."""
    job, level = one_sheet()
    above = add_sheet(job, name="B1")
    job, upper = above.job, above.made[0]
    job = draw_vertical_joint(job, sheet=level, kind=Kind.CRACK, point=(1, 1), rise_m=3.0, head_sheet=upper).job
    job = draw_collar(job, sheet=level, point=(5, 5), diameter_m=1.0, face=Face.FLOOR).job
    job = draw_collar(job, sheet=level, point=(9, 5), diameter_m=0.2).job
    assert words_at(job, (1.1, 1.0)) == "foot of V-01"
    assert words_at(job, (5.0, 5.55)) == "on J-01"
    assert words_at(job, (9.0, 5.0)) == "centre of J-02"
    head = snap(snap_places(job, upper), (1.0, 1.1), radius_m=NEAR)
    assert head is not None
    assert (head.words, head.chainage_m) == ("head of V-01", 3.0)


def test_grid_and_drawing_catch_after_joints_whichever_is_nearer() -> None:
    """Grid A B C at 0, 6, 13.2 and 1 2 at 0, 4.2, a wall at 5.92: points before lines, the nearer of each, joints first."""
    job, _ = one_line([(0, 10), (20, 10)])
    numbers = axes_with_bays("12", (4.2,), towards_deg=90)
    job = set_grid(job, grid=Grid(letters=axes_with_bays("ABC", (6.0, 7.2)), numbers=numbers)).job
    wall = drawing_of([(5.92, 2.0), (5.92, 8.0), (8.0, 8.0)])
    catch = caught(job, (13.1, 4.25))
    assert catch is not None
    assert (catch.at, catch.words) == (pytest.approx((13.2, 4.2)), "grid C / 2")
    assert words_at(job, (6.05, 6.0), drawing=wall) == "grid B"
    assert words_at(job, (5.94, 6.0), drawing=wall) == LINE
    assert words_at(job, (6.02, 4.15), drawing=wall) == "grid B / 2"
    assert words_at(job, (6.05, 2.0), drawing=wall) == END
    same = drawing_of([(6.0, 4.2), (9.0, 4.2)])
    assert words_at(job, (6.05, 4.2), drawing=same) == "grid B / 2"
    assert words_at(job, (6.05, 9.95)) == "on J-01"
    assert words_at(job, (6.05, 9.95), Aim(joints_only=True)) == "on J-01"
    assert words_at(job, (6.05, 2.0), Aim(joints_only=True)) == ""
    assert words_at(job, (6.05, 2.0), Aim(drawing_only=True), wall) == END
    assert words_at(job, (6.05, 9.95), Aim(drawing_only=True)) == ""
    assert words_at(job, (6.05, 2.0), NOTHING, wall) == ""
    assert words_at(job, (7.9, 7.95), drawing=wall) == END


def test_corners_and_ends_of_a_drawing() -> None:
    """Corners lie in polylines and where lines meet at an angle; a line that goes straight on has neither there."""
    job, _ = one_sheet()
    drawing = drawing_of(
        [(0, 0), (4, 0), (4, 3)], [(4, 3), (9, 3)], [(9, 3), (12, 3)], [(12, 3), (9, 3)], [(2, -1), (2, 1)]
    )
    assert words_at(job, (4.05, 0.05), drawing=drawing) == CORNER
    assert words_at(job, (4.05, 3.05), drawing=drawing) == CORNER  # two polylines
    assert words_at(job, (9.05, 3.05), drawing=drawing) == LINE  # goes straight on
    assert words_at(job, (12.05, 3.05), drawing=drawing) == END  # drawn twice
    assert words_at(job, (0.0, 0.0), drawing=drawing) == END
    assert words_at(job, (2.05, 0.05), drawing=drawing) == CROSSING
    assert words_at(job, (3.0, 0.05), drawing=drawing) == LINE


def test_an_axis_crossing_is_not_lost_beside_a_wall_corner() -> None:
    """At 5,5 two axes cross and a wall has its corner at 5.1,5.1: the nearer one catches from either side."""
    job, _ = one_sheet()
    drawing = drawing_of([(5, 0), (5, 9)], [(0, 5), (9, 5)], [(5.1, 8), (5.1, 5.1), (8, 5.1)])
    assert words_at(job, (5.03, 5.03), drawing=drawing) == CROSSING
    assert words_at(job, (5.07, 5.08), drawing=drawing) == CORNER


def test_curves_have_no_corners() -> None:
    """A circle flattened into 36 pieces turns by 10° at each and catches along its line only."""
    job, _ = one_sheet()
    ring = [(3 * cos(2 * pi * k / 36), 3 * sin(2 * pi * k / 36)) for k in range(37)]
    assert words_at(job, ring[4], drawing=drawing_of(ring)) == LINE


def test_hidden_layers_catch_nothing_unless_shown() -> None:
    """A frozen layer's line catches only where the sheet shows it, and a shown one not where the sheet hides it."""
    drawing = drawing_of([(0, 0), (4, 0)], [(0, 2), (4, 2)], states=(LayerState.FROZEN, LayerState.ON))
    sheet = Sheet(id=UUID(int=9), name="B2", shown=(("layer 0", True), ("layer 1", False)))
    plain, turned = drawing_places(drawing, SHEET), drawing_places(drawing, sheet)
    for y, at_first in ((0.0, turned), (2.0, plain)):
        other = plain if at_first is turned else turned
        assert caught_on_drawing(at_first, (2.0, y), NEAR).line is not None
        assert caught_on_drawing(other, (2.0, y), NEAR) == (None, None)


def test_a_placed_drawing_is_caught_where_it_lies() -> None:
    """A drawing in millimetres, turned by 90° and moved, catches where its placement puts its corner."""
    placement = Placement(origin=(1000, 0), x_m_per_unit=0.001, y_m_per_unit=0.001, turn_deg=90, at_m=(50, 20))
    sheet = Sheet(id=UUID(int=9), name="B2", placement=placement)
    places = drawing_places(drawing_of([(1000, 0), (5000, 0), (5000, 2000)]), sheet)
    expected = placement.to_site((5000, 0))
    catch = caught_on_drawing(places, (expected[0] + 0.05, expected[1]), NEAR).point
    assert catch is not None
    assert catch.words == CORNER
    assert catch.at == pytest.approx(expected)
    assert expected == pytest.approx((50, 24))


def test_nothing_drawn_catches_nothing() -> None:
    """An empty level with an empty drawing has no places."""
    job, _ = one_sheet()
    assert caught(job, (0, 0), drawing=drawing_of()) is None


COORDINATE = st.integers(-40, 40).map(lambda number: number / 8)
POLYLINE = st.lists(st.tuples(COORDINATE, COORDINATE), min_size=2, max_size=6)
STRAY = st.sampled_from(([], [[(0.0, 0.0), (250_000.0, 250_000.0)]], [[(-9e6, 1e6), (-9e6, 1e6 + 1)]]))


@settings(max_examples=150)
@given(st.lists(POLYLINE, max_size=12), STRAY, st.tuples(COORDINATE, COORDINATE), st.sampled_from((0.05, 0.3, 2.0)))
def test_same_line_as_a_search_of_all(
    polylines: list[list[tuple[float, float]]],
    stray: list[list[tuple[float, float]]],
    at: tuple[float, float],
    radius: float,
) -> None:
    """The index finds a line exactly where a geometry library, asked of every line, finds one within the radius."""
    every = [line for line in [*polylines, *stray] if len(set(line)) > 1]
    xy = np.array([point for line in every for point in line], dtype=np.float64).reshape(-1, 2)
    stroke = np.repeat(np.arange(len(every)), [len(line) for line in every])
    point, line = caught_on_drawing(places_of_polylines(xy, stroke), at, radius)
    catch = point or line
    nearest = min((shapely.Point(at).distance(shapely.LineString(line)) for line in every), default=np.inf)
    if abs(nearest - radius) < 1e-9:
        return
    assert (catch is not None) == (nearest < radius)
    if catch is not None:
        apart = hypot(catch.at[0] - at[0], catch.at[1] - at[1])
        assert apart <= radius + 1e-9
        assert min(shapely.Point(catch.at).distance(shapely.LineString(line)) for line in every) < 1e-6
        if catch.words == LINE:
            assert apart == pytest.approx(nearest, abs=1e-6)


@settings(max_examples=30)
@given(st.integers(0, 10_000), st.sampled_from((0.1, 0.5, 3.0)))
def test_same_places_as_plain_search_among_many(seed: int, radius: float) -> None:
    """Among 400 random strokes, corners, ends, crossings and lines are those that plain arithmetic over all gives."""
    random = np.random.default_rng(seed)
    polylines = [np.round(random.uniform(0, 20, 2) + random.normal(0, 0.6, (3, 2)), 3) for _ in range(400)]
    xy, stroke = np.concatenate(polylines), np.repeat(np.arange(400), 3)
    at = tuple(random.uniform(0, 20, 2).tolist())
    point, line = caught_on_drawing(places_of_polylines(xy, stroke), at, radius)
    catch = point or line
    assert (catch.words if catch else "") == plain_words(polylines, at, radius)


def plain_words(polylines: list[np.ndarray], at: tuple[float, float], radius: float) -> str:
    """What catches, by looking at every stroke in turn."""
    found: dict[str, float] = {}

    def note(words: str, place: object) -> None:
        away = shapely.Point(at).distance(shapely.Point(place))
        if away <= radius:
            found[words] = min(found.get(words, np.inf), away)

    near = []
    for a, b, c in polylines:
        one, two = b - a, c - b
        turns = float(one @ two) < cos(pi / 9) * hypot(*one) * hypot(*two)
        if turns:
            note(CORNER, b)
        note(END, a)
        note(END, c)
        near += [shapely.LineString(piece) for piece in ((a, b), (b, c))]
    near = sorted((line for line in near if line.distance(shapely.Point(at)) <= radius), key=shapely.Point(at).distance)
    for number, line in enumerate(near[:64]):
        for other in near[:number]:
            if line.crosses(other):
                note(CROSSING, line.intersection(other))
    return min(found, key=found.__getitem__) if found else LINE if near else ""


def kept_on(job: Job, at: tuple[float, float], ray: Ray, drawing: Drawing | None = None) -> Catch | None:
    """What a pointer that is kept on a ray is caught on at 100 px/m."""
    level = next(iter(job.sheets))
    places = snap_places(job, level, drawing_places(drawing, job.sheets[level]) if drawing is not None else None)
    return snap_on_ray(places, at, ray, radius_m=NEAR)


def test_a_ray_meets_a_joint_where_it_crosses_it() -> None:
    """J-01's upright piece, x = 4, is met at 4,1 straight from the left, and at 4,2.5 at 45° from 2.5,1."""
    job, joint = one_line()
    found = kept_on(job, (3.95, 1.3), Ray((1.0, 1.0), (1.0, 0.0)))
    assert found is not None
    assert (found.at, found.words, found.joint) == ((4.0, 1.0), "on J-01", joint)
    assert found.chainage_m == pytest.approx(5.0)
    low = kept_on(job, (3.97, 2.47), Ray((2.5, 1.0), (cos(pi / 4), sin(pi / 4))))
    assert low is not None
    assert low.at == pytest.approx((4.0, 2.5))
    assert low.chainage_m == pytest.approx(6.5)


def test_a_ray_meets_no_line_past_its_ends() -> None:
    """From 0.5,−1 at 45° a ray comes to y = 0 at x = 1.5: on a line that ends at 2, past one that ends at 1."""
    ray = Ray((0.5, -1.0), (cos(pi / 4), sin(pi / 4)))
    met, missed = (on_ray(Catch(at=(0.9, 0.0), words=LINE, line=((0.0, 0.0), (end, 0.0))), ray) for end in (2.0, 1.0))
    assert met is not None
    assert met.at == pytest.approx((1.5, 0.0))
    assert missed is None


def test_a_ray_is_level_with_a_place_beside_it() -> None:
    """The end at 4,3 beside a ray along y = 1: the place 4,1 is level with it; behind the ray's start there is none."""
    job, _ = one_line()
    ray = Ray((1.0, 1.0), (1.0, 0.0))
    assert kept_on(job, (3.95, 2.95), ray) == Catch(at=(4.0, 1.0), words="level with end of J-01")
    assert kept_on(job, (0.05, 0.0), ray) is None


def test_a_place_on_the_ray_stays_what_it_is() -> None:
    """The end at 4,3 on a ray along y = 3 is caught as the end, with its joint and chainage."""
    job, joint = one_line()
    found = kept_on(job, (4.05, 3.05), Ray((1.0, 3.0), (1.0, 0.0)))
    assert found == Catch(at=(4, 3), words="end of J-01", joint=joint, chainage_m=7.0)


def test_a_ray_crosses_lines_of_drawing_and_grid() -> None:
    """A wall line at x = 2.5 and axis B at x = 6 are met where the ray along y = 1 crosses them; one along it is not."""
    job, _ = one_sheet()
    job = set_grid(job, grid=Grid(letters=axes_with_bays("AB", (6.0,)))).job
    drawing, ray = drawing_of([(2.5, -1), (2.5, 4)], [(4, 1.05), (9, 1.05)]), Ray((1.0, 1.0), (1.0, 0.0))
    wall, axis = (kept_on(job, (x, 1.3), ray, drawing) for x in (2.45, 5.95))
    assert kept_on(job, (5.0, 1.3), ray, drawing) is None
    assert wall is not None
    assert (wall.at, wall.words) == ((2.5, 1.0), LINE)
    assert axis is not None
    assert (axis.at, axis.words) == (pytest.approx((6.0, 1.0)), "grid B")
