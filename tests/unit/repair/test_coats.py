"""How wide the coat is on each kind of joint."""

from __future__ import annotations

from math import pi

import pytest

from leakmap.model.rules import Rules
from leakmap.model.words import Face, Kind, Side
from leakmap.repair.coats import CoatWidths, coat_widths, second_coat
from tests.helpers.jobs import collar, line, upright

RULES = Rules()  # 0.15 + 0.025 + 0.15 = 0.325 m, common practice, no published source


def test_floor_and_soffit_go_to_the_union_of_their_face() -> None:
    """Half of 0.325 m on each side, nothing beside."""
    assert second_coat(line((0, 0), (1, 0)), RULES) == CoatWidths(Face.FLOOR, 0.1625, 0.1625, 0.0)
    assert second_coat(line((0, 0), (1, 0), face=Face.SOFFIT), RULES).plane is Face.SOFFIT


@pytest.mark.parametrize("joint", [line((0, 0), (1, 0), face=Face.WALL), upright((0, 0), 3.0)])
def test_walls_and_vertical_joints_are_length_times_width(joint) -> None:  # noqa: ANN001 - any joint
    """0.325 m² for each metre, on no flat face."""
    widths = second_coat(joint, RULES)
    assert (widths.plane, widths.beside_m) == (None, 0.325)


def test_a_corner_gives_half_to_the_floor_on_the_side_of_the_room() -> None:
    """Room on the right: 0.1625 on the right of the floor, 0.1625 on the wall; unknown: length × width."""
    corner = {"face": Face.CORNER, "kind": Kind.WALL_BASE}
    right = second_coat(line((0, 0), (1, 0), room_side=Side.RIGHT, **corner), RULES)
    assert right == CoatWidths(Face.FLOOR, 0.0, 0.1625, 0.1625)
    left = second_coat(line((0, 0), (1, 0), room_side=Side.LEFT, **corner), RULES)
    assert left == CoatWidths(Face.FLOOR, 0.1625, 0.0, 0.1625)
    assert second_coat(line((0, 0), (1, 0), **corner), RULES).beside_m == 0.325


def test_a_collar_is_coated_outside_the_pipe_only() -> None:
    """Slot and margin, 0.175 m, on the left of a clockwise ring; through a wall as area for each metre.

    A pipe of 0.2 m: π(0.275² − 0.1²) = 0.20617 m² over π · 0.2 m.
    """
    assert second_coat(collar((5, 5), 0.2), RULES) == CoatWidths(Face.FLOOR, pytest.approx(0.175), 0.0, 0.0)
    wall = second_coat(collar((5, 5), 0.2, face=Face.WALL, height_m=1.0), RULES)
    assert wall.plane is None
    assert wall.beside_m * pi * 0.2 == pytest.approx(pi * (0.275**2 - 0.1**2))


@pytest.mark.parametrize(("corners", "left"), [(((0, 0), (1, 0), (1, 1)), False), (((0, 0), (1, 1), (1, 0)), True)])
def test_a_collar_drawn_as_a_line_is_coated_outside_either_way(corners, left) -> None:  # noqa: ANN001 - points
    """A ring drawn anticlockwise has its outside on the right, a clockwise one on the left, far out too."""
    far = [(x + 500_000, y + 4_000_000) for x, y in corners]
    widths = second_coat(line(*far, closed=True, kind=Kind.PIPE_COLLAR), RULES)
    assert (widths.left_m > 0, widths.right_m > 0) == (left, not left)


def test_washing_reaches_its_own_margin() -> None:
    """200 mm beyond the slot on each side is 0.425 m."""
    widths = coat_widths(line((0, 0), (1, 0)), 0.025, 0.2)
    assert widths.left_m + widths.right_m == pytest.approx(0.425)
