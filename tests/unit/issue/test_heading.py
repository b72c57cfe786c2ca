"""The heading of every paper."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from uuid import UUID

import pytest

from leakmap.base.errors import BadValue
from leakmap.issue.heading import Heading, heading_of, provisional_heading
from leakmap.model.job import Job
from leakmap.model.revision import Revision
from leakmap.model.words import Purpose

AT = datetime(2026, 11, 2, 8, 5, tzinfo=UTC)
JOB = Job(id=UUID(int=1), name="Tern Quay")


def test_a_revision_says_its_name_purpose_people_and_day() -> None:
    """What a revision was issued for stands on its papers, the day in words."""
    revision = Revision(
        id=UUID(int=2), number=2, purpose=Purpose.WORK, to_whom="crew 2", by="R. Vale", at=AT,
        job_sha256="0" * 64, schedule_sha256="0" * 64,
    )  # fmt: skip
    heading = heading_of(JOB, revision)
    assert (heading.job_name, heading.revision, heading.to_whom, heading.by) == (
        "Tern Quay",
        "C02",
        "crew 2",
        "R. Vale",
    )
    assert (heading.day, heading.purpose_words) == ("02 Nov 2026", "for work")


def test_a_provisional_paper_is_never_for_work() -> None:
    """Papers that nobody issued say so, whatever purpose is planned."""
    heading = provisional_heading(JOB, AT)
    assert (heading.revision, heading.purpose_words) == ("not issued", "provisional, not for work")
    planned = Heading(job_name="Tern Quay", revision="C03", purpose=Purpose.WORK, at=AT, provisional=True)
    assert planned.purpose_words == "provisional, not for work"


def test_the_day_is_that_of_the_time_zone_given() -> None:
    """An issue just after midnight bears the day of the place, not of Greenwich."""
    at = datetime(2026, 11, 3, 0, 30, tzinfo=timezone(timedelta(hours=2)))
    assert provisional_heading(JOB, at).day == "03 Nov 2026"


@pytest.mark.parametrize(("job_name", "revision"), [("", "C01"), ("Tern Quay", " ")])
def test_a_heading_names_its_job_and_revision(job_name: str, revision: str) -> None:
    """A paper without a name or a revision is refused."""
    with pytest.raises(BadValue, match="needs the name"):
        Heading(job_name=job_name, revision=revision, at=AT)


def test_a_time_without_a_zone_is_refused() -> None:
    """A time that could be anywhere is no time of an issue."""
    with pytest.raises(BadValue, match="time zone"):
        Heading(job_name="Tern Quay", at=AT.replace(tzinfo=None))
