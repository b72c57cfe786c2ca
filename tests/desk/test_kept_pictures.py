"""Panes of the window beside pictures of them that somebody looked at."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image
from pytestqt.qtbot import QtBot

from leakmap.base.measures import Units
from leakmap.desk.faces import load_faces
from leakmap.desk.theme import theme
from leakmap.desk.things import Stage
from leakmap.desk.window import MainWindow
from leakmap.work.edits.rules import set_units
from leakmap.work.settings import Contrast, Theme
from tests.helpers.kept_pictures import FOLDER, MOST, SIZE, pit, share_of_others, small, taken
from tests.helpers.windows import all_painted, window_with


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    """A window on the pit of the kept pictures."""
    load_faces()
    with window_with(pit(), tmp_path, size=SIZE) as window:
        qtbot.waitExposed(window)
        yield window
    theme().choose(Theme.SYSTEM, Contrast.SYSTEM)


def test_panes_look_as_they_were_kept(window: MainWindow) -> None:
    """Each pane is its kept picture but for the smoothing of edges; where it should look otherwise, they are made anew."""
    pictures = taken(window)
    assert set(pictures) == {path.stem for path in FOLDER.glob("*.png")}
    others = {
        name: share_of_others(one, Image.open(FOLDER / f"{name}.png").convert("L")) for name, one in pictures.items()
    }
    assert {name: share for name, share in others.items() if share > MOST} == {}


def test_what_really_changes_is_noticed(window: MainWindow) -> None:
    """Another stage, nothing picked and other units are more than the tolerance in every pane that shows them."""
    desk, kept = window.desk, {path.stem: Image.open(path).convert("L") for path in FOLDER.glob("*.png")}
    assert desk.job is not None
    desk.do(set_units(desk.job, units=Units.IMPERIAL))
    desk.go_to(Stage.LEAKS)
    desk.pick()
    all_painted(window.plan)
    panes = {"stage line": window.stage_line, "strip": window.strip, "plan": window.plan, "tape": window.tape,
             "ledger": window.ledger, "foot": window.foot, "dark plan": window.plan}  # fmt: skip
    for name, pane in panes.items():
        assert share_of_others(small(pane.grab().toImage()), kept[name]) > MOST, name
