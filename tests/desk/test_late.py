"""What the window imports late: nothing of it at a start, and each of it where it is named."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Final

import pytest

from leakmap.desk.tools.late import Late
from leakmap.desk.tools.set_grid import SetGrid, grid_tool
from leakmap.desk.tools.table import ACTIONS
from leakmap.desk.tools.tool import Action
from leakmap.records.job_file import create_job_file
from tests.helpers.small_jobs import one_line, with_leak
from tests.helpers.windows import AT

ROOT: Final = Path(__file__).resolve().parents[2]
STARTED: Final = """
import json, sys
from pathlib import Path
from PySide6.QtWidgets import QApplication
from leakmap.console import main
from leakmap.desk.state import Desk
from leakmap.desk.window import MainWindow
app = QApplication([])
window = MainWindow(Desk())
window.show()
app.processEvents()
told = [sorted(sys.modules)]
window.sitting.open_file(Path(sys.argv[1]))
window.sitting.settle()
while window.plan.at_work or window.plan.scene.busy or window.centre.band.working:
    app.processEvents()
assert window.desk.open_job is not None and window.plan.isVisible() and window.plan.scene.level.staffs is not None
window.activateWindow()
app.processEvents()
assert window.plan.hasFocus() and window.focusNextPrevChild(True) and not window.plan.hasFocus()
told.append(sorted(sys.modules))
window.sitting.close()
print(json.dumps(told))
"""
LIBRARIES: Final = (
    "PIL", "babel", "email", "ezdwg", "ezdxf", "fontTools", "numpy.ma", "openpyxl", "pikepdf", "pypdfium2", "pyvips",
    "reportlab", "xlsxwriter",
)  # fmt: skip
"""Libraries that only some work needs."""

OURS: Final = (
    "desk.declared_view", "desk.field_table", "desk.find.listing", "desk.find.old_jobs", "desk.find.rows",
    "desk.job_sheets", "desk.leaflet_view", "desk.levels_in", "desk.pages_view", "desk.papers_view", "desk.reading",
    "desk.table_in", "desk.tools.facts", "desk.tools.level_facts", "desk.units_menu", "drawings.dwg", "drawings.dxf",
    "drawings.pdf", "drawings.scan", "drawings.worker", "issue.field_sheets", "issue.marked_dxf.write",
    "issue.plan_set", "issue.workbook", "repair.comparison", "work.field", "work.find.places", "work.leaflets",
    "work.marked_file", "work.new_job", "work.proposals", "work.sample_file", "work.sample_job",
)  # fmt: skip
"""Modules of ours, or packages with all in them, that come when they are taken, besides those of tools."""

OF_TOOLS: Final = [action for action in ACTIONS if isinstance(action.tool, Late)]


@pytest.fixture(scope="module")
def started(tmp_path_factory: pytest.TempPathFactory) -> list[set[str]]:
    """Modules that a process has imported by the time its window is painted: without a job, and then with one."""
    folder = tmp_path_factory.mktemp("started")
    job = folder / "pit.gpkg"
    create_job_file(job, with_leak(*one_line(), 1.0, 2.0)[0], user="ann", at=AT)
    own = {name: str(folder) for name in ("XDG_STATE_HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME")}
    command = [sys.executable, "-c", STARTED, str(job)]
    environment = {**os.environ, **own, "QT_QPA_PLATFORM": "offscreen"}
    done = subprocess.run(command, check=True, capture_output=True, text=True, cwd=ROOT, env=environment, timeout=120)
    return [set(each) for each in json.loads(done.stdout)]


@pytest.mark.parametrize("with_job", [0, 1], ids=["no job", "job"])
def test_a_start_imports_nothing_late(started: list[set[str]], with_job: int) -> None:
    """A window that was just painted, or left by Tab, has imported no library, pane, reader, writer or tool that waits to be taken."""
    tools = {f"leakmap.desk.tools.{action.tool.module}" for action in OF_TOOLS if isinstance(action.tool, Late)}
    late = (*LIBRARIES, *(f"leakmap.{each}" for each in OURS), *tools)
    loaded = started[with_job]
    assert "leakmap.desk.window" in loaded
    assert [each for each in late if each in loaded or any(name.startswith(f"{each}.") for name in loaded)] == []


def test_what_is_late_is_there() -> None:
    """Every module that a start must not import exists, so that a new name cannot slip past."""
    for each in OURS:
        path = ROOT.joinpath("leakmap", *each.split("."))
        assert path.is_dir() or path.with_suffix(".py").is_file(), each


@pytest.mark.parametrize("action", OF_TOOLS, ids=lambda action: f"{action.stage.title} {action.key}")
def test_a_button_is_that_of_its_tool(action: Action) -> None:
    """Letter and label of a button are those of the tool that its table names."""
    assert isinstance(action.tool, Late)
    maker = action.tool.maker
    kind = SetGrid if maker is grid_tool else maker
    assert (kind.key, kind.name) == (action.key, action.label)
