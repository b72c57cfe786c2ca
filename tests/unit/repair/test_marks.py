"""Places within δ along a joint are one mark (definition 1)."""

from __future__ import annotations

import pytest

from leakmap.model.joint import Joint
from leakmap.repair.junctions import junctions_of
from leakmap.repair.marks import marks_on
from leakmap.repair.network import Network
from tests.helpers.jobs import job_of, joint_id, line
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


def test_marks_within_delta_along_a_joint_are_one() -> None:
    """Joints that cross at 2.000 and 2.008 m meet in one node, half-way; at 2.011 m they are two."""
    assert places(network(ALONG, line((2, -1), (2, 1)), line((2.008, -1), (2.008, 1))), 1) == [0, 2.004, 5]
    assert places(network(ALONG, line((2, -1), (2, 1)), line((2.011, -1), (2.011, 1))), 1) == [0, 2, 2.011, 5]


def test_a_mark_close_to_an_end_is_the_end() -> None:
    """A joint that crosses 6 mm before the end meets at the end: 5 m, not 4.997."""
    assert places(network(ALONG, line((4.994, -1), (4.994, 1))), 1) == [0, 5]


@pytest.mark.parametrize(
    ("raw", "closed", "marks"),
    [
        ([], False, (0, 500_000)),
        ([], True, ()),
        ([200_000, 205_000, 213_000], False, (0, 206_500, 500_000)),  # 13 mm by steps of at most 10
        ([0, 2_000, 497_000], True, (499_500,)),  # round the start: −3, 0 and 2 mm, half-way −0.5
        ([0], True, (0,)),
        ([0, 500_000], True, (0,)),  # the start told twice
        ([100_000, 110_001], False, (0, 105_000, 500_000)),  # δ and 1 µm
        ([100_000, 110_002], False, (0, 100_000, 110_002, 500_000)),
    ],
)
def test_places_are_grouped_to_marks(raw: list[int], closed: bool, marks: tuple[int, ...]) -> None:  # noqa: FBT001 - a table of cases
    """A joint of 500 mm, in micrometres."""
    assert marks_on(500_000, raw, closed=closed).at_um == marks


def test_both_ends_of_a_joint_shorter_than_delta_are_one_node() -> None:
    """A stub of 8 mm between two joints joins them, and keeps its length."""
    net = network(ALONG, line((5, 0), (5.008, 0)), line((5.008, 0), (8, 0)))
    assert net.distance(joint_id(1), 4, joint_id(3), 1) == 2.0
    assert places(net, 2) == [0, 0.008]
