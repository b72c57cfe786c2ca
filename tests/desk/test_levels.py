"""The levels strip: the cut through the building, and what is typed beside it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from leakmap.base.measures import Units
from leakmap.desk.larger import larger, sizes_for
from leakmap.desk.levels import Levels
from leakmap.desk.state import Desk
from leakmap.desk.things import Stage
from leakmap.desk.tools.level_facts import LevelFacts, WaterFacts
from leakmap.model.job import WaterLevel
from leakmap.work.edits.rules import set_units, set_water_level
from leakmap.work.edits.sheets import add_sheet, rename_sheet, set_floor_level
from leakmap.work.settings import DEFAULTS
from tests.helpers.desks import Fingers, desk_with
from tests.helpers.small_jobs import one_line
from tests.helpers.words_painted import lost

LEFT = Qt.MouseButton.LeftButton
HIGH_PX = 700


@pytest.fixture
def desk(tmp_path: Path, qtbot: QtBot) -> Iterator[Desk]:  # noqa: ARG001 - the application must be there
    """A desk on a job with B2 at -7.80 and B1 at -3.60."""
    job, _ = one_line()
    job = set_floor_level(job, sheet=next(iter(job.sheets)), floor_level_m=-7.8).job
    with desk_with(add_sheet(job, name="B1", floor_level_m=-3.6).job, tmp_path, Stage.LEAKS) as made:
        yield made


@pytest.fixture
def levels(desk: Desk, qtbot: QtBot) -> Levels:
    """Its levels strip."""
    made = Levels(desk)
    qtbot.addWidget(made)
    made.resize(92, HIGH_PX)
    made.show()
    return made


def _water(desk: Desk) -> WaterLevel | None:
    assert desk.job is not None
    return desk.job.water


def test_the_water_is_typed_under_the_levels(levels: Levels, desk: Desk, qtbot: QtBot) -> None:
    """A press on the cell asks for level, day and source; Enter sets all three as one undo, and the cell says them."""
    assert levels.water.accessibleName() == "Ground water not known"
    qtbot.mouseClick(levels.water, LEFT)
    assert isinstance(desk.tool, WaterFacts)
    fingers = Fingers(desk)
    for words in ("-2.4", "2 Nov 2026", "standpipe"):
        fingers.type(words)
        assert fingers.tool.tabbed()
    fingers.tool.entered()
    assert _water(desk) == WaterLevel(level_m=-2.4, seen=date(2026, 11, 2), source="standpipe")
    assert desk.tool is None
    assert levels.water.accessibleName() == "Ground water minus 2.40, 02 Nov 2026, standpipe"
    desk.undo()
    assert _water(desk) is None
    assert levels.water.accessibleName() == "Ground water not known"


def test_water_is_emptied_by_keys_and_kept_to_its_millimetre(levels: Levels, desk: Desk, qtbot: QtBot) -> None:
    """Enter on the cell asks; what is not touched keeps its level of -2.404; without a level there is no source."""
    assert desk.job is not None
    desk.do(set_water_level(desk.job, level_m=-2.404, source="standpipe"))
    levels.water.setFocus(Qt.FocusReason.TabFocusReason)
    qtbot.keyClick(levels.water, Qt.Key.Key_Return)
    fingers = Fingers(desk)
    fingers.tool.tabbed()
    fingers.type("2026-11-02")
    fingers.tool.entered()
    assert _water(desk) == WaterLevel(level_m=-2.404, seen=date(2026, 11, 2), source="standpipe")
    qtbot.keyClick(levels.water, Qt.Key.Key_Return)
    fingers.tool.deleted()
    with qtbot.waitSignal(desk.troubled) as told:
        fingers.tool.entered()
    assert "needs the level of the water" in told.args[0].sentence
    for _ in range(2):
        fingers.tool.tabbed()
        fingers.tool.deleted()
    fingers.tool.entered()
    assert _water(desk) is None


def test_f2_asks_for_name_and_slab(levels: Levels, desk: Desk, qtbot: QtBot) -> None:
    """Name and slab of the level on the plan are one undo; the strip orders the boxes by the slabs."""
    qtbot.keyClick(levels, Qt.Key.Key_F2)
    assert isinstance(desk.tool, LevelFacts)
    fingers = Fingers(desk)
    fingers.type("Deck")
    fingers.tool.tabbed()
    fingers.type("1.25")
    fingers.tool.entered()
    assert desk.job is not None
    assert desk.open_job is not None
    assert [desk.job.sheets[key].name for key in levels.boxes()] == ["Deck", "B1"]
    assert next(iter(desk.job.sheets.values())).floor_level_m == pytest.approx(1.25)
    assert desk.open_job.undo_words == "set name and slab of B2"
    desk.undo()
    assert [desk.job.sheets[key].name for key in levels.boxes()] == ["B1", "B2"]


def test_many_levels_shrink_and_scroll_with_the_keys(levels: Levels, desk: Desk, qtbot: QtBot) -> None:
    """Up to four levels are large; with fifteen each is 56 high, and the one that keys go to is in sight."""
    assert {round(box.height()) for box in levels.boxes().values()} == {118, 138}
    for number in range(13):
        assert desk.job is not None
        desk.do(add_sheet(desk.job, name=f"L{number}", floor_level_m=4.0 * number))
    assert {round(box.height()) for box in levels.boxes().values()} == {56}
    for _ in range(15):
        qtbot.keyClick(levels, Qt.Key.Key_Up)
    boxes = list(levels.boxes().values())
    assert boxes[0].top() > 0
    assert boxes[-1].bottom() > HIGH_PX
    for _ in range(15):
        qtbot.keyClick(levels, Qt.Key.Key_Down)
    lowest = list(levels.boxes().values())[-1]
    assert lowest.bottom() < levels.water.geometry().top() < levels.water.geometry().bottom() <= HIGH_PX


def test_the_water_never_stands_half_below_the_edge(levels: Levels, desk: Desk) -> None:
    """Where the strip is low, the lines of the ground water that have no room are left out, the level last of all."""
    assert desk.job is not None
    desk.do(set_water_level(desk.job, level_m=-2.4, seen=date(2026, 11, 2), source=""))
    for high, lines in ((900, 3), (180, 3), (140, 2), (125, 1)):
        levels.resize(levels.width(), high)
        shown = levels.water.geometry()
        assert shown.bottom() < levels.height()
        assert shown.height() // 17 == lines, high


def test_a_level_with_a_long_name_says_it_in_a_tip(levels: Levels, desk: Desk) -> None:
    """Forty letters have no room in a box: the strip's tip holds the name, and none that is read there."""
    assert desk.job is not None
    assert not levels.toolTip()
    long = "Υπόγειο δύο κάτω από την είσοδο του κτιρ"
    desk.do(rename_sheet(desk.job, sheet=next(iter(desk.job.sheets)), name=long))
    assert levels.toolTip() == long


def test_a_level_in_feet_and_inches_has_room_in_its_box(levels: Levels, desk: Desk) -> None:
    """-103' 11 7/8" stands whole in a box of the compact strip, at the usual size and at twice that."""
    assert desk.job is not None
    desk.do(set_floor_level(desk.job, sheet=next(iter(desk.job.sheets)), floor_level_m=-31.6961))
    desk.do(set_units(desk.job, units=Units.IMPERIAL))
    try:
        for percent in (100, 200):
            larger().follow(replace(DEFAULTS, text_percent=percent))
            levels.set_sizes(sizes_for(1280))
            levels.refresh()
            assert not lost(levels), percent
    finally:
        larger().follow(DEFAULTS)
