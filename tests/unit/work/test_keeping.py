"""A drawing kept in a job file beside the work that goes on in it."""

from __future__ import annotations

from pathlib import Path
from threading import Thread

import pytest

from leakmap.base.errors import EditRefused
from leakmap.work.edits.rules import rename_job
from leakmap.work.job_drawings import brought_in, sheet_added
from leakmap.work.open_job import opened
from leakmap.work.writing import ON_DISK
from tests.helpers.open_jobs import MORNING, hand, kept_in, leave_lock, new_job
from tests.helpers.small_jobs import one_sheet

DXF = b"0\nSECTION\n2\nENTITIES\n0\nLINE\n8\nW\n10\n0\n20\n0\n11\n6000\n21\n0\n0\nENDSEC\n0\nEOF\n"


def test_a_drawing_is_kept_beside_the_work(tmp_path: Path) -> None:
    """Written in another thread, the drawing is there for a sheet to show, now and after opening again."""
    job = new_job(tmp_path, one_sheet()[0])
    plan = brought_in("b1.dxf", DXF, m_per_unit=0.001)
    thread = Thread(target=job.begin_keeping(plan))
    thread.start()
    thread.join()
    job.end_keeping(plan)
    edit = sheet_added(job.job, plan, name="B1")
    job.do(edit)
    assert job.drawing(edit.made[0]) is plan.drawing
    job.close()
    again = opened(job.file.path, hand())
    found = again.drawing(edit.made[0])
    assert found is not None
    assert len(found.strokes) == 1
    assert again.drawings().sources == {plan.source.sha256: DXF}
    again.close()


def test_a_deed_done_meanwhile_waits_and_is_written(tmp_path: Path) -> None:
    """While a drawing is kept a deed waits in memory, in words for the foot, and is on disk right afterwards."""
    job = new_job(tmp_path, one_sheet()[0])
    plan = brought_in("b1.dxf", DXF)
    write = job.begin_keeping(plan)
    job.do(rename_job(job.job, name="Pit 2"))
    assert job.saved_words == "not saved: a drawing is being kept"
    assert kept_in(job.file.path).name != "Pit 2"
    write()
    job.end_keeping(plan)
    assert job.saved_words == ON_DISK
    assert kept_in(job.file.path).name == "Pit 2"
    job.close()


def test_a_drawing_that_was_not_kept_leaves_no_trace(tmp_path: Path) -> None:
    """Given up, the job goes on as if nothing had been begun, and the same drawing can be kept later."""
    job = new_job(tmp_path, one_sheet()[0])
    plan = brought_in("b1.dxf", DXF)
    job.begin_keeping(plan)
    job.end_keeping(None)
    job.do(rename_job(job.job, name="Pit 2"))
    job.begin_keeping(plan)()
    job.end_keeping(plan)
    assert job.file.blob(plan.source.sha256) == DXF
    job.close()


def test_a_job_to_look_at_keeps_no_drawing(tmp_path: Path) -> None:
    """What can only be looked at says so before anything is begun."""
    job = new_job(tmp_path, one_sheet()[0])
    job.close()
    leave_lock(job.file.path, MORNING, host="site-laptop-2")
    again = opened(job.file.path, hand())
    with pytest.raises(EditRefused, match="You can look, not change"):
        again.begin_keeping(brought_in("b1.dxf", DXF))
    again.close()
