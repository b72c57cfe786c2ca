"""Text size: everything that is read grows, and nothing of it is lost."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest
from PySide6.QtCore import QModelIndex, QRectF, Qt
from PySide6.QtGui import QFontMetricsF
from PySide6.QtWidgets import QApplication, QStyleOptionViewItem
from pytestqt.qtbot import QtBot

from leakmap.base.measures import Units
from leakmap.desk.beside import LEDGER
from leakmap.desk.faces import text
from leakmap.desk.larger import larger, sizes_for
from leakmap.desk.pens import width_of
from leakmap.desk.plan.ink import width_of as width_on_plan
from leakmap.desk.plan.overlay import field_box
from leakmap.desk.taking import take
from leakmap.desk.things import OF_JOB, Declared, Sort, Stage, Thing
from leakmap.desk.tokens import BODY_TYPE, CAPTION_TYPE, COMPACT, LEAST_WINDOW, WIDE
from leakmap.desk.tools.draw_joint import DrawJoint
from leakmap.desk.tools.leaks import LeakStretch
from leakmap.desk.tools.table import action_for
from leakmap.desk.tools.tool import LiveField
from leakmap.desk.trouble import Answer, Trouble
from leakmap.desk.window import MainWindow
from leakmap.model.words import Wetness
from leakmap.work.edits.leaks import add_photos
from leakmap.work.edits.rules import set_units
from leakmap.work.edits.sheets import rename_sheet
from leakmap.work.settings import DEFAULTS
from tests.helpers.small_jobs import one_line, photo, with_leak
from tests.helpers.windows import window_with
from tests.helpers.words_painted import lost, overlapping

SENTENCE = "The disk is full. Your work is safe in memory; free some space and it saves by itself."


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


def test_twice_as_large_every_word_can_be_read(window: MainWindow, qtbot: QtBot) -> None:
    """Nothing is written that is cut and cannot be read whole in a tip.

    In each stage, with tools that bring cells or a paper, on sheets, with a trouble, in the find box, in feet, at the start.
    """
    desk = window.desk
    window.beside.show(ledger=True, tape=True)
    for stage, letters in (
        (Stage.DRAWING, "N"),
        (Stage.JOINTS, "J"),
        (Stage.LEAKS, "L"),
        (Stage.REPAIR, "M"),
        (Stage.ISSUE, "RS"),
    ):
        desk.go_to(stage)
        assert not lost(window), stage
        for letter in letters:
            action = action_for(stage, letter)
            assert action is not None
            take(desk, action)
            assert not lost(window), (stage, letter)
            desk.take_tool(None)
    desk.go_to(Stage.AS_BUILT)
    assert desk.job is not None
    desk.do(set_units(desk.job, units=Units.IMPERIAL))
    assert not lost(window)
    for declared in (Declared.SETTINGS, *OF_JOB, Declared.OLD_JOBS, Declared.CAUTIONS):
        desk.show_declared(declared)
        assert not lost(window), declared
    desk.show_declared(None)
    desk.troubled.emit(Trouble(sentence=SENTENCE, answers=(Answer(words="Try again", give=lambda: None),)))
    for words in ("", "j-01", "nothing of the kind"):
        window.finder.take_keyboard()
        qtbot.keyClicks(window.finder, words)
        assert not lost(window), words
        window.finder.leave()
    window.sitting.close()
    assert not lost(window)


def test_long_names_can_be_read_in_the_smallest_window(qtbot: QtBot, tmp_path: Path) -> None:
    """Greek and Cyrillic names as long as they may be, at 1180 x 720: nothing is cut but what a tip says, nothing overlaps."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 1.0, 2.0, Wetness.SEEP)
    (sheet,) = job.sheets
    job = rename_sheet(job, sheet=sheet, name="Υπόγειο δύο κάτω από την είσοδο του κτιρ").job
    job = replace(
        job,
        name="Ремонт гидроизоляции насосной станции, вторая очередь работ",
        joints={joint: replace(job.joints[joint], ref="Рабочий шов подвала под лестницей 12")},
    )
    try:
        with window_with(job, tmp_path, size=(1180, 720)) as window:
            qtbot.waitExposed(window)
            for percent, stage in product((100, 200), (Stage.DRAWING, Stage.LEAKS, Stage.REPAIR)):
                window.desk.change_setting("text_percent", percent)
                window.beside.show(ledger=True, tape=True)
                window.desk.go_to(stage)
                window.desk.pick(Thing(Sort.JOINT, joint))
                assert not lost(window), (percent, stage)
                assert not overlapping(window), (percent, stage)
    finally:
        larger().follow(DEFAULTS)


def test_what_is_cut_is_found(window: MainWindow) -> None:
    """A caption that is longer than its cell is told as lost; with a tip it can be read."""
    cell = window.foot.from_grid
    cell.caption = "From the grid of the whole site"
    assert ("FootCell", cell.caption) in lost(window)
    cell.setToolTip(cell.caption)
    assert not lost(window)


def test_gloves_leave_the_plan_most_of_a_small_window(window: MainWindow, qtbot: QtBot) -> None:
    """At 150 % with gloves the plan has 55 % of 1280 x 800 in every stage; a press each brings ledger and tape, or both go."""
    desk, row = window.desk, window.glove_row
    desk.change_setting("text_percent", 150)
    desk.change_setting("glove_mode", True)
    for stage in Stage:
        desk.go_to(stage)
        QApplication.processEvents()
        assert window.plan.width() * window.plan.height() >= 0.55 * 1280 * 800, stage
        assert not lost(window), stage
    desk.change_setting("text_percent", 100)
    for button, pane in ((row.beside["Ledger"], window.ledger), (row.beside["Tape"], window.tape)):
        assert (pane.isVisible(), button.full) == (False, False)
        qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
        assert (pane.isVisible(), button.full) == (True, True)
    assert window.ledger.isVisible()
    assert not lost(window)
    window.beside.show_plan_only()
    desk.change_setting("glove_mode", False)
    assert not window.ledger.isVisible()  # put away by hand it stays away
    window.beside.show_plan_only()
    desk.change_setting("glove_mode", True)
    assert not window.ledger.isVisible()
    desk.change_setting("glove_mode", False)
    assert window.ledger.isVisible()
    assert window.tape.isVisible()


def test_the_sentence_gets_a_row_and_the_plan_stays_where_it_is(window: MainWindow) -> None:
    """Where the sentence has no room beside the cells it stands under them, whole, until another stage is gone to."""
    desk, strip = window.desk, window.strip
    desk.go_to(Stage.LEAKS)
    desk.take_tool(LeakStretch(desk))
    low = strip.sentence_room()
    assert low.top() > strip.buttons[0].geometry().bottom()
    assert low.height() >= QFontMetricsF(text(BODY_TYPE)).height()
    high, lowest = strip.height(), window.plan.height()
    desk.take_tool(None)
    QApplication.processEvents()
    assert (strip.height(), window.plan.height()) == (high, lowest)
    desk.go_to(Stage.JOINTS)
    desk.take_tool(DrawJoint(desk))
    assert not any(cell.short for cell in (*strip.buttons, *strip.choices))
    assert strip.choices[0].y() == strip.buttons[0].y() < strip.buttons[-1].y()
    assert strip.sentence_room().left() > strip.buttons[-1].geometry().right()
    assert strip.choices[-1].geometry().right() < strip.width()
    desk.change_setting("text_percent", 100)
    assert strip.height() == COMPACT.strip


def test_large_letters_leave_the_plan_half_of_a_small_window(window: MainWindow, qtbot: QtBot) -> None:
    """At 200 % the plan has about half of 1280 x 800; F7 and F8, or a word in the strip, bring ledger or tape instead."""
    desk = window.desk
    for stage in Stage:
        desk.go_to(stage)
        QApplication.processEvents()
        assert window.plan.width() * window.plan.height() >= 0.49 * 1280 * 800, stage
        for button in window.strip.buttons:
            assert not button.short, (stage, button.text())
            assert button.geometry().right() < window.strip.width()
    panes = {"Ledger": window.ledger, "Tape": window.tape}
    assert not any(pane.isVisible() for pane in panes.values())
    for name, key in (("Ledger", Qt.Key.Key_F7), ("Tape", Qt.Key.Key_F8)):
        qtbot.keyClick(window, key)
        assert [other for other, pane in panes.items() if pane.isVisible()] == [name]
        assert [other for other, word in window.strip.beside.words.items() if word.isChecked()] == [name]
        assert not lost(window), name
        qtbot.mouseClick(window.strip.beside.words[name], Qt.MouseButton.LeftButton)
        assert not panes[name].isVisible()
        assert not any(word.isChecked() for word in window.strip.beside.words.values())
    desk.change_setting("text_percent", 100)
    assert all(pane.isVisible() for pane in panes.values())
    assert not window.strip.beside.words["Ledger"].isVisible()


def test_photos_and_totals_leave_rows_their_room(window: MainWindow) -> None:
    """At 200 % beside a leak with photos two rows are seen whole, names of photos and both buttons too, nothing overlaps."""
    desk = window.desk
    assert desk.job is not None
    (leak,) = desk.job.leaks.values()
    desk.do(add_photos(desk.job, leak=leak.id, photos=(photo("crack.jpg"), photo("wet.jpg"))))
    desk.go_to(Stage.LEAKS)
    window.beside.turn(LEDGER)
    desk.pick(Thing(Sort.LEAK, leak.id))
    for width in (1280, 1180):
        window.resize(width, 800)
        QApplication.processEvents()
        ledger = window.ledger
        assert ledger.photos.isVisible()
        assert ledger.table.viewport().height() >= 2 * window.sizes.row, width
        assert ledger.photos.geometry().bottom() < ledger.totals.y()
        assert all(ledger.photos.rect().contains(part.geometry()) for part in (ledger.photos.look, ledger.photos.list))
        switch = ledger.totals.words[0].geometry()
        half = ledger.width() / 2 + 16
        assert switch.left() > half + width_of("Wet", text(CAPTION_TYPE)), width
        assert ledger.totals.words[1].geometry().right() < ledger.width()
        assert not lost(window), width
    desk.pick()
    QApplication.processEvents()
    assert ledger.table.viewport().height() >= 3 * window.sizes.row


def test_keys_are_underlined_before_words_go(window: MainWindow) -> None:
    """At the usual size all nine buttons of stage Issue keep their words in the smallest window, each key a letter of them."""
    window.desk.change_setting("text_percent", 100)
    window.desk.go_to(Stage.ISSUE)
    window.resize(*LEAST_WINDOW)
    QApplication.processEvents()
    buttons = window.strip.buttons
    assert all(button.snug and not button.short for button in buttons)
    assert all(button.key.lower() in button.text().lower() for button in buttons)
    assert window.strip.height() == COMPACT.strip
    window.resize(1600, 1000)
    QApplication.processEvents()
    assert not any(button.snug for button in buttons)


def test_the_live_field_and_the_reason_of_a_catch_grow(window: MainWindow) -> None:
    """Figures of 16 px, and words of 14, stand whole in their boxes at twice the size: 60 px and 44 px high."""
    live = LiveField(texts=("1.25",), units=("m",), active=0, at=(2.0, 0.0))
    room = QRectF(window.plan.rect())
    box = field_box(live, window.plan.camera, room, None, None)
    assert box.height() == 60.0
    assert box.height() - 7.0 >= QFontMetricsF(text(16, strong=True)).height()
    window.desk.change_setting("text_percent", 100)
    assert field_box(live, window.plan.camera, room, None, None).height() == 30.0


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
