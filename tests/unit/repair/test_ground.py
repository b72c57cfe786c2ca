"""What follows from joints alone: clearances of movement joints, and where bands are laid out from."""

from __future__ import annotations

import pytest

from leakmap.geometry.path import Point
from leakmap.model.joint import Joint
from leakmap.model.words import Kind
from leakmap.repair.ground import ground_of, origin_of
from leakmap.repair.tracing import Hidden
from leakmap.repair.work_out import repairs
from tests.helpers.jobs import job_of, leak, line


def hidden_mm(*joints: Joint) -> dict[int, list[tuple[int, int]]]:
    """Hidden stretches of each joint in millimetres, joints numbered from 1, where a movement joint is the last."""
    found = ground_of(job_of(joints)).hidden
    return {joint + 1: sorted((span.low // 1000, span.high // 1000) for span in own) for joint, own in found.items()}


def moving(x: float) -> Joint:
    """A movement joint across the x axis, 0.1 m clear on each side."""
    return line((x, -1), (x, 1), kind=Kind.MOVEMENT, clearance_m=0.1)


def test_a_clearance_runs_on_where_one_joint_continues_another() -> None:
    """Crossed at 3 m, hidden 2.9 to 3.1 m; joints that meet at 2.95 m hide 0.05 m of the one, 0.15 m of the other."""
    assert hidden_mm(line((0, 0), (6, 0)), moving(3)) == {1: [(2900, 3100)]}
    assert hidden_mm(line((0, 0), (2.95, 0)), line((2.95, 0), (6, 0)), moving(3)) == {1: [(2900, 2950)], 2: [(0, 150)]}


def test_a_clearance_runs_on_through_a_short_joint_and_against_its_chainage() -> None:
    """From 3 m on: 0.04 m to a joint 0.03 m long drawn the other way, and 0.03 m of the next, drawn towards it."""
    joints = line((0, 0), (3.04, 0)), line((3.07, 0), (3.04, 0)), line((6, 0), (3.07, 0))
    assert hidden_mm(*joints, moving(3)) == {1: [(2900, 3040)], 2: [(0, 30)], 3: [(2900, 2930)]}


@pytest.mark.parametrize("third", [((2.95, 0), (2.95, 2)), ((2.95, -2), (2.95, 2))])
def test_a_clearance_stops_at_a_junction(third: tuple[Point, Point]) -> None:
    """Where a third joint meets or passes, nobody can say which joint goes on; the clearance stops at the node."""
    joints = line((0, 0), (2.95, 0)), line((2.95, 0), (6, 0)), line(*third)
    assert hidden_mm(*joints, moving(3)) == {2: [(0, 150)]}


def test_the_slot_past_the_split_stops_at_the_movement_joint() -> None:
    """A leak up to the split: the slot ends 0.1 m before the movement joint, and says so."""
    joints = line((0, 0), (2.95, 0)), line((2.95, 0), (6, 0)), moving(3)
    (zone,) = repairs(job_of(joints, [leak(1, 2, 2.9)])).zones
    assert [(str(row.from_m), str(row.to_m)) for row in zone.rows] == [("1.700", "2.900"), ("0.150", "0.250")]
    assert [end.why for end in zone.ends] == ["overrun", "movement joint", "movement joint", "overrun"]


def test_a_clearance_of_nothing_hides_nothing_past_an_end() -> None:
    """A crossing at the very end of a joint without a clearance is a place there, and none on the next joint but its own."""
    bare = line((3, -1), (3, 1), kind=Kind.MOVEMENT)
    found = ground_of(job_of([line((0, 0), (3, 0)), line((3, 0), (6, 0)), bare])).hidden
    assert found == {0: [Hidden(3_000_000, 3_000_000, True)], 1: [Hidden(0, 0, True)]}


def test_bands_are_laid_out_from_whole_kilometres_near_the_joints() -> None:
    """The least x and y at which joints start, to the nearest kilometre; nothing drawn: the site's origin."""
    assert origin_of(job_of([line((10.7, -3.2), (12, 0)), line((11, -1), (9, 2))])) == (0.0, 0.0)
    assert origin_of(job_of([line((612_345.6, 5_400_700), (612_350, 5_400_700))])) == (612_000.0, 5_401_000.0)
    assert origin_of(job_of([])) == (0.0, 0.0)
