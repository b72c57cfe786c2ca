"""Plans that stand side by side in one drawing are told apart."""

from __future__ import annotations

import random

import numpy as np
import pytest

from leakmap.drawings.cropped import cropped
from leakmap.drawings.opening import read_drawing
from leakmap.drawings.side_by_side import plans_finding, plans_side_by_side
from leakmap.model.drawing import Drawing, Layer, LayerState, Strokes, Text, UnitHint
from leakmap.model.sheet import Reading
from tests.helpers.dxf_files import as_bytes, codes, document, finding

Line = list[tuple[float, float]]
SIZE = (30_000.0, 20_000.0)
STANDS = ((0.0, 0.0), (40_000.0, 0.0), (0.0, 26_000.0), (40_000.0, 26_000.0))


def plan_at(x: float, y: float, *, seed: int = 1) -> list[Line]:
    """The outline of a plan of 30 by 20 m and walls inside it."""
    chance = random.Random(seed)  # noqa: S311 - places, no secret
    width, height = SIZE
    lines: list[Line] = [[(x, y), (x + width, y), (x + width, y + height), (x, y + height), (x, y)]]
    for _ in range(30):
        a, b = x + chance.uniform(0, width - 2000), y + chance.uniform(0, height - 2000)
        lines.append([(a, b), (a + chance.uniform(0, 2000), b + chance.uniform(0, 2000))])
    return lines


def drawing(lines: list[Line], texts: dict[tuple[float, float], str] | None = None, *, origin: float = 0.0) -> Drawing:
    """A drawing of lines and of texts 500 high, with a smaller one of 200 beside each."""
    starts = np.cumsum([0, *map(len, lines)]).astype(np.int32)
    xy = np.array([point for line in lines for point in line], dtype=np.float64)
    written = tuple(
        text
        for at, words in (texts or {}).items()
        for text in (Text(at, 500, 0, 0, 0, words, 0), Text(at, 200, 0, 0, 0, "1:50", 0))
    )
    layers = (Layer("0"), Layer("OFF", LayerState.OFF))
    return Drawing(
        (origin, origin),
        layers,
        Strokes(xy, starts, np.zeros(len(lines), np.int32)),
        written,
        UnitHint(None, "-"),
        None,
    )


def four() -> list[Line]:
    """Four plans, two by two, 10 m and 6 m apart."""
    return [line for seed, at in enumerate(STANDS) for line in plan_at(*at, seed=seed)]


def test_four_plans_are_found_with_their_titles() -> None:
    """Each rectangle holds its plan and its title 1.5 m below, and reaches less than 0.2 m beyond them; upper ones first."""
    titles = {(x + 9000, y - 1500): f"PLAN B{n}" for n, (x, y) in enumerate(STANDS, start=1)}
    found = plans_side_by_side(drawing(four(), titles))
    assert [plan.name for plan in found] == ["PLAN B3", "PLAN B4", "PLAN B1", "PLAN B2"]
    for plan, (x, y) in zip(found, (STANDS[2], STANDS[3], STANDS[0], STANDS[1]), strict=True):
        assert plan.box == pytest.approx((x, y - 1500, x + SIZE[0], y + SIZE[1]), abs=200)
        assert plan.box[0] < x
        assert plan.box[3] > y + SIZE[1]


def test_one_plan_is_no_several() -> None:
    """A plan with a legend beside it, a title below, and a frame round all is one."""
    lines = plan_at(0, 0)
    lines += [[(40_000.0, y), (43_000.0, y)] for y in range(0, 4000, 400)]
    lines += [[(-5000, -9000), (50_000, -9000), (50_000, 25_000), (-5000, 25_000), (-5000, -9000)]]
    assert plans_side_by_side(drawing(lines, {(0, -5000): "PLAN B1"})) == ()


def test_a_frame_round_four_plans_does_not_join_them() -> None:
    """Nor do the lines that part the frame into four, or an axis through all of them."""
    lines = four()
    left, right, low, high = -4000.0, 74_000.0, -3000.0, 49_000.0
    lines += [[(left, low), (right, low)], [(right, low), (right, high)], [(right, high), (left, high)]]
    lines += [[(left, high), (left, low)], [(35_000, low), (35_000, high)], [(left, 10_000), (right, 10_000)]]
    assert len(plans_side_by_side(drawing(lines))) == 4


def test_what_is_hidden_and_what_is_far_parts_nothing() -> None:
    """A copy on a layer that is off is none of the plans; a stray line kilometres away makes no strip."""
    lines = [*plan_at(0, 0), *plan_at(40_000, 0)]
    made = drawing([*lines, [(9e7, 9e7), (9.001e7, 9e7)]])
    assert len(plans_side_by_side(made)) == 2
    made.strokes.layer[31:62] = 1
    assert plans_side_by_side(made) == ()


def test_scattered_signs_are_no_plans() -> None:
    """Nor is a single line, or nothing at all."""
    lines: list[Line] = [[(x * 100.0, y), (x * 100.0 + 9, y)] for x in range(60) for y in range(9)]
    assert plans_side_by_side(drawing(lines)) == ()
    assert plans_side_by_side(drawing([[(0, 0), (9, 9)]])) == ()
    assert plans_side_by_side(drawing([[(0, 0), (9, 9)]] * 20)) == ()


@pytest.mark.parametrize("origin", [0.0, 5_400_000.0])
def test_each_rectangle_crops_one_plan_whole(origin: float) -> None:
    """Cropped to any of the rectangles, all lines of that plan stay uncut and no other line does, near zero or far."""
    made = drawing(four(), origin=origin)
    for plan in plans_side_by_side(made):
        part = cropped(made, plan.box)
        assert len(part.strokes) == 31
        assert any(
            np.array_equal(part.strokes.xy, drawing(plan_at(*at, seed=seed)).strokes.xy)
            for seed, at in enumerate(STANDS)
        )


def test_opening_says_so_until_one_is_chosen() -> None:
    """The finding counts them and gives rectangles that can be asked for; the one that is asked for is one plan."""
    made = document(unit=4)
    for line in four():
        made.modelspace().add_lwpolyline(line)
    data = as_bytes(made)
    found = finding(read_drawing("all.dxf", data), "plans-side-by-side")
    assert found.text.startswith("4 plans stand side by side; choose one")
    corners = found.text.removesuffix(".").split(" at ")[1].split(";")[0]
    box = tuple(map(float, corners.split(",")))
    assert len(box) == 4
    one = read_drawing("all.dxf", data, reading=Reading(crop=box))
    assert len(one.strokes) == 31
    assert "plans-side-by-side" not in codes(one)
    assert plans_finding(plans_side_by_side(read_drawing("all.dxf", data))) == found
