"""Deeds that place a drawing in the site plane."""

from __future__ import annotations

from dataclasses import replace
from math import hypot, sqrt

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from leakmap.base.errors import EditRefused
from leakmap.geometry.placement import Placement
from leakmap.model.faults import faults
from leakmap.model.grid import Grid, axes_with_bays, crossings
from leakmap.model.sheet import (
    KnownLength,
    Reading,
    length_error_m,
    pixel_m,
    residuals_mm,
    scale_is_checked,
    third_length_needed,
)
from leakmap.model.words import Kind
from leakmap.work.edits.blinds import add_blind
from leakmap.work.edits.grid import set_grid
from leakmap.work.edits.joints import draw_collar, draw_vertical_joint
from leakmap.work.edits.leaks import LeakEnd, set_overrun
from leakmap.work.edits.marks import add_cut
from leakmap.work.edits.scales import (
    add_known_length,
    fitted_scale,
    fitted_scales,
    place_sheet,
    remove_known_length,
    scale_each_way,
    set_scale,
    two_ways_words,
)
from leakmap.work.edits.sheets import add_sheet
from tests.helpers.small_jobs import DRAWN, joint_named, one_line, one_sheet, stretches, with_leak, with_line

ALONG = KnownLength(start=(0, 0), end=(4, 0), length_m=8.0)
ACROSS = KnownLength(start=(0, 0), end=(0, 3), length_m=6.0)


def sheet_id(job: object) -> object:
    """The only sheet of a job."""
    return next(iter(job.sheets))


def test_one_known_length_sets_the_scale() -> None:
    """4 units are 8 m, so a unit is 2 m, both ways; one length alone is no check."""
    job, sheet = one_sheet(source=DRAWN)
    edit = add_known_length(job, sheet=sheet, known=ALONG)
    new = edit.job.sheets[sheet]
    assert (new.placement.x_m_per_unit, new.placement.y_m_per_unit) == (2.0, 2.0)
    assert not scale_is_checked(new)
    assert (edit.words, edit.said) == ("set scale of B2", ())


def test_second_length_across_checks_the_scale() -> None:
    """3 units are 6 m the other way: they agree, and the scale is checked."""
    job, sheet = one_sheet(source=DRAWN)
    job = add_known_length(job, sheet=sheet, known=ALONG).job
    edit = add_known_length(job, sheet=sheet, known=ACROSS)
    assert scale_is_checked(edit.job.sheets[sheet])
    assert edit.said == ()
    assert residuals_mm(edit.job.sheets[sheet]) == pytest.approx((0, 0), abs=1e-9)


def test_scale_is_the_least_squares_one() -> None:
    """Drawn 4 and 3, known 8 and 6.3: s = (4·8 + 3·6.3)/(16 + 9) = 2.036, off by +144 and −192 mm, and both are said."""
    job, sheet = one_sheet(source=DRAWN)
    job = add_known_length(job, sheet=sheet, known=ALONG).job
    edit = add_known_length(job, sheet=sheet, known=KnownLength(start=(0, 0), end=(0, 3), length_m=6.3))
    new = edit.job.sheets[sheet]
    assert new.placement.x_m_per_unit == pytest.approx(50.9 / 25)
    assert residuals_mm(new) == pytest.approx((144, -192))
    assert edit.said == (
        "A known length of 8.00 m on B2 measures 8.144 m, 1.8% more; measure it again, or give each way its own scale.",
        "A known length of 6.30 m on B2 measures 6.108 m, 3.0% less; measure it again, or give each way its own scale.",
    )


@given(st.lists(st.tuples(st.floats(1, 1000), st.floats(1, 1000)), min_size=1, max_size=5), st.floats(0.9, 1.1))
def test_no_other_scale_fits_better(pairs: list[tuple[float, float]], other: float) -> None:
    """The fitted scale has the least sum of squared differences."""
    lengths = tuple(KnownLength(start=(0, 0), end=(drawn, 0), length_m=known) for drawn, known in pairs)

    def off(scale: float) -> float:
        return sum((scale * drawn - known) ** 2 for drawn, known in pairs)

    best = fitted_scale(lengths)
    assert off(best) <= off(best * other) * (1 + 1e-12)


def test_origin_stays_on_site() -> None:
    """The placement's origin keeps its site position and the drawing its turn."""
    job, sheet = one_sheet(source=DRAWN)
    placed = Placement(origin=(10, 20), at_m=(3, 4), turn_deg=30)
    job = place_sheet(job, sheet=sheet, placement=placed).job
    new = add_known_length(job, sheet=sheet, known=ALONG).job.sheets[sheet].placement
    assert new.to_site((10, 20)) == (3, 4)
    assert new.turn_deg == 30


GRID = Grid(
    origin=(1.0, 2.0),
    letters=axes_with_bays("ABC", (6.0, 7.2)),
    numbers=axes_with_bays("12", (4.2,), towards_deg=70.0),
)


@given(
    x=st.floats(0.5, 2.0), y=st.floats(0.5, 2.0), turn=st.floats(-180, 180), at=st.tuples(*[st.floats(-100, 100)] * 2)
)
def test_the_grid_goes_along_with_the_only_drawing(x: float, y: float, turn: float, at: tuple[float, float]) -> None:
    """Wherever and however large the drawing is placed, axes cross where they crossed on it."""
    job, sheet = one_sheet(source=DRAWN)
    job = set_grid(job, grid=GRID).job
    placement = Placement(x_m_per_unit=x, y_m_per_unit=y, turn_deg=turn, at_m=at)
    assume(x / y < 1.5 and y / x < 1.5)
    placed = place_sheet(job, sheet=sheet, placement=placement)
    assert placed.job.grid is not None
    for one, other in zip(crossings(GRID), crossings(placed.job.grid), strict=True):
        assert (other.letter, other.number) == (one.letter, one.number)
        assert other.at == pytest.approx(placement.to_site(one.at), abs=1e-6)


def test_the_grid_of_several_drawings_stays_and_a_scale_says_so() -> None:
    """At twice the scale A to B is 12 m where the drawing is the only one; with two drawings it is 6 m, and that is said."""
    job, sheet = one_sheet(source=DRAWN)
    job = set_grid(job, grid=GRID).job
    alone = add_known_length(job, sheet=sheet, known=ALONG)
    assert alone.job.grid is not None
    assert [axis.at_m for axis in alone.job.grid.letters.each] == [0.0, 12.0, 26.4]
    assert alone.said == ()
    two = add_sheet(job, name="B1", source=DRAWN).job
    kept = add_known_length(two, sheet=sheet, known=ALONG)
    assert kept.job.grid == GRID
    assert kept.said == ("The grid stays, as other levels have it too; if it was set on B2, set it again.",)
    assert add_known_length(kept.job, sheet=sheet, known=ACROSS).said == ()


def test_known_length_is_taken_back() -> None:
    """The scale follows the lengths that are left, and stays where none is."""
    job, sheet = one_sheet(source=DRAWN)
    wrong = KnownLength(start=(0, 0), end=(0, 3), length_m=9.0)
    job = add_known_length(add_known_length(job, sheet=sheet, known=ALONG).job, sheet=sheet, known=wrong).job
    job = remove_known_length(job, sheet=sheet, known=wrong).job
    assert job.sheets[sheet].placement.x_m_per_unit == 2.0
    job = remove_known_length(job, sheet=sheet, known=ALONG).job
    assert job.sheets[sheet].placement.x_m_per_unit == 2.0
    with pytest.raises(EditRefused, match="no such known length"):
        remove_known_length(job, sheet=sheet, known=ALONG)


def test_joints_and_what_lies_on_them_go_along_and_overruns_stay() -> None:
    """At twice the scale a joint of 7 m is 14 m, its leak from 3 to 5 m runs from 6 to 10 m, and its overruns stay."""
    job, joint = one_line(source=DRAWN, start_m=1.5)
    job, leak = with_leak(job, joint, 3, 5, worst_m=3.5)
    job = set_overrun(job, leak=leak, end=LeakEnd.TO, overrun_m=0.35).job
    job = add_cut(job, joint=joint, at_m=2.0).job
    job = add_blind(job, joint=joint, from_m=6, to_m=6.5, what="a tank").job
    edit = add_known_length(job, sheet=sheet_id(job), known=ALONG)
    new = edit.job.joints[joint]
    assert new.path.points == ((0, 0), (8, 0), (8, 6))
    assert new.start_m == 3.0
    assert stretches(edit.job) == {"L-01": ("J-01", 6, 10)}
    mark = edit.job.leaks[leak]
    assert (mark.worst_m, mark.overrun_from_m, mark.overrun_to_m) == (7.0, None, 0.35)
    assert [cut.at_m for cut in edit.job.cuts.values()] == [4.0]
    assert [(blind.from_m, blind.to_m) for blind in new.blind] == [(12, 13)]
    assert edit.said == ()


def test_scale_of_each_way_carries_piece_by_piece() -> None:
    """X doubles and y stays: pieces of 4 and 3 m become 8 and 3 m, so 5 m along is 8 + 1 = 9 m along."""
    job, joint = one_line(source=DRAWN)
    job, _ = with_leak(job, joint, 3, 5)
    edit = set_scale(job, sheet=sheet_id(job), x_m_per_unit=2.0, y_m_per_unit=1.0)
    assert stretches(edit.job) == {"L-01": ("J-01", 6, 9)}
    assert edit.job.joints[joint].length_m == 11.0


def test_points_move_but_keep_their_measures() -> None:
    """A rise and a diameter are metres by themselves: a new scale moves the point and no leak."""
    job, sheet = one_sheet(source=DRAWN)
    job = draw_vertical_joint(job, sheet=sheet, kind=Kind.CRACK, point=(1, 2), rise_m=2.8).job
    job = draw_collar(job, sheet=sheet, point=(3, 1), diameter_m=0.2).job
    job, _ = with_leak(job, joint_named(job, "V-01").id, 1.0, 2.0)
    job = set_scale(job, sheet=sheet, x_m_per_unit=2.0).job
    assert (joint_named(job, "V-01").point, joint_named(job, "V-01").rise_m) == ((2, 4), 2.8)
    assert (joint_named(job, "J-01").point, joint_named(job, "J-01").diameter_m) == ((6, 2), 0.2)
    assert stretches(job) == {"L-01": ("V-01", 1, 2)}


def test_other_sheets_stay() -> None:
    """Only what is drawn on the sheet goes with it."""
    job, joint = one_line(source=DRAWN)
    edit = add_sheet(job, name="B1", source=DRAWN)
    job, other = with_line(edit.job, [(0, 0), (1, 0)], sheet=edit.made[0])
    edit = set_scale(job, sheet=sheet_id(job), x_m_per_unit=3.0)
    assert edit.changed == {("sheets", sheet_id(job)), ("joints", joint)}
    assert edit.job.joints[other] is job.joints[other]


def test_blank_sheet_needs_no_scale() -> None:
    """The metres of a sheet without a drawing are true; it may be moved and turned, never scaled."""
    job, joint = one_line()
    sheet = sheet_id(job)
    for deed, facts in (
        (add_known_length, {"known": ALONG}),
        (set_scale, {"x_m_per_unit": 2.0}),
        (place_sheet, {"placement": Placement(x_m_per_unit=2.0)}),
    ):
        with pytest.raises(EditRefused, match="has no drawing, so its lengths are true"):
            deed(job, sheet=sheet, **facts)
    moved = place_sheet(job, sheet=sheet, placement=Placement(at_m=(10, 0), turn_deg=90)).job
    assert moved.joints[joint].path.points[1] == pytest.approx((10, 4))


@pytest.mark.parametrize("scale", [0.0, -0.001, float("nan"), float("inf")])
def test_scale_must_be_positive(scale: float) -> None:
    """A scale of nothing, or none, is refused."""
    job, sheet = one_sheet(source=DRAWN)
    with pytest.raises(EditRefused, match="scale"):
        set_scale(job, sheet=sheet, x_m_per_unit=scale)


@given(
    st.floats(0.01, 100),
    st.floats(0.01, 100),
    st.floats(0, 7),
    st.floats(0, 7),
)
def test_scale_and_its_inverse_restore_everything(x: float, y: float, a: float, b: float) -> None:
    """Scaling each way and back restores every coordinate and chainage to 1e-9; what would shrink below 1 µm is not tried."""
    assume(a == b or abs(a - b) > 0.001)
    job, joint = one_line(source=DRAWN)
    job, leak = with_leak(job, joint, min(a, b), max(a, b))
    there = set_scale(job, sheet=sheet_id(job), x_m_per_unit=x, y_m_per_unit=y).job
    back = set_scale(there, sheet=sheet_id(job), x_m_per_unit=1.0).job
    for new, old in zip(back.joints[joint].path.points, job.joints[joint].path.points, strict=True):
        assert new == pytest.approx(old, abs=1e-9)
    mark = back.leaks[leak]
    assert (mark.from_m, mark.to_m) == pytest.approx((min(a, b), max(a, b)), abs=1e-9)
    assert not faults(there)


@given(st.floats(0.1, 10), st.floats(0.1, 10), st.floats(0, 5))
def test_a_place_keeps_its_place_on_the_drawing(x: float, y: float, at_m: float) -> None:
    """A leak's spot lies at the same drawing point after any scale, on a slanting piece too."""
    job, joint = one_line(((0, 0), (3, 4)), source=DRAWN)
    job, leak = with_leak(job, joint, at_m, at_m)
    new = set_scale(job, sheet=sheet_id(job), x_m_per_unit=x, y_m_per_unit=y).job
    place = new.joints[joint].path.point_at(new.leaks[leak].from_m)
    assert place == pytest.approx((0.6 * at_m * x, 0.8 * at_m * y), abs=1e-9)
    assert new.leaks[leak].from_m == pytest.approx(at_m / 5 * hypot(3 * x, 4 * y))


def test_diagonal_known_length() -> None:
    """A length across the drawing counts by its true drawn length: √(1² + 1²) units are 2 m."""
    job, sheet = one_sheet(source=DRAWN)
    known = KnownLength(start=(0, 0), end=(1, 1), length_m=2.0)
    placement = add_known_length(job, sheet=sheet, known=known).job.sheets[sheet].placement
    assert placement.x_m_per_unit == pytest.approx(sqrt(2))


def scan_with(*lengths: KnownLength) -> tuple[object, object]:
    """A job with one scan, each way with a scale of its own, and known lengths on it."""
    job, sheet = one_sheet(source=replace(DRAWN, pixel=1.0))
    job = scale_each_way(job, sheet=sheet, each_way=True).job
    for known in lengths:
        job = add_known_length(job, sheet=sheet, known=known).job
    return job, sheet


def test_scan_gets_one_scale_each_way() -> None:
    """4 units are 8 m along x and 3 units 6.03 m along y: 2 and 2.01 m a unit, with nothing left over."""
    job, sheet = scan_with(ALONG, KnownLength(start=(0, 0), end=(0, 3), length_m=6.03))
    scan = job.sheets[sheet]
    assert (scan.placement.x_m_per_unit, scan.placement.y_m_per_unit) == pytest.approx((2.0, 2.01))
    assert residuals_mm(scan) == pytest.approx((0, 0), abs=1e-9)
    assert scale_is_checked(scan)


def test_a_photo_laid_flat_blames_no_warped_paper() -> None:
    """Corners do not tell how wide a sheet is for its height, so two ways that differ much may come of laying it flat."""
    job, sheet = scan_with(ALONG, KnownLength(start=(0, 0), end=(0, 3), length_m=6.30))
    scan = job.sheets[sheet]
    assert scan.source is not None
    assert "whether the paper is warped or a length is wrong" in two_ways_words(scan)
    corners = ((0.0, 4.0), (5.0, 4.0), (5.0, 0.0), (0.0, 0.0))
    flat = replace(scan, source=replace(scan.source, reading=Reading(corners=corners)))
    assert "whether laying it flat did that or a length is wrong" in two_ways_words(flat)


def test_scales_that_differ_much_need_a_third_length() -> None:
    """6.30 m instead of 6 m makes the ways differ by 5 %: a warped sheet, or a wrong length; only a third tells."""
    wrong = KnownLength(start=(0, 0), end=(0, 3), length_m=6.30)
    job, sheet = scan_with(ALONG)
    edit = add_known_length(job, sheet=sheet, known=wrong)
    assert third_length_needed(edit.job.sheets[sheet])
    assert not scale_is_checked(edit.job.sheets[sheet])
    assert "".join(edit.said) == (
        "By its two known lengths B2 is 4.8% wider than the paper was;"
        " give a third length to tell whether the paper is warped or a length is wrong."
    )
    agrees = KnownLength(start=(0, 0), end=(4, 3), length_m=hypot(8.0, 6.30))
    assert scale_is_checked(add_known_length(edit.job, sheet=sheet, known=agrees).job.sheets[sheet])
    differs = KnownLength(start=(0, 0), end=(4, 3), length_m=10.0)
    assert not scale_is_checked(add_known_length(edit.job, sheet=sheet, known=differs).job.sheets[sheet])


def test_one_way_alone_gives_one_scale() -> None:
    """Until lengths lie across each other a scan has one scale, and it is not checked."""
    job, sheet = scan_with(ALONG)
    placement = job.sheets[sheet].placement
    assert (placement.x_m_per_unit, placement.y_m_per_unit) == (2.0, 2.0)
    assert not scale_is_checked(job.sheets[sheet])


def test_each_way_can_be_given_and_taken_back() -> None:
    """The scale follows the wish, and asking for what is there already is refused."""
    job, sheet = scan_with(ALONG, KnownLength(start=(0, 0), end=(0, 3), length_m=6.03))
    one = scale_each_way(job, sheet=sheet, each_way=False).job.sheets[sheet]
    assert one.placement.x_m_per_unit == one.placement.y_m_per_unit == pytest.approx((4 * 8 + 3 * 6.03) / 25)
    with pytest.raises(EditRefused, match="one scale each way already"):
        scale_each_way(job, sheet=sheet, each_way=True)
    blank, sheet = one_sheet()
    with pytest.raises(EditRefused, match="lengths are true"):
        scale_each_way(blank, sheet=sheet, each_way=True)


@given(
    st.lists(st.tuples(st.floats(-400, 400), st.floats(-400, 400)), min_size=3, max_size=8),
    st.floats(0.01, 0.1),
    st.floats(0.97, 1.03),
)
def test_scales_each_way_are_found_again(ends: list[tuple[float, float]], x: float, stretch: float) -> None:
    """Exact lengths of a sheet with two scales give back these scales, whichever way the lengths lie."""
    y = x * stretch
    lengths = tuple(
        KnownLength(start=(0, 0), end=(dx, dy), length_m=hypot(x * dx, y * dy)) for dx, dy in ends if hypot(dx, dy) > 50
    )
    squares = np.array([(known.end[0] ** 2, known.end[1] ** 2) for known in lengths])
    assume(len(lengths) > 1 and np.linalg.cond(squares / np.linalg.norm(squares, axis=1)[:, None]) < 1e4)
    found = fitted_scales(lengths)
    assume(found is not None)
    assert found == pytest.approx((x, y), rel=1e-6)


def test_scales_each_way_are_the_least_squares_ones() -> None:
    """Against a plain search on a grid, done on its own: no pair of scales near it leaves smaller differences."""
    lengths = (
        KnownLength(start=(0, 0), end=(4000, 30), length_m=20.05),
        KnownLength(start=(0, 0), end=(2500, 0), length_m=12.48),
        KnownLength(start=(0, 0), end=(40, 3000), length_m=15.21),
        KnownLength(start=(0, 0), end=(3000, 3000), length_m=21.38),
    )
    x, y = fitted_scales(lengths)

    def off(a: float, b: float) -> float:
        return sum((hypot(a * known.end[0], b * known.end[1]) - known.length_m) ** 2 for known in lengths)

    steps = np.linspace(-2e-6, 2e-6, 41)
    best = min((off(x + dx, y + dy), dx, dy) for dx in steps for dy in steps)
    assert max(abs(best[1]), abs(best[2])) <= 4e-7


def test_error_of_a_scan_is_said_in_metres() -> None:
    """A pixel of 4 mm and a longest known length of 20 m: 10 m can be out by 6 mm, as 4 · (1 + 10/20); not if one is wrong."""
    known = KnownLength(start=(0, 0), end=(5000, 0), length_m=20.0)
    job, sheet = scan_with(known)
    assert pixel_m(job.sheets[sheet]) == pytest.approx(0.004)
    assert length_error_m(job.sheets[sheet], 10.0) == pytest.approx(0.006)
    wrong = KnownLength(start=(0, 100), end=(5000, 100), length_m=21.0)
    doubted = add_known_length(job, sheet=sheet, known=wrong).job.sheets[sheet]
    assert length_error_m(doubted, 10.0) is None
    drawn, sheet = one_sheet(source=DRAWN)
    assert pixel_m(drawn.sheets[sheet]) is None
    assert length_error_m(drawn.sheets[sheet], 10.0) is None
