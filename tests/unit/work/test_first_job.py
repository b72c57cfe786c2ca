"""The first-job guide: what it says is short and true to the table of tools, and each step is done by its deed alone."""

from __future__ import annotations

from dataclasses import replace

import pytest

from leakmap.base.length_text import metres_of
from leakmap.base.measures import Units
from leakmap.model.job import Job
from leakmap.model.sheet import KnownLength, Source
from leakmap.model.words import Kind, Wetness
from leakmap.work.edits.joints import draw_joint
from leakmap.work.edits.leaks import LeakEnd, add_leak, set_overrun, set_wetness
from leakmap.work.edits.rules import set_units
from leakmap.work.edits.scales import add_known_length
from leakmap.work.first_job import Seen, Step, first_job
from leakmap.work.sample_job import DRAWINGS, sample_job

STEPS = first_job().steps


@pytest.fixture(scope="module")
def job() -> Job:
    """The sample job."""
    return sample_job(sources={name: Source(name=file, sha256="0" * 64) for name, file in DRAWINGS.items()})


def jobs_after(job: Job) -> dict[str, Job]:
    """The sample after the deed of each step."""
    sheet = next(iter(job.sheets))
    joint = next(joint.id for joint in job.joints.values() if joint.ref == "J-05")
    leak = next(iter(job.leaks))
    known = KnownLength(start=(0.0, 0.0), end=(31200.0, 0.0), length_m=31.2)
    return {
        "length": add_known_length(job, sheet=sheet, known=known).job,
        "joint": draw_joint(job, sheet=sheet, kind=Kind.CRACK, points=((1.0, 1.0), (2.0, 2.0))).job,
        "leak": add_leak(job, joint=joint, from_m=1.0, to_m=2.0, wetness=Wetness.DRIP).job,
        "zone": set_overrun(job, leak=leak, end=LeakEnd.FROM, overrun_m=0.75).job,
    }


def test_each_step_is_done_by_its_own_deed_and_no_other(job: Job) -> None:
    """Of length, joint, leak and overrun each ends its own step; a mere change of wetness ends none."""
    before = Seen(job, begun=False, stage=1)
    after = jobs_after(job)
    after["other"] = set_wetness(job, leak=next(iter(job.leaks)), wetness=Wetness.JET).job
    for step in STEPS[:4]:
        done = {name for name, each in after.items() if step.done(before, replace(before, job=each))}
        assert done == {step.deed}


def test_a_begun_revision_and_the_last_stage_end_their_steps(job: Job) -> None:
    """A revision that was begun before the step does not count; stage 6 is done by going there."""
    revision, look = STEPS[4:]
    before = Seen(job, begun=False, stage=5)
    assert revision.done(before, replace(before, begun=True))
    assert not revision.done(replace(before, begun=True), replace(before, begun=True))
    assert not look.done(before, before)
    assert look.done(before, replace(before, stage=6))


def test_there_is_one_step_a_stage() -> None:
    """Six steps in the order of the stages."""
    assert [step.stage for step in STEPS] == [1, 2, 3, 4, 5, 6]


@pytest.mark.parametrize("step", STEPS, ids=lambda step: step.deed)
@pytest.mark.parametrize("units", Units.EACH)
def test_a_step_says_two_sentences(step: Step, units: Units, job: Job) -> None:
    """At most two, in the sample and elsewhere, with nothing left to fill in."""
    for name in (job.name, "Heron Wharf"):
        of = replace(set_units(job, units=units).job, name=name)
        assert step.said(of).count(". ") <= 1
        assert step.said(of).endswith(".")
        assert len(step.said(of)) <= 190
        assert "{" not in step.said(of) + "".join(step.pressed(of))


def test_figures_are_read_as_the_same_length() -> None:
    """31.20 m is 102 ft 4 3/8 in to 1/8 in (one foot is 0.3048 m exactly: NIST SP 811), and a field reads both."""
    scale = STEPS[0]
    assert metres_of(scale.figure, Units.METRIC) == pytest.approx(31.2)
    assert metres_of(scale.figure_us, Units.IMPERIAL) == pytest.approx(31.2, abs=0.0254 / 16)
