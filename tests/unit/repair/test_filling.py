"""The filling order: driest first, farthest first, the relief point last."""

from __future__ import annotations

from leakmap.model.words import Wetness
from leakmap.repair.results import Why, Zone
from leakmap.repair.work_out import worked_out
from tests.helpers.covers import Meeting, covered_by_hand, part, piece
from tests.helpers.jobs import job_of, joint_id, leak, line, upright

TEN = line((0, 0), (10, 0))


def steps(zone: Zone) -> list[tuple[int, str, str]]:
    """Steps as (joint number, from, to), in order."""
    numbers = {joint_id(n): n for n in range(1, 9)}
    assert [step.step for step in zone.order] == list(range(1, len(zone.order) + 1))
    return [(numbers[step.joint], str(step.from_m), str(step.to_m)) for step in zone.order]


def order_of(*pieces, joints, leaks, meetings: list[Meeting] | None = None) -> list[tuple[int, str, str]]:  # noqa: ANN001, ANN002 - a table
    """Steps of a job that is one zone."""
    job = job_of(joints, leaks)
    (zone,) = worked_out(job, covered_by_hand(job, part(*pieces), meetings=meetings or [])).zones
    return steps(zone)


def test_dry_first_then_by_wetness() -> None:
    """A suspect, a seep and a drip with overruns: dry, suspect, seep, drip. Without a relief point ties go as drawn."""
    order = order_of(
        piece(1, 0, 1, Why.OVERRUN),
        piece(1, 1, 2, wetness=Wetness.DRIP),
        piece(1, 2, 3, wetness=Wetness.SEEP),
        piece(1, 3, 4, wetness=Wetness.SUSPECT),
        piece(1, 4, 5, Why.OVERRUN),
        joints=[TEN],
        leaks=[leak(1, 1, 2, 3), leak(1, 2, 3, 2), leak(1, 3, 4, 0)],
    )
    assert order == [
        (1, "0.000", "1.000"),
        (1, "4.000", "5.000"),
        (1, "3.000", "4.000"),
        (1, "2.000", "3.000"),
        (1, "1.000", "2.000"),
    ]


def test_everything_converges_on_the_relief_point() -> None:
    """Run 4 to 5 m, worst at 4.8: overruns first, the farther (0 to 4) before the nearer; then the run from both sides.

    Middles: 2 m is 2.8 from the point, 5.25 m is 0.45; of the run 4 to 4.8 is 0.4 away, 4.8 to 5 is 0.1.
    """
    order = order_of(
        piece(1, 0, 4, Why.OVERRUN),
        piece(1, 4, 5, wetness=Wetness.RUN),
        piece(1, 5, 5.5, Why.OVERRUN),
        joints=[TEN],
        leaks=[leak(1, 4, 5, 4, worst_m=4.8)],
    )
    assert order == [
        (1, "0.000", "4.000"),
        (1, "5.000", "5.500"),
        (1, "4.000", "4.800"),
        (1, "4.800", "5.000"),
        (1, "4.800", "4.800"),
    ]


def test_distances_go_along_the_network() -> None:
    """J-02 turns back towards the relief point: its middle is 1.08 m away as the crow flies, 1.6 m along the joints.

    The dry 2.0 to 4.5 m of J-01 is 1.25 m away, so J-02 comes first.
    """
    order = order_of(
        piece(1, 2.0, 4.5, Why.OVERRUN),
        piece(1, 4.5, 5.0, wetness=Wetness.RUN),
        piece(2, 0, 2.2, Why.OVERRUN),
        joints=[TEN, line((5, 0), (5, 1), (4.6, 1), (4.6, 0.2))],
        leaks=[leak(1, 4.5, 5.0, 4, worst_m=4.5)],
        meetings=[[(1, 5.0), (2, 0.0)]],
    )
    assert order[:2] == [(2, "0.000", "2.200"), (1, "2.000", "4.500")]


def test_round_a_closed_joint_the_short_way_counts() -> None:
    """Ring of 10 m, relief at 0.5: the dry 9 to 10 m is 1 m away, the dry 1 to 3 m 1.5 m: the latter comes first."""
    ring = line((0, 0), (3, 0), (3, 2), (0, 2), closed=True)
    order = order_of(
        piece(1, 0, 1, wetness=Wetness.RUN),
        piece(1, 1, 3, Why.OVERRUN),
        piece(1, 9, 10, Why.OVERRUN),
        joints=[ring],
        leaks=[leak(1, 0, 1, 4)],
    )
    assert order[:2] == [(1, "1.000", "3.000"), (1, "9.000", "10.000")]


def test_ties_go_top_down() -> None:
    """Two dry stretches of a vertical joint, both 1 m from the relief point between them: the upper one first."""
    order = order_of(
        piece(1, 0, 0.5, Why.OVERRUN),
        piece(1, 0.5, 2.0, wetness=Wetness.RUN),
        piece(1, 2.0, 2.5, Why.OVERRUN),
        joints=[upright((0, 0), 3.0)],
        leaks=[leak(1, 0.5, 2.0, 4, worst_m=1.25)],
    )
    assert order[:2] == [(1, "2.000", "2.500"), (1, "0.000", "0.500")]
    assert order[2:4] == [(1, "1.250", "2.000"), (1, "0.500", "1.250")]


def test_stretches_of_one_wetness_are_one_step() -> None:
    """Overrun, merged and bridge are all dry and follow each other: one step; a deep part of a seep is no step of its own."""
    order = order_of(
        piece(1, 0, 1, Why.OVERRUN),
        piece(1, 1, 1.5, Why.MERGED),
        piece(1, 1.5, 2, Why.BRIDGE, leaks=()),
        piece(1, 2, 3, wetness=Wetness.SEEP),
        joints=[TEN],
        leaks=[leak(1, 2, 3, 2)],
    )
    assert order == [(1, "0.000", "2.000"), (1, "2.000", "3.000")]


def test_the_order_covers_the_zone() -> None:
    """The steps' lengths add up to the zone's."""
    job = job_of([TEN], [leak(1, 1, 2, 4), leak(1, 3, 4, 5)])
    pieces = [
        piece(1, 0.55, 1, Why.OVERRUN),
        piece(1, 1, 2, wetness=Wetness.RUN),
        piece(1, 2, 3, Why.MERGED, leaks=(1, 2)),
        piece(1, 3, 4, leaks=(2,), wetness=Wetness.JET),
    ]
    (zone,) = worked_out(job, covered_by_hand(job, part(*pieces))).zones
    assert sum(step.to_m - step.from_m for step in zone.order) == zone.length_m
    assert [str(step.from_m) for step in zone.order[-2:]] == ["1.500", "3.500"]
