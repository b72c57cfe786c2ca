"""What was issued stays what it was, whatever is done afterwards: sittings with issues, undo, reopening and renaming at random."""

from __future__ import annotations

import os
from collections import defaultdict
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from random import Random
from uuid import UUID

import pytest

from leakmap.base.errors import EditRefused, LeakmapError
from leakmap.model.revision import Revision
from leakmap.model.words import Kind, Purpose
from leakmap.records.frozen import job_of_frozen
from leakmap.repair.work_out import repairs
from leakmap.work.edits.joints import draw_joint, remove_joint, rename_joint
from leakmap.work.issuing import Issue, issue
from leakmap.work.open_job import OpenJob, opened
from tests.helpers.bare_issues import bare_issue, without_papers
from tests.helpers.open_jobs import Clock, hand, new_job
from tests.helpers.random_edits import random_edit, random_job, seeded
from tests.helpers.small_jobs import one_line, with_leak

SEEDS = range(int(os.environ.get("LEAKMAP_SITTINGS", "2")))
"""Two in the test run; many by hand: LEAKMAP_SITTINGS=100."""


class Ledger:
    """All that was ever issued, and what must hold of it from then on."""

    def __init__(self) -> None:
        self.issues: list[Issue] = []
        self.owners: dict[str, set[UUID]] = defaultdict(set)
        self.zones: set[int] = set()
        self.retired: set[int] = set()

    def take(self, made: Issue) -> None:
        """Take an issue: its name is new, each reference means one thing, and retired zones stay away."""
        assert made.revision.name not in [each.revision.name for each in self.issues]
        job = job_of_frozen(made.frozen)
        for item in (*job.joints.values(), *job.leaks.values()):
            self.owners[item.ref.casefold()].add(item.id)
        assert all(len(owners) == 1 for owners in self.owners.values())
        now = {zone.number for zone in repairs(job).zones}
        assert set(made.revision.zones) == now
        assert not now & self.retired
        self.retired |= self.zones - now
        self.zones |= now
        self.issues.append(made)

    def holds(self, job: OpenJob) -> None:
        """Every revision is there as it was sealed, in the order of its issue."""
        sealed = [each.revision for each in self.issues]
        assert list(job.job.revisions.values()) == sealed
        assert [revision.name for revision in sealed] == _names(sealed)


def _names(sealed: list[Revision]) -> list[str]:
    """P01, P02 … and C01, C02 …, each series counting on its own."""
    count: dict[Purpose, int] = defaultdict(int)
    names = []
    for revision in sealed:
        count[revision.purpose] += 1
        names.append(f"{revision.purpose.letter}{count[revision.purpose]:02d}")
    return names


def _step(job: OpenJob, chance: Random, book: Ledger, folder: Path) -> OpenJob:
    match chance.choices(("edit", "undo", "redo", "reopen", "remove", "rename", "issue"), (50, 14, 8, 4, 7, 7, 10))[0]:
        case "edit":
            job.do(random_edit(job.job, chance))
        case "undo" if job.undo_words:
            job.undo()
        case "redo" if job.redo_words:
            job.redo()
        case "reopen":
            job.close()
            return opened(job.file.path, job.hand)
        case "remove" if job.job.joints:
            job.do(remove_joint(job.job, joint=chance.choice(list(job.job.joints))))
        case "rename" if job.job.joints:
            ref = chance.choice(("wall A", "Wall a", f"J-{chance.randint(1, 30):02d}", f"j-{chance.randint(1, 30)}"))
            job.do(rename_joint(job.job, joint=chance.choice(list(job.job.joints)), ref=ref))
        case "issue":
            book.take(bare_issue(job, chance.choice(list(Purpose)), folder))
    return job


@pytest.mark.parametrize("seed", SEEDS)
def test_no_sitting_changes_what_was_issued(seed: int, tmp_path: Path) -> None:
    """Whatever was done, undone, done again, renamed, removed or opened anew between issues, no name means two things."""
    chance, book = seeded(seed), Ledger()
    start = random_job(chance, 12)
    drawn = {
        key: replace(sheet, source=None) for key, sheet in start.sheets.items()
    }  # no drawing whose file is not there
    job = new_job(tmp_path, replace(start, sheets=drawn))
    for _ in range(40):
        with suppress(EditRefused):  # a name in use, nothing to issue: the job is as it was
            job = _step(job, chance, book, tmp_path)
        book.holds(job)
    job.close()
    job = opened(job.file.path, job.hand)
    book.holds(job)
    for made in book.issues:
        assert job.file.blob(made.revision.job_sha256).decode() == made.frozen
        assert job.file.blob(made.revision.schedule_sha256).decode() == made.schedule
    job.close()


def test_what_goes_wrong_issues_nothing(tmp_path: Path) -> None:
    """Disk full, a second opener, an issue made of an older job: each is refused and the job has the revisions that it had.

    What was undone before an issue cannot be done again after it.
    """
    line, joint = one_line()
    job = new_job(tmp_path, with_leak(line, joint, 1.0, 2.0)[0])
    job.do(rename_joint(job.job, joint=joint, ref="wall A"))
    job.undo()
    connection = job.file._connection
    (pages,) = connection.execute("PRAGMA page_count").fetchone()
    (most,) = connection.execute("PRAGMA max_page_count").fetchone()
    connection.execute(f"PRAGMA max_page_count = {pages}")
    with pytest.raises(LeakmapError):
        bare_issue(job, Purpose.PRICE, tmp_path / "full")
    connection.execute(f"PRAGMA max_page_count = {most}")
    assert not job.job.revisions
    assert not [path for path in (tmp_path / "full").rglob("*") if path.is_file()]
    other = opened(job.file.path, hand(Clock(), user="B. Wren", host="site-laptop-2"))
    with pytest.raises(EditRefused, match="You can look, not change"):
        bare_issue(other, Purpose.PRICE, tmp_path / "other")
    other.close()
    late = bare_issue(job, Purpose.PRICE, tmp_path)
    assert (job.undo_words, job.redo_words) == (None, None)
    with pytest.raises(EditRefused, match="Undo stops at P01"):
        job.undo()
    sheet = next(iter(job.job.sheets))
    job.do(draw_joint(job.job, sheet=sheet, kind=Kind.CRACK, points=[(0, 9), (3, 9)]))
    with pytest.raises(EditRefused, match="changed while its papers were made"):
        job.keep_issue(late, tmp_path / "late")
    assert [revision.name for revision in job.job.revisions.values()] == ["P01"]
    job.close()


def test_what_is_drawn_and_removed_meanwhile_uses_its_number_up(tmp_path: Path) -> None:
    """While the papers of P01 are made J-02 is drawn and removed: the issue is kept, and the next joint is J-03."""
    line, joint = one_line()
    job = new_job(tmp_path, with_leak(line, joint, 1.0, 2.0)[0])
    given = {"sheet": next(iter(job.job.sheets)), "kind": Kind.CRACK, "points": [(0, 9), (3, 9)]}
    facts = {"purpose": Purpose.PRICE, "to_whom": "the client", "by": "A. Rook", "at": job.hand.clock()}
    with without_papers():
        made = issue(job.job, sources={}, drawings={}, **facts)  # type: ignore[arg-type] # by name
    drawn = draw_joint(job.job, **given)  # type: ignore[arg-type] # by name
    job.do(drawn)
    job.do(remove_joint(job.job, joint=drawn.made[0]))
    job.keep_issue(made, tmp_path / "papers")
    assert "P01" in [revision.name for revision in job.job.revisions.values()]
    again = draw_joint(job.job, **given)  # type: ignore[arg-type] # by name
    assert again.job.joints[again.made[0]].ref == "J-03"
    job.close()
