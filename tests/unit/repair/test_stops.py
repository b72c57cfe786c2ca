"""Where slots stop, by hand."""

from __future__ import annotations

from leakmap.model.joint import Blind
from leakmap.model.words import Kind
from leakmap.repair.cover import covered
from tests.helpers.jobs import cut, job_of, leak, line, upright
from tests.helpers.reading_cover import codes, ends, pieces_on, reasons

ALONG = line((0, 0), (5, 0))
STEM = line((2, 0), (2, 3))


def test_cover_that_ends_where_the_joint_is_hidden_has_an_owner_there() -> None:
    """The overrun to 3.3 ends under plant from 3.1 on: the slot stops at 3.1, and dragging sets that overrun."""
    joint = line((0, 0), (5, 0), blind=(Blind(from_m=3.1, to_m=4, what="plant"),))
    assert ends(covered(job_of([joint], [leak(1, 2, 3)])))[-1] == (1, 3.1, "up", "blind", 1)


def test_a_part_that_is_wholly_hidden_has_no_end() -> None:
    """No slot, so nothing that stops."""
    joint = line((0, 0), (5, 0), blind=(Blind(from_m=1, to_m=4, what="plant"),))
    found = covered(job_of([joint], [leak(1, 2, 3)]))
    assert [piece.why.value for piece in pieces_on(found, 1)] == ["blind"] * 3
    assert ends(found) == []


def test_a_slot_stops_at_a_clearance_on_each_side_of_a_movement_joint() -> None:
    """Crossed at 3 m with 0.1 m of clearance: hidden 2.9 to 3.1, counted in no length there."""
    moving = line((3, -1), (3, 1), kind=Kind.MOVEMENT, clearance_m=0.1)
    found = covered(job_of([ALONG, moving], [leak(1, 2.5, 3.5)]))
    assert (2.9, 3.1, "blind") in reasons(found, 1)
    assert ends(found)[1:3] == [(1, 2.9, "up", "movement joint", None), (1, 3.1, "down", "movement joint", None)]
    assert found.findings == ()


def test_a_clearance_that_nobody_gave_is_none_and_told() -> None:
    """The slot stops at the crossing itself, on both sides, and one finding asks for the clearance."""
    moving = line((3, -1), (3, 1), kind=Kind.MOVEMENT)
    found = covered(job_of([ALONG, moving, line((0, 0.5), (5, 0.5))], [leak(1, 2.5, 3.5), leak(3, 2.5, 3.5)]))
    assert "blind" not in {why for _, _, why in reasons(found, 1)}
    assert ends(found)[1:3] == [(1, 3.0, "up", "movement joint", None), (1, 3.0, "down", "movement joint", None)]
    assert codes(found) == ["no-clearance"]
    assert covered(job_of([ALONG, moving], [leak(1, 0.5, 1)])).findings == ()


def test_a_joint_that_ends_at_a_movement_joint_stops_there() -> None:
    """A joint of 2 m that ends on a movement joint keeps 0.15 m from it."""
    joints = [line((0, 0), (2, 0)), line((2, -1), (2, 1), kind=Kind.MOVEMENT, clearance_m=0.15)]
    assert ends(covered(job_of(joints, [leak(1, 1, 2)])))[-1] == (1, 1.85, "up", "movement joint", 1)


def test_a_zone_stops_at_a_joint_end() -> None:
    """At both free ends; the leak whose overrun comes there owns the end, a bridge nobody."""
    found = covered(job_of([line((0, 0), (2, 0))], [leak(1, 0.4, 1.8)]))
    assert ends(found) == [(1, 0.0, "down", "joint end", None), (1, 2.0, "up", "joint end", 1)]


def test_a_repair_that_goes_on_round_a_corner_does_not_stop() -> None:
    """Two joints that meet end to end, wet across: ends only at the overruns."""
    joints = [line((0, 0), (2, 0)), line((2, 0), (2, 2))]
    assert ends(covered(job_of(joints, [leak(1, 1.5, 2)]))) == [
        (1, 1.2, "down", "overrun", 1),
        (2, 0.3, "up", "overrun", 1),
    ]


def test_a_repair_that_just_reaches_a_corner_stops_there() -> None:
    """The overrun ends at the corner to the micrometre: nothing goes on, so it stops."""
    joints = [line((0, 0), (2, 0)), line((2, 0), (2, 2))]
    assert ends(covered(job_of(joints, [leak(1, 1, 1.7)])))[-1] == (1, 2.0, "up", "overrun", 1)


def test_a_repair_through_a_junction_stops_on_every_arm() -> None:
    """The stem, the joint on both sides, and up a vertical joint."""
    found = covered(job_of([ALONG, STEM, upright((2, 0), 2)], [leak(1, 1.9, 2.1)]))
    assert ends(found) == [
        (1, 1.6, "down", "overrun", 1),
        (1, 2.4, "up", "overrun", 1),
        (2, 0.3, "up", "overrun", 1),
        (3, 0.3, "up", "overrun", 1),
    ]


def test_the_wettest_leak_owns_an_end() -> None:
    """Two leaks whose overruns end at 3.4: run from 2.95, drip from 3.0; the run owns the end."""
    found = covered(job_of([ALONG], [leak(1, 2, 3, 3), leak(1, 2.5, 2.95, 4)]))
    assert ends(found)[-1] == (1, 3.4, "up", "overrun", 2)


def test_both_sides_of_a_cut_are_ends() -> None:
    """Nobody owns them."""
    found = covered(job_of([ALONG], [leak(1, 1, 3)], cuts=[cut(1, 2)]))
    assert ends(found)[1:3] == [(1, 2.0, "up", "cut", None), (1, 2.0, "down", "cut", None)]


def test_the_start_of_a_closed_joint_is_no_end() -> None:
    """Wet across the start: ends at 0.8 and 3.2 m only; wet all round: none."""
    square = line((0, 0), (1, 0), (1, 1), (0, 1), closed=True)
    assert [end[1:4] for end in ends(covered(job_of([square], [leak(1, 3.5, 0.5)])))] == [
        (0.8, "up", "overrun"),
        (3.2, "down", "overrun"),
    ]
    assert ends(covered(job_of([square], [leak(1, 0, 4)]))) == []
