"""A job kept in a file: made, opened, saved, issued."""

from __future__ import annotations

import json
import sqlite3
import struct
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.base.errors import BadValue, UnusableJobFile
from leakmap.geometry.path import Path as Course
from leakmap.model.faults import faults
from leakmap.model.job import Job, Numbers, OtherItem
from leakmap.model.joint import Blind, Joint
from leakmap.model.leak import IssuedStretch
from leakmap.records.blobs import ParsedKey, sha256_of
from leakmap.records.check import check_job_file
from leakmap.records.frozen import frozen_text, job_of_frozen
from leakmap.records.job_file import create_job_file
from leakmap.records.journal import Deed
from tests.helpers.job_files import (
    AT,
    DRAWING,
    KEY,
    PAPERS,
    PARSED,
    SCHEDULE,
    database,
    full_job,
    issued_job,
    later,
    make,
    opened,
    store,
)
from tests.helpers.jobs import job_of, joint_id, leak, leak_id, line
from tests.helpers.random_edits import random_edits, random_job, with_issued

NUMBERS = st.floats(0, 1e15)


def read(path: Path) -> Job:
    """The job that a file holds."""
    with opened(path, look_only=True) as file:
        return file.job


def save(path: Path, job: Job) -> None:
    """Save a job into a file."""
    with opened(path) as file:
        file.save(job, words="Changed something", user="A. Rook", at=later(1))


def table(path: Path, name: str) -> list[Any]:
    """Rows of a table of a file."""
    with database(path) as connection:
        return connection.execute(f"SELECT * FROM {name} ORDER BY 1").fetchall()  # noqa: S608 - a test's own names


def test_the_full_job_has_no_fault() -> None:
    """The job that these tests stand on is one that edits could have made."""
    assert faults(full_job()) == ()


def test_a_full_job_comes_back(tmp_path: Path) -> None:
    """Every field of every item survives, with the order of every collection."""
    job = issued_job(full_job())
    again = read(make(tmp_path, job))
    assert again == job
    assert frozen_text(again) == frozen_text(job)


@given(seed=st.integers(0, 2**32))
@settings(max_examples=5)
@pytest.mark.slow
def test_save_then_open_is_equal(seed: int, tmp_path_factory: pytest.TempPathFactory) -> None:
    """After every random edit the file holds the edited job, and the journal leads back to every job before."""
    chance = Random(seed)  # noqa: S311 - not for secrets
    jobs = [with_issued(random_job(chance, 15), chance)]
    path = make(tmp_path_factory.mktemp("job"), jobs[0])
    with opened(path) as file:
        for number, edit in enumerate(random_edits(jobs[0], chance, 20)):
            file.save(edit.job, words=edit.words, user="A. Rook", at=later(number / 100))
            jobs.append(edit.job)
        before = [frozen_text(earlier.job) for earlier in file.earlier_jobs()]
    assert before == [frozen_text(job) for job in reversed(jobs[:-1])]
    assert frozen_text(read(path)) == frozen_text(jobs[-1])
    assert {finding.code for finding in check_job_file(path)} <= {"missing-file"}


@given(
    xs=st.lists(st.tuples(st.floats(-1e12, 1e12), st.floats(-1e12, 1e12)), min_size=3, max_size=5),
    numbers=st.tuples(NUMBERS, NUMBERS, NUMBERS),
)
@settings(max_examples=12)
@pytest.mark.slow
def test_every_number_comes_back_bit_for_bit(
    xs: list[tuple[float, float]], numbers: tuple[float, float, float], tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Floats in geometries and columns survive to the last bit; of a zero only the sign is dropped."""
    try:
        joint = line(*xs, closed=True, height_m=numbers[0])
    except BadValue:
        return
    job = job_of([joint])
    sheet = next(iter(job.sheets))
    other = OtherItem(id=joint_id(9), sheet=sheet, what="holes", quantity=numbers[1], unit="no")
    stretch = IssuedStretch(id=joint_id(8), zone=1, joint=joint_id(1), from_m=0.0, to_m=numbers[2])
    job = replace(job, others={other.id: other}, issued={stretch.id: stretch})
    again = read(make(tmp_path_factory.mktemp("job"), job))
    path = again.joints[joint_id(1)].path
    assert path is not None
    found = [*sum(path.points, ()), again.joints[joint_id(1)].height_m]
    found += [again.others[other.id].quantity, again.issued[stretch.id].to_m]
    wanted = [part + 0.0 for part in (*sum(xs, ()), *numbers)]
    assert struct.pack(f"<{len(found)}d", *found) == struct.pack(f"<{len(wanted)}d", *wanted)


def test_only_the_rows_that_differ_are_written(tmp_path: Path) -> None:
    """One changed leak is one row written, besides the register, the journal and the lock."""
    path = make(tmp_path)
    job = read(path)
    changed = replace(job, leaks={**job.leaks, leak_id(1): replace(job.leaks[leak_id(1)], note="again")})
    said: list[str] = []
    with opened(path) as file:
        file._connection.set_trace_callback(said.append)
        file.save(changed, words="Changed a note", user="A. Rook", at=later(1))
        file._connection.set_trace_callback(None)
    written = {statement.split("(")[0].split(" SET")[0].strip() for statement in said if "SELECT" not in statement}
    assert written == {
        "BEGIN IMMEDIATE",
        "COMMIT",
        "PRAGMA data_version",
        'UPDATE "leaks"',
        "UPDATE gpkg_contents",
        "UPDATE leakmap_lock",
        "INSERT INTO journal",
    }


def test_nothing_differs_nothing_is_written(tmp_path: Path) -> None:
    """Saving the same job again leaves no entry in the journal."""
    path = make(tmp_path)
    save(path, full_job())
    assert len(table(path, "journal")) == 1


def test_a_joint_takes_its_leaks_along(tmp_path: Path) -> None:
    """A moved joint moves the drawn stretches of its leaks and blind stretches, and the registered extents."""
    path = make(tmp_path)
    job = read(path)
    joint = job.joints[joint_id(1)]
    moved = replace(joint, path=Course(((100.0, 100.0), (104.0, 100.0), (104.0, 101.0))))
    save(path, replace(job, joints={**job.joints, joint.id: moved}))
    assert check_job_file(path) == ()
    with database(path) as connection:
        extents = dict(connection.execute("SELECT table_name, max_x FROM gpkg_contents WHERE max_x IS NOT NULL"))
    assert extents == {"joints": 104.0, "leaks": 101.75, "blind_stretches": 103.0}


def test_extents_shrink_and_vanish(tmp_path: Path) -> None:
    """The registered extent follows when what lay at its edge goes, and is empty when nothing is left."""
    path = make(
        tmp_path, job_of([line((0, 0), (1, 0)), line((5, 5), (9, 9))], [leak(2, 1.0)], numbers=Numbers(joint=2, leak=1))
    )
    job = read(path)
    save(path, replace(job, joints={joint_id(1): job.joints[joint_id(1)]}, leaks={}))
    with database(path) as connection:
        extents = {row[0]: row[1:] for row in connection.execute("SELECT table_name, min_x, max_y FROM gpkg_contents")}
    assert (extents["joints"], extents["leaks"]) == ((0.0, 0.0), (None, None))
    assert check_job_file(path) == ()


def test_items_keep_their_order_when_one_comes_back(tmp_path: Path) -> None:
    """An item that was taken out and put back stands where it stood; the rows round it are left alone."""
    path = make(tmp_path)
    job = read(path)
    fewer = replace(job, leaks={key: item for key, item in job.leaks.items() if key != leak_id(3)})
    save(path, fewer)
    save(path, job)
    assert list(read(path).leaks) == list(job.leaks)
    assert json.loads(table(path, "journal")[-1][6])["leaks"].keys() == {str(leak_id(3))}


def test_items_can_change_their_order(tmp_path: Path) -> None:
    """Sheets listed the other way round are so when the file is opened again, and the journal leads back."""
    path = make(tmp_path)
    job = read(path)
    save(path, replace(job, sheets=dict(reversed(job.sheets.items()))))
    assert list(read(path).sheets) == list(reversed(job.sheets))
    with opened(path, look_only=True) as file:
        assert [list(earlier.job.sheets) for earlier in file.earlier_jobs()] == [list(job.sheets)]
    assert check_job_file(path) == ()


def test_parts_are_written_with_their_item(tmp_path: Path) -> None:
    """Blind stretches and known lengths that come, change and go are in the file as in the job."""
    path = make(tmp_path)
    job = read(path)
    sheet, joint = next(iter(job.sheets.values())), job.joints[joint_id(1)]
    for blind, lengths in (((Blind(from_m=0, to_m=1, what="duct"),), ()), ((), sheet.lengths * 2)):
        job = replace(
            job,
            sheets={**job.sheets, sheet.id: replace(sheet, lengths=lengths)},
            joints={**job.joints, joint.id: replace(joint, blind=blind)},
        )
        save(path, job)
        assert read(path) == job
        assert check_job_file(path) == ()


def test_the_job_s_own_fields_are_written(tmp_path: Path) -> None:
    """Name, rules, numbers and water level change in the file, decimals with their places."""
    path = make(tmp_path)
    job = read(path)
    new = replace(
        job,
        name="Pit 2",
        water=None,
        numbers=replace(job.numbers, leak=99),
        rules=replace(job.rules, bridge_m=0.25, measuring_step_m=type(job.rules.measuring_step_m)("0.001")),
    )
    save(path, new)
    assert frozen_text(read(path)) == frozen_text(new)
    with opened(path, look_only=True) as file:
        assert [frozen_text(earlier.job) for earlier in file.earlier_jobs()] == [frozen_text(job)]


def test_decimals_that_are_equal_but_written_otherwise_are_saved(tmp_path: Path) -> None:
    """A measuring step of 0.01 instead of 0.010 prints otherwise, so it is a change."""
    path = make(tmp_path)
    job = read(path)
    step = type(job.rules.measuring_step_m)
    save(path, replace(job, rules=replace(job.rules, measuring_step_m=step("0.00100"))))
    assert str(read(path).rules.measuring_step_m) == "0.00100"


def test_another_job_is_not_saved_over_this_one(tmp_path: Path) -> None:
    """A file holds one job for good."""
    with opened(make(tmp_path)) as file, pytest.raises(ValueError, match="another job"):
        file.save(replace(full_job(), id=joint_id(1)), words="", user="", at=AT)


def test_what_points_at_nothing_is_refused(tmp_path: Path) -> None:
    """A leak without its joint is refused when saved and when made; the file holds the job before."""
    path = make(tmp_path, job_of([line((0, 0), (4, 0))]))
    job = read(path)
    cut_off = replace(full_job(), joints={}, leaks={}, cuts={}, parted={}, issued={})
    with pytest.raises(BadValue, match="names something that it does not hold"):
        make(tmp_path, cut_off, name="other.gpkg")
    sheetless = replace(job, joints={joint_id(1): replace(job.joints[joint_id(1)], sheet=leak_id(5))})
    with opened(path) as file:
        with pytest.raises(BadValue, match="was not saved"):
            file.save(sheetless, words="", user="", at=AT)
        assert file.job == job
    assert read(path) == job
    assert sorted(each.name for each in tmp_path.iterdir()) == ["pit.gpkg"]


@pytest.mark.parametrize("note", ["\udc80", "half \ud83d"])
def test_half_a_character_is_refused(tmp_path: Path, note: str) -> None:
    """What is no text (half of a pair) gets one sentence, and nothing is written."""
    path = make(tmp_path)
    job = read(path)
    noted = {**job.leaks, leak_id(1): replace(job.leaks[leak_id(1)], note=note)}
    with opened(path) as file, pytest.raises(BadValue, match="cannot be written"):
        file.save(replace(job, leaks=noted), words="", user="", at=AT)
    assert read(path) == job


# Making a file.


def test_a_file_that_is_there_is_not_replaced(tmp_path: Path) -> None:
    """Making a job file never overwrites one, unless that is asked for."""
    path = make(tmp_path)
    other = job_of([line((0, 0), (1, 0))])
    with pytest.raises(UnusableJobFile, match="is there already and is not replaced"):
        create_job_file(path, other, user="A. Rook", at=AT)
    assert read(path) == full_job()
    create_job_file(path, other, user="A. Rook", at=AT, replace=True)
    assert read(path) == other


def test_no_folder_no_file(tmp_path: Path) -> None:
    """A folder that is not there gets one sentence."""
    with pytest.raises(UnusableJobFile, match="cannot be opened or written here"):
        create_job_file(tmp_path / "not there" / "pit.gpkg", full_job(), user="A. Rook", at=AT)


def test_a_failed_making_leaves_nothing(tmp_path: Path) -> None:
    """What fails half-way leaves neither the file nor its neighbour."""
    with pytest.raises(BadValue):
        make(tmp_path, replace(full_job(), name="\ud800"))
    assert list(tmp_path.iterdir()) == []


def test_a_folder_in_the_place_of_the_file_gets_one_sentence(tmp_path: Path) -> None:
    """A folder of that name cannot be replaced by a file."""
    (tmp_path / "pit.gpkg").mkdir()
    with pytest.raises(UnusableJobFile, match="cannot be written"):
        create_job_file(tmp_path / "pit.gpkg", full_job(), user="A. Rook", at=AT, replace=True)
    assert [each.name for each in tmp_path.iterdir()] == ["pit.gpkg"]


def test_nothing_lies_beside_a_file(tmp_path: Path) -> None:
    """Neither making nor saving leaves another file beside the job file."""
    save(make(tmp_path), replace(full_job(), name="Pit 2"))
    assert [each.name for each in tmp_path.iterdir()] == ["pit.gpkg"]


# Files inside.


def test_files_are_kept_once_by_their_hash(tmp_path: Path) -> None:
    """A file put in twice is kept once, and comes back byte for byte."""
    with opened(make(tmp_path)) as file:
        assert [file.put_blob(b"photo", at=AT) for _ in range(2)] == [sha256_of(b"photo")] * 2
        assert file.blob(sha256_of(b"photo")) == b"photo"
        assert file.blob(sha256_of(DRAWING)) == DRAWING
    assert len(table(tmp_path / "pit.gpkg", "blobs")) == 2


def test_a_file_that_is_missing_or_damaged_is_not_given(tmp_path: Path) -> None:
    """Asking for a file never gives other bytes than those of its hash."""
    path = make(tmp_path)
    with database(path) as connection:
        connection.execute("UPDATE blobs SET content = ?", (DRAWING + b"\n",))
    with opened(path) as file:
        with pytest.raises(UnusableJobFile, match="damaged"):
            file.blob(sha256_of(DRAWING))
        with pytest.raises(UnusableJobFile, match="missing"):
            file.blob("0" * 64)


def test_drawings_as_read_are_kept_by_what_they_depend_on(tmp_path: Path) -> None:
    """Another file, option or reader finds nothing; a newer reader's reading takes the place of an older one's."""
    newer = replace(KEY, reader="dxf 2")
    with opened(make(tmp_path)) as file:
        assert file.parsed(KEY) == PARSED
        for key in (newer, replace(KEY, options=""), ParsedKey(source_sha256="0" * 64, reader="dxf 1")):
            assert file.parsed(key) is None
        file.put_parsed(newer, b"better", at=AT)
        assert (file.parsed(newer), file.parsed(KEY)) == (b"better", None)


def test_a_damaged_drawing_as_read_is_read_anew(tmp_path: Path) -> None:
    """A kept reading whose bytes are not those that were kept is as good as none."""
    path = make(tmp_path)
    with database(path) as connection:
        connection.execute("UPDATE parsed_drawings SET content = ?", (b"x",))
    with opened(path) as file:
        assert file.parsed(KEY) is None


# Issuing.


def test_an_issue_is_stored_whole(tmp_path: Path) -> None:
    """The job with its revision, the frozen job, the schedule and every paper are in the file after one transaction."""
    path = make(tmp_path)
    job = read(path)
    with opened(path) as file:
        new = store(file, job)
        revision = next(iter(new.revisions.values()))
        assert job_of_frozen(file.blob(revision.job_sha256).decode()) == job
        assert file.blob(revision.schedule_sha256) == SCHEDULE.encode()
        assert {paper.name: file.blob(paper.sha256) for paper in revision.papers} == PAPERS
    assert read(path) == new
    assert check_job_file(path) == ()


def test_the_journal_does_not_lead_back_past_an_issue(tmp_path: Path) -> None:
    """Undo stops at an issue: what was issued stays as it was."""
    path = make(tmp_path)
    with opened(path) as file:
        file.save(replace(full_job(), name="Pit 2"), words="Renamed", user="A. Rook", at=AT)
        issued = store(file, file.job)
        file.save(replace(issued, name="Pit 3"), words="Renamed again", user="A. Rook", at=AT)
        assert [earlier.job for earlier in file.earlier_jobs()] == [issued]
        assert [entry.deed for entry in file.journal()] == [Deed.MADE, Deed.EDITED, Deed.ISSUED, Deed.EDITED]


@pytest.mark.parametrize(
    "change",
    [{"frozen_job": "{}"}, {"schedule_json": "{}"}, {"papers": {}}, {"papers": {"a.pdf": b""}}, {"job": full_job()}],
)
def test_an_issue_that_is_not_what_its_revision_says_is_refused(tmp_path: Path, change: dict[str, Any]) -> None:
    """The hashes of the revision are those of what is stored, or nothing is stored."""
    job = full_job()
    given = {"job": issued_job(job), "frozen_job": frozen_text(job), "schedule_json": SCHEDULE, "papers": PAPERS}
    with opened(make(tmp_path)) as file, pytest.raises(ValueError, match="does not name exactly"):
        file.store_issue(**{**given, **change}, words="Issued P01", user="A. Rook", at=AT)
    assert len(table(tmp_path / "pit.gpkg", "blobs")) == 1


# Trouble.


def test_a_full_disk_changes_nothing(tmp_path: Path) -> None:
    """When the disk is full the user reads so, the file holds the job before, and saving works once there is room."""
    path = make(tmp_path)
    job = read(path)
    wordy = {**job.leaks, leak_id(1): replace(job.leaks[leak_id(1)], note="wet " * 20_000)}
    with opened(path) as file:
        pages = file._connection.execute("PRAGMA page_count").fetchone()[0]
        file._connection.execute(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(UnusableJobFile, match="The disk is full, so nothing was written"):
            file.save(replace(job, leaks=wordy), words="Noted", user="A. Rook", at=AT)
        assert file.job == job
        assert check_job_file(path) == ()
        file._connection.execute("PRAGMA max_page_count = 100000")
        file.save(replace(job, leaks=wordy), words="Noted", user="A. Rook", at=AT)
    assert read(path).leaks[leak_id(1)].note == "wet " * 20_000


def test_a_read_only_file_is_not_opened_for_change(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On a read-only share a job opens to look, and opening it for change says why that cannot be."""
    path = make(tmp_path)
    connect = sqlite3.connect

    def read_only(name: Any, **given: Any) -> sqlite3.Connection:  # noqa: ANN401 - as sqlite3.connect
        return connect(name.replace("mode=rw", "mode=ro"), **given)

    monkeypatch.setattr(sqlite3, "connect", read_only)
    with pytest.raises(UnusableJobFile, match="cannot be changed, because it or its folder is read-only"):
        opened(path)
    assert read(path) == full_job()


@pytest.mark.parametrize(
    ("content", "words"),
    [(b"", "no job file"), (b"PK\x03\x04 a zip", "no job file"), (b"SQLite format 3\x00" + b"\xff" * 600, "damaged")],
)
def test_what_is_no_job_file_gets_one_sentence(tmp_path: Path, content: bytes, words: str) -> None:
    """Any other file is refused with one sentence, for change, to look, and to check."""
    path = tmp_path / "pit.gpkg"
    path.write_bytes(content)
    for look_only in (True, False):
        with pytest.raises(UnusableJobFile, match=words):
            opened(path, look_only=look_only)
    with pytest.raises(UnusableJobFile, match=words):
        check_job_file(path)


def test_a_file_that_is_not_there_gets_one_sentence(tmp_path: Path) -> None:
    """A wrong name is said to be one; nothing is made."""
    with pytest.raises(UnusableJobFile, match="is not there"):
        opened(tmp_path / "pit.gpkg")
    assert list(tmp_path.iterdir()) == []


def test_another_database_is_no_job_file(tmp_path: Path) -> None:
    """A database without our schema number is refused."""
    with database(tmp_path / "pit.gpkg") as connection:
        connection.execute("CREATE TABLE leaks (fid INTEGER)")
    with pytest.raises(UnusableJobFile, match="a database but no job file"):
        opened(tmp_path / "pit.gpkg")


@pytest.mark.parametrize(
    "harm",
    [
        "UPDATE leaks SET wetness = 7 WHERE fid = 2",
        "UPDATE leaks SET from_m = 'far' WHERE fid = 2",
        "UPDATE joints SET geom = x'00' WHERE fid = 1",
        "UPDATE blind_stretches SET to_m = -1 WHERE fid = 1",
        "DELETE FROM job",
        "DELETE FROM rules WHERE name = 'bridge_m'",
        "UPDATE rules SET value = 'wide' WHERE name = 'bridge_m'",
        "DROP TABLE cuts",
    ],
)
def test_a_damaged_row_gets_one_sentence(tmp_path: Path, harm: str) -> None:
    """A row that cannot be read stops the opening with one sentence; no lock is left and nothing is changed."""
    path = make(tmp_path)
    with database(path) as connection:
        connection.execute(harm)
    with pytest.raises(UnusableJobFile, match=r"pit\.gpkg (is damaged|could not be used)"):
        opened(path)
    assert table(path, "leakmap_lock") == []


def test_a_torn_file_gets_one_sentence(tmp_path: Path) -> None:
    """A file that was cut short, as by a broken copy, is refused with one sentence."""
    path = make(tmp_path)
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    with pytest.raises(UnusableJobFile, match="damaged"):
        opened(path)


def test_a_change_by_another_program_is_noticed_before_it_is_lost(tmp_path: Path) -> None:
    """What another program wrote while the job was open here is not overwritten."""
    path = make(tmp_path)
    with opened(path) as file:
        with database(path) as connection:
            connection.execute("UPDATE leaks SET note = 'by a map program' WHERE fid = 1")
        with pytest.raises(UnusableJobFile, match=r"changed by another program .* close the job and open it again"):
            file.save(replace(file.job, name="Pit 2"), words="Renamed", user="A. Rook", at=AT)
    assert read(path).leaks[leak_id(1)].note == "by a map program"


def test_the_journal_does_not_lead_back_past_a_change_by_another_program(tmp_path: Path) -> None:
    """Undo ends where a row is not what the journal says that it became."""
    path = make(tmp_path)
    for note in ("one", "two"):
        job = read(path)
        save(path, replace(job, leaks={**job.leaks, leak_id(1): replace(job.leaks[leak_id(1)], note=note)}))
    with opened(path) as file:
        assert next(earlier.job.leaks[leak_id(1)].note for earlier in file.earlier_jobs()) == "one"
    with database(path) as connection:
        connection.execute("UPDATE leaks SET note = 'three' WHERE fid = 1")
    with opened(path) as file:
        assert list(file.earlier_jobs()) == []
    assert [finding.code for finding in check_job_file(path)] == ["changed-outside"]


def test_looking_changes_nothing(tmp_path: Path) -> None:
    """A job that is opened to look cannot be saved, and its file stays as it is byte for byte."""
    path = make(tmp_path)
    before = path.read_bytes()
    with opened(path, look_only=True) as file:
        assert file.look_only
        with pytest.raises(UnusableJobFile, match="opened to look"):
            file.save(replace(file.job, name="Pit 2"), words="", user="", at=AT)
        file.put_parsed(KEY, b"skipped", at=AT)
        file.beat(later(1))
    assert path.read_bytes() == before


def test_the_journal_is_only_added_to(tmp_path: Path) -> None:
    """Not even another program can change or take out an entry without meaning to."""
    with database(make(tmp_path)) as connection:
        for deed in ("UPDATE journal SET words = ''", "DELETE FROM journal"):
            with pytest.raises(sqlite3.IntegrityError, match="the journal is never changed"):
                connection.execute(deed)


def test_the_journal_says_who_did_what_when(tmp_path: Path) -> None:
    """An entry names the user, the time with its zone, the words, and the rows before and after."""
    path = make(tmp_path)
    job = read(path)
    with opened(path) as file:
        file.save(replace(job, cuts={}), words="Took out every cut", user="B. Teal", at=later(1).astimezone(None))
        entry = file.journal()[-1]
    assert (entry.sequence, entry.user, entry.words, entry.at) == (2, "B. Teal", "Took out every cut", later(1))
    assert entry.at.utcoffset() is not None
    assert entry.before.keys() == entry.after.keys() == {"cuts"}
    assert set(entry.after["cuts"].values()) == {None}
    assert [row["item"]["at_m"] for row in entry.before["cuts"].values()] == [2.0, 0.1]


def test_a_joint_is_one_of_three_courses(tmp_path: Path) -> None:
    """An open line that ends where it starts stays open, a closed one closed, a point a point."""
    joints: list[Joint] = list(read(make(tmp_path)).joints.values())
    assert [joint.closed for joint in joints] == [False, True, False, False, True, True, False]
    assert [joint.path is None for joint in joints] == [False, False, False, True, True, True, False]


def test_a_save_after_the_clock_went_back_is_kept(tmp_path: Path) -> None:
    """A clock that was set back loses nothing: entries are ordered by their number."""
    path = make(tmp_path)
    with opened(path) as file:
        file.save(replace(file.job, name="Pit 2"), words="Renamed", user="A. Rook", at=AT - timedelta(days=1))
        assert [entry.sequence for entry in file.journal()] == [1, 2]
    assert read(path).name == "Pit 2"
