"""How far each stage is: sentence and share, by small jobs."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from uuid import UUID

import pytest

from leakmap.desk.foot import Known, pixel_words, scale_known
from leakmap.desk.resting import resting_sentence
from leakmap.desk.stage_states import StageState, stage_states
from leakmap.desk.things import Stage
from leakmap.geometry.placement import Placement
from leakmap.model.job import Job
from leakmap.model.revision import Revision
from leakmap.model.sheet import TAKEN_PIXEL_M, KnownLength, Sheet, Source
from leakmap.model.words import Kind, Purpose, Wetness
from leakmap.repair.work_out import repairs
from leakmap.work.edits.joints import draw_vertical_joint
from leakmap.work.edits.leaks import add_leak, move_leak_ends
from leakmap.work.edits.scales import add_known_length
from leakmap.work.edits.sheets import add_sheet
from leakmap.work.issuing import numbered
from tests.helpers.small_jobs import DRAWN, one_line, one_sheet, with_leak, with_line


def state(job: Job, stage: Stage) -> StageState:
    """State of one stage."""
    return stage_states(job, repairs(job))[stage - 1]


def as_pair(found: StageState) -> tuple[str, float]:
    """Sentence and share."""
    return found.sentence, found.share


def with_lengths(job: Job, *ends: tuple[float, float]) -> Job:
    """The job with a known length of 4 m from the origin to each end, on its first sheet."""
    for end in ends:
        known = KnownLength(start=(0.0, 0.0), end=end, length_m=4.0)
        job = add_known_length(job, sheet=next(iter(job.sheets)), known=known).job
    return job


def issued_as_is(job: Job) -> Job:
    """The job as after an issue for work: numbers given, stretches stored, a revision."""
    revision = Revision(
        id=UUID(int=9), number=1, purpose=Purpose.WORK, to_whom="crew", by="ann",
        at=datetime(2026, 11, 25, tzinfo=UTC), job_sha256="0" * 64, schedule_sha256="0" * 64,
    )  # fmt: skip
    return replace(numbered(job, repairs(job)), revisions={revision.id: revision})


def test_drawing_counts_levels_whose_scale_is_checked() -> None:
    """Of a blank sheet (true by definition) and a drawing without lengths, one of two is done."""
    job, _ = one_sheet(source=DRAWN)
    assert as_pair(state(job, Stage.DRAWING)) == ("1 level, 1 to check", 0.0)
    job = add_sheet(job, name="B1").job
    assert as_pair(state(job, Stage.DRAWING)) == ("2 levels, 1 to check", 0.5)
    job = with_lengths(job, (4.0, 0.0), (0.0, 4.0))
    assert as_pair(state(job, Stage.DRAWING)) == ("2 levels, all checked", 1.0)


def test_joints_name_the_level_that_has_none() -> None:
    """Joints on one of two levels are half; the sentence says which level lacks them."""
    job, _ = one_line()
    sheet = next(iter(job.sheets))
    job = draw_vertical_joint(job, sheet=sheet, kind=Kind.CONSTRUCTION, point=(9, 9), rise_m=3.0).job
    assert as_pair(state(job, Stage.JOINTS)) == ("1 joint, 1 vertical", 1.0)
    job = add_sheet(job, name="B1").job
    assert as_pair(state(job, Stage.JOINTS)) == ("1 joint, 1 vertical, none on B1", 0.5)


def test_leaks_name_the_worst() -> None:
    """The worst wetness of the whole job is said; a level without joints does not count."""
    job, joint = one_line()
    assert as_pair(state(job, Stage.LEAKS)) == ("none yet", 0.0)
    job = add_sheet(job, name="B1").job
    job, _ = with_leak(job, joint, 1.0, 2.0, Wetness.SEEP)
    job, _ = with_leak(job, joint, 3.0, 4.0, Wetness.JET)
    assert as_pair(state(job, Stage.LEAKS)) == ("2 leaks, worst: jet", 1.0)


def test_repair_counts_firm_zones() -> None:
    """A zone of a suspect alone is provisional: of two zones one is firm."""
    job, joint = one_line()
    assert as_pair(state(job, Stage.REPAIR)) == ("nothing yet", 0.0)
    job, _ = with_leak(job, joint, 0.5, 1.0, Wetness.DRIP)
    assert as_pair(state(job, Stage.REPAIR)) == ("1 zone, firm", 1.0)
    job, _ = with_leak(job, joint, 5.0, 6.0, Wetness.SUSPECT)
    assert as_pair(state(job, Stage.REPAIR)) == ("2 zones, 1 provisional", 0.5)


def test_issue_counts_zones_that_lie_as_issued() -> None:
    """After an issue the share is whole; a leak that is moved, or a new zone, is not issued yet."""
    job, joint = one_line([(0, 0), (20, 0)])
    job, leak = with_leak(job, joint, 2.0, 3.0, Wetness.DRIP)
    assert as_pair(state(job, Stage.ISSUE)) == ("nothing issued", 0.0)
    job = issued_as_is(job)
    assert as_pair(state(job, Stage.ISSUE)) == ("C01 issued", 1.0)
    assert as_pair(state(job, Stage.AS_BUILT)) == ("0 of 1 zone recorded", 0.0)
    more = add_leak(job, joint=joint, from_m=10.0, to_m=11.0, wetness=Wetness.DRIP).job
    assert as_pair(state(more, Stage.ISSUE)) == ("C01 issued, C02 not", 0.5)
    moved = move_leak_ends(job, leak=leak, to_m=4.0).job
    assert as_pair(state(moved, Stage.ISSUE)) == ("C01 issued, C02 not", 0.0)


def test_issue_names_what_was_issued_last() -> None:
    """Of two revisions issued within one second the later one is named, whatever their times say."""
    job, joint = one_line()
    job = issued_as_is(with_leak(job, joint, 2.0, 3.0, Wetness.DRIP)[0])
    (first,) = job.revisions.values()
    later = replace(first, id=UUID(int=1), number=2, at=first.at - timedelta(seconds=1))
    job = replace(job, revisions={**job.revisions, later.id: later})
    assert job.last_revision is later
    assert as_pair(state(job, Stage.ISSUE)) == ("C02 issued", 1.0)


def test_each_stage_says_what_to_press_first() -> None:
    """At rest the strip says the words of an empty stage, and others once there is something."""
    job, _ = one_sheet(source=DRAWN)
    empty = repairs(job)
    assert resting_sentence(Stage.JOINTS, job, empty) == "Draw the first joint: press J and click along it."
    assert resting_sentence(Stage.LEAKS, job, empty).startswith("Leaks lie on joints.")
    assert resting_sentence(Stage.REPAIR, job, empty).startswith("Nothing to repair yet.")
    assert resting_sentence(Stage.AS_BUILT, job, empty).startswith("Nothing has been issued yet")
    job, _ = with_line(job, [(0, 0), (4, 0)])
    assert resting_sentence(Stage.LEAKS, job, empty).startswith("No leaks yet.")
    assert resting_sentence(Stage.ISSUE, job, empty).startswith("The scale has not been checked")


def test_stage_issue_says_what_is_issued_next() -> None:
    """With no revision begun it speaks of one to begin, and of P01 once that is begun."""
    job, _ = one_line()
    found = repairs(job)
    assert resting_sentence(Stage.ISSUE, job, found).endswith("before a revision is issued, or R to begin one.")
    assert resting_sentence(Stage.ISSUE, job, found, Purpose.PRICE).startswith("P01 is begun.")


@pytest.mark.parametrize(
    ("source", "scale", "ends", "words"),
    [
        (replace(DRAWN, pixel=1.0), 0.00635, ((4.0, 0.0),), "1 px = 6.35 mm"),
        (replace(DRAWN, pixel=1.0), 0.125, ((4.0, 0.0),), "1 px = 125 mm"),
        (replace(DRAWN, pixel=1.0), 0.00635, (), ""),
        (replace(DRAWN, pixel=0.5, unit=0.02), 0.02, (), "1 px = 10 mm"),
        (DRAWN, 0.001, ((4.0, 0.0),), ""),
    ],
)
def test_the_foot_says_how_large_a_pixel_is(
    source: Source, scale: float, ends: tuple[tuple[float, float], ...], words: str
) -> None:
    """Three digits of it, once a length or the user gave the scale of a scan; nothing for lines."""
    job = with_lengths(one_sheet(source=source)[0], *ends)
    (sheet,) = job.sheets.values()
    assert pixel_words(replace(sheet, placement=Placement(x_m_per_unit=scale, y_m_per_unit=scale))) == words


@pytest.mark.parametrize(
    ("ends", "words", "good"),
    [
        ((), "from the file, to check", False),
        (((4.0, 0.0),), "one way only", False),
        (((4.0, 0.0), (0.0, 4.0)), "2 lengths agree", True),
        (((4.0, 0.0), (0.0, 5.0)), "2 lengths disagree", False),
    ],
)
def test_the_foot_says_how_the_scale_is_known(
    ends: tuple[tuple[float, float], ...],
    words: str,
    good: bool,  # noqa: FBT001 - a case
) -> None:
    """One length is one way only; two that lie across each other agree within 0.5 % or not."""
    job = with_lengths(one_sheet(source=DRAWN)[0], *ends)
    known = scale_known(next(iter(job.sheets.values())))
    assert (known.words, known.good) == (words, good)


@pytest.mark.parametrize(("metres", "words"), [(TAKEN_PIXEL_M, "not known yet"), (0.0141, "laid by places, to check")])
def test_the_foot_says_that_places_laid_a_scan(metres: float, words: str) -> None:
    """A scan without a length, as it came in, says nothing of its scale; where places laid it, that is to check."""
    source = Source(name="b2.tif", sha256="0" * 64, pixel=1.0)
    placement = Placement(x_m_per_unit=metres, y_m_per_unit=metres)
    assert scale_known(Sheet(id=UUID(int=1), name="B2", source=source, placement=placement)) == Known(words, good=False)
