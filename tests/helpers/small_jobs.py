"""Small jobs for worked examples: a sheet, a line, a leak, each made by its deed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from hashlib import sha256
from uuid import UUID

from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak, Photo
from leakmap.model.revision import Revision
from leakmap.model.sheet import Source
from leakmap.model.words import Kind, Purpose, Wetness
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.joints import draw_joint
from leakmap.work.edits.leaks import add_leak
from leakmap.work.edits.sheets import add_sheet

DRAWN = Source(name="level.dxf", sha256="0" * 64)


def one_sheet(*, source: Source | None = None) -> tuple[Job, UUID]:
    """A job with one sheet, B2, and that sheet's id."""
    edit = add_sheet(Job(id=UUID(int=1), name="Heron Wharf"), name="B2", source=source)
    return edit.job, edit.made[0]


def one_line(
    points: Sequence[Point] = ((0, 0), (4, 0), (4, 3)), *, source: Source | None = None, **facts: object
) -> tuple[Job, UUID]:
    """A job with one joint, J-01, drawn along some points, and that joint's id; 7 m long by default."""
    job, sheet = one_sheet(source=source)
    edit = draw_joint(job, sheet=sheet, points=points, **{"kind": Kind.CONSTRUCTION, **facts})
    return edit.job, edit.made[0]


def with_line(job: Job, points: Sequence[Point], **facts: object) -> tuple[Job, UUID]:
    """The job with one more joint on its first sheet, and that joint's id."""
    sheet = facts.pop("sheet", next(iter(job.sheets)))
    edit = draw_joint(job, sheet=sheet, points=points, **{"kind": Kind.CONSTRUCTION, **facts})
    return edit.job, edit.made[0]


def with_leak(
    job: Job, joint: UUID, from_m: float, to_m: float, wetness: Wetness = Wetness.SEEP, **facts: object
) -> tuple[Job, UUID]:
    """The job with one more leak, and that leak's id."""
    edit = add_leak(job, joint=joint, from_m=from_m, to_m=to_m, wetness=wetness, **facts)
    return edit.job, edit.made[0]


def issued(job: Job) -> Job:
    """The job with a revision, C01, as after an issue."""
    revision = Revision(
        id=UUID(int=3),
        number=1,
        purpose=Purpose.WORK,
        to_whom="site",
        by="A. Rook",
        at=datetime(2024, 5, 2, tzinfo=UTC),
        job_sha256="0" * 64,
        schedule_sha256="0" * 64,
    )
    return replace(job, revisions={revision.id: revision})


def joint_named(job: Job, ref: str) -> Joint:
    """The joint of a reference."""
    return next(joint for joint in job.joints.values() if joint.ref == ref)


def leak_named(job: Job, ref: str) -> Leak:
    """The leak of a reference."""
    return next(leak for leak in job.leaks.values() if leak.ref == ref)


def stretches(job: Job) -> dict[str, tuple[str, float, float]]:
    """Each leak's joint and chainages, rounded to 1 µm, by its reference."""
    return {
        leak.ref: (job.joints[leak.joint].ref, round(leak.from_m, 6), round(leak.to_m, 6))
        for leak in job.leaks.values()
    }


def photo(name: str) -> Photo:
    """A photo of a name, whose hash is that of the name."""
    return Photo(name=name, sha256=sha256(name.encode()).hexdigest())


def rows(edit: Edit) -> set[str]:
    """Names of the collections that an edit changed."""
    return {name for name, _ in edit.changed}
