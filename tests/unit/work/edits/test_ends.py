"""The deed that drags an end of a zone: what it sets is what is worked out afterwards."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.base.errors import EditRefused
from leakmap.model.words import Kind, Wetness
from leakmap.repair.cover import covered
from leakmap.repair.junctions import junctions_of
from leakmap.repair.results import End, Why
from leakmap.work.edits.ends import drag_end, side_of_end
from leakmap.work.edits.leaks import LeakEnd
from leakmap.work.edits.marks import add_cut
from tests.helpers.random_edits import random_job, seeded
from tests.helpers.small_jobs import one_line, with_leak, with_line

TEN = [(0, 0), (10, 0)]
SQUARE = [(0, 0), (2.5, 0), (2.5, 2.5), (0, 2.5)]  # 10 m round


def end_near(job: object, joint: object, at_m: float) -> End:
    """The end of a zone at a place, as the engine finds it."""
    ends = [end for part in covered(job).parts for end in part.ends if end.joint == joint]
    return next(end for end in ends if abs(end.at_m - at_m) < 1e-6)


def overruns(job: object) -> dict[str, tuple[float | None, float | None]]:
    """Overruns by hand of each leak."""
    return {leak.ref: (leak.overrun_from_m, leak.overrun_to_m) for leak in job.leaks.values()}


@pytest.mark.parametrize(
    ("at_m", "to_m", "expected"),
    [
        (5.3, 5.5, (None, 0.5)),  # out: 5.5 − 5
        (5.3, 5.1, (None, 0.1)),  # in: 5.1 − 5
        (5.3, 5.0, (None, 0.0)),  # up to the leak
        (3.7, 3.2, (0.8, None)),  # out at the start: 4 − 3.2
        (3.7, 3.9, (0.1, None)),
    ],
)
def test_overrun_follows_the_end(at_m: float, to_m: float, expected: tuple[float | None, float | None]) -> None:
    """A seep from 4 to 5 m has ends at 3.7 and 5.3; an end dragged to p sets that side's distance to p."""
    job, joint = one_line(TEN)
    job, _ = with_leak(job, joint, 4, 5)
    edit = drag_end(job, end=end_near(job, joint, at_m), to_m=to_m)
    assert overruns(edit.job) == {"L-01": expected}
    assert edit.words == "move end of L-01"
    assert end_near(edit.job, joint, to_m)
    value = next(side for side in expected if side is not None)
    assert edit.said == (f"The overrun {'before' if at_m < 4 else 'after'} L-01 is now {value:.2f} m.",)


def test_every_side_that_passes_is_shortened() -> None:
    """A run to 5 m reaches 5.45, a drip to 5.02 m 5.42 and a seep to 4.5 m only 4.8; dragged to 5.2 the first two follow."""
    job, joint = one_line(TEN)
    job, _ = with_leak(job, joint, 4, 5, Wetness.RUN)
    job, _ = with_leak(job, joint, 4, 5.02, Wetness.DRIP)
    job, _ = with_leak(job, joint, 4, 4.5)
    edit = drag_end(job, end=end_near(job, joint, 5.45), to_m=5.2)
    assert overruns(edit.job) == {"L-01": (None, 0.2), "L-02": (None, 0.18), "L-03": (None, None)}
    assert edit.words == "move end of L-01 and L-02"


def test_only_the_owner_is_lengthened() -> None:
    """Of the same leaks the run owns the end: dragged to 6 m it alone gets 1 m."""
    job, joint = one_line(TEN)
    job, _ = with_leak(job, joint, 4, 5, Wetness.RUN)
    job, _ = with_leak(job, joint, 4, 5.02, Wetness.DRIP)
    edit = drag_end(job, end=end_near(job, joint, 5.45), to_m=6)
    assert overruns(edit.job) == {"L-01": (None, 1.0), "L-02": (None, None)}


@pytest.mark.parametrize(("to_m", "overrun"), [(0.25, 0.45), (0.05, 0.25)])
def test_overrun_round_a_junction(to_m: float, overrun: float) -> None:
    """A leak ends 0.2 m before a junction; on the branch its overrun of 0.3 m reaches 0.1: p there is 0.2 + p away."""
    job, joint = one_line(TEN)
    job, branch = with_line(job, [(5, 0), (5, 4)])
    job, _ = with_leak(job, joint, 4.4, 4.8)
    edit = drag_end(job, end=end_near(job, branch, 0.1), to_m=to_m)
    assert overruns(edit.job) == {"L-01": (None, overrun)}
    assert end_near(edit.job, branch, to_m)
    assert end_near(edit.job, joint, 4.8 + overrun)


def test_branch_of_a_leak_that_crosses_a_junction() -> None:
    """From a node inside a leak the larger overrun reaches out: shortening sets both sides, lengthening one."""
    job, joint = one_line(TEN)
    job, branch = with_line(job, [(5, 0), (5, 4)])
    job, _ = with_leak(job, joint, 4, 6)
    end = end_near(job, branch, 0.3)
    assert overruns(drag_end(job, end=end, to_m=0.1).job) == {"L-01": (0.1, 0.1)}
    longer = drag_end(job, end=end, to_m=0.5).job
    assert sorted(overruns(longer)["L-01"], key=str) == [0.5, None]
    assert end_near(longer, branch, 0.5)


@pytest.mark.parametrize(("to_m", "overrun"), [(0.3, 0.5), (9.9, 0.1)])
def test_end_past_the_start_of_a_closed_joint(to_m: float, overrun: float) -> None:
    """A leak to 9.8 m of 10 round reaches 0.1 m past the start; it is dragged on, or back over the start."""
    job, joint = one_line(SQUARE, closed=True)
    job, _ = with_leak(job, joint, 9, 9.8)
    edit = drag_end(job, end=end_near(job, joint, 0.1), to_m=to_m)
    assert overruns(edit.job) == {"L-01": (None, overrun)}


def test_network_that_is_at_hand_gives_the_same() -> None:
    """A caller that has the job's network may give it."""
    job, joint = one_line(TEN)
    job, _ = with_leak(job, joint, 4, 5)
    end = end_near(job, joint, 5.3)
    assert drag_end(job, end=end, to_m=5.5, network=junctions_of(job).network) == drag_end(job, end=end, to_m=5.5)


def test_ends_that_no_overrun_decides_are_refused() -> None:
    """Past the joint, into a leak, at a cut, at a bridge and on a movement joint nothing can be dragged."""
    job, joint = one_line(TEN)
    job, leak = with_leak(job, joint, 4, 5)
    end = end_near(job, joint, 5.3)
    moving, other = with_line(job, [(0, 5), (9, 5)], kind=Kind.MOVEMENT)
    for case, to_m, on, sentence in (
        (end, 10.5, job, "past the end of J-01"),
        (end, 4.9, job, "L-01 itself lies there"),
        (replace(end, why="cut", owner=None), 5.1, job, "A cut ends the zone"),
        (replace(end, owner=None), 5.5, job, "cannot be drawn out"),
        (replace(end, why="movement joint"), 5.5, job, "cannot be drawn out"),
        (replace(end, at_m=7.0), 7.5, job, "L-01 does not reach this end"),
        (replace(end, at_m=7.0), 6.5, job, "it is a bridge"),
        (replace(end, joint=other), 5.1, moving, "not repaired by this method"),
    ):
        with pytest.raises(EditRefused, match=sentence):
            drag_end(on, end=case, to_m=to_m)
    assert job.leaks[leak].overrun_to_m is None


def test_cut_keeps_its_end() -> None:
    """The engine's own end at a cut is refused too."""
    job, joint = one_line(TEN)
    job, _ = with_leak(job, joint, 4, 5)
    job = add_cut(job, joint=joint, at_m=4.5).job
    with pytest.raises(EditRefused, match="move or remove the cut"):
        drag_end(job, end=end_near(job, joint, 4.5), to_m=4.6)


@settings(max_examples=30)
@given(seed=st.integers(0, 2**32), share=st.floats(-1, 1))
def test_cover_follows_the_hand(seed: int, share: float) -> None:
    """On random jobs, every end of an overrun dragged out is covered up to the place, dragged in is free up to it."""
    job = random_job(seeded(seed), 25)
    ends = [end for part in covered(job).parts for end in part.ends if end.why == "overrun" and end.owner]
    for end in ends[:4]:
        length = job.joints[end.joint].length_m
        to_m = min(max(end.at_m + 0.4 * share, 0.0), length)
        try:
            new = drag_end(job, end=end, to_m=to_m).job
        except EditRefused:
            continue
        low, high = sorted((end.at_m, to_m))
        taken = [
            (max(piece.from_m, low), min(piece.to_m, high))
            for part in covered(new).parts
            for piece in part.pieces
            if piece.joint == end.joint and piece.why is not Why.BRIDGE and piece.leaks
        ]
        shared = sum(max(stop - start, 0.0) for start, stop in taken)
        outward = (to_m > end.at_m) == end.up
        assert shared == pytest.approx(high - low if outward else 0.0, abs=0.002)


@pytest.mark.parametrize(
    ("branch", "at_m", "expected"),
    [
        (False, 5.4, (LeakEnd.TO, 0.6)),  # past the leak's end at 4.8: 5.4 − 4.8
        (False, 4.1, (LeakEnd.FROM, 0.3)),  # before its start at 4.4: by the rule of a seep
        (True, 0.4, (LeakEnd.TO, 0.6)),  # round the junction at 5: 0.2 to it and 0.4 on the branch
    ],
)
def test_the_side_that_decides_an_end(
    branch: bool,  # noqa: FBT001 - a case
    at_m: float,
    expected: tuple[LeakEnd, float],
) -> None:
    """A seep from 4.4 to 4.8 m with 0.6 m set by hand after it: each end of its zone names the side that reaches it."""
    job, joint = one_line(TEN)
    job, other = with_line(job, [(5, 0), (5, 4)])
    job, leak = with_leak(job, joint, 4.4, 4.8, overrun_to_m=0.6)
    side = side_of_end(job, end=end_near(job, other if branch else joint, at_m))
    assert side == (leak, *expected)


def test_no_side_decides_the_end_at_a_cut() -> None:
    """A cut ends a zone by itself: no overrun can be typed there."""
    job, joint = one_line(TEN)
    job, _ = with_leak(job, joint, 4, 5)
    job = add_cut(job, joint=joint, at_m=4.5).job
    cut = next(end for part in covered(job).parts for end in part.ends if end.why == "cut")
    assert side_of_end(job, end=cut) is None
