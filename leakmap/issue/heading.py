"""The heading that every paper of an issue bears: whose job, which revision, when, for whom.

A paper without a revision is provisional: it may be looked at, but nobody works to it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from leakmap.base.days import day_words
from leakmap.base.errors import BadValue
from leakmap.base.measures import Units
from leakmap.base.trade_words import english_of
from leakmap.model.job import Job
from leakmap.model.rates import Rates
from leakmap.model.revision import Revision
from leakmap.model.words import Purpose
from leakmap.repair.listed_changes import Sort
from leakmap.repair.sides import Differences

NOT_ISSUED: Final = "not issued"


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """What every paper says of itself.

    Attributes:
        job_name: Name of the job.
        revision: Name of the revision, such as C02; "not issued" on a provisional paper.
        purpose: What it is issued for; None on a provisional paper that has no purpose yet.
        to_whom: Who gets it; may be empty on a provisional paper.
        by: Who issues it; may be empty on a provisional paper.
        at: When, with time zone; passed in, never read from a clock.
        provisional: Whether nothing was issued: numbers of zones may still change.
        locale: How its day is written.
        english: Which English its words are.
    """

    job_name: str
    revision: str = NOT_ISSUED
    purpose: Purpose | None = None
    to_whom: str = ""
    by: str = ""
    at: datetime
    provisional: bool = False
    locale: str = ""
    english: str = english_of(Units.METRIC)

    def __post_init__(self) -> None:
        """Refuse a heading that would leave a reader in doubt.

        Raises:
            BadValue: It names no job or no revision, or its time has no zone.
        """
        if not self.job_name.strip() or not self.revision.strip():
            raise BadValue("A paper needs the name of its job and of its revision.")
        if self.at.tzinfo is None:
            raise BadValue("The time of an issue needs a time zone.")

    @property
    def day(self) -> str:
        """The day as papers print it: 02 Nov 2026."""
        return day_words(self.at, self.locale)

    @property
    def not_for_work(self) -> bool:
        """Whether nobody works to the paper: it is provisional, or has no purpose."""
        return self.provisional or self.purpose is None

    @property
    def purpose_words(self) -> str:
        """What the paper may be used for: price, work, or neither."""
        if self.provisional or self.purpose is None:
            return "provisional, not for work"
        return f"for {self.purpose.value}"


def heading_of(job: Job, revision: Revision) -> Heading:
    """The heading of the papers of a revision."""
    return Heading(
        job_name=job.name,
        revision=revision.name,
        purpose=revision.purpose,
        to_whom=revision.to_whom,
        by=revision.by,
        at=revision.at,
        locale=job.units.locale,
        english=english_of(job.units),
    )


def told_job(job: Job, heading: Heading) -> Job:
    """The job as papers under a heading tell it: rates go out for price alone, to no crew and into no record."""
    if heading.purpose is Purpose.PRICE or not job.rates.known:
        return job
    return replace(job, rates=Rates(per=job.rates.per))


def told_changes(since: Differences, heading: Heading) -> Differences:
    """What changed as papers under a heading tell it: what is asked for stays out but for price."""
    if heading.purpose is Purpose.PRICE:
        return since
    old, new = (replace(side, job=told_job(side.job, heading)) for side in (since.old, since.new))
    listed = tuple(each for each in since.listed if each.sort is not Sort.RATE)
    return replace(since, old=old, new=new, listed=listed)


def as_told(job: Job, since: Differences | None, heading: Heading) -> tuple[Job, Differences | None]:
    """Both as papers under a heading tell them."""
    return told_job(job, heading), None if since is None else told_changes(since, heading)


def provisional_heading(job: Job, at: datetime, purpose: Purpose | None = None) -> Heading:
    """The heading of papers that nobody issued; None: nobody said what they will be for."""
    return Heading(
        job_name=job.name,
        purpose=purpose,
        at=at,
        provisional=True,
        locale=job.units.locale,
        english=english_of(job.units),
    )
