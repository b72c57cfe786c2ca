"""Where vertical joints meet others (definition 1)."""

from __future__ import annotations

from leakmap.model.joint import Joint
from leakmap.model.words import Face
from leakmap.repair.junctions import junctions_of
from leakmap.repair.network import Network
from tests.helpers.jobs import job_of, joint_id, line, upright
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


def test_a_vertical_joint_meets_what_passes_within_its_rise() -> None:
    """Rise 4.2 m from height 0: floor at 0, a lift joint at 2.1, the soffit at 3; a lift joint at 4.5 is above."""
    joints = (
        upright((2, 0), 4.2),
        ALONG,
        line((0, 0), (5, 0), face=Face.WALL, height_m=2.1),
        line((0, 0), (5, 0), face=Face.SOFFIT),
        line((0, 0), (5, 0), face=Face.WALL, height_m=4.5),
    )
    net = network(*joints)
    assert places(net, 1) == [0, 2.1, 3, 4.2]
    assert nodes(net) == [[(1, 0.0), (2, 2.0)], [(1, 2.1), (3, 2.0)], [(1, 3.0), (4, 2.0)]]


def test_the_foot_of_a_vertical_joint_may_stand_above_the_floor() -> None:
    """Foot at 1 m, rise 2 m: the floor is not met, and a lift joint at 1.5 m is met at chainage 0.5."""
    net = network(upright((2, 0), 2.0, height_m=1.0), ALONG, line((0, 0), (5, 0), face=Face.WALL, height_m=1.5))
    assert nodes(net) == [[(1, 0.5), (3, 2.0)]]


def test_the_head_meets_only_height_0_of_its_head_sheet() -> None:
    """On the sheet above, the floor joint is met at the head, the soffit and lift joints are not."""
    above = [line((0, 0), (5, 0), on=2), line((0, 0), (5, 0), on=2, face=Face.SOFFIT)]
    above.append(line((2, -1), (2, 1), on=2, face=Face.WALL, height_m=0.5))
    net = network(upright((2, 0), 4.2, head=2), *above)
    assert nodes(net) == [[(1, 4.2), (2, 2.0)]]
    assert nodes(network(upright((2, 0), 4.2), *above)) == []


def test_vertical_joints_stand_on_each_other() -> None:
    """Head to foot on one sheet, and head to foot on the sheet above; over each other they share both ends."""
    net = network(upright((1, 1), 1.5), upright((1, 1), 1.5, height_m=1.5, head=2), upright((1, 1), 3.0, on=2))
    assert nodes(net) == [[(1, 1.5), (2, 0.0)], [(2, 1.5), (3, 0.0)]]
    over = junctions_of(job_of([upright((1, 1), 3.0), upright((1, 1), 1.0, height_m=1.0)]))
    assert nodes(over.network) == [[(1, 1.0), (2, 0.0)], [(1, 2.0), (2, 1.0)]]
    assert [finding.code for finding in over.findings] == ["drawn-over"]


def test_a_vertical_joint_meets_within_delta_in_plan() -> None:
    """8 mm off is the same point, 30 mm off nearly meets."""
    assert len(nodes(network(upright((2, 0.008), 2.0), ALONG))) == 1
    found = junctions_of(job_of([upright((2, 0.03), 2.0), ALONG]))
    assert nodes(found.network) == []
    assert [finding.code for finding in found.findings] == ["nearly-meet"]
