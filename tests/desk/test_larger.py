"""Text size: everything that is read grows, and nothing of it is lost."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QModelIndex
from PySide6.QtGui import QFontMetricsF
from PySide6.QtWidgets import QStyleOptionViewItem
from pytestqt.qtbot import QtBot

from leakmap.desk.faces import text
from leakmap.desk.larger import larger, sizes_for
from leakmap.desk.pens import width_of
from leakmap.desk.plan.ink import width_of as width_on_plan
from leakmap.desk.things import Declared, Stage
from leakmap.desk.tokens import BODY_TYPE, CAPTION_TYPE, COMPACT, WIDE
from leakmap.desk.window import MainWindow
from leakmap.model.words import Wetness
from leakmap.work.settings import DEFAULTS
from tests.helpers.small_jobs import one_line, with_leak
from tests.helpers.windows import window_with


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    """The compact window on a job with a zone, with letters of twice their size."""
    job, joint = one_line()
    with window_with(with_leak(job, joint, 1.0, 2.0, Wetness.SEEP)[0], tmp_path, size=(1280, 800)) as window:
        qtbot.waitExposed(window)
        window.desk.go_to(Stage.REPAIR)
        window.desk.change_setting("text_percent", 200)
        yield window
    larger().follow(DEFAULTS)


def test_twice_as_large_nothing_is_cut(window: MainWindow) -> None:
    """Stages, buttons, rows, columns and settings hold their words whole; set back, all is as it was."""
    sizes = window.sizes
    assert larger().share == 2.0
    assert text(BODY_TYPE).pixelSize() == 2 * round(BODY_TYPE)
    high = QFontMetricsF(text(BODY_TYPE)).height()
    for cell in window.stage_line.cells:
        assert width_of(cell.text(), text(sizes.stage_type, strong=cell.current)) <= cell.width() - 13
    assert all(
        button.height() >= high and button.width() >= button.sizeHint().width() for button in window.strip.buttons
    )
    table = window.ledger.table
    assert table.rowHeight(0) >= high
    for section, column in enumerate(window.ledger.model.columns):
        heading = column.heading.removesuffix(" m")
        assert table.columnWidth(section) >= width_of(heading, text(13.0, strong=True))
    assert window.plan.width() > 400
    window.desk.show_declared(Declared.SETTINGS)
    for row in window.declared.rows:
        assert row.usual.height() >= high or not row.usual.isVisible()
        assert all(word.width() >= word.sizeHint().width() for word in row.words)
    window.desk.change_setting("text_percent", 100)
    assert window.sizes is COMPACT
    assert text(BODY_TYPE).pixelSize() == round(BODY_TYPE)
    assert window.strip.buttons[0].height() == 40


def test_old_jobs_hold_their_letters(window: MainWindow) -> None:
    """Laid in the plan's place after letters were made larger, field and rows of old jobs have room for them."""
    window.desk.show_declared(Declared.OLD_JOBS)
    pane, high = window.old_jobs, QFontMetricsF(text(BODY_TYPE)).height()
    assert pane.words.font().pixelSize() == text(BODY_TYPE).pixelSize()
    assert pane.words.geometry().height() >= high
    assert pane.lines.y() - pane.words.geometry().bottom() > QFontMetricsF(text(CAPTION_TYPE)).height()
    assert pane.lines.itemDelegate().sizeHint(QStyleOptionViewItem(), QModelIndex()).height() >= high


def test_letters_of_the_plan_grow_once(window: MainWindow) -> None:
    """References on the plan are twice as large, and those that a drawing holds stay as they are."""
    assert window.plan.scene.lettering.px == 2 * COMPACT.plan_type
    before = width_on_plan("Z-07", 100.0)
    window.desk.change_setting("text_percent", 100)
    assert width_on_plan("Z-07", 100.0) == before
    assert sizes_for(1600) is WIDE
