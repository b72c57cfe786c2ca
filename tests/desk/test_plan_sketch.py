"""The drawing appears on the plan while it is read."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from leakmap.desk.plan.view import PlanView
from leakmap.desk.reading import Reading
from leakmap.desk.things import Stage
from tests.helpers.desks import desk_with
from tests.helpers.small_jobs import one_line


@pytest.mark.parametrize("ending", ["stopped", "failed"])
def test_drawing_is_sketched_while_it_is_read(qtbot: QtBot, tmp_path: Path, ending: str) -> None:
    """From the first lines that come in until the reading ends, a sketch stands in place of the level."""
    with desk_with(one_line()[0], tmp_path, Stage.DRAWING) as desk:
        view = PlanView(desk)
        qtbot.addWidget(view)
        view.resize(500, 400)
        view.show()
        reading = Reading(desk)
        desk.working.emit(reading)
        assert not view._paper.sketched
        reading.piece.emit(np.array([(0.0, 0.0, 31200.0, 0.0), (0.0, 0.0, 0.0, 21600.0)]))
        view.repaint()
        assert view._paper.sketched
        if ending == "stopped":
            reading.stopped.emit()
        else:
            reading.failed.emit("It could not be read.")
        view.repaint()
        assert not view._paper.sketched
        view.close()
