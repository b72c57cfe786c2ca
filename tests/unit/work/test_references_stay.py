"""No number ever means two things: long random work with issues between (definition 7)."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from uuid import UUID

import pytest

from leakmap.base.errors import EditRefused
from leakmap.model.job import Job
from leakmap.model.references import number_of
from leakmap.model.revision import Fate, Revision, ZoneFate
from leakmap.model.words import Purpose, Wetness
from leakmap.repair.chainages import shared_m
from leakmap.repair.fates import fates_of, history_of
from leakmap.repair.references import Cover, issued_of
from leakmap.repair.results import Repairs
from leakmap.repair.work_out import repairs
from leakmap.work.edits import leaks
from leakmap.work.edits.joints import draw_joint, remove_joint, rename_joint
from leakmap.work.edits.leaks import remove_leak
from leakmap.work.issuing import numbered, own_names
from leakmap.work.ledger_history import history_section
from tests.helpers.random_edits import random_edit, random_job, seeded
from tests.helpers.small_jobs import one_line, with_leak

AT = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)


def issued(job: Job, number: int) -> tuple[Job, Repairs]:
    """The job after an issue for work, without papers, and its work-out."""
    found = repairs(job)
    revision = Revision(
        id=UUID(int=number),
        number=number,
        purpose=Purpose.WORK,
        to_whom="crew 2",
        by="A. Rook",
        at=AT,
        job_sha256="0" * 64,
        schedule_sha256="0" * 64,
        zones=tuple(zone.number for zone in found.zones),
        fates=fates_of(job, found),
        names=own_names(job),
    )
    made = numbered(job, found)
    made = replace(made, revisions={**job.revisions, revision.id: revision})
    assert [zone.number for zone in repairs(made).zones] == [zone.number for zone in found.zones]
    return made, found


class Book:
    """All that was ever issued under a reference, and what must hold of the next issue."""

    def __init__(self) -> None:
        self.things: dict[str, UUID] = {}
        self.zones: set[int] = set()
        self.retired: set[int] = set()

    def take(self, job: Job, found: Repairs) -> None:
        """Take an issue: references still mean what they meant, and retired numbers stay away."""
        for item in (*job.joints.values(), *job.leaks.values()):
            if number_of(item.ref) is not None:
                assert self.things.setdefault(item.ref, item.id) == item.id
        carried = issued_of(job).covers
        now = {zone.number for zone in found.zones}
        assert not now & self.retired
        for zone in found.zones:
            if zone.number in self.zones:
                assert _shares(carried[zone.number], found, zone.number)
        self.retired |= self.zones - now
        self.zones |= now


def _shares(cover: Cover, found: Repairs, number: int) -> bool:
    """Whether a zone still has metres of what its number was last issued for."""
    zone = next(zone for zone in found.zones if zone.number == number)
    return any(shared_m([(piece.from_m, piece.to_m)], cover.get(piece.joint, ())) > 0 for piece in zone.pieces)


@pytest.mark.parametrize("seed", range(6))
def test_no_number_ever_means_two_things(seed: int) -> None:
    """Six issues with twelve random deeds before each: a joint, leak or zone keeps its number, and nobody else gets it.

    A zone's number goes on only where metres of it do; once it was left out of an issue it never comes back, and the
    fates of the issues tell of exactly those numbers that were left out.
    """
    chance = seeded(seed)
    job, book = random_job(chance, 60), Book()
    for turn in range(1, 7):
        for _ in range(12):
            job = random_edit(job, chance).job
        before = job
        job, found = issued(job, turn)
        book.take(before, found)
        retired = {
            fate.zone
            for revision in job.revisions.values()
            for fate in revision.fates
            if fate.fate in {Fate.JOINED, Fate.GONE}
        }
        assert retired == book.retired
    assert len(book.zones) > 3
    assert job.numbers.zone >= max(book.zones)


def test_a_reference_that_was_issued_is_not_given_again() -> None:
    """J-01 and L-01 are taken out after C01; a table that brings them again is refused, and the next ones are J-02, L-02."""
    job, joint = one_line()
    job, leak = with_leak(job, joint, 1.0, 2.0)
    job, _ = issued(job, 1)
    job = remove_joint(remove_leak(job, leak=leak).job, joint=joint).job
    given = {"sheet": next(iter(job.sheets)), "kind": "crack", "points": [(0.0, 0.0), (4.0, 0.0)]}
    with pytest.raises(EditRefused, match="no number is used twice"):
        draw_joint(job, ref="J-01", **given)
    edit = draw_joint(job, **given)
    with pytest.raises(EditRefused, match="no number is used twice"):
        leaks.add_leak(edit.job, joint=edit.made[0], from_m=0, to_m=1, wetness=Wetness.DAMP, ref="L-01")
    job, new = with_leak(edit.job, edit.made[0], 0.0, 1.0)
    assert (job.joints[edit.made[0]].ref, job.leaks[new].ref) == ("J-02", "L-02")


def test_a_name_that_was_issued_never_means_something_else() -> None:
    """“North wall” stood on C01: another joint or leak never gets it, in whatever capitals; the joint itself may have it again.

    Nor does j-2 stand for another joint beside J-02, which reads alike on paper.
    """
    job, joint = one_line()
    job = rename_joint(job, joint=joint, ref="North wall").job
    job, _ = with_leak(job, joint, 1.0, 2.0)
    job, _ = issued(job, 1)
    job = rename_joint(job, joint=joint, ref="South wall").job
    assert rename_joint(job, joint=joint, ref="North wall").job.joints[joint].ref == "North wall"
    given = {"sheet": next(iter(job.sheets)), "kind": "crack", "points": [(0.0, 5.0), (4.0, 5.0)]}
    for name, why in (
        ("North wall", "issued for something else in C01"),
        ("NORTH WALL", "issued for something else in C01"),
        ("south Wall", "is in use"),
        ("j-1", "no number is used twice"),
    ):
        with pytest.raises(EditRefused, match=why):
            draw_joint(job, ref=name, **given)
    other = draw_joint(job, **given)
    with pytest.raises(EditRefused, match="issued for something else"):
        rename_joint(other.job, joint=other.made[0], ref="North Wall")
    with pytest.raises(EditRefused, match="issued for something else"):
        leaks.add_leak(other.job, joint=joint, from_m=0, to_m=1, wetness=Wetness.DAMP, ref="north wall")


def test_history_says_what_became_of_zones() -> None:
    """2 joins 1 in C02, 1 parts into 1 and 3 in C03, 3 is gone since C04; each zone tells what touched it."""
    job, joint = one_line(((0.0, 0.0), (30.0, 0.0)))
    job, first = with_leak(job, joint, 2.0, 6.0)
    job, second = with_leak(job, joint, 8.0, 9.0)
    job, _ = issued(job, 1)
    job, _ = issued(leaks.move_leak_ends(job, leak=first, to_m=8.0).job, 2)
    job, _ = issued(leaks.move_leak_ends(job, leak=first, to_m=6.0).job, 3)
    assert [revision.fates for revision in job.revisions.values()] == [
        (),
        (ZoneFate(Fate.JOINED, 2, (1,)),),
        (ZoneFate(Fate.PARTED, 1, (1, 3)),),
    ]
    job, _ = issued(remove_leak(job, leak=second).job, 4)
    section = history_section(job)
    assert section is not None
    assert [note.words for note in section.notes] == [
        "Z-03 gone since C04",
        "Z-01 parted into Z-01 and Z-03 in C03",
        "Z-02 joined Z-01 in C02",
    ]
    assert list(history_of(job, 1)) == ["Z-02 joined Z-01 in C02", "Z-01 parted into Z-01 and Z-03 in C03"]
    assert list(history_of(job, 3)) == ["Z-01 parted into Z-01 and Z-03 in C03", "Z-03 gone since C04"]
