"""The coats: how wide the band is on each face, and where it lies in plan.

The second coat covers the filled slot and a margin on each side. On a floor or soffit its bands
are united before they are measured; on walls, on vertical joints and where nobody knows on which
side of a corner the room is, the area is length × width. A corner joint whose room side is known
gives half of its band to the floor. The band of a pipe collar lies outside the pipe only.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import pi

from leakmap.geometry.path import Path
from leakmap.model.joint import Joint, plan_path
from leakmap.model.rules import Rules
from leakmap.model.words import Face, Kind, Side


@dataclass(frozen=True, slots=True)
class CoatWidths:
    """How a joint's coat is measured, metres.

    Attributes:
        plane: The flat face whose union it goes to: floor or soffit; None where it goes to none.
        left_m: Reach of the band on that face on the joint's left.
        right_m: The same on its right.
        beside_m: Square metres for each metre of joint that are measured as length × width.
    """

    plane: Face | None
    left_m: float
    right_m: float
    beside_m: float


def coat_widths(joint: Joint, slot_width_m: float, margin_m: float) -> CoatWidths:
    """Widths of what lies ``margin_m`` on each side of a joint's slot."""
    path = plan_path(joint)
    if _is_collar(joint):
        return _collar_widths(joint, path, slot_width_m + margin_m)
    half_m = slot_width_m / 2 + margin_m
    if path is None or joint.face is Face.WALL:
        return CoatWidths(None, half_m, half_m, 2 * half_m)
    if joint.face is not Face.CORNER:
        return CoatWidths(joint.face, half_m, half_m, 0.0)
    if joint.room_side is None:
        return CoatWidths(None, half_m, half_m, 2 * half_m)
    left = joint.room_side is Side.LEFT
    return CoatWidths(Face.FLOOR, half_m if left else 0.0, 0.0 if left else half_m, half_m)


def second_coat(joint: Joint, rules: Rules) -> CoatWidths:
    """Widths of the second coat."""
    return coat_widths(joint, rules.slot_width_m, rules.coat_margin_m)


def _is_collar(joint: Joint) -> bool:
    return joint.closed and (joint.diameter_m is not None or joint.kind is Kind.PIPE_COLLAR)


def _collar_widths(joint: Joint, path: Path | None, reach_m: float) -> CoatWidths:
    """Outside the pipe: as a ring it has reach + reach² / diameter square metres for each metre."""
    if path is None or joint.face not in (Face.FLOOR, Face.SOFFIT):
        return CoatWidths(None, reach_m, reach_m, reach_m + reach_m**2 * pi / joint.length_m)
    left = not _runs_anticlockwise(path)
    return CoatWidths(joint.face, reach_m if left else 0.0, 0.0 if left else reach_m, 0.0)


def _runs_anticlockwise(path: Path) -> bool:
    x, y = path.points[0]
    return sum((x0 - x) * (y1 - y) - (x1 - x) * (y0 - y) for (x0, y0), (x1, y1) in pairwise(path.corners)) > 0
