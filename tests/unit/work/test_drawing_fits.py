"""Where a new drawing of a level may lie."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.base.errors import BadValue
from leakmap.geometry.fit import Pair
from leakmap.geometry.placement import Placement
from leakmap.model.grid import Grid, axes_with_bays
from leakmap.model.sheet import Source
from leakmap.work.drawing_fits import NewUnder, Placed, beginning, by_places, proposals
from tests.helpers.drawn_grids import LETTERS
from tests.helpers.level_plans import MM, NEW, Moved, new_under, plan

SPOTS = ((0.0, 0.0), (31200.0, 0.0), (31200.0, 21600.0), (6000.0, 8400.0))
ELSEWHERE = Moved(turn_deg=15.0, move=(400_000.0, -90_000.0))
ASKEW = Placement(x_m_per_unit=0.001, y_m_per_unit=0.001, turn_deg=3.0, at_m=(7.0, -4.0))


def named(found: tuple[Placed, ...], words: str) -> Placed:
    """The proposal of a name."""
    return next(placed for placed in found if placed.words == words)


def off_m(new: NewUnder, placed: Placed, moved: Moved) -> float:
    """How far corners of the new drawing come to lie from the same corners of the old one, at most."""
    there = [new.sheet.placement.to_site(spot) for spot in SPOTS]
    here = [placed.placement.to_site(moved.at(spot)) for spot in SPOTS]
    return max(np.hypot(x - u, y - v) for (x, y), (u, v) in zip(here, there, strict=True))


def test_a_file_that_lies_where_the_old_one_did_is_placed_as_before() -> None:
    """With one wall moved, the rest is there again: as before comes first, with the share and how near."""
    new = new_under(plan(wall_x=12500.0), placement=ASKEW)
    first = proposals(new)[0]
    assert first.words == "as before"
    assert first.placement == ASKEW
    assert first.why.endswith("of the ends of its lines are there again, within 1 mm.")
    assert not first.doubtful


def test_another_unit_changes_nothing() -> None:
    """The same plan in metres lies as before, a thousand times as large a unit; so does one in neither unit named."""
    metres = Moved(unit=1.0, times=0.001)
    new = new_under(plan(metres), placement=replace(ASKEW, origin=(1000.0, 500.0)))
    assert off_m(new, named(proposals(new), "as before"), metres) < 1e-9
    unsaid = replace(new_under(plan(Moved(unit=None)), before=plan(Moved(unit=None))))
    assert named(proposals(unsaid), "as before").placement == MM


def test_known_lengths_of_the_old_file_are_in_the_scale_of_the_new() -> None:
    """A level 0.2 % larger than its file says passes that on while the new file has the same unit."""
    larger = Placement(x_m_per_unit=0.001002, y_m_per_unit=0.001002)
    new = new_under(plan(ELSEWHERE), placement=larger)
    for placed in proposals(new):
        assert placed.placement.x_m_per_unit == pytest.approx(0.001002)
        assert off_m(new, placed, ELSEWHERE) < 1e-5


def test_nothing_is_placed_as_before_that_lies_elsewhere() -> None:
    """A plan that is turned and moved in its file is placed by the grid and by the texts, both to a hundredth of a millimetre."""
    new = new_under(plan(ELSEWHERE), placement=ASKEW)
    found = proposals(new)
    assert [placed.words for placed in found] == ["by the grid", "by the texts"]
    for placed in found:
        assert off_m(new, placed, ELSEWHERE) < 1e-5
    assert "its 36 crossings of the same names lie on each other within 1 mm" in found[0].why
    assert len(found[0].residuals_m) == 36
    assert found[1].why == "5 texts that both show once lie on each other within 1 mm."


def test_a_grid_that_was_changed_is_doubtful_and_comes_last() -> None:
    """Axis C 300 mm elsewhere: the grid is said with what it is out by, after the texts that agree."""
    moved = {**LETTERS, "C": 12300}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("tests.helpers.level_plans.LETTERS", moved)
        new = new_under(plan(ELSEWHERE), before=plan())
    new = replace(new, before=plan())
    found = proposals(new)
    assert [placed.words for placed in found] == ["by the texts", "by the grid"]
    assert found[1].doubtful
    assert max(found[1].residuals_m) > 0.2


def test_texts_that_moved_are_left_out_and_counted() -> None:
    """One room name of five stands elsewhere: the other four place the drawing."""
    drawing = plan(ELSEWHERE, grid=False)
    first, *others = drawing.texts
    moved = replace(first, at=(first.at[0] + 5000.0, first.at[1]))
    new = new_under(replace(drawing, texts=(moved, *others)))
    (placed,) = proposals(new)
    assert placed.why == "4 texts that both show once lie on each other within 1 mm; 1 other moved."
    assert off_m(new, placed, ELSEWHERE) < 1e-6


def test_nothing_is_proposed_without_a_reason() -> None:
    """Lines alone, lying elsewhere, say nothing; neither does a drawing under a blank level, but for the job's grid."""
    assert proposals(new_under(plan(ELSEWHERE, grid=False, rooms=False))) == ()
    blank = new_under(plan(ELSEWHERE))
    blank = replace(blank, before=None, sheet=replace(blank.sheet, source=None, placement=Placement()))
    assert proposals(blank) == ()
    letters = axes_with_bays("ABCDEF", (6.0, 6.0, 7.2, 6.0, 6.0))
    numbers = axes_with_bays("654321", (4.2, 4.2, 4.8, 4.2, 4.2), towards_deg=90.0)
    (placed,) = proposals(replace(blank, grid=Grid(letters=letters, numbers=numbers)))
    assert placed.placement.to_site(ELSEWHERE.at((6000.0, 8400.0))) == pytest.approx((6.0, 8.4), abs=1e-5)


def test_a_drawing_of_unknown_unit_takes_its_scale_from_the_grid() -> None:
    """A plan in quarter millimetres that says no unit becomes as large as the old one."""
    moved = Moved(move=(900.0, 900.0), unit=None, times=4.0)
    new = new_under(plan(moved))
    placed = named(proposals(new), "by the grid")
    assert placed.placement.x_m_per_unit == pytest.approx(0.00025)
    assert off_m(new, placed, moved) < 1e-5


def test_before_anything_is_known_middle_lies_on_middle() -> None:
    """The new drawing is shown where it can be seen: in its scale, or as wide as the old one where it has none."""
    new = new_under(plan(ELSEWHERE))
    start = beginning(new)
    assert new.before is not None
    assert new.before.shown is not None
    left, bottom, right, top = new.before.shown
    assert start.at_m == pytest.approx(((left + right) / 2000, (bottom + top) / 2000))
    assert start.x_m_per_unit == 0.001
    unsaid = new_under(plan(Moved(unit=None, times=8.0)))
    assert beginning(unsaid).x_m_per_unit == pytest.approx(0.000125)


def pairs(new: NewUnder, moved: Moved, count: int, *, out: tuple[float, float] = (0.0, 0.0)) -> list[Pair]:
    """So many corners, each where it lies on the new drawing and on the old; the last is missed by so many metres."""
    found = [Pair(drawn=moved.at(spot), site=new.sheet.placement.to_site(spot)) for spot in SPOTS[:count]]
    x, y = found[-1].site
    return [*found[:-1], replace(found[-1], site=(x + out[0], y + out[1]))]


def test_one_place_shifts_and_two_turn() -> None:
    """One place lies on its place and the turn stays; with two the drawing lies right; places at one spot are refused."""
    new = new_under(plan(ELSEWHERE), placement=ASKEW)
    one = by_places(new, pairs(new, ELSEWHERE, 1))
    assert one.placement.turn_deg == ASKEW.turn_deg
    assert one.residuals_m == (0.0,)
    assert one.placement.to_site(ELSEWHERE.at(SPOTS[0])) == pytest.approx(ASKEW.to_site(SPOTS[0]))
    two = by_places(new, pairs(new, ELSEWHERE, 2))
    assert off_m(new, two, ELSEWHERE) < 1e-9
    assert two.why == "All 2 places lie on each other within 1 mm."
    with pytest.raises(BadValue, match="at one spot"):
        by_places(new, pairs(new, ELSEWHERE, 1) * 2)
    with pytest.raises(BadValue, match="pick 1 places"):
        by_places(new, [])


def test_a_scale_is_fitted_only_where_none_is_known_or_when_asked_for() -> None:
    """A plan drawn 1 % too large: with its unit known the places are out, and say so; asked for, they give the scale."""
    moved = Moved(times=1.01)
    new = new_under(plan(moved))
    kept = by_places(new, pairs(new, moved, 4))
    assert kept.placement.x_m_per_unit == 0.001
    assert kept.doubtful
    assert "check the scale of the new drawing and B2" in kept.why
    asked = by_places(new, pairs(new, moved, 4), with_scale=True)
    assert asked.placement.x_m_per_unit == pytest.approx(0.001 / 1.01)
    assert not asked.doubtful
    unsaid = new_under(plan(replace(moved, unit=None)), source=Source(name="b2.pdf", sha256=NEW.sha256))
    assert by_places(unsaid, pairs(unsaid, moved, 2)).placement.x_m_per_unit == pytest.approx(0.001 / 1.01)


@settings(max_examples=30, deadline=None)
@given(across=st.floats(-0.05, 0.05), up=st.floats(-0.05, 0.05))
def test_residuals_are_those_of_an_independent_least_squares(across: float, up: float) -> None:
    """Four places, one missed: the residuals of numpy's solver on x' = a x − b y + c, y' = b x + a y + d.

    With the scale asked for, this linear system is the same problem; numpy.linalg.lstsq is the independent library.
    """
    new = new_under(plan(ELSEWHERE), placement=ASKEW)
    places = pairs(new, ELSEWHERE, 4, out=(across, up))
    rows, wanted = [], []
    for pair in places:
        (x, y), (u, v) = pair.drawn, pair.site
        rows += [[x / 1e5, -y / 1e5, 1.0, 0.0], [y / 1e5, x / 1e5, 0.0, 1.0]]
        wanted += [u, v]
    solved = np.linalg.lstsq(np.array(rows), np.array(wanted), rcond=None)[0]
    off = (np.array(rows) @ solved - wanted).reshape(-1, 2)
    placed = by_places(new, places, with_scale=True)
    assert placed.residuals_m == pytest.approx(np.hypot(off[:, 0], off[:, 1]).tolist(), abs=1e-7)
