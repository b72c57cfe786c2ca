"""A job kept in a file: made, opened, saved, issued."""

from __future__ import annotations

import json
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
from leakmap.records.check import check_job_file
from leakmap.records.frozen import frozen_text, job_of_frozen
from leakmap.records.job_file import create_job_file
from tests.helpers.job_files import (
    AT,
    PAPERS,
    PHOTOS,
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
    """A folder that is not there gets one sentence, which names the file that was asked for."""
    with pytest.raises(UnusableJobFile, match=r"^pit\.gpkg cannot be opened or written here"):
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
    assert len(table(tmp_path / "pit.gpkg", "blobs")) == 1 + len(PHOTOS)


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
