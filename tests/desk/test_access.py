"""The window for who has no mouse, or does not see it: focus that is seen, names that are heard, letters that are off."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QAccessible, QColor, QFont, QFontMetrics, QImage
from PySide6.QtWidgets import QApplication, QScrollArea, QWidget
from pytestqt.qtbot import QtBot

from leakmap.desk.faces import text
from leakmap.desk.keyboard import tab_order
from leakmap.desk.larger import larger
from leakmap.desk.ledger.head import Word
from leakmap.desk.pens import width_of
from leakmap.desk.taking import take
from leakmap.desk.theme import theme, tokens
from leakmap.desk.things import Declared, Sort, Stage, Thing
from leakmap.desk.tokens import CAPTION_TYPE, SECOND_TYPE
from leakmap.desk.tools.table import ACTIONS, action_for
from leakmap.desk.tools.this_level import ThisLevel
from leakmap.desk.trouble import Trouble
from leakmap.desk.window import MainWindow
from leakmap.model.words import Purpose, Wetness
from leakmap.work.edits.leaks import set_wetness
from leakmap.work.edits.sheets import add_sheet, set_floor_level
from leakmap.work.settings import Contrast, Settings, Theme
from tests.helpers.small_jobs import one_line, with_leak
from tests.helpers.windows import window_with
from tests.helpers.words_painted import lost

ALT, SHIFT = Qt.KeyboardModifier.AltModifier, Qt.KeyboardModifier.ShiftModifier
BY_TAB = Qt.FocusReason.TabFocusReason
NOTHING_SAID = (QAccessible.Role.NoRole, QAccessible.Role.Client)
Pixels = npt.NDArray[np.bool_]


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    """A window on a job with a leak on B2, and B1 above it."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 1.0, 2.0, Wetness.SEEP)
    job = set_floor_level(job, sheet=next(iter(job.sheets)), floor_level_m=-7.8).job
    job = add_sheet(job, name="B1", floor_level_m=-3.6).job
    with window_with(job, tmp_path) as window:
        qtbot.waitExposed(window)
        window.activateWindow()
        yield window
        theme().choose(Theme.SYSTEM, Contrast.SYSTEM)
        larger().follow(Settings())


def panes_of(window: MainWindow) -> tuple[QWidget, ...]:
    """The panes in the order of desk.md, section 9."""
    first = (window.stage_line, window.strip, window.levels, window.centre)
    return (*first, window.tape, window.ledger, window.foot)


def take_tool(window: MainWindow, stage: Stage, key: str) -> None:
    """Take a tool as its button does."""
    window.desk.go_to(stage)
    action = action_for(stage, key)
    assert action is not None
    take(window.desk, action)
    QApplication.processEvents()


def in_focus_colour(widget: QWidget) -> Pixels:
    """Which pixels of a widget are painted in the colour of focus, (height, width)."""
    image = widget.grab().toImage().convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())
    pixels = rows[:, : image.width() * 3].reshape(image.height(), image.width(), 3)
    found: Pixels = (pixels == QColor(tokens().focus).getRgb()[:3]).all(axis=2)
    return found


def frame_px(widget: QWidget) -> int:
    """How thick a frame the widget gains with the keyboard, both edges: long rows of pixels in the colour of focus."""
    painted = widget if not isinstance(widget, QScrollArea) or widget.parentWidget() is None else widget.parentWidget()
    widget.clearFocus()
    before = in_focus_colour(painted)
    widget.setFocus(BY_TAB)
    QApplication.processEvents()
    gained = (in_focus_colour(painted) & ~before).sum(axis=1)
    if gained.max() < min(0.8 * widget.width(), 36):
        return 0
    return int((gained >= 0.9 * gained.max()).sum())


def heard(widget: QWidget) -> tuple[QAccessible.Role, str, str]:
    """Role, name and description that a screen reader is given."""
    face = QAccessible.queryAccessibleInterface(widget)
    assert face is not None
    return face.role(), face.text(QAccessible.Text.Name), face.text(QAccessible.Text.Description)


def situations(window: MainWindow) -> Iterator[str]:
    """Bring the window into each stage, and where tools, sheets and troubles bring controls of their own."""
    for stage in Stage:
        window.desk.go_to(stage)
        yield stage.title
    for stage, key in ((Stage.JOINTS, "J"), (Stage.LEAKS, "L"), (Stage.ISSUE, "R"), (Stage.ISSUE, "S")):
        take_tool(window, stage, key)
        yield f"{stage.title} {key}"
    window.desk.take_tool(None)
    for declared in Declared:
        window.desk.show_declared(declared)
        QApplication.processEvents()
        yield declared.name
    window.desk.show_declared(None)
    window.desk.troubled.emit(Trouble(sentence="The disk is full."))
    yield "trouble"


def test_focus_is_seen_and_every_control_says_what_it_is(window: MainWindow) -> None:
    """In each stage whatever Tab reaches gains two edges of 3 px, and has a name, a role and a description."""
    seen: set[QWidget] = set()
    for where in situations(window):
        for widget in tab_order(panes_of(window)):
            role, name, told = heard(widget)
            assert role not in NOTHING_SAID, (where, widget)
            assert name, (where, widget)
            assert told, (where, name)
            if widget not in seen:
                assert frame_px(widget) >= 6, (where, name)
                seen.add(widget)
    assert len(seen) > 60


def test_focus_is_seen_in_every_theme(window: MainWindow) -> None:
    """On what is filled with ink the frame stands outside it, too: the stage in hand and the tool in hand."""
    take_tool(window, Stage.LEAKS, "L")
    cells = (window.stage_line.cells[2], window.strip.buttons[0], window.plan, window.levels, window.foot.units)
    for colours, contrast, cell in product((Theme.LIGHT, Theme.DARK), (Contrast.NORMAL, Contrast.HIGH), cells):
        theme().choose(colours, contrast)
        assert frame_px(cell) >= 6, (colours, contrast, cell)


def test_the_mouse_takes_the_frame_of_the_plan_away_and_an_arrow_brings_it_back(
    window: MainWindow, qtbot: QtBot
) -> None:
    """Who points needs no frame; who goes on by arrows does."""
    assert frame_px(window.plan) >= 6
    qtbot.mouseClick(window.plan, Qt.MouseButton.LeftButton)
    assert not in_focus_colour(window.plan)[:2].any()
    qtbot.keyClick(window.plan, Qt.Key.Key_Left)
    assert in_focus_colour(window.plan)[:2].all()


def test_tab_walks_the_panes_as_they_are_read(window: MainWindow, qtbot: QtBot) -> None:
    """Stage line, strip, levels, plan, tape, ledger, foot: every control once, also those that came later; and back."""
    take_tool(window, Stage.LEAKS, "L")
    panes = (*panes_of(window), window.finder.list)
    first, *others = tab_order(panes_of(window))
    first.setFocus(BY_TAB)
    walked = walk(qtbot, first, Qt.KeyboardModifier.NoModifier)
    assert len(set(walked)) == len(walked)
    of_a_group = {
        *window.ledger.head.findChildren(Word),
        *window.ledger.totals.findChildren(Word),
    }  # arrows go on there
    assert set(others) - of_a_group <= set(walked)
    of = [next(k for k, pane in enumerate(panes) if pane is widget or pane.isAncestorOf(widget)) for widget in walked]
    assert [k for k in of if k < 7] == sorted(k for k in of if k < 7)
    assert set(of) == set(range(8))
    across = [widget.x() for widget, pane in zip(walked, of, strict=True) if pane == 1]
    assert len(across) == len(window.strip.buttons) + len(window.strip.choices)
    assert across == sorted(across)
    back = walk(qtbot, first, SHIFT)
    assert [widget for widget in back[:0:-1] if widget in others] == [widget for widget in walked if widget in others]
    assert not window.finder.list.isVisible()


def walk(qtbot: QtBot, first: QWidget, keys: Qt.KeyboardModifier) -> list[QWidget]:
    """What has the keyboard, from the first control on by Tab until it is there again."""
    walked = [first]
    for _ in range(99):
        qtbot.keyClick(walked[-1], Qt.Key.Key_Tab if not keys else Qt.Key.Key_Backtab, keys)
        focus = QApplication.focusWidget()
        assert focus is not None
        if focus is first:
            return walked
        walked.append(focus)
    raise AssertionError("Tab never comes back")


def test_enter_presses_a_button_as_space_does(window: MainWindow, qtbot: QtBot) -> None:
    """Both take the tool of a button of the strip that Tab came to."""
    window.desk.go_to(Stage.LEAKS)
    for key, number, tool in ((Qt.Key.Key_Return, 0, "Leak stretch"), (Qt.Key.Key_Space, 1, "Worst point")):
        button = window.strip.buttons[number]
        button.setFocus(BY_TAB)
        qtbot.keyClick(button, key)
        assert window.desk.tool is not None
        assert window.desk.tool.name == tool


def test_enter_presses_cells_and_words_as_space_does(window: MainWindow, qtbot: QtBot) -> None:
    """A stage, a choice of the tool, undo, a word of the ledger and a cell of the foot answer to either key alike."""
    desk = window.desk
    for key in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
        desk.go_to(Stage.DRAWING)
        press(qtbot, window.stage_line.cells[2], key)
        assert desk.stage is Stage.LEAKS
        take_tool(window, Stage.LEAKS, "L")
        desk.wetness = Wetness.DAMP
        press(qtbot, window.strip.choices[5], key)
        assert desk.wetness is Wetness.JET
        desk.take_tool(None)
        assert desk.job is not None
        desk.do(set_wetness(desk.job, leak=next(iter(desk.job.leaks)), wetness=Wetness.DRIP))
        press(qtbot, window.stage_line.undo, key)
        assert next(iter(desk.job.leaks.values())).wetness is Wetness.SEEP
        press(qtbot, window.ledger.head.words[2], key)
        assert desk.role.value == window.ledger.head.words[2].text()
        press(qtbot, window.foot.scale, key)
        assert desk.stage is Stage.DRAWING
        assert desk.tool is not None
        desk.take_tool(None)
        desk.change_setting("role", window.ledger.head.words[0].text())


def press(qtbot: QtBot, button: QWidget, key: Qt.Key) -> None:
    """Press a key where Tab has come to a button."""
    button.setFocus(BY_TAB)
    qtbot.keyClick(button, key)


def test_the_start_sheet_is_walked_and_heard(qtbot: QtBot, tmp_path: Path) -> None:
    """Without a job every control is named, shows its focus, and the plan's panes say that nothing is there."""
    with window_with(None, tmp_path) as window:
        qtbot.waitExposed(window)
        window.activateWindow()
        reached = tab_order(panes_of(window))
        for widget in reached:
            role, name, told = heard(widget)
            assert role not in NOTHING_SAID
            assert name
            assert told, name
            assert frame_px(widget) >= 6, name
        for widget in (window.start.choose, window.start.open, window.start.sample):
            assert widget in reached
        assert window.levels.accessibleDescription() == "no levels yet"


def test_the_ledger_says_each_row_and_the_plan_what_is_picked(window: MainWindow) -> None:
    """A row is read with its units and whether it is picked; the plan names its level and the picked thing."""
    window.desk.go_to(Stage.LEAKS)
    job = window.desk.job
    assert job is not None
    assert heard(window.plan)[1:] == ("Plan of B2", "1 joint, 1 leak")
    window.desk.pick(Thing(Sort.LEAK, next(iter(job.leaks))))
    table = QAccessible.queryAccessibleInterface(window.ledger.table)
    assert table is not None
    cells = [table.child(number) for number in range(table.childCount())]
    words = [cell.text(QAccessible.Text.Name) for cell in cells if cell is not None]
    assert "L-01, J-01, 1.00 metres, seep, picked" in words
    assert heard(window.plan)[2].startswith("L-01, leak on J-01, seep")
    assert heard(window.plan)[2].endswith(", picked")
    assert heard(window.levels)[2] == "B2, slab at minus 7.80, 1 leak, 2 of 2 from the top"


def test_what_happens_is_told_politely(window: MainWindow) -> None:
    """A deed with where it is kept, its undo, the next step of a tool and a pick are told; a trouble does not wait."""
    said: list[tuple[str, bool]] = []
    window.spoken.said.connect(lambda words, at_once: said.append((words, at_once)))
    job = window.desk.job
    assert job is not None
    leak = next(iter(job.leaks))
    window.desk.do(set_wetness(job, leak=leak, wetness=Wetness.DRIP))
    assert said[-1][0].endswith(", all changes on disk")
    assert "L-01" in said[-1][0]
    window.desk.undo()
    assert said[-1][0].startswith("taken back: ")
    window.desk.redo()
    assert said[-1][0].startswith("done again: ")
    window.desk.pick(Thing(Sort.LEAK, leak))
    assert said[-1][0].startswith("L-01, leak on J-01, drip")
    take_tool(window, Stage.LEAKS, "L")
    assert said[-1] == (f"Leak stretch. {window.strip.sentence}", False)
    before = len(said)
    window.desk.tool_changed.emit()
    assert len(said) == before
    window.desk.troubled.emit(Trouble(sentence="The disk is full."))
    assert said[-1] == ("The disk is full.", True)


def test_letters_of_a_tool_need_alt_too_where_letters_are_off(window: MainWindow, qtbot: QtBot) -> None:
    """New revision: P does nothing then, Alt P begins one for price, and the cell says so."""
    window.desk.change_setting("letter_keys", False)
    take_tool(window, Stage.ISSUE, "R")
    assert [cell.text() for cell in window.strip.choices] == ["Alt P for price", "Alt C for work"]
    qtbot.keyClick(window.plan, Qt.Key.Key_P)
    assert window.desk.draft is None
    qtbot.keyClick(window.plan, Qt.Key.Key_P, ALT)
    assert window.desk.draft is Purpose.PRICE
    window.desk.change_setting("letter_keys", True)
    take_tool(window, Stage.ISSUE, "R")
    qtbot.keyClick(window.plan, Qt.Key.Key_C)
    assert window.desk.draft is Purpose.WORK


def test_the_keyboard_stays_where_a_button_was_that_it_pressed(window: MainWindow, qtbot: QtBot) -> None:
    """Enter on A3 of Field sheets leaves it there, though all cells are new; from a button of the band that is gone it comes to the plan."""
    take_tool(window, Stage.LEAKS, "F")
    cell = window.strip.choices[1]
    cell.setFocus(BY_TAB)
    qtbot.keyClick(cell, Qt.Key.Key_Return)
    assert [each.hasFocus() for each in window.strip.choices[:2]] == [False, True]
    assert window.strip.choices[1].choice.chosen
    window.desk.take_tool(None)
    for key in (Qt.Key.Key_Escape, Qt.Key.Key_Return):
        window.desk.troubled.emit(Trouble(sentence="The disk is full."))
        button = window.centre.band.buttons[0]
        button.setFocus(BY_TAB)
        qtbot.keyClick(button, key)
        assert window.plan.hasFocus()


def test_alt_takes_a_choice_while_its_letter_is_typed(window: MainWindow, qtbot: QtBot) -> None:
    """New level: T is a letter of the name, Alt T goes to this level instead, and the cell says so; T alone where nothing is typed."""
    take_tool(window, Stage.DRAWING, "N")
    assert [cell.text() for cell in window.strip.choices] == [
        "blank",
        "Alt D drawing",
        "Alt T this level",
        "Alt O lay over",
    ]
    for sign in "tod":
        qtbot.keyClicks(window.plan, sign)
    assert window.desk.tool is not None
    field = window.desk.tool.overlay().field
    assert field is not None
    assert field.texts[0] == "tod"
    qtbot.keyClick(window.plan, Qt.Key.Key_T, ALT)
    assert isinstance(window.desk.tool, ThisLevel)
    take_tool(window, Stage.ISSUE, "R")
    qtbot.keyClick(window.plan, Qt.Key.Key_P, ALT)
    assert window.desk.draft is Purpose.PRICE


@pytest.mark.parametrize("colours", [Theme.LIGHT, Theme.DARK])
def test_a_picked_row_is_seen_without_colour(window: MainWindow, colours: Theme) -> None:
    """In a grey picture the edge of a picked row has at least 3 to 1 against that of one that is not picked."""
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    theme().dress(app)
    theme().choose(colours, Contrast.NORMAL)
    window.desk.go_to(Stage.JOINTS)
    table, job = window.ledger.table, window.desk.job
    assert job is not None

    def edge() -> QColor:
        QApplication.processEvents()
        row = table.visualRect(table.model().index(0, 0))
        return table.viewport().grab().toImage().pixelColor(2, row.center().y())

    plain = edge()
    window.desk.pick(Thing(Sort.JOINT, next(iter(job.joints))))
    lums = sorted(_luminance(colour) for colour in (plain, edge()))
    assert (lums[1] + 0.05) / (lums[0] + 0.05) >= 3.0


def _luminance(colour: QColor) -> float:
    """Relative luminance of WCAG 2.2, from its definition; from memory."""
    parts = [value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4 for value in colour.getRgbF()[:3]]
    return float(np.dot(parts, (0.2126, 0.7152, 0.0722)))


def test_large_text_loses_nothing(window: MainWindow) -> None:
    """Labels fit, the level on the plan is seen, F1 is read whole, and what has no room has a tip that says it."""
    for size, percent in product(((1600, 1000), (1280, 800)), (150, 200)):
        window.resize(*size)
        window.desk.change_setting("text_percent", percent)
        QApplication.processEvents()
        _loses_nothing(window)


def _loses_nothing(window: MainWindow) -> None:
    """The same at one size."""
    for stage in Stage:
        window.desk.go_to(stage)
        for name in window.stage_line.cells:
            assert width_of(name.text(), text(window.sizes.stage_type, strong=True)) <= name.width() - 13
            assert window.sizes.wide or name.toolTip() == name.state.sentence
        for button in window.strip.buttons:
            assert button.width() >= button.sizeHint().width()
            assert not button.short or button.toolTip() == button.text() or button.waits
    for stage, key in (
        (Stage.DRAWING, "S"),
        (Stage.JOINTS, "J"),
        (Stage.LEAKS, "L"),
        (Stage.REPAIR, "M"),
        (Stage.ISSUE, "R"),
    ):
        window.desk.pick(Thing(Sort.ZONE, 1))
        take_tool(window, stage, key)
        for cell in (*window.strip.buttons, *window.strip.choices):
            assert cell.geometry().right() < window.strip.width(), (key, cell.text())
            assert not cell.short or cell.text() in cell.toolTip() or cell.toolTip() == getattr(cell, "waits", "")
    box = window.levels.boxes()[window.desk.level] if window.desk.level is not None else None
    assert box is not None
    assert QRect(0, 0, window.levels.width(), window.levels.height()).contains(box.toRect())
    assert not lost(window)
    band = window.centre.band
    for action in ACTIONS:
        band.explain(action.longer)
        room = QRect(0, 0, band.width() - 2 * 16 - 1, 9999)
        needed = [_high(text(px), room, action.longer) for px in (SECOND_TYPE, CAPTION_TYPE)]
        assert min(needed) <= band.height(), action.label
        band.explain(action.longer)


def _high(font: QFont, room: QRect, words: str) -> int:
    """Height of wrapped words."""
    return QFontMetrics(font).boundingRect(room, Qt.TextFlag.TextWordWrap, words).height()
