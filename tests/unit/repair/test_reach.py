"""What a leak covers by itself (definitions 2 and 3), by hand; nothing is bridged here."""

from __future__ import annotations

import pytest

from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.rules import Rules
from leakmap.model.words import Face, Kind
from leakmap.repair.cover import covered
from tests.helpers.jobs import collar, job_of, leak, line, upright
from tests.helpers.reading_cover import Spans, codes, spans

ALONG = line((0, 0), (5, 0))
STEM = line((2, 0), (2, 3))
SQUARE = line((0, 0), (1, 0), (1, 1), (0, 1), closed=True)
BARE = Rules(bridge_m=0.0)


def cover(joints: list[Joint], *leaks: Leak) -> Spans:
    """Covered stretches by joint."""
    return spans(covered(job_of(joints, leaks, rules=BARE)))


@pytest.mark.parametrize(("wetness", "overrun"), [(0, 0.3), (1, 0.3), (2, 0.3), (3, 0.4), (4, 0.45), (5, 0.45)])
def test_the_overrun_follows_from_the_wetness(wetness: int, overrun: float) -> None:
    """A leak 2 to 3 m is covered from 2 − r to 3 + r: common practice, no published source."""
    assert cover([ALONG], leak(1, 2, 3, wetness)) == {1: [(2 - overrun, pytest.approx(3 + overrun))]}


def test_a_spot_is_covered_by_its_overruns() -> None:
    """A seep at 2.5 m: 0.3 m each way."""
    assert cover([ALONG], leak(1, 2.5)) == {1: [(2.2, 2.8)]}


def test_overruns_set_by_hand_hold_on_their_own_side() -> None:
    """0.5 m before, nothing after."""
    assert cover([ALONG], leak(1, 2, 3, overrun_from_m=0.5, overrun_to_m=0.0)) == {1: [(1.5, 3.0)]}


def test_an_overrun_stops_at_a_free_end() -> None:
    """0.1 m before the end of a joint of 5 m."""
    assert cover([ALONG], leak(1, 4.5, 4.9)) == {1: [(4.2, 5.0)]}


def test_an_overrun_goes_round_a_bend() -> None:
    """0.1 m to the bend and 0.2 m past it are one stretch of the same joint."""
    assert cover([line((0, 0), (2, 0), (2, 3))], leak(1, 1.5, 1.9)) == {1: [(1.2, 2.2)]}


def test_an_overrun_turns_into_every_joint_that_meets() -> None:
    """Leak to 1.8 m, junction at 2.0: 0.3 − 0.2 = 0.1 m is left for each of the two arms beyond."""
    assert cover([ALONG, STEM], leak(1, 1.5, 1.8)) == {1: [(1.2, 2.1)], 2: [(0.0, 0.1)]}


def test_a_reach_may_pass_several_nodes() -> None:
    """0.45 m from 1.9: past nodes at 2.0 and 2.2, up both stems by 0.35 and 0.15 m."""
    joints = [ALONG, STEM, line((2.2, 0), (2.2, 3))]
    assert cover(joints, leak(1, 1.5, 1.9, 5)) == {1: [(1.05, 2.35)], 2: [(0.0, 0.35)], 3: [(0.0, 0.15)]}


def test_a_node_inside_a_leak_gives_every_other_arm_the_larger_overrun() -> None:
    """Junction at 2 m inside 1 to 3 m; r⁻ = 0.5 by hand, r⁺ = 0.3: the stem gets 0.5 m."""
    found = cover([ALONG, STEM], leak(1, 1, 3, overrun_from_m=0.5))
    assert found == {1: [(0.5, 3.3)], 2: [(0.0, 0.5)]}


def test_a_node_at_the_end_of_a_leak_takes_that_side() -> None:
    """Junction at the start of the leak 2 to 3 m: r⁻ = 0.1 by hand goes up the stem, although r⁺ is 0.3."""
    assert cover([ALONG, STEM], leak(1, 2, 3, overrun_from_m=0.1)) == {1: [(1.9, 3.3)], 2: [(0.0, 0.1)]}
    assert cover([ALONG, STEM], leak(1, 1, 2, overrun_from_m=0.1)) == {1: [(0.9, 2.3)], 2: [(0.0, 0.3)]}


@pytest.mark.parametrize(("start", "stem"), [(1.999, 0.1), (1.998, 0.3), (2.001, 0.099)])
def test_a_node_is_strictly_inside_only_past_a_tie(start: float, stem: float) -> None:
    """1 mm inside the leak is still its end; 2 mm inside is inside; 1 mm before its start is measured."""
    assert cover([ALONG, STEM], leak(1, start, 3, overrun_from_m=0.1))[2] == [(0.0, stem)]


def test_a_spot_on_a_node_takes_the_larger_overrun() -> None:
    """r⁻ = 0.1 and r⁺ = 0.5 by hand at the junction: 0.5 m along all three arms; 10 mm off they differ."""
    found = cover([ALONG, STEM], leak(1, 2, overrun_from_m=0.1, overrun_to_m=0.5))
    assert found == {1: [(1.5, 2.5)], 2: [(0.0, 0.5)]}
    found = cover([ALONG, STEM], leak(1, 2.001, overrun_from_m=0.1, overrun_to_m=0.5))
    assert found == {1: [(1.501, 2.501)], 2: [(0.0, 0.499)]}  # a tie: 1 mm beside it is on it
    found = cover([ALONG, STEM], leak(1, 2.01, overrun_from_m=0.1, overrun_to_m=0.5))
    assert found == {1: [(1.91, 2.51)], 2: [(0.0, 0.09)]}


def test_a_reach_that_ends_within_a_tie_of_a_node_takes_it() -> None:
    """0.3 m from 1.699 ends 1 mm short of the junction: cover goes on to it, and to a bridge nothing is left."""
    assert cover([ALONG, STEM], leak(1, 1, 1.699))[1] == [(0.7, 2.0)]
    assert cover([ALONG, STEM], leak(1, 1, 1.698))[1] == [(0.7, 1.998)]
    assert cover([ALONG], leak(1, 4, 4.699))[1] == [(3.7, 5.0)]


def test_outward_never_leads_back_through_the_leak() -> None:
    """A leak at the very junction with r⁻ = 0.5 and r⁺ = 0: nothing beyond its dry end."""
    assert cover([ALONG, STEM], leak(1, 2, 2.1, overrun_from_m=0.5, overrun_to_m=0.0))[1] == [(1.5, 2.1)]


def test_an_overrun_that_comes_round_stops_at_the_leak() -> None:
    """On a square of 4 m r⁻ = 9 covers all that is dry, once."""
    assert cover([SQUARE], leak(1, 1, 2, overrun_from_m=9.0, overrun_to_m=0.0)) == {1: [(0.0, 4.0)]}


def test_a_closed_joint_is_covered_across_its_start() -> None:
    """Square of 4 m wet from 3.5 past the start to 0.5: 0.3 m beyond both ends."""
    assert cover([SQUARE], leak(1, 3.5, 0.5)) == {1: [(0.0, 0.8), (3.2, 4.0)]}
    assert cover([SQUARE], leak(1, 0.0)) == {1: [(0.0, 0.3), (3.7, 4.0)]}


def test_a_closed_joint_wet_all_round_has_no_ends() -> None:
    """Stored 0 to 4 m: what meets it at its start gets the larger overrun, since nothing ends there."""
    found = cover([SQUARE, line((0, 0), (-1, 0))], leak(1, 0, 4, overrun_from_m=0.1, overrun_to_m=0.4))
    assert found == {1: [(0.0, 4.0)], 2: [(0.0, 0.4)]}


def test_overruns_go_up_and_down_vertical_joints() -> None:
    """From the floor up by 0.3 − 0.1; from the vertical joint down to the floor both ways."""
    joints = [ALONG, upright((2, 0), 3.0)]
    assert cover(joints, leak(1, 1.5, 1.9)) == {1: [(1.2, 2.2)], 2: [(0.0, 0.2)]}
    assert cover(joints, leak(2, 0.1, 0.5)) == {1: [(1.8, 2.2)], 2: [(0.0, 0.8)]}


def test_overruns_go_from_sheet_to_sheet() -> None:
    """At the head, 3 m up, the floor joint of the sheet above gets the 0.2 m that are left."""
    joints = [ALONG, upright((2, 0), 3.0, head=2), line((0, 0), (5, 0), on=2)]
    assert cover(joints, leak(2, 2.5, 2.9)) == {2: [(2.2, 3.0)], 3: [(1.8, 2.2)]}


def test_overruns_do_not_reach_what_only_lies_over_them_in_plan() -> None:
    """A soffit joint over the same line gets nothing."""
    assert cover([ALONG, line((2, -1), (2, 3), face=Face.SOFFIT)], leak(1, 1.5, 1.9)) == {1: [(1.2, 2.2)]}


def test_no_overrun_passes_onto_a_movement_joint() -> None:
    """It crosses inside the leak and gets nothing; a leak on it gets no cover."""
    moving = line((2, -1), (2, 3), kind=Kind.MOVEMENT, clearance_m=0.1)
    assert cover([ALONG, moving], leak(1, 1.5, 2.5), leak(2, 1, 2)) == {1: [(1.2, 2.8)]}


def test_a_pipe_collar_up_to_2_m_is_covered_whole_once_it_leaks() -> None:
    """Diameter 0.2 m is 0.628319 m round; 0.7 m is 2.199 m and gets overruns only."""
    assert cover([collar((0, 0), 0.2)], leak(1, 0.1)) == {1: [(0.0, 0.628319)]}
    assert cover([collar((0, 0), 0.2, face=Face.WALL)], leak(1, 0.1, 0.15)) == {1: [(0.0, 0.628319)]}
    assert cover([collar((0, 0), 0.7)], leak(1, 1.0)) == {1: [(0.7, 1.3)]}
    square = line((0, 0), (0.5, 0), (0.5, 0.5), (0, 0.5), closed=True, kind=Kind.PIPE_COLLAR)
    assert cover([square], leak(1, 1.0)) == {1: [(0.0, 2.0)]}


def test_an_overrun_into_a_pipe_collar_does_not_cover_it_whole() -> None:
    """The ring of 2 m is met at its start; a reach has 0.1 m left for both ways round."""
    ring = line((0, 0), (0.5, 0), (0.5, 0.5), (0, 0.5), closed=True, kind=Kind.PIPE_COLLAR)
    assert cover([line((-2, 0), (0, 0)), ring], leak(1, 1.0, 1.8)) == {1: [(0.7, 2.0)], 2: [(0.0, 0.1), (1.9, 2.0)]}


def test_a_short_overrun_set_by_hand_is_told() -> None:
    """Below 0.30 m; 0.30 itself is not."""
    found = covered(job_of([ALONG], [leak(1, 1, 2, overrun_from_m=0.2), leak(1, 3, 4, overrun_to_m=0.3)]))
    (finding,) = found.findings
    assert finding.code == "short-overrun"
    assert finding.where == "L-01"


def test_leaks_that_do_not_fit_their_joint_are_put_right_and_told() -> None:
    """Past the end it is shortened; on an open joint exchanged ends are turned round."""
    found = covered(job_of([ALONG], [leak(1, 4, 7), leak(1, 2, 1)]))
    assert spans(found) == {1: [(0.7, 2.3), (3.7, 5.0)]}
    assert codes(found) == ["leak-past-end", "leak-turned"]


def test_a_leak_on_no_joint_is_told() -> None:
    """Joint 7 does not exist."""
    found = covered(job_of([ALONG], [leak(7, 1, 2)]))
    assert found.parts == ()
    assert codes(found) == ["leak-on-nothing"]


def test_a_spot_without_overruns_has_no_length() -> None:
    """Both set to 0 by hand: no part, and a finding says so."""
    found = covered(job_of([ALONG], [leak(1, 1, overrun_from_m=0.0, overrun_to_m=0.0)]))
    assert found.parts == ()
    assert "no-length" in codes(found)
