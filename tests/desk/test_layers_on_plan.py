"""What the ledger does to a layer is seen on the plan."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest
from PySide6.QtCore import QSize
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot

from leakmap.base.resources import resource
from leakmap.desk.plan.view import PlanView
from leakmap.desk.state import Desk
from leakmap.desk.things import Stage
from leakmap.model.sheet import Source
from leakmap.work.edits.scales import set_scale
from leakmap.work.edits.sheets import show_layer
from tests.helpers.desks import desk_with
from tests.helpers.small_jobs import one_sheet

PLAN = resource("sample_plans", "tern_quay_b2.dxf").read_bytes()


def darkness(view: PlanView, qtbot: QtBot) -> int:
    """How much ink lies on the plan: the sum of what each pixel lacks to white."""
    view.scene.finish()
    qtbot.wait(50)  # a tile at a time is painted
    view._paper.settle(view.camera)
    image = view.grab().toImage().convertToFormat(QImage.Format.Format_Grayscale8)
    size: QSize = image.size()
    return sum(255 * size.width() - sum(bytes(image.constScanLine(y))[: size.width()]) for y in range(size.height()))


@pytest.mark.slow
def test_a_faint_layer_is_paler_than_a_full_one_and_darker_than_a_hidden_one(tmp_path: Path, qtbot: QtBot) -> None:
    """The same plan with the walls full, faint and hidden has less and less ink on it."""
    source = Source(name="tern_quay_b2.dxf", sha256=hashlib.sha256(PLAN).hexdigest(), unit=0.001)
    job, sheet = one_sheet(source=source)
    job = set_scale(job, sheet=sheet, x_m_per_unit=0.001).job
    with desk_with(job, tmp_path, Stage.DRAWING, (PLAN,)) as desk:
        view = PlanView(desk)
        qtbot.addWidget(view)
        view.resize(900, 600)
        view.show()
        view.fit()
        full = darkness(view, qtbot)
        desk.show_faint(sheet, "WALLS", faint=True)
        faint = darkness(view, qtbot)
        hide(desk)
        hidden = darkness(view, qtbot)
        assert full > faint > hidden


def hide(desk: Desk) -> None:
    """Hide the walls in the job."""
    assert desk.job is not None
    assert desk.level is not None
    desk.do(show_layer(desk.job, sheet=desk.level, layer="WALLS", shown=False))


@pytest.mark.slow
def test_a_plan_in_the_wrong_unit_opens_all_the_same(tmp_path: Path, qtbot: QtBot) -> None:
    """Millimetres taken for metres make a plan 31 km wide; it shows, and references are worked out."""
    source = Source(name="tern_quay_b2.dxf", sha256=hashlib.sha256(PLAN).hexdigest(), unit=1.0)
    job, _ = one_sheet(source=source)
    with desk_with(job, tmp_path, Stage.DRAWING, (PLAN,)) as desk:
        view = PlanView(desk)
        qtbot.addWidget(view)
        view.resize(900, 600)
        view.show()
        view.scene.finish()
        assert view.extent()[2] - view.extent()[0] > 31_000
