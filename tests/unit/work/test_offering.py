"""An offer in the making: what is offered after layers are chosen, lines left out, taken and taken back."""

from __future__ import annotations

from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.base.findings import Finding
from leakmap.geometry.path import Point, path_of
from leakmap.model.job import Job
from leakmap.model.words import Face, Kind
from leakmap.work.edits.joints import draw_joint, remove_joint
from leakmap.work.edits.taking import take_proposals
from leakmap.work.offering import Offering
from leakmap.work.proposals import AsJoint, Proposal
from tests.helpers.small_jobs import one_line, one_sheet

FLOOR = AsJoint(kind=Kind.CONSTRUCTION, face=Face.FLOOR)
NOTICED = Finding("drawn-twice", "WALLS", "Drawn twice.")


def line(*points: Point) -> Proposal:
    """A proposal along some points."""
    return Proposal(path_of(points), "layer WALLS")


@pytest.fixture
def made() -> tuple[Offering, Job]:
    """Of WALLS lines 1 (4 m), 2 (3 m) and 3 (50 mm) are known, of DOORS line 4; no joint is there."""
    job, sheet = one_sheet()
    offering = Offering(sheet, (("WALLS", 3), ("DOORS", 1)))
    offering.learn("WALLS", [line((0, 0), (4, 0)), line((0, 2), (3, 2)), line((9, 9), (9.05, 9))], [NOTICED])
    offering.learn("DOORS", [line((0, 5), (1, 5))], [])
    return offering, job


def numbers(offering: Offering, job: Job) -> list[int]:
    """Numbers that are offered."""
    return [line.number for line in offering.offered(job, FLOOR).lines]


def test_chosen_layers_are_offered_in_their_order(made: tuple[Offering, Job]) -> None:
    """Nothing at first; then each chosen layer's lines with the numbers they keep, but for the short one, which is said."""
    offering, job = made
    assert numbers(offering, job) == []
    assert offering.empty
    offering.choose("DOORS")
    offering.choose("WALLS")
    found = offering.offered(job, FLOOR)
    assert [line.number for line in found.lines] == [4, 1, 2]
    assert [(layer.name, layer.chosen) for layer in found.layers] == [("WALLS", True), ("DOORS", True)]
    assert [finding.text for finding in found.noticed] == ["Drawn twice.", "Left out, shorter than 0.10 m: 1 line."]
    offering.put_back("DOORS")
    offering.least_m = 0.0
    assert numbers(offering, job) == [1, 2, 3]


def test_left_out_lines_come_back_last_first(made: tuple[Offering, Job]) -> None:
    """Two are left out; they come back one by one, or all when their layer is chosen anew."""
    offering, job = made
    offering.choose("WALLS")
    offering.leave_out([1])
    offering.leave_out([2])
    assert numbers(offering, job) == []
    assert offering.bring_back()
    assert numbers(offering, job) == [2]
    offering.put_back("WALLS")
    offering.choose("WALLS")
    assert numbers(offering, job) == [1, 2]
    assert not offering.bring_back()


def test_outline_is_offered_once(made: tuple[Offering, Job]) -> None:
    """The same corners again, from another start, are the same outline; left out, it comes back when it is asked for."""
    offering, job = made
    first = offering.add_outline(path_of([(0, 0), (2, 0), (2, 2)], closed=True))
    assert offering.add_outline(path_of([(2, 0), (2, 2), (0, 0)], closed=True)) == first
    assert numbers(offering, job) == [first]
    offering.leave_out([first])
    assert numbers(offering, job) == []
    assert offering.add_outline(path_of([(0, 0), (2, 0), (2, 2)], closed=True)) == first
    assert numbers(offering, job) == [first]


def test_outline_of_a_chosen_layer_is_offered_already(made: tuple[Offering, Job]) -> None:
    """A ring of a chosen layer with a corner on a straight side is the outline found there; one 2 mm aside is another."""
    offering, _ = made
    ring = path_of([(0, 0), (1, 0), (2, 0), (2, 2)], closed=True)
    offering.learn("DOORS", [Proposal(ring, "layer DOORS")], [])
    offering.choose("DOORS")
    assert offering.add_outline(path_of([(2, 0), (2, 2), (0, 0)], closed=True)) == 5
    assert offering.add_outline(path_of([(2.002, 0), (2.002, 2), (0.002, 0)], closed=True)) == 6


def test_taken_lines_are_gone_until_their_joints_are(made: tuple[Offering, Job]) -> None:
    """Taken ones are offered no more; in the job before, as after an undo, they are again, and lie on nothing."""
    offering, job = made
    offering.choose("WALLS")
    chosen = offering.offered(job, FLOOR).lines
    edit = take_proposals(job, sheet=offering.sheet, proposals=[line.proposal for line in chosen], as_joint=FLOOR)
    offering.take_note([line.number for line in chosen], edit.made)
    assert numbers(offering, edit.job) == []
    assert numbers(offering, job) == [1, 2]
    assert offering.offered(job, FLOOR).free == chosen


def test_lines_on_joints_follow_the_job_and_the_face() -> None:
    """Along J-01 a line lies on it as a floor joint, not as one in a soffit, and no more when the joint is gone."""
    job, joint = one_line([(0, 0), (4, 0)])
    offering = Offering(next(iter(job.sheets)), (("WALLS", 1),))
    offering.learn("WALLS", [line((0, 0), (4, 0))], [])
    offering.choose("WALLS")
    on = {face: offering.offered(job, AsJoint(kind=Kind.CRACK, face=face)).lines[0].on for face in Face}
    assert on == {Face.FLOOR: ("J-01",), Face.WALL: (), Face.SOFFIT: (), Face.CORNER: ()}
    assert not offering.offered(job, FLOOR).free
    gone = {key: found for key, found in job.joints.items() if key != joint}
    assert isinstance(joint, UUID)
    without = Job(id=job.id, name=job.name, sheets=job.sheets, joints=gone, numbers=job.numbers)
    assert offering.offered(without, FLOOR).free


def test_cleared_offer_still_knows_its_layers(made: tuple[Offering, Job]) -> None:
    """After a clear nothing is offered, and a layer need not be looked through again."""
    offering, job = made
    offering.choose("WALLS")
    offering.add_outline(path_of([(0, 0), (2, 0), (2, 2)], closed=True))
    offering.clear()
    assert offering.empty
    assert numbers(offering, job) == []
    assert offering.knows("WALLS")
    assert not offering.is_chosen("WALLS")


LINES = [line((0, y), (6, y), *(((6, y + 2),) if y else ())) for y in range(4)] + [
    line((x, 0), (x, 5)) for x in (0, 2, 4)
]
STEPS = st.tuples(st.sampled_from(["draw", "draw", "remove", "wall", "layer"]), st.integers(0, 6), st.integers(1, 3))


@settings(max_examples=60, deadline=None, derandomize=True)
@given(steps=st.lists(STEPS, min_size=1, max_size=8))
def test_an_offer_that_follows_the_job_is_as_good_as_a_new_one(steps: list[tuple[str, int, int]]) -> None:
    """After any joints drawn and removed, the face and layers changed: the same lines, on the same joints."""
    job, sheet = one_sheet()
    kept, face = Offering(sheet, (("WALLS", 7), ("DOORS", 1))), Face.FLOOR
    kept.learn("WALLS", LINES, [])
    kept.learn("DOORS", [line((1, 1), (3, 1))], [])
    kept.choose("WALLS")
    for what, which, length in steps:
        if what == "draw":
            (x, y), (x1, y1) = LINES[which].path.points[:2]
            end = (x + length * (x1 > x), y + length * (y1 > y))
            of = Face.WALL if which % 3 == 2 else Face.FLOOR
            job = draw_joint(job, sheet=sheet, kind=Kind.CONSTRUCTION, points=[(x, y), end], face=of).job
        elif what == "remove" and job.joints:
            job = remove_joint(job, joint=list(job.joints)[which % len(job.joints)]).job
        elif what == "wall":
            face = Face.WALL if face is Face.FLOOR else Face.FLOOR
        elif what == "layer":
            (kept.put_back if kept.is_chosen("DOORS") else kept.choose)("DOORS")
        as_joint = AsJoint(kind=Kind.CRACK, face=face)
        new = Offering(sheet, (("WALLS", 7), ("DOORS", 1)))
        new.learn("WALLS", LINES, [])
        new.learn("DOORS", [line((1, 1), (3, 1))], [])
        for layer in kept.chosen:
            new.choose(layer)
        assert kept.offered(job, as_joint) == new.offered(job, as_joint)
