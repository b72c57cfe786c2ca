"""Numbers of zones before and after issues (definition 7)."""

from __future__ import annotations

from uuid import UUID

from leakmap.model.job import Numbers
from leakmap.model.leak import IssuedStretch
from leakmap.repair.references import Cover, zone_numbers
from tests.helpers.jobs import job_of, joint_id, line

JOINTS = [line((0, 0), (10, 0)), line((0, 5), (3, 5), (3, 7), (0, 7), closed=True)]


def issued(*stretches: tuple[int, int, float, float]) -> dict[UUID, IssuedStretch]:
    """Issued stretches: (zone, joint number, from, to)."""
    return {
        UUID(int=n): IssuedStretch(id=UUID(int=n), zone=zone, joint=joint_id(joint), from_m=from_m, to_m=to_m)
        for n, (zone, joint, from_m, to_m) in enumerate(stretches, 1)
    }


def on(joint: int, *spans: tuple[float, float]) -> Cover:
    """Cover of one joint."""
    return {joint_id(joint): spans}


def test_before_an_issue_numbers_follow_the_order() -> None:
    """Zones are 1, 2, 3, and none is issued."""
    assert zone_numbers(job_of(JOINTS), [on(1, (0, 1)), on(1, (2, 3)), on(2, (0, 1))]) == [
        (1, False),
        (2, False),
        (3, False),
    ]


def test_a_new_zone_goes_on_above_the_highest_number() -> None:
    """Issued as 3 and 7; a zone between them finds nothing and becomes 10, for 9 was used before."""
    job = job_of(JOINTS, issued=issued((3, 1, 0, 1), (7, 1, 8, 9)), numbers=Numbers(zone=9))
    covers = [on(1, (0, 1)), on(1, (4, 5)), on(1, (7.5, 9))]
    assert zone_numbers(job, covers) == [(3, True), (10, False), (7, True)]


def test_most_shared_metres_win() -> None:
    """One zone over both issued ones keeps the number with more metres: 2 of 1.5 m, not 1 of 1 m."""
    job = job_of(JOINTS, issued=issued((1, 1, 0, 1), (2, 1, 2, 3.5)), numbers=Numbers(zone=2))
    assert zone_numbers(job, [on(1, (0, 4))]) == [(2, True)]


def test_equal_metres_go_to_the_lower_number() -> None:
    """1 m of each: number 4, not 6."""
    job = job_of(JOINTS, issued=issued((6, 1, 0, 1), (4, 1, 2, 3)), numbers=Numbers(zone=6))
    assert zone_numbers(job, [on(1, (0, 4))]) == [(4, True)]


def test_a_zone_that_fell_apart_keeps_the_number_on_its_longer_part() -> None:
    """Z-01 was 0 to 6 m; its parts share 2 m and 3 m with it, so the second keeps 1."""
    job = job_of(JOINTS, issued=issued((1, 1, 0, 6)), numbers=Numbers(zone=1))
    assert zone_numbers(job, [on(1, (0, 2)), on(1, (3, 6))]) == [(2, False), (1, True)]


def test_a_zone_may_take_its_second_choice() -> None:
    """Zone A shares 3 m with 1 and 1 m with 2; zone B 4 m with 1: B takes 1, A takes 2."""
    job = job_of(JOINTS, issued=issued((1, 1, 0, 7), (2, 1, 9, 10)), numbers=Numbers(zone=2))
    assert zone_numbers(job, [on(1, (0, 3), (9, 10)), on(1, (3, 7))]) == [(2, True), (1, True)]


def test_issued_stretches_pass_the_start_of_a_closed_joint() -> None:
    """Issued from 9 to 1 on a ring of 10 m: a zone at 0 to 0.5 m finds it."""
    job = job_of(JOINTS, issued=issued((5, 2, 9, 1)), numbers=Numbers(zone=5))
    assert zone_numbers(job, [on(2, (0, 0.5))]) == [(5, True)]


def test_touching_is_not_sharing() -> None:
    """A zone that begins where the issued one ended is new."""
    job = job_of(JOINTS, issued=issued((1, 1, 0, 1)), numbers=Numbers(zone=1))
    assert zone_numbers(job, [on(1, (1, 2))]) == [(2, False)]


def test_no_number_is_used_twice_when_the_joint_is_gone() -> None:
    """A stretch of a joint that was removed counts for no zone, and the numbers still go on above it."""
    job = job_of(JOINTS, issued=issued((8, 9, 0, 1)), numbers=Numbers(zone=8))
    assert zone_numbers(job, [on(1, (0, 1))]) == [(9, False)]
