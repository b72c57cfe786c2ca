"""Site and screen: metres to pixels and back, and what the rails show of the grid."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leakmap.base.measures import System, Units
from leakmap.desk.plan.camera import MOST_PX_PER_M, Camera
from leakmap.desk.plan.rails import Tick, aside, ticks
from leakmap.geometry.path import Point
from leakmap.model.grid import Grid, axes_with_bays

POINTS = st.tuples(st.floats(-500, 500), st.floats(-500, 500))
CAMERAS = st.builds(
    Camera, px_per_m=st.floats(0.5, 2000), centre=POINTS, field=st.just((26.0, 26.0, 1072.0, 650.0))
)  # fmt: skip
GRID = Grid(
    origin=(0.0, 21.6),
    letters=axes_with_bays("ABC", (6.0, 7.2)),
    numbers=axes_with_bays("12", (4.2,), towards_deg=-90.0),
)


@given(camera=CAMERAS, at=POINTS)
def test_screen_and_site_are_each_other_back(camera: Camera, at: Point) -> None:
    """A site position put on the screen and taken back is the same; one metre up is so many pixels up."""
    x, y = camera.to_screen(at)
    assert camera.to_site((x, y)) == pytest.approx(at, abs=1e-6)
    above = camera.to_screen((at[0], at[1] + 1))
    assert (above[0] - x, y - above[1]) == pytest.approx((0, camera.px_per_m), abs=1e-6)


@given(camera=CAMERAS, factor=st.floats(0.1, 10), pixel=st.tuples(st.floats(26, 1072), st.floats(26, 650)))
def test_zooming_keeps_what_is_under_the_pointer(camera: Camera, factor: float, pixel: Point) -> None:
    """Whatever the zoom and even at its limits, the site position under the pointer stays."""
    near = camera.zoomed(factor, pixel)
    assert near.to_site(pixel) == pytest.approx(camera.to_site(pixel), abs=1e-6)
    assert near.px_per_m <= MOST_PX_PER_M


@given(camera=CAMERAS, low=POINTS, wide=st.floats(0.001, 400), high=st.floats(0.001, 400))
def test_fit_shows_all_of_a_box_inside_its_margin(camera: Camera, low: Point, wide: float, high: float) -> None:
    """Both corners of the box lie on the field, at least the margin from its edges."""
    fitted = camera.fitted((*low, low[0] + wide, low[1] + high), 24.0)
    for corner in (low, (low[0] + wide, low[1] + high)):
        x, y = fitted.to_screen(corner)
        assert 50.0 - 1e-6 <= x <= 1048.0 + 1e-6
        assert 50.0 - 1e-6 <= y <= 626.0 + 1e-6


def test_a_scan_without_a_scale_fits_and_is_zoomed_out_of() -> None:
    """18 km of a scan whose pixels count as metres lie on the field; zooming in and out again comes back to all of it."""
    camera = Camera(field=(26.0, 26.0, 1072.0, 650.0))
    fitted = camera.fitted((0.0, 0.0, 18_724.0, 13_244.0))
    assert fitted.to_screen((0.0, 0.0))[1] <= 650.0
    assert fitted.to_screen((18_724.0, 13_244.0))[1] >= 26.0
    back = fitted.zoomed(100.0, fitted.middle).zoomed(0.01, fitted.middle)
    assert back.px_per_m == pytest.approx(fitted.px_per_m)
    assert fitted.zoomed(1e-6, fitted.middle).px_per_m == pytest.approx(fitted.px_per_m / 2)


def test_rails_name_axes_and_bays() -> None:
    """At 20 px a metre with A / 1 at pixel (100, 200), B stands 120 px right of A and 2 stands 84 px below 1."""
    camera = Camera(px_per_m=20.0, field=(26.0, 26.0, 626.0, 426.0))
    camera = camera.panned(100 - camera.to_screen((0.0, 21.6))[0], 200 - camera.to_screen((0.0, 21.6))[1])
    top = [
        Tick(at_px=round(tick.at_px, 6), words=tick.words, bubble=tick.bubble) for tick in ticks(GRID, camera, top=True)
    ]
    assert [(tick.at_px, tick.words) for tick in top if tick.bubble] == [(100, "A"), (220, "B"), (364, "C")]
    assert [(tick.at_px, tick.words) for tick in top if not tick.bubble] == [(160, "6.0"), (292, "7.2")]
    side = ticks(GRID, camera, top=False)
    assert [(round(tick.at_px, 6), tick.words) for tick in side] == [(200, "1"), (284, "2"), (242, "4.2")]


def test_rails_name_the_axes_on_either_side_where_none_is_in_view() -> None:
    """Near in the second bay B lies before and C behind what is seen, 2 above; once C is in view its bubble says enough."""
    camera = Camera(px_per_m=200.0, centre=(9.0, 15.0), field=(26.0, 26.0, 626.0, 426.0))
    for top, seen in ((True, [("7.2", 0, 326.0), ("B", -1, 44.0), ("C", 1, 608.0)]), (False, [("2", -1, 44.0)])):
        stand = ticks(GRID, camera, top=top)
        assert [(tick.words, tick.beyond, tick.at_px) for tick in stand if 26 <= tick.at_px <= 626] == seen
    right = Camera(px_per_m=200.0, centre=(12.0, 15.0), field=camera.field)
    assert [tick.words for tick in ticks(GRID, right, top=True) if tick.beyond] == []


def test_rails_write_figures_as_the_locale_does() -> None:
    """In German the bay that is seen is 6,0 m, and without a grid fifths of a metre have a comma."""
    camera = Camera(px_per_m=800.0, field=(26.0, 26.0, 626.0, 426.0))
    german = Units(System.METRIC, "de")
    words = [tick.words for tick in ticks(None, camera, top=True, units=german)]
    assert [tick.words.replace(".", ",") for tick in ticks(None, camera, top=True)] == words
    assert words == ["−0,2", "0,0", "0,2"]
    bays = [tick.words for tick in ticks(GRID, Camera(px_per_m=20.0), top=True, units=german) if not tick.bubble]
    assert bays == ["6,0"]


def test_rails_show_no_metres_of_an_unknown_scale() -> None:
    """A pixel is taken for 1 cm until a length is known, so 100 px a metre show ticks 100 pixels of the scan apart, said as px."""
    camera = Camera(px_per_m=100.0, field=(26.0, 26.0, 626.0, 426.0))
    shown = ticks(None, camera, top=True, unscaled=(0.01, "px"))
    assert all(tick.words.endswith(" px") for tick in shown)
    values = [float(tick.words.removesuffix(" px").replace("−", "-")) for tick in shown]
    assert {b - a for a, b in pairwise(values)} == {100.0}
    at = [camera.to_screen((value * 0.01, 0.0))[0] for value in values]
    assert [tick.at_px for tick in shown] == pytest.approx(at)


@pytest.mark.parametrize("px_per_m", [0.5, 1.0, 2.0, 3.0, 5.0, 9.0])
def test_bubbles_never_lie_over_each_other(px_per_m: float) -> None:
    """Axes A to Z six metres apart: at every zoom first and last are named as long as there is room for two."""
    grid = Grid(
        letters=axes_with_bays("ABCDEFGHIJKLMNOPQRSTUVWXYZ", (6.0,) * 25),
        numbers=axes_with_bays("1", (), towards_deg=-90.0),
    )
    found = [tick for tick in ticks(grid, Camera(px_per_m=px_per_m), top=True) if tick.bubble]
    places = sorted(tick.at_px for tick in found)
    assert all(b - a >= 2 * 9.5 for a, b in pairwise(places))
    assert {"A", "Z"} <= {tick.words for tick in found}
    assert len(found) == 26 if 6 * px_per_m >= 20.5 else len(found) < 26


def test_rails_show_metres_where_no_grid_is_set() -> None:
    """Without a grid the rails show round metres at least 90 px apart, with a true minus."""
    camera = Camera(px_per_m=30.0, centre=(0.0, 0.0), field=(0.0, 0.0, 600.0, 400.0))
    assert [tick.words for tick in ticks(None, camera, top=True)] == ["−10", "−5", "0", "5", "10"]
    near = Camera(px_per_m=300.0, centre=(0.0, 0.0), field=(0.0, 0.0, 600.0, 400.0))
    assert [tick.words for tick in ticks(None, near, top=True)] == ["−1.0", "−0.5", "0.0", "0.5", "1.0"]


def test_words_on_a_rail_step_aside_and_cover_no_bubble() -> None:
    """Words 40 px wide leave 8 px for the triangle of the hand, on the side with room; with no side free they go."""
    words, left, right = (Tick(at_px=at, words=each, bubble=bubble) for at, each, bubble in
                          ((100.0, "4.2", False), (60.0, "1", True), (140.0, "2", True)))  # fmt: skip
    wide = lambda _words: 40.0  # noqa: E731 - a width
    assert list(aside([words, left], None, wide)) == [words, left]
    assert [tick.at_px for tick in aside([words, left], 98.0, wide)] == [126.0, 60.0]
    assert [tick.at_px for tick in aside([words, right], 98.0, wide)] == [70.0, 140.0]
    assert [tick.words for tick in aside([words, left, right], 98.0, wide)] == ["1", "2"]
