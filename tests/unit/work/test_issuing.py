"""Issuing: who may, what is frozen, and that numbers stay."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal
from hashlib import sha256
from uuid import UUID

import pytest

from leakmap.base.errors import EditRefused
from leakmap.issue.marked_dxf.unmarked import unmarked
from leakmap.model.job import Job
from leakmap.model.sheet import Source
from leakmap.model.words import Kind, Purpose, Wetness
from leakmap.records.frozen import job_of_frozen
from leakmap.repair.work_out import repairs
from leakmap.work.edits.joints import draw_joint
from leakmap.work.edits.leaks import add_leak
from leakmap.work.edits.sheets import add_sheet
from leakmap.work.issuing import Issue, issue, next_number, numbered, refuse_to_issue, unchecked_sheets
from tests.helpers.random_edits import fresh_ids, seeded

AT = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)


def a_job(*, source: Source | None = None) -> Job:
    """A joint of 10 m with two leaks on a sheet."""
    edit = add_sheet(Job(id=UUID(int=1), name="Tern Quay"), name="B2", source=source)
    edit = draw_joint(edit.job, sheet=edit.made[0], kind=Kind.CONSTRUCTION, points=[(0.0, 0.0), (10.0, 0.0)])
    joint = edit.made[0]
    edit = add_leak(edit.job, joint=joint, from_m=1.0, to_m=2.0, wetness=Wetness.SEEP)
    return add_leak(edit.job, joint=joint, from_m=7.0, to_m=7.0, wetness=Wetness.DAMP).job


def issued(job: Job, purpose: Purpose = Purpose.WORK) -> Issue:
    """The next issue of a job without drawings."""
    return issue(job, purpose=purpose, to_whom=" The crew ", by="M. Gull", at=AT, sources={}, drawings={})


@pytest.mark.slow
def test_each_purpose_counts_on_its_own() -> None:
    """P01, C01, P02, C02: a revision of one purpose does not use up a number of the other."""
    job = a_job()
    names = []
    for purpose in (Purpose.PRICE, Purpose.WORK, Purpose.PRICE, Purpose.WORK):
        made = issued(job, purpose)
        names.append(made.revision.name)
        job = made.job
    assert names == ["P01", "C01", "P02", "C02"]
    assert [revision.name for revision in job.revisions.values()] == names
    assert next_number(job, Purpose.WORK) == 3


def test_an_unchecked_scale_is_not_issued_for_work() -> None:
    """Work is refused with the sheet's name and the way out; price is not refused."""
    job = a_job(source=Source(name="b2.dxf", sha256="0" * 64))
    assert [sheet.name for sheet in unchecked_sheets(job)] == ["B2"]
    with pytest.raises(EditRefused, match=r"The scale of B2 has not been checked, so nothing can be issued for work\."):
        issued(job)
    refuse_to_issue(job, repairs(job), purpose=Purpose.PRICE, to_whom="x")


def test_a_sheet_without_joints_holds_nothing_up() -> None:
    """An unchecked drawing on which nothing is marked does not stop an issue for work."""
    job = add_sheet(a_job(), name="B1", source=Source(name="b1.dxf", sha256="0" * 64)).job
    assert unchecked_sheets(job) == ()


def test_an_empty_issue_is_refused() -> None:
    """Without a leak there is nothing to issue, and an issue goes to somebody."""
    job = replace(a_job(), leaks={})
    with pytest.raises(EditRefused, match="nothing to issue"):
        issued(job)
    with pytest.raises(EditRefused, match="to whom"):
        refuse_to_issue(a_job(), repairs(a_job()), purpose=Purpose.WORK, to_whom="  ")


def test_numbers_are_given_for_good() -> None:
    """After an issue the zones are issued, keep their numbers, and the counter stands at the highest."""
    job = issued(a_job()).job
    assert [(zone.ref, zone.issued) for zone in repairs(job).zones] == [("Z-01", True), ("Z-02", True)]
    assert job.numbers.zone == 2
    joint = next(iter(job.joints))
    later = add_leak(job, joint=joint, from_m=4.0, to_m=4.5, wetness=Wetness.DRIP).job
    starts = {zone.ref: zone.rows[0].from_m for zone in repairs(later).zones}
    # The new zone lies between the two and still gets the next number: 4.0 − 0.40 m for a drip.
    assert starts == {"Z-01": Decimal("0.700"), "Z-03": Decimal("3.600"), "Z-02": Decimal("6.700")}


def test_issued_stretches_are_those_of_the_zones() -> None:
    """A zone's stretches are stored without seams: leak 1 to 2 m with 0.30 m overrun is 0.7 to 2.3 m."""
    job = a_job()
    stored = numbered(job, repairs(job)).issued.values()
    assert sorted((item.zone, round(item.from_m, 6), round(item.to_m, 6)) for item in stored) == [
        (1, 0.7, 2.3),
        (2, 6.7, 7.3),
    ]


def test_everything_issued_is_named_by_its_hash() -> None:
    """The revision holds the SHA-256 of the frozen job, of the schedule JSON and of every paper."""
    made = issued(a_job())
    assert made.revision.job_sha256 == sha256(made.frozen.encode()).hexdigest()
    assert made.revision.schedule_sha256 == sha256(made.schedule.encode()).hexdigest()
    papers = {paper.name: (paper.sha256, paper.size) for paper in made.revision.papers}
    assert papers == {name: (sha256(data).hexdigest(), len(data)) for name, data in made.papers.items()}
    assert made.papers["Tern Quay C01 schedule.json"] == made.schedule.encode()
    assert {"Tern Quay C01 repair schedule.pdf", "Tern Quay C01 leaks.csv"} <= set(made.papers)
    assert (made.revision.to_whom, made.revision.by, made.revision.at) == ("The crew", "M. Gull", AT)


def test_the_frozen_job_is_the_job_without_its_own_revision() -> None:
    """What is frozen has the final numbers and works out to the schedule that was stored with it."""
    made = issued(a_job())
    frozen = job_of_frozen(made.frozen)
    assert frozen == replace(made.job, revisions={})
    assert json.loads(made.schedule)["zones"][0]["ref"] == repairs(frozen).zones[0].ref


@pytest.mark.slow
def test_the_same_issue_gives_the_same_bytes() -> None:
    """Papers depend on nothing but what is passed in, the giver of ids included: the marked drawing keeps them."""
    job = a_job()
    made = [
        issue(
            job, purpose=Purpose.WORK, to_whom="crew", by="M. Gull", at=AT, sources={}, drawings={},
            new_id=fresh_ids(seeded(1)),
        )
        for _ in range(2)
    ]  # fmt: skip
    assert made[0].papers == made[1].papers
    (marked,) = [content for name, content in made[0].papers.items() if name.endswith(".dxf")]
    assert unmarked(marked, "marked.dxf").record.frozen == made[0].frozen
