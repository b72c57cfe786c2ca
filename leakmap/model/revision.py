"""Revisions: what was issued, to whom and why, frozen."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Final
from uuid import UUID

from leakmap.model.words import Purpose

SCHEDULE_JSON: Final = "schedule.json"
"""What the name of the paper ends in that is the schedule for programs."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A file that was issued; its bytes lie in the job file under the hash."""

    name: str
    sha256: str
    size: int


class Fate(StrEnum):
    """What an issue tells of a zone that was issued before."""

    JOINED = "joined"  # it is a part of others now, and its number is used no more
    PARTED = "parted"  # it fell apart; its number stays on one part
    GONE = "gone"


@dataclass(frozen=True, slots=True)
class ZoneFate:
    """What became of a zone since the issue before.

    Attributes:
        zone: Its number.
        heirs: Numbers of the zones that it is a part of now, the largest part first, or that it fell apart into.
    """

    fate: Fate
    zone: int
    heirs: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class OwnName:
    """A reference that somebody gave, of none of our series, and the joint or leak that it was issued for."""

    ref: str
    item: UUID


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """A revision that is being made. It freezes nothing; it becomes a revision when it is issued.

    Attributes:
        purpose: What it is for.
        to_whom: To whom it will go; empty while nobody said.
    """

    purpose: Purpose
    to_whom: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """One issue.

    Attributes:
        number: Its number in the series of its purpose, from 1.
        at: When it was issued, with time zone.
        job_sha256: Hash of the frozen job (JSON with its own schema number).
        schedule_sha256: Hash of the schedule JSON that the job file keeps. It tells the price in every issue; where one
            for work leaves that out, the paper is another text (``schedule_checksum``).
        zones: Numbers of the zones that it holds.
        fates: What became of zones since the issue before.
        names: References on its papers that no number of ours keeps from being given again.
    """

    id: UUID
    number: int
    purpose: Purpose
    to_whom: str
    by: str
    at: datetime
    job_sha256: str
    schedule_sha256: str
    papers: tuple[Paper, ...] = ()
    zones: tuple[int, ...] = ()
    fates: tuple[ZoneFate, ...] = ()
    names: tuple[OwnName, ...] = ()

    @property
    def name(self) -> str:
        """Its name on every paper: P01, C02 and so on."""
        return f"{self.purpose.letter}{self.number:02d}"

    @property
    def schedule_checksum(self) -> str:
        """Hash of the schedule JSON among its papers; where that is none of them, of the kept one."""
        told = (paper.sha256 for paper in self.papers if paper.name.endswith(f"{self.name} {SCHEDULE_JSON}"))
        return next(told, self.schedule_sha256)
