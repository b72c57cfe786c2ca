"""A job under work: on disk after every deed, undone over restarts, and nothing lost."""

from __future__ import annotations

import sqlite3
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.base.errors import BadValue, EditRefused, NotWritten, UnusableFile, UnusableJobFile
from leakmap.model.job import Job
from leakmap.model.revision import Begun
from leakmap.model.words import Purpose
from leakmap.records.check import check_job_file
from leakmap.records.journal import Deed, append
from leakmap.repair.work_out import repairs
from leakmap.work.edits.leaks import remove_leak, set_note
from leakmap.work.edits.rules import rename_job
from leakmap.work.edits.sheets import rename_sheet
from leakmap.work.issuing import issue
from leakmap.work.job_drawings import brought_in
from leakmap.work.open_job import OpenJob, made, opened
from leakmap.work.writing import ON_DISK
from tests.helpers.job_files import database
from tests.helpers.open_jobs import MORNING, Clock, entries_of, full_disk, hand, kept_in, leave_lock, new_job
from tests.helpers.random_edits import empty_job, random_edit, seeded
from tests.helpers.small_jobs import one_line, one_sheet, with_leak

DXF = b"0\nSECTION\n2\nENTITIES\n0\nLINE\n8\nW\n10\n0\n20\n0\n11\n6000\n21\n0\n0\nENDSEC\n0\nEOF\n"


def wet() -> Job:
    """A joint of 7 m with one leak."""
    job, joint = one_line()
    return with_leak(job, joint, 1.0, 2.0)[0]


def rename(job: OpenJob, *names: str) -> None:
    """Rename the job, once for each name."""
    for name in names:
        job.do(rename_job(job.job, name=name))


def reopened(job: OpenJob, clock: Clock | None = None) -> OpenJob:
    """The job after closing and opening again."""
    job.close()
    return opened(job.file.path, hand(clock))


def test_a_deed_is_on_disk_when_it_is_done(tmp_path: Path) -> None:
    """Anybody else who looks sees the deed at once, with its words in the journal."""
    job = new_job(tmp_path, wet())
    rename(job, "Pit 2")
    assert kept_in(job.file.path) == job.job
    assert job.job.name == "Pit 2"
    assert entries_of(job.file.path)[-1] == ("edited", "rename the job")
    assert (job.saved_words, job.unsaved, job.retry()) == (ON_DISK, "", True)
    job.close()


def test_zones_follow_every_deed(tmp_path: Path) -> None:
    """The work-out is that of the job as kept, after deeds, undo and redo; a drag leaves it alone."""
    job = new_job(tmp_path, wet())
    leak = next(iter(job.job.leaks))
    assert len(job.repairs.zones) == 1
    edit = remove_leak(job.job, leak=leak)
    assert job.repairs_of(edit) == repairs(edit.job)
    assert job.repairs == repairs(job.job)
    job.do(edit)
    assert job.repairs.zones == ()
    job.undo()
    assert job.repairs == repairs(job.job)
    job.redo()
    assert job.repairs.zones == ()
    job.close()


def test_what_was_worked_out_before_serves_only_its_own_deed(tmp_path: Path) -> None:
    """A deed worked out ahead is not worked out again; another deed is; undo and redo come back to what there was."""
    job = new_job(tmp_path, wet())
    first, leak = job.repairs, next(iter(job.job.leaks))
    removal, other = remove_leak(job.job, leak=leak), rename_sheet(job.job, sheet=next(iter(job.job.sheets)), name="B3")
    job.work_ahead(removal)
    assert job.repairs is first
    job.do(other)
    assert job.repairs == repairs(job.job)
    assert len(job.repairs.zones) == 1
    job.undo()
    assert job.repairs is first
    job.work_ahead(removal)
    job.do(removal)
    assert job.repairs == repairs(job.job)
    assert job.repairs.zones == ()
    last = job.repairs
    job.undo()
    assert job.repairs is first
    job.redo()
    assert job.repairs is last
    job.close()


def test_a_deed_that_changes_nothing_leaves_no_entry(tmp_path: Path) -> None:
    """Setting what is already so is no step."""
    job = new_job(tmp_path, wet())
    rename(job, job.job.name)
    assert len(entries_of(job.file.path)) == 1
    assert job.undo_words is None
    job.close()


def test_undo_goes_on_after_reopening(tmp_path: Path) -> None:
    """What was done yesterday is undone today, step by step, with its words and rows, and not beyond the first."""
    job = new_job(tmp_path, wet())
    first = job.job
    rename(job, "Pit 2")
    job.do(rename_sheet(job.job, sheet=next(iter(job.job.sheets)), name="B3"))
    job = reopened(job)
    assert job.undo_words == "rename sheet B2"
    assert job.undo() == {("sheets", next(iter(first.sheets)))}
    assert job.undo_words == "rename the job"
    assert job.undo() == {("job", first.id)}
    assert job.job == first == kept_in(job.file.path)
    assert job.undo_words is None
    with pytest.raises(EditRefused, match="There is nothing to undo"):
        job.undo()
    assert job.redo_words == "rename the job"
    job.redo()
    job.redo()
    assert next(iter(job.job.sheets.values())).name == "B3"
    job.close()


def test_undo_itself_is_no_step_after_reopening(tmp_path: Path) -> None:
    """Undone before closing, a deed stays undone: undo goes on where it was, and redo is gone."""
    job = new_job(tmp_path, wet())
    rename(job, "Pit 2", "Pit 3", "Pit 4")
    job.undo()
    job.undo()
    job.redo()
    assert entries_of(job.file.path)[-3:] == [
        ("undone", "Undo rename the job"),
        ("undone", "Undo rename the job"),
        ("redone", "Redo rename the job"),
    ]
    job = reopened(job)
    assert job.redo_words is None
    names = [job.job.name]
    while job.undo_words:
        job.undo()
        names.append(job.job.name)
    assert names == ["Pit 3", "Pit 2", "Heron Wharf"]
    job = reopened(job)
    assert job.undo_words is None
    assert job.job.name == "Heron Wharf"
    job.close()


@settings(max_examples=6)
@given(seed=st.integers(0, 2**32))
@pytest.mark.slow
def test_any_sitting_keeps_what_a_stack_keeps(seed: int, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Deeds, undos, redos, full disks and reopenings at random: the job is always that of two plain stacks."""
    chance = seeded(seed)
    job = new_job(tmp_path_factory.mktemp("sitting"), empty_job(chance))
    past: list[tuple[Job, str]] = []
    future: list[tuple[Job, str]] = []
    for _ in range(30):
        now = job.job
        wish = chance.choice(["do", "do", "do", "undo", "undo", "redo", "full", "reopen"])
        if wish == "do":
            edit = random_edit(now, chance)
            job.do(edit)
            past, future = [*past, (now, edit.words)], []
        elif wish == "undo" and past:
            job.undo()
            future.append((now, past[-1][1]))
            assert job.job == past.pop()[0]
        elif wish == "redo" and future:
            job.redo()
            past.append((now, future[-1][1]))
            assert job.job == future.pop()[0]
        elif wish == "full":
            with full_disk(job.file):
                edit = random_edit(now, chance)
                job.do(edit)
                job.undo()
                job.redo()
            past, future = [*past, (now, edit.words)], []
            assert job.retry()
        elif wish == "reopen":
            job, future = reopened(job), []
            assert job.job == now
        assert job.undo_words == (past[-1][1] if past else None)
        assert job.redo_words == (future[-1][1] if future else None)
        assert kept_in(job.file.path) == job.job
    job.close()
    assert {finding.code for finding in check_job_file(job.file.path)} <= {"missing-file"}  # its drawing is only named


def test_opening_reads_no_past(tmp_path: Path) -> None:
    """The journal is read when something is undone, not when the job is opened."""
    job = new_job(tmp_path, wet())
    rename(job, *(f"Pit {number}" for number in range(5)))
    job.close()
    with_watch = opened(job.file.path, hand())
    asked: list[str] = []
    with_watch.file._connection.set_trace_callback(asked.append)
    rename(with_watch, "Pit 9")
    assert not [words for words in asked if "before, after FROM journal" in words]
    with_watch.undo()
    assert with_watch.undo_words
    assert len([words for words in asked if "before, after FROM journal" in words]) == 1
    with_watch.close()


def test_what_another_program_changed_ends_undo(tmp_path: Path) -> None:
    """A row that is not what the journal made of it is not overwritten by undo."""
    job = new_job(tmp_path, wet())
    rename(job, "Pit 2")
    job.close()
    with database(job.file.path) as connection:
        connection.execute("UPDATE job SET name = 'Changed elsewhere'")
    job = opened(job.file.path, hand())
    assert job.undo_words is None
    job.close()


def test_undo_stops_at_an_upgrade(tmp_path: Path) -> None:
    """What an older leakmap did is not undone by a newer one."""
    job = new_job(tmp_path, wet())
    rename(job, "Pit 2")
    job.close()
    with database(job.file.path) as connection:
        append(connection, Deed.UPGRADED, "Brought the file up to date", user="A. Rook", at=MORNING)
    job = opened(job.file.path, hand())
    rename(job, "Pit 3")
    job = reopened(job)
    job.undo()
    assert job.undo_words is None
    assert job.job.name == "Pit 2"
    job.close()


def test_a_damaged_journal_ends_undo(tmp_path: Path) -> None:
    """Where the journal cannot be read, there is nothing to undo, and the work goes on."""
    job = new_job(tmp_path, wet())
    rename(job, "Pit 2")
    job.close()
    with database(job.file.path) as connection:
        connection.execute("DROP TRIGGER journal_no_update")
        connection.execute("UPDATE journal SET before = 'no JSON'")
    job = opened(job.file.path, hand())
    assert job.undo_words is None
    rename(job, "Pit 3")
    assert job.undo_words == "rename the job"
    job.close()


# A full disk ---------------------------------------------------------------------------------------


def test_a_full_disk_loses_nothing(tmp_path: Path) -> None:
    """On a disk that takes no more (of SQLite's own making) deeds wait in memory, and are written in order once there is room."""
    job = new_job(tmp_path, wet())
    leak, connection = next(iter(job.job.leaks)), job.file._connection
    pages = connection.execute("PRAGMA page_count").fetchone()[0]
    connection.execute(f"PRAGMA max_page_count = {pages}")
    before = kept_in(job.file.path)
    job.do(set_note(job.job, leak=leak, note="wet " * 20_000))
    rename(job, "Pit 2", "Pit 3")
    job.undo()
    assert (job.job.name, job.job.leaks[leak].note) == ("Pit 2", "wet " * 20_000)
    assert job.saved_words == "not saved: disk full"
    assert job.unsaved == "The disk is full. Your work is safe in memory; free some space and it saves by itself."
    assert not job.retry()
    assert kept_in(job.file.path) == before
    with pytest.raises(NotWritten, match="safe in memory"):
        job.close()
    connection.execute("PRAGMA max_page_count = 100000")
    assert job.retry()
    assert job.saved_words == ON_DISK
    assert [words for _, words in entries_of(job.file.path)[1:]] == [
        "set note of L-01",
        "rename the job",
        "rename the job",
        "Undo rename the job",
    ]
    job = reopened(job)
    assert job.job.name == "Pit 2"
    assert job.undo_words == "rename the job"
    job.close()


def test_the_next_deed_writes_what_waits(tmp_path: Path) -> None:
    """Whatever is done after the disk has room takes along what waited; so does the beat, and closing."""
    for number, last in enumerate((lambda job: rename(job, "Pit 3"), OpenJob.beat, OpenJob.close)):
        folder = tmp_path / str(number)
        folder.mkdir()
        job = new_job(folder, wet())
        with full_disk(job.file):
            rename(job, "Pit 2")
        last(job)
        assert ("edited", "rename the job") in entries_of(job.file.path)
        assert job.saved_words == ON_DISK
        job.close(lose_unsaved=True)


def test_deeds_can_be_given_up(tmp_path: Path) -> None:
    """Whoever says so closes without what the disk did not take, and the lock is free."""
    job = new_job(tmp_path, wet())
    with full_disk(job.file):
        rename(job, "Pit 2")
        job.close(lose_unsaved=True)
    again = opened(job.file.path, hand())
    assert (again.job.name, again.look_only) == ("Heron Wharf", False)
    again.close()


def test_another_hindrance_is_said(tmp_path: Path) -> None:
    """What stands in the way is named, when it is not the disk."""
    job = new_job(tmp_path, wet())
    with database(job.file.path) as other:
        other.execute("BEGIN IMMEDIATE")
        rename(job, "Pit 2")
        assert job.saved_words == "not saved: file in use"
        assert job.unsaved.startswith("pit.gpkg cannot be written now (file in use). Your work is safe in memory")
        other.execute("ROLLBACK")
    job.close()
    assert kept_in(job.file.path).name == "Pit 2"


def test_another_program_that_writes_is_not_waited_for(tmp_path: Path) -> None:
    """A window never stands still for long: it waits a tenth of a second for another program, not five."""
    job = new_job(tmp_path, wet())
    assert job.file._connection.execute("PRAGMA busy_timeout").fetchone() == (100,)
    job.close()


def test_what_waits_while_somebody_else_takes_over_is_said(tmp_path: Path) -> None:
    """What waited can no longer be written then: it stays in memory, and the user is told what to do."""
    clock = Clock()
    job = new_job(tmp_path, wet(), clock)
    with full_disk(job.file):
        rename(job, "Pit 2", "Pit 3")
    clock.turn(6)
    other = opened(job.file.path, hand(clock, host="site-laptop-2", user="B. Teal"))
    for deed in (job.retry, job.beat, job.close, lambda: rename(job, "Pit 4")):
        with pytest.raises(UnusableJobFile, match=r"taken over by B\. Teal"):
            deed()
    assert job.job.name == "Pit 3"
    assert job.saved_words == "not saved: changed elsewhere"
    assert "your last 2 changes are only in memory" in job.unsaved
    job.close(lose_unsaved=True)
    assert other.job == kept_in(job.file.path)
    other.close()


def test_what_no_file_can_keep_is_not_done(tmp_path: Path) -> None:
    """A deed that the file refuses for good is refused, and the job is as it was."""
    job = new_job(tmp_path, wet())
    with pytest.raises(BadValue, match="cannot be written"):
        rename(job, "Pit \ud800")
    assert job.job.name == "Heron Wharf"
    assert job.saved_words == ON_DISK
    rename(job, "Pit 2")
    job.close()


# Others, and crashes -------------------------------------------------------------------------------


def test_the_second_opener_looks_only(tmp_path: Path) -> None:
    """The sentence of the desk answers every deed, and the job is as it was."""
    first = new_job(tmp_path, wet())
    rename(first, "Pit 2")
    second = opened(first.file.path, hand(host="site-laptop-2", user="B. Teal"))
    sentence = "This job is open on another computer (site-laptop-1). You can look, not change."
    assert (second.look_only, second.notice, second.undo_words) == (True, sentence, None)
    edit = rename_job(second.job, name="Pit 3")
    plan = brought_in("b2.dxf", DXF, m_per_unit=0.001)
    for deed in (
        lambda: second.do(edit),
        second.undo,
        second.redo,
        lambda: second.add_drawing(plan, name="B1"),
        lambda: second.issue(purpose=Purpose.PRICE, to_whom="x", folder=tmp_path / "papers"),
    ):
        with pytest.raises(EditRefused) as refused:
            deed()
        assert refused.value.message == sentence
    second.beat()
    assert second.repairs_of(edit) == repairs(edit.job)
    second.close()
    assert first.job == kept_in(first.file.path)
    first.close()


def test_a_beat_keeps_the_lock(tmp_path: Path) -> None:
    """Beating every minute, a job at rest is not taken over; without, it is after five."""
    clock = Clock()
    job = new_job(tmp_path, wet(), clock)
    for _ in range(6):
        clock.turn(1)
        job.beat()
    other = hand(clock, host="site-laptop-2", user="B. Teal")
    second = opened(job.file.path, other)
    assert second.look_only
    second.close()
    clock.turn(5)
    third = opened(job.file.path, other)
    assert not third.look_only
    for deed in (job.beat, lambda: rename(job, "Pit 2")):
        with pytest.raises(UnusableJobFile, match=r"taken over by B\. Teal"):
            deed()
    assert job.job.name == "Heron Wharf"
    job.close()
    third.close()


def test_after_a_crash_the_last_sign_of_life_counts(tmp_path: Path) -> None:
    """A deed at 14:02 and heartbeats up to 14:07: leakmap stopped at 14:07, for so long it is known to have run."""
    clock = Clock()
    job = new_job(tmp_path, wet(), clock)
    rename(job, "Pit 2")
    job.close()
    leave_lock(job.file.path, MORNING + timedelta(minutes=5))
    clock.now = (MORNING + timedelta(minutes=9)).astimezone(MORNING.tzinfo)
    again = opened(job.file.path, hand(clock))
    assert again.notice == "leakmap stopped at 14:07. Everything up to 14:07 is here."
    again.close()


def test_a_revision_that_was_begun_stays_begun(tmp_path: Path) -> None:
    """Closed and opened again, the job knows what the revision is for and to whom; given up, it knows of none."""
    clock = Clock()
    job = new_job(tmp_path, wet(), clock)
    assert job.begun is None
    job.begin(Begun(purpose=Purpose.WORK, to_whom="crew 2"))
    before = job.undo_words
    job.close()
    again = opened(job.file.path, hand(clock))
    assert again.begun == Begun(purpose=Purpose.WORK, to_whom="crew 2")
    assert again.undo_words == before
    again.begin(None)
    again.close()
    assert opened(job.file.path, hand(clock)).begun is None


@pytest.mark.parametrize(
    ("after", "sentence"),
    [
        (timedelta(minutes=3), "leakmap stopped at 14:02. Everything up to 14:02 is here."),
        (timedelta(hours=20), "leakmap stopped on 2 November 2026 at 14:02. Everything up to then is here."),
    ],
)
def test_after_a_crash_the_time_is_said(tmp_path: Path, after: timedelta, sentence: str) -> None:
    """A lock of a process that runs no more is taken at once; the time is that of the last entry, as clocks here show it."""
    clock = Clock()
    job = new_job(tmp_path, wet(), clock)
    rename(job, "Pit 2")
    job.close()
    leave_lock(job.file.path, MORNING)
    clock.now = (MORNING + after).astimezone(MORNING.tzinfo)
    again = opened(job.file.path, hand(clock))
    assert (again.notice, again.look_only) == (sentence, False)
    assert again.job.name == "Pit 2"
    again.close()
    once_more = opened(job.file.path, hand(clock))
    assert once_more.notice == ""
    once_more.close()


def test_a_process_of_another_computer_is_not_asked(tmp_path: Path) -> None:
    """Whether a process runs elsewhere cannot be told: its lock holds for five minutes."""
    job = new_job(tmp_path, wet())
    job.close()
    leave_lock(job.file.path, MORNING, host="site-laptop-2")
    again = opened(job.file.path, hand())
    assert again.look_only
    again.close()


def test_a_read_only_file_is_opened_to_look(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On a read-only share a job is shown, and the user reads why it cannot be changed."""
    job = new_job(tmp_path, wet())
    job.close()
    connect = sqlite3.connect

    def read_only(name: Any, **given: Any) -> sqlite3.Connection:  # noqa: ANN401 - as sqlite3.connect
        return connect(name.replace("mode=rw", "mode=ro"), **given)

    monkeypatch.setattr(sqlite3, "connect", read_only)
    again = opened(job.file.path, hand())
    assert again.look_only
    assert again.notice.startswith("pit.gpkg cannot be changed, because it or its folder is read-only")
    assert again.notice.endswith("You can look, not change.")
    with pytest.raises(EditRefused, match="You can look, not change"):
        rename(again, "Pit 2")
    again.close()


# Drawings ------------------------------------------------------------------------------------------


def test_a_drawing_is_brought_in(tmp_path: Path) -> None:
    """The file keeps bytes and lines, the sheet has the drawing's scale, and reopening shows it without reading it again."""
    job = new_job(tmp_path, one_sheet()[0])
    plan = brought_in("b1.dxf", DXF, m_per_unit=0.001)
    edit = job.add_drawing(plan, name="B1", floor_level_m=-3.6)
    sheet = job.job.sheets[edit.made[0]]
    assert (sheet.name, sheet.floor_level_m, sheet.placement.x_m_per_unit) == ("B1", -3.6, 0.001)
    assert job.drawing(sheet.id) is plan.drawing
    assert job.drawing(next(iter(job.job.sheets))) is None
    assert job.undo_words == "add sheet B1"
    job = reopened(job)
    found = job.drawing(sheet.id)
    assert found is not None
    assert found is job.drawing(sheet.id)
    assert len(found.strokes) == 1
    assert job.drawings().sources == {plan.source.sha256: DXF}
    job.close()
    assert check_job_file(job.file.path) == ()


def test_a_drawing_that_cannot_be_kept_leaves_no_sheet(tmp_path: Path) -> None:
    """On a full disk no sheet names a drawing that is not there, and the user reads why."""
    job = new_job(tmp_path, one_sheet()[0])
    connection = job.file._connection
    pages = connection.execute("PRAGMA page_count").fetchone()[0]
    connection.execute(f"PRAGMA max_page_count = {pages}")
    with pytest.raises(NotWritten, match="The disk is full"):
        job.add_drawing(brought_in("b1.dxf", DXF + b"999\n" + b"x" * 100_000 + b"\n"), name="B1")
    assert len(job.job.sheets) == 1
    job.close()


def test_a_name_in_use_keeps_no_drawing(tmp_path: Path) -> None:
    """A sheet that is refused leaves no file behind in the job."""
    job = new_job(tmp_path, one_sheet()[0])
    with pytest.raises(EditRefused, match="There is a sheet B2 already"):
        job.add_drawing(brought_in("b1.dxf", DXF), name="B2")
    with database(job.file.path) as connection:
        assert connection.execute("SELECT count(*) FROM blobs").fetchone() == (0,)
    job.close()


def test_an_unknown_unit_is_said(tmp_path: Path) -> None:
    """A drawing without a unit comes in at one metre a unit, and the user is told."""
    job = new_job(tmp_path, one_sheet()[0])
    edit = job.add_drawing(brought_in("b1.dxf", DXF), name="B1")
    assert edit.said == ("The unit of b1.dxf is not known; 1 unit is taken for 1 m until a known length says more.",)
    job.close()


def test_a_job_is_made_with_its_drawings(tmp_path: Path) -> None:
    """A new file holds the drawings that its sheets name; a file that is there is not replaced."""
    plan = brought_in("b2.dxf", DXF, m_per_unit=0.001)
    path = tmp_path / "new.gpkg"
    job = made(path, one_sheet(source=plan.source)[0], hand(), drawings=[plan])
    assert job.drawing(next(iter(job.job.sheets))) is not None
    job.close()
    with pytest.raises(UnusableJobFile, match="is there already and is not replaced"):
        made(path, one_sheet()[0], hand())


# Issues --------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_undo_stops_at_an_issue(tmp_path: Path) -> None:
    """The papers lie in the folder and in the file; nothing before can be undone, now or after reopening."""
    job = new_job(tmp_path, wet())
    rename(job, "Pit 2", "Pit 3")
    job = reopened(job)
    job.undo()
    job.redo()
    made_issue, paths = job.issue(purpose=Purpose.WORK, to_whom="The crew", folder=tmp_path / "papers")
    assert made_issue.revision.name == "C01"
    assert {path.name: path.read_bytes() for path in paths} == dict(made_issue.papers)
    assert kept_in(job.file.path) == job.job
    assert [revision.name for revision in job.job.revisions.values()] == ["C01"]
    assert job.repairs == repairs(job.job)
    for _ in range(2):
        assert job.undo_words is None
        with pytest.raises(EditRefused, match="Undo stops at C01, which was issued"):
            job.undo()
        rename(job, f"Pit {job.job.name}")
        job = reopened(job)
        job.undo()
    job.close()
    assert check_job_file(job.file.path) == ()


@pytest.mark.slow
def test_an_issue_of_another_state_is_refused(tmp_path: Path) -> None:
    """Papers that were made while the job changed are not issued; nor are papers over others, nor with deeds not on disk."""
    job = new_job(tmp_path, wet())
    at = MORNING
    made_issue = issue(job.job, purpose=Purpose.WORK, to_whom="The crew", by="A. Rook", at=at, sources={}, drawings={})
    rename(job, "Pit 2")
    with pytest.raises(EditRefused, match="was changed while its papers were made"):
        job.keep_issue(made_issue, tmp_path / "papers")
    job.undo()
    folder = tmp_path / "papers"
    folder.mkdir()
    name = next(iter(made_issue.papers))
    (folder / name).write_bytes(b"")
    with pytest.raises(UnusableFile, match="is there already"):
        job.keep_issue(made_issue, folder)
    (folder / name).unlink()
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(UnusableFile, match=r"file cannot take the papers: .*\. Nothing was issued"):
        job.keep_issue(made_issue, tmp_path / "file")
    with full_disk(job.file):
        rename(job, "Pit 2")
        job.undo()
        with pytest.raises(NotWritten, match="The disk is full"):
            job.keep_issue(made_issue, folder)
    assert not job.job.revisions
    assert list(folder.iterdir()) == []
    assert len(job.keep_issue(made_issue, folder)) == len(made_issue.papers)
    job.close()


@pytest.mark.slow
def test_an_issue_that_the_folder_does_not_take_is_issued_all_the_same(tmp_path: Path) -> None:
    """When papers cannot be placed after the issue is kept, the job is the issued one and the sentence says so."""
    job = new_job(tmp_path, wet())
    made_issue = issue(
        job.job, purpose=Purpose.WORK, to_whom="The crew", by="A. Rook", at=MORNING, sources={}, drawings={}
    )
    folder = tmp_path / "papers"
    store_issue = job.file.store_issue

    def stored(*args: Any, **named: Any) -> None:  # noqa: ANN401 - as store_issue is called
        store_issue(*args, **named)
        (folder / next(iter(made_issue.papers))).mkdir()

    job.file.store_issue = stored  # type: ignore[method-assign]
    with pytest.raises(UnusableFile, match="C01 is issued and its papers are kept"):
        job.keep_issue(made_issue, folder)
    assert [revision.name for revision in job.job.revisions.values()] == ["C01"]
    assert job.undo_words is None
    assert kept_in(job.file.path) == job.job
    job.close()


def test_the_day_is_that_of_the_clock(tmp_path: Path) -> None:
    """Leaks are seen on the day that the hand's clock shows."""
    job = new_job(tmp_path, wet())
    assert job.today == MORNING.date()
    job.close()
