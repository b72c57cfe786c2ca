"""When joints changed and files came in, as the journal of a job file knows it."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

from leakmap.model.job import Job
from leakmap.model.sheet import Source
from leakmap.model.words import Kind
from leakmap.records.job_file import create_job_file, open_job_file
from leakmap.work.edits.facts import set_kind
from leakmap.work.edits.joints import rename_joint
from leakmap.work.ledger_rows import joint_table, sheet_table
from leakmap.work.row_days import RowDays
from tests.helpers.small_jobs import DRAWN, joint_named, one_line, with_line

MADE, NEXT, LATER = (datetime(2026, 11, day, 14, 0, tzinfo=UTC) for day in (2, 5, 9))


def _days(job: Job, days: RowDays) -> dict[object, object]:
    lines = joint_table(job, None, changed=days.changed(job)).lines
    return {line.values["ref"]: line.values.get("changed") for line in lines}


def test_the_journal_tells_the_days(tmp_path: Path) -> None:
    """A joint has the day of its last deed, else that on which the file was made; a level that of its file's coming in.

    Another file under the level has its own day, and the first its old one when it comes back.
    """
    job, first = one_line(source=DRAWN)
    job, second = with_line(job, ((0, 2), (4, 2)))
    sheet = next(iter(job.sheets))
    create_job_file(tmp_path / "job.gpkg", job, user="ann", at=MADE)
    with open_job_file(tmp_path / "job.gpkg", user="ann", host="site", at=MADE) as file:
        days = RowDays(file)
        assert _days(job, days) == {"J-01": MADE.date(), "J-02": MADE.date()}
        assert days.received(job) == {sheet: MADE.date()}
        job = set_kind(job, joint=second, kind=Kind.CRACK).job
        file.save(job, words="set kind of J-02", user="ann", at=NEXT)
        assert _days(job, days) == {"J-01": MADE.date(), "J-02": NEXT.date()}
        job = rename_joint(job, joint=first, ref="J-09").job
        other = Source(name="other.dxf", sha256="1" * 64)
        with_other = replace(job, sheets={sheet: replace(job.sheets[sheet], source=other)})
        file.save(with_other, words="redraw B2", user="ann", at=LATER)
        assert _days(job, days) == {"J-09": LATER.date(), "J-02": NEXT.date()}
        assert days.received(with_other) == {sheet: LATER.date()} == RowDays(file).received(with_other)
        assert days.received(job) == {sheet: MADE.date()}
        (line,) = sheet_table(job, days.received(job)).lines
        assert line.values["received"] == date(2026, 11, 2)
        assert joint_named(job, "J-09").id == first


def test_a_damaged_journal_tells_no_days(tmp_path: Path) -> None:
    """Where an entry is no JSON, days are left out; nothing else suffers."""
    job, line = one_line()
    path = tmp_path / "job.gpkg"
    create_job_file(path, job, user="ann", at=MADE)
    with open_job_file(path, user="ann", host="site", at=MADE) as file:
        file.save(rename_joint(job, joint=line, ref="J-09").job, words="rename", user="ann", at=NEXT)
    with sqlite3.connect(path) as connection:
        (name,) = connection.execute(
            "SELECT name FROM sqlite_master WHERE type = 'trigger' AND sql LIKE '%UPDATE%journal%'"
        ).fetchone()
        connection.execute(f"DROP TRIGGER {name}")
        connection.execute("UPDATE journal SET at = 'never', after = '{' WHERE fid = 2")
    with open_job_file(path, user="ann", host="site", at=MADE, look_only=True) as file:
        assert RowDays(file).changed(file.job) == {line: MADE.date()}
