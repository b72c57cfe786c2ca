"""Marks, nodes and findings of definition 1."""

from __future__ import annotations

from datetime import date

import pytest

from leakmap.model.joint import Joint, Signed
from leakmap.model.words import Face, Kind
from leakmap.repair.junctions import junctions_of, repairable
from leakmap.repair.network import Network
from tests.helpers.jobs import collar, job_of, joint_id, line, parted, sheet
from tests.helpers.reading_cover import number_of

ALONG = line((0, 0), (5, 0))
ACROSS = line((2, 0), (2, 3))


def network(*joints: Joint) -> Network:
    """The network of a job of these joints."""
    return junctions_of(job_of(joints)).network


def nodes(net: Network) -> list[list[tuple[int, float]]]:
    """Nodes with more than one mark, as (joint, chainage)."""
    members = [net.members(node) for node in range(len(net.arms))]
    return [[(number_of(joint), at) for joint, at in each] for each in members if len(each) > 1]


def places(net: Network, joint: int) -> list[float]:
    """Chainages of the marks of a joint."""
    return [at for at, _ in net.marks(joint_id(joint))]


def test_marks_are_both_ends_and_the_junction() -> None:
    """A joint of 5 m met at 2 m by the start of another of 3 m."""
    net = network(ALONG, ACROSS)
    assert places(net, 1) == [0, 2, 5]
    assert places(net, 2) == [0, 3]
    assert nodes(net) == [[(1, 2.0), (2, 0.0)]]


def test_a_node_is_everything_that_meets_there() -> None:
    """Three ends and a joint that passes, each met with another only: one node of four."""
    net = network(ALONG, ACROSS, line((2, 0.008), (3, 3)), line((2, -0.008), (2, -3)))
    assert [len(each) for each in nodes(net)] == [4]


def test_only_joints_repaired_by_this_method_are_in_the_network() -> None:
    """A movement joint is left out until somebody decides otherwise."""
    moving = line((2, -1), (2, 3), kind=Kind.MOVEMENT)
    decided = line(
        (2, -1), (2, 3), kind=Kind.MOVEMENT, repair_anyway=Signed(name="A. Marsh", reason="dry", on=date(2026, 11, 2))
    )
    assert not repairable(moving)
    assert repairable(decided)
    assert places(network(ALONG, moving), 1) == [0, 5]
    assert places(network(ALONG, decided), 1) == [0, 2, 5]


def test_where_a_movement_joint_is_crossed_is_told() -> None:
    """The crossing at 2 m, 1 m along the movement joint, with the clearance on each side; 0 when nobody gave one."""
    moving = line((2, -1), (2, 3), kind=Kind.MOVEMENT, clearance_m=0.2)
    crossings = junctions_of(job_of([ALONG, moving, line((4, 0), (4, 2), kind=Kind.MOVEMENT)])).movement
    assert [(number_of(c.joint), c.at_m, number_of(c.movement), c.movement_at_m, c.clearance_m) for c in crossings] == [
        (1, 2.0, 2, 1.0, 0.2),
        (1, 4.0, 3, 0.0, 0.0),
    ]


def test_a_floor_joint_does_not_meet_the_soffit_joint_over_it() -> None:
    """The same plan line at 0 and at 3 m of height."""
    assert nodes(network(ALONG, line((2, -1), (2, 3), face=Face.SOFFIT))) == []


def test_a_pipe_collar_in_the_floor_is_met_in_plan_and_in_a_wall_it_is_a_point() -> None:
    """A ring of 1 m diameter round a point of a joint is met twice; in a wall it has no course in plan."""
    met = nodes(network(line((0, 0), (5, 0)), collar((2, 0), 1.0)))
    assert [[number for number, _ in each] for each in met] == [[1, 2], [1, 2]]
    assert met[0][0][1] == pytest.approx(1.5, abs=1e-3)
    assert nodes(network(line((0, 0), (5, 0)), collar((2, 0), 1.0, face=Face.WALL))) == []


def test_a_closed_joint_has_no_mark_at_its_start() -> None:
    """A square alone has none; met at its start it has that one."""
    square = line((0, 0), (1, 0), (1, 1), (0, 1), closed=True)
    assert places(network(square), 1) == []
    assert places(network(square, line((-1, 0), (0, 0))), 1) == [0]


def test_a_joint_that_crosses_itself_meets_itself() -> None:
    """The loop of 14 m crosses at 2 m and 14 m: one node, a way round of 12 m that costs nothing to skip."""
    net = network(line((0, 0), (4, 0), (4, 4), (2, 4), (2, -1)))
    assert nodes(net) == [[(1, 2.0), (1, 14.0)]]
    assert net.distance(joint_id(1), 1.5, joint_id(1), 14.5) == 1.0


def test_a_parted_junction_joins_nothing_but_keeps_its_marks() -> None:
    """The crossing at 2 m taken apart: both joints still have a mark there."""
    job = job_of([ALONG, line((2, -1), (2, 3))], parted=[parted(2, 1.004, 1, 2.0)])
    found = junctions_of(job)
    assert nodes(found.network) == []
    assert places(found.network, 1) == [0, 2, 5]
    assert found.findings == ()


def test_a_parted_junction_stays_joined_by_a_third_joint() -> None:
    """Two of three joints that meet are taken apart; both still meet the third (transitive closure)."""
    job = job_of([ALONG, ACROSS, line((2, 0), (2, -3))], parted=[parted(2, 0.0, 3, 0.0)])
    assert len(nodes(junctions_of(job).network)[0]) == 3


def test_a_junction_taken_apart_where_none_is_is_a_finding() -> None:
    """Nothing meets at 4 m."""
    (finding,) = junctions_of(job_of([ALONG, ACROSS], parted=[parted(1, 4.0, 2, 0.0)])).findings
    assert finding.code == "parts-nothing"
    assert "J-01 at 4.000 m and J-02 at 0.000 m" in finding.text


def test_joints_that_nearly_meet_are_told_once() -> None:
    """An end 50 mm short; both ends of one gap are one finding; a printed chainage counts from start_m."""
    (finding,) = junctions_of(job_of([line((0, 0), (5, 0), start_m=10.0), line((2, 0.05), (2, 3))])).findings
    assert finding.text == (
        "J-01 at 12.000 m and J-02 at 0.000 m lie 50 mm apart and are not joined; draw them together if they meet."
    )
    assert len(junctions_of(job_of([ALONG, line((5.04, 0), (8, 0))])).findings) == 1


def test_an_end_that_is_joined_nearby_does_not_nearly_meet() -> None:
    """Drawn 60 mm past a joint that it crosses, or joined round a corner within 0.5 m."""
    assert junctions_of(job_of([ALONG, line((2, -0.06), (2, 3))])).findings == ()
    assert junctions_of(job_of([ALONG, ACROSS, line((2, 0.05), (4, 2))])).findings == ()


def test_joints_drawn_over_each_other_are_told() -> None:
    """2 m that two joints share would count twice."""
    (finding,) = junctions_of(job_of([ALONG, line((1, 0), (3, 0), (3, 2))])).findings
    assert finding.code == "drawn-over"
    assert finding.text.startswith("J-01 is drawn over J-02 for 2.000 m between 1.000 m and 3.000 m,")


def test_sheets_are_apart() -> None:
    """The same lines on two sheets meet nobody of the other."""
    assert nodes(network(ALONG, line((2, -1), (2, 3), on=2))) == []
    assert junctions_of(job_of([], sheets=[sheet()])).network.joints == ()
