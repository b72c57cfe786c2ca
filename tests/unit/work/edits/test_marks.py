"""Deeds on cuts, relief points and parted junctions."""

from __future__ import annotations

import pytest

from leakmap.base.errors import EditRefused
from leakmap.model.words import Face, Kind, Wetness
from leakmap.work.edits.joints import draw_collar, draw_vertical_joint
from leakmap.work.edits.marks import (
    add_cut,
    drop_relief_point,
    give_relief_back,
    move_relief_point,
    part_junction,
    rejoin_junction,
    remove_cut,
    set_relief_point,
)
from tests.helpers.small_jobs import one_line, with_leak, with_line

SQUARE = [(0, 0), (2.5, 0), (2.5, 2.5), (0, 2.5)]  # 10 m round


def test_cut_snaps_to_a_millimetre_and_goes_again() -> None:
    """A cut at 2.00049 m lies at 2.000 m."""
    job, joint = one_line()
    edit = add_cut(job, joint=joint, at_m=2.00049)
    assert edit.job.cuts[edit.made[0]].at_m == 2.0
    assert edit.words == "cut J-01"
    back = remove_cut(edit.job, cut=edit.made[0])
    assert back.job == job
    assert back.words == "remove a cut of J-01"


@pytest.mark.parametrize(
    ("at_m", "sentence"),
    [
        (0.010, "more than 10 mm from ends and junctions"),
        (6.99, "more than 10 mm from ends and junctions"),
        (4.005, r"there is one at 4\.000 m of J-01"),
        (2.0004, r"a cut at 2\.000 m of J-01 already"),
        (7.5, "past the end"),
        (-0.5, "negative"),
    ],
)
def test_impossible_cut_is_refused(at_m: float, sentence: str) -> None:
    """A cut within 10 mm of an end, of a junction (here with J-02 at 4 m), on another cut or past the end is refused."""
    job, joint = one_line()
    job, _ = with_line(job, [(4, 0), (8, 0)])
    job = add_cut(job, joint=joint, at_m=2).job
    with pytest.raises(EditRefused, match=sentence):
        add_cut(job, joint=joint, at_m=at_m)


def test_cut_keeps_away_from_parted_junctions_too() -> None:
    """A bend is no junction; one that was taken apart stays a place from which cuts keep away."""
    job, joint = one_line()
    assert add_cut(job, joint=joint, at_m=4).changed
    job, other = with_line(job, [(4, 0), (8, 0)])
    parted = part_junction(job, joint=joint, at_m=4, other=other, other_at_m=0).job
    with pytest.raises(EditRefused, match="ends and junctions"):
        add_cut(parted, joint=joint, at_m=4)


def test_junctions_are_those_of_the_same_height() -> None:
    """A wall joint 1 m up passes over a floor joint: no junction, so a cut may lie there and nothing can be parted."""
    job, joint = one_line([(0, 0), (8, 0)])
    job, over = with_line(job, [(4, -2), (4, 2)], face=Face.WALL, height_m=1.0)
    assert add_cut(job, joint=joint, at_m=4).changed
    with pytest.raises(EditRefused, match="do not meet"):
        part_junction(job, joint=joint, at_m=4, other=over, other_at_m=2)


def test_cut_of_a_closed_joint() -> None:
    """The start of a closed joint is no end; a cut may lie there, unless a junction lies within 10 mm round it."""
    job, joint = one_line(SQUARE, closed=True)
    assert add_cut(job, joint=joint, at_m=0).job.cuts
    job, _ = with_line(job, [(0, 0.005), (-3, 0.005)])
    with pytest.raises(EditRefused, match="ends and junctions"):
        add_cut(job, joint=joint, at_m=0.003)


def test_movement_joint_is_parted_by_its_place() -> None:
    """A movement joint is no part of the network; a place on it is known by its point in plan."""
    job, joint = one_line([(0, 0), (8, 0)])
    job, other = with_line(job, [(4, -2), (4, 2)], kind=Kind.MOVEMENT)
    assert part_junction(job, joint=joint, at_m=4, other=other, other_at_m=2).changed
    with pytest.raises(EditRefused, match="do not meet"):
        part_junction(job, joint=joint, at_m=4, other=other, other_at_m=1)
    assert add_cut(job, joint=other, at_m=2).changed


def test_relief_point_is_set_dropped_and_given_back() -> None:
    """A relief point by hand, or the word that there is none, needs a wet leak and goes back to the rule."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 2, 4, Wetness.RUN)
    edit = set_relief_point(job, joint=joint, at_m=2.5)
    relief = edit.job.reliefs[edit.made[0]]
    assert (relief.at_m, relief.dropped, edit.words) == (2.5, False, "set relief point of J-01")
    moved = move_relief_point(edit.job, relief=relief.id, at_m=3.5)
    assert moved.job.reliefs[relief.id].at_m == 3.5
    back = give_relief_back(edit.job, relief=relief.id)
    assert back.job == job
    assert back.words == "give relief point of J-01 back to the rule"
    drop = drop_relief_point(job, joint=joint, at_m=3)
    assert drop.job.reliefs[drop.made[0]].dropped
    assert drop.words == "drop relief point of J-01"


def test_relief_point_needs_a_wet_leak() -> None:
    """Where nothing leaks, or a suspect only, there is nothing to relieve; the same word is not said twice."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 1, 2, Wetness.SUSPECT)
    for deed in (set_relief_point, drop_relief_point):
        with pytest.raises(EditRefused, match=r"no wet leak at 1\.500 m of J-01"):
            deed(job, joint=joint, at_m=1.5)
    job, _ = with_leak(job, joint, 2, 4, Wetness.RUN)
    edit = set_relief_point(job, joint=joint, at_m=2.5)
    with pytest.raises(EditRefused, match="already"):
        set_relief_point(edit.job, joint=joint, at_m=2.5)
    with pytest.raises(EditRefused, match="no wet leak"):
        move_relief_point(edit.job, relief=edit.made[0], at_m=5)


def test_junction_is_parted_and_rejoined() -> None:
    """A meeting within 10 mm is taken apart, once, whichever joint is named first."""
    job, joint = one_line()
    job, other = with_line(job, [(4.006, 0), (8, 0)])
    edit = part_junction(job, joint=joint, at_m=4, other=other, other_at_m=0)
    assert edit.words == "part J-01 and J-02"
    for one, at, two, other_at in ((joint, 4, other, 0), (other, 0, joint, 4)):
        with pytest.raises(EditRefused, match="parted there already"):
            part_junction(edit.job, joint=one, at_m=at, other=two, other_at_m=other_at)
    back = rejoin_junction(edit.job, parted=edit.made[0])
    assert back.job == job
    assert back.words == "rejoin J-01 and J-02"


def test_only_meetings_are_parted() -> None:
    """Places that lie apart in plan do not meet, nor does a place meet itself."""
    job, joint = one_line()
    job, other = with_line(job, [(4.02, 0), (8, 0)])
    with pytest.raises(EditRefused, match=r"J-01 at 4\.000 m and J-02 at 0\.000 m do not meet"):
        part_junction(job, joint=joint, at_m=4, other=other, other_at_m=0)
    with pytest.raises(EditRefused, match="needs two places"):
        part_junction(job, joint=joint, at_m=4, other=joint, other_at_m=4)


def test_points_meet_lines() -> None:
    """A vertical joint meets what passes its point, a collar in a floor what crosses its ring.

    The ring of 0.5 m radius is crossed 0.45 m above its centre: √(0.25 − 0.2025) = 0.218 m beside the top, which
    is atan(0.218 / 0.45) · 0.5 = 0.226 m along it, clockwise.
    """
    job, joint = one_line()
    sheet = job.joints[joint].sheet
    edit = draw_vertical_joint(job, sheet=sheet, kind=Kind.CRACK, point=(2, 0), rise_m=3)
    assert part_junction(edit.job, joint=joint, at_m=2, other=edit.made[0], other_at_m=0).changed
    ring = draw_collar(job, sheet=sheet, point=(2, -0.45), diameter_m=1.0, face=Face.FLOOR)
    assert part_junction(ring.job, joint=joint, at_m=2.218, other=ring.made[0], other_at_m=0.226).changed
