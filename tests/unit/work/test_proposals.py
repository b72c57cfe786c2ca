"""Joints proposed from layers: lengths against shapely, what lies on joints already, and taking them."""

from __future__ import annotations

from itertools import pairwise
from math import cos, radians, sin

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from leakmap.base.errors import EditRefused, UnusableDrawing
from leakmap.base.measures import Units
from leakmap.geometry.path import Path, Point, path_of
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import Drawing, Layer, Strokes, UnitHint
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.words import Face, Kind, Side
from leakmap.work.edits.joints import draw_joint
from leakmap.work.edits.taking import take_proposals
from leakmap.work.history import History
from leakmap.work.proposals import (
    AsJoint,
    Proposal,
    layers_with_lines,
    lines_on,
    long_enough,
    lying_on,
    only_layer,
    points_on,
    proposed_by_layer,
    too_short,
)
from tests.helpers.small_jobs import joint_named, one_line, one_sheet, with_line

FLOOR = AsJoint(kind=Kind.CONSTRUCTION, face=Face.FLOOR)
Line = list[Point]


def drawn(*layers: tuple[str, list[Line]]) -> Drawing:
    """A drawing in metres with lines on some layers."""
    lines = [(number, line) for number, (_, found) in enumerate(layers) for line in found]
    counts = [len(line) for _, line in lines]
    strokes = Strokes(
        np.array([point for _, line in lines for point in line], np.float64).reshape(-1, 2),
        np.array([0, *np.cumsum(counts)], np.int32),
        np.array([number for number, _ in lines], np.int32),
    )
    hint = UnitHint(1.0, "said so")
    return Drawing((0.0, 0.0), tuple(Layer(name) for name, _ in layers), strokes, (), hint, None)


def line(*points: Point, closed: bool = False) -> Proposal:
    """A proposal along some points."""
    return Proposal(path_of(points, closed=closed), "layer WALLS")


PLAN = drawn(
    ("GRID", []),
    ("WALLS", [[(0, 0), (4, 0)], [(4, 0), (4, 3)], [(9, 0), (9, 0.05)]]),
    ("DOORS", [[(20, 20), (21, 20)]]),
)


def test_layers_are_those_with_lines() -> None:
    """Named in the order of the file with how many lines each has; an empty one is left out."""
    assert layers_with_lines(PLAN) == (("WALLS", 3), ("DOORS", 1))


def test_one_layer_alone() -> None:
    """Only the lines of that layer are kept, and counted by their points."""
    assert [len(only_layer(PLAN, name).strokes) for name in ("GRID", "WALLS", "DOORS")] == [0, 3, 1]
    assert only_layer(PLAN, "DOORS").strokes.polyline(0).tolist() == [[20, 20], [21, 20]]
    assert points_on(PLAN, "WALLS") == 6


def test_lines_of_layers_are_placed() -> None:
    """Those of the named layers alone, in metres of the site plane: at half the scale and 10 m to the right."""
    lines = lines_on(PLAN, Placement(x_m_per_unit=0.5, y_m_per_unit=0.5, at_m=(10.0, 0.0)), ["DOORS"])
    assert (lines.start.tolist(), lines.end.tolist()) == ([[20.0, 10.0]], [[20.5, 10.0]])
    assert len(lines_on(PLAN, Placement(), ["WALLS", "DOORS", "GRID"]).start) == 4
    assert len(lines_on(drawn(("GRID", [])), Placement(), ["GRID"]).start) == 0


def test_layer_proposes_its_lines_chained() -> None:
    """Two lines that meet are one proposal of 7 m; the short stub is one too, until a least length leaves it out."""
    found, noticed = proposed_by_layer(PLAN, Placement(), "WALLS")
    assert [round(proposal.path.length_m, 3) for proposal in found] == [7.0, 0.05]
    assert {proposal.origin for proposal in found} == {"layer WALLS"}
    assert not noticed
    assert long_enough(found, 0.1) == found[:1]
    assert long_enough(found, 0.05) == found
    (short,) = too_short(found, 0.1, Units.METRIC)
    assert short.text == "Left out, shorter than 0.10 m: 1 line."
    assert not too_short(found, 0.05, Units.METRIC)


def test_layer_of_too_many_lines_is_none_of_joints() -> None:
    """It is refused with its number of lines."""
    with pytest.raises(UnusableDrawing, match="Layer WALLS holds 2 separate lines; one of more than 1 is no layer"):
        proposed_by_layer(PLAN, Placement(), "WALLS", most=1)
    assert len(proposed_by_layer(PLAN, Placement(), "WALLS", most=2)[0]) == 2


@given(
    courses=st.lists(
        st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40)), min_size=2, max_size=6, unique=True),
        min_size=1,
        max_size=8,
    ),
    turn=st.floats(0, 360),
    scale=st.sampled_from([0.001, 1.0, 0.3048]),
)
def test_proposals_are_as_long_as_the_linework(courses: list[Line], turn: float, scale: float) -> None:
    """Whatever is drawn, proposals are together as long as shapely says of the lines, each drawn stretch once."""
    drawing = drawn(("WALLS", [[(x / scale, y / scale) for x, y in course] for course in courses]))
    found, noticed = proposed_by_layer(
        drawing, Placement(x_m_per_unit=scale, y_m_per_unit=scale, turn_deg=turn), "WALLS"
    )
    total = sum(proposal.path.length_m for proposal in found)
    pieces = {frozenset(pair) for course in courses for pair in pairwise(course)}
    once = sum(shapely.LineString([*pair]).length for pair in pieces)
    assert total == pytest.approx(once, abs=1e-6)
    assert bool(noticed) == (len(pieces) < sum(len(course) - 1 for course in courses))


# Lying on joints ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("aside_m", "from_m", "refs"),
    [
        (0.0, 0.0, ("J-01",)),
        (0.019, 0.0, ("J-01",)),
        (0.021, 0.0, ()),
        (0.0, -0.9, ("J-01",)),  # 4.9 m, of which 4.02 m or 82 % lie within 20 mm
        (0.0, -1.1, ()),  # 5.1 m, of which 79 %
    ],
)
def test_lies_on_a_joint_by_distance_and_share(aside_m: float, from_m: float, refs: tuple[str, ...]) -> None:
    """Along a joint of 4 m a proposal lies on it up to 20 mm aside, and while 80 % of its length does."""
    job, _ = one_line([(0, 0), (4, 0)])
    (found,) = lying_on(job, next(iter(job.sheets)), [line((from_m, aside_m), (4, aside_m))], FLOOR)
    assert found == refs


def test_several_joints_carry_a_line_together() -> None:
    """Over two joints end to end it lies on both, the longer part first; one that crosses is not named."""
    job, _ = one_line([(0, 0), (3, 0)])
    job, _ = with_line(job, [(3, 0), (8, 0)])
    job, _ = with_line(job, [(4, -2), (4, 2)])
    (found,) = lying_on(job, next(iter(job.sheets)), [line((0, 0), (8, 0))], FLOOR)
    assert found == ("J-02", "J-01")


def test_another_face_height_or_sheet_is_another_place() -> None:
    """Over the same line lie a floor joint and a wall joint at 1.2 m: each is told only of its own face and height."""
    job, _ = one_line([(0, 0), (4, 0)])
    job, _ = with_line(job, [(0, 0), (4, 0)], face=Face.WALL, height_m=1.2)
    sheet = next(iter(job.sheets))
    over = [line((0, 0), (4, 0))]
    at = {height: AsJoint(kind=Kind.CRACK, face=Face.WALL, height_m=height) for height in (1.2, 1.205, 1.22)}
    assert lying_on(job, sheet, over, FLOOR) == (("J-01",),)
    assert [lying_on(job, sheet, over, at[height]) for height in at] == [(("J-02",),), (("J-02",),), ((),)]
    assert lying_on(job, sheet, over, AsJoint(kind=Kind.CRACK, face=Face.SOFFIT)) == ((),)
    job, _ = with_line(job, [(0, 5), (4, 5)], face=Face.SOFFIT)
    assert lying_on(job, sheet, [line((0, 5), (4, 5))], AsJoint(kind=Kind.CRACK, face=Face.SOFFIT)) == (("J-03",),)


def test_closed_lines_and_collars_count_all_round() -> None:
    """A ring over a closed joint lies on it, and a drawn circle on a pipe collar in the floor."""
    square = [(0, 0), (4, 0), (4, 3), (0, 3)]
    job, _ = one_line(square, closed=True)
    sheet = next(iter(job.sheets))
    assert lying_on(job, sheet, [line(*square, closed=True)], FLOOR) == (("J-01",),)
    assert lying_on(job, sheet, [line((0, 3), (0, 0))], FLOOR) == (("J-01",),)  # the side that closes it


def test_empty_job_and_no_proposals() -> None:
    """Where there is no joint nothing lies on one; no proposals give nothing."""
    job, sheet = one_sheet()
    assert lying_on(job, sheet, [line((0, 0), (1, 0))], FLOOR) == ((),)
    assert lying_on(job, sheet, [], FLOOR) == ()


# Taking -----------------------------------------------------------------------------------------------


def taken(job: Job, *lines: Proposal, as_joint: AsJoint = FLOOR) -> tuple[list[Joint], History]:
    """The joints made of some proposals, and a history in which that is done."""
    edit = take_proposals(job, sheet=next(iter(job.sheets)), proposals=lines, as_joint=as_joint)
    return [edit.job.joints[key] for key in edit.made], History(present=job).done(edit)


def test_taking_is_one_step_with_one_name() -> None:
    """Two lines of a layer become J-02 and J-03 in one deed whose undo gives the very job back; redo is the same."""
    job, _ = one_line()
    joints, history = taken(job, line((0, 9), (4, 9)), line((0, 8), (4, 8), (4, 7), closed=True))
    assert [(joint.ref, joint.closed, round(joint.length_m, 3)) for joint in joints] == [
        ("J-02", False, 4.0),
        ("J-03", True, round(5 + 17**0.5, 3)),
    ]
    assert history.undo_words == "take 2 joints from layer WALLS"
    assert history.undo().present == job
    assert history.undo().redo().present == history.present


def test_lines_of_several_origins_are_said_so() -> None:
    """A layer and an outline together are lines."""
    job, _ = one_sheet()
    ring = Proposal(Path(((0, 0), (1, 0), (1, 1)), closed=True), "an outline")
    assert taken(job, line((0, 9), (4, 9)), ring)[1].undo_words == "take 2 joints from lines"
    assert taken(job, ring)[1].undo_words == "take 1 joint from an outline"


def test_facts_go_only_where_they_belong() -> None:
    """Height is a wall's and room side a corner's; on other faces they are left out without a word."""
    job, _ = one_sheet()
    for face, height, side in ((Face.WALL, 1.2, None), (Face.CORNER, 0.0, Side.LEFT), (Face.FLOOR, 0.0, None)):
        as_joint = AsJoint(kind=Kind.WALL_BASE, face=face, height_m=1.2, room_side=Side.LEFT)
        ((joint,), _) = taken(job, line((0, 9), (4, 9)), as_joint=as_joint)
        assert (joint.kind, joint.face, joint.height_m, joint.room_side) == (Kind.WALL_BASE, face, height, side)


def test_one_that_cannot_be_a_joint_refuses_all() -> None:
    """A line as short as the drawing tolerance takes nothing with it; no line at all is refused too."""
    job, _ = one_sheet()
    with pytest.raises(EditRefused, match="a joint must be longer than 10 mm"):
        taken(job, line((0, 9), (4, 9)), line((0, 0), (0.01, 0)))
    with pytest.raises(EditRefused, match="There is nothing to take"):
        taken(job)


@given(st.lists(st.tuples(st.integers(0, 30), st.integers(0, 360)), min_size=1, max_size=6))
def test_what_is_taken_lies_on_itself(lines: list[tuple[int, int]]) -> None:
    """After taking, each proposal lies on a joint; after undo it lies on none again and the job is the same."""
    job, sheet = one_sheet()
    found = [line((x, 0), (x + 3 * cos(radians(turn)), 3 * sin(radians(turn)))) for x, turn in lines]
    _, history = taken(job, *found)
    assert all(lying_on(history.present, sheet, found, FLOOR))
    assert history.undo().present == job
    assert not any(lying_on(history.undo().present, sheet, found, FLOOR))


def test_joints_drawn_over_each_other_are_findings_that_name_both() -> None:
    """What was taken twice all the same is found by the engine: J-01 is drawn over J-02 for 4 m."""
    from leakmap.repair.work_out import repairs  # noqa: PLC0415 - the engine is asked here only

    job, _ = one_line([(0, 0), (4, 0)])
    again = draw_joint(job, sheet=next(iter(job.sheets)), kind=Kind.CONSTRUCTION, points=[(0, 0), (4, 0)]).job
    (finding,) = repairs(again).findings
    assert (finding.code, finding.where) == ("drawn-over", "J-01")
    assert finding.text.startswith("J-01 is drawn over J-02 for 4.000 m")
    assert joint_named(again, "J-02")
