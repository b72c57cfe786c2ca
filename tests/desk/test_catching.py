"""What the pointer is caught on while the places of a large drawing are still being gathered."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from leakmap.desk.aside import Aside
from leakmap.desk.plan import catching
from leakmap.desk.plan.catching import Catching
from leakmap.desk.state import Desk
from leakmap.desk.tools.set_scale import SetScale
from leakmap.work.edits.sheets import show_layer
from leakmap.work.job_drawings import brought_in
from tests.helpers.open_jobs import new_job
from tests.helpers.small_jobs import one_sheet

DXF = b"0\nSECTION\n2\nENTITIES\n0\nLINE\n8\nW\n10\n0\n20\n0\n11\n6\n21\n0\n0\nENDSEC\n0\nEOF\n"


@pytest.fixture
def desk(qapp: object, tmp_path: Path) -> Iterator[Desk]:
    """A desk with a level that shows a drawing of one line, from 0 to 6 m."""
    del qapp
    job = new_job(tmp_path, one_sheet()[0])
    edit = job.add_drawing(brought_in("b1.dxf", DXF, m_per_unit=1.0), name="B1")
    desk = Desk()
    desk.put(job)
    desk.show_level(edit.made[0])
    yield desk
    for aside in desk.findChildren(Aside):
        aside.drop()
    job.close()


def caught(desk: Desk, catches: Catching) -> str:
    """The reason why the pointer is caught near the end of the line."""
    catch = catches.catch((6.01, 0.01), 0.1, SetScale(desk))
    return catch.words if catch is not None else ""


def test_small_drawing_catches_at_once(desk: Desk) -> None:
    """The first move of the pointer is caught already."""
    assert caught(desk, Catching(desk)) == "end of a line"


def test_large_drawing_catches_once_its_places_are_gathered(
    desk: Desk, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Until then the drawing catches nothing and nobody waits; other layers are gathered anew, the job's deeds are not."""
    monkeypatch.setattr(catching, "AT_ONCE", 1)
    catches = Catching(desk)
    assert caught(desk, catches) == ""
    qtbot.waitUntil(lambda: caught(desk, catches) == "end of a line")
    assert desk.open_job is not None
    assert desk.level is not None
    desk.do(show_layer(desk.open_job.job, sheet=desk.level, layer="W", shown=False))
    assert caught(desk, catches) == ""
    (aside,) = desk.findChildren(Aside)
    aside.settle()
    assert caught(desk, catches) == ""
    desk.undo()
    qtbot.waitUntil(lambda: caught(desk, catches) == "end of a line")
