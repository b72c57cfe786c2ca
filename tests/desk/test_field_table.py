"""A filled field table in the window: told first, taken by its button, undone as one step."""

from __future__ import annotations

from pathlib import Path

from leakmap.base.measures import Units
from leakmap.desk.field_table import offer_field_rows
from leakmap.desk.things import Stage
from leakmap.desk.trouble import Trouble
from leakmap.model.job import Job
from leakmap.work.field import read_field
from tests.helpers.desks import desk_with
from tests.helpers.paper_job import paper_job

TABLE = b"joint,from,to,wetness,note\nJ-03,1,2,3,\nJ-03,4,5,9,\n"


def test_a_table_is_told_before_it_is_taken(tmp_path: Path) -> None:
    """Nothing changes before the button; then its leaks are there, and one undo takes them back."""
    job = paper_job()
    job = Job(id=job.id, name=job.name, sheets=job.sheets, joints=job.joints)
    told: list[Trouble] = []
    with desk_with(job, tmp_path, Stage.LEAKS) as desk:
        desk.troubled.connect(told.append)
        offer_field_rows(desk, read_field(TABLE, "t.csv", Units.METRIC))
        assert "t.csv has 1 leak to take." in told[0].sentence
        assert 'wetness is "9"' in told[0].sentence
        assert desk.job is not None
        assert not desk.job.leaks
        told[0].answers[0].give()
        assert [leak.from_m for leak in desk.job.leaks.values()] == [1.0]
        desk.undo()
        assert not desk.job.leaks
