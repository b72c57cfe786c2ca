"""What a screen reader is given and told, asked inside the program; from outside: tests/benchmarks/heard_outside.py."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from PySide6.QtCore import QLocale, Qt
from PySide6.QtGui import QAccessible, QAccessibleInterface
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from leakmap.desk.taking import take
from leakmap.desk.things import Declared, Sort, Stage, Thing
from leakmap.desk.tools.table import action_for
from leakmap.desk.watched import Watched
from leakmap.desk.window import MainWindow
from leakmap.model.words import Wetness
from leakmap.work.settings import Role
from tests.helpers.small_jobs import one_line, with_leak
from tests.helpers.windows import window_with

ROLES = QAccessible.Role
BY_TAB = Qt.FocusReason.TabFocusReason


@pytest.fixture(scope="module")
def shown(tmp_path_factory: pytest.TempPathFactory, qapp: QApplication) -> Iterator[MainWindow]:
    """One window for all of these, on a job with a leak."""
    assert qapp is not None
    job, joint = one_line()
    job, _ = with_leak(job, joint, 1.0, 2.0, Wetness.SEEP)
    with window_with(job, tmp_path_factory.mktemp("heard")) as window:
        yield window


@pytest.fixture
def window(shown: MainWindow, qtbot: QtBot) -> MainWindow:
    """That window at rest in stage Leaks, with the keyboard on the plan."""
    qtbot.waitExposed(shown)
    shown.activateWindow()
    shown.desk.take_tool(None)
    shown.desk.show_declared(None)
    shown.desk.pick()
    shown.desk.go_to(Stage.LEAKS)
    shown.plan.setFocus(BY_TAB)
    QApplication.processEvents()
    return shown


def face_of(widget: QWidget) -> QAccessibleInterface:
    """What a screen reader is given of a widget."""
    face = QAccessible.queryAccessibleInterface(widget)
    assert face is not None
    return face


@contextmanager
def told(window: MainWindow) -> Iterator[list[str]]:
    """What is announced meanwhile."""
    said: list[str] = []

    def note(words: str, _at_once: bool) -> None:  # noqa: FBT001 - as it is told
        said.append(words)

    window.spoken.said.connect(note)
    yield said
    window.spoken.said.disconnect(note)


def take_tool(window: MainWindow, key: str) -> None:
    """Take a tool of the stage as its button does."""
    action = action_for(window.desk.stage, key)
    assert action is not None
    take(window.desk, action)
    QApplication.processEvents()


def test_one_of_a_few_says_so_and_whether_it_is_the_chosen_one(window: MainWindow) -> None:
    """Stages, choices of a tool and whose columns are shown are radio buttons, of which one is checked."""
    take_tool(window, "L")
    for few in (window.stage_line.cells, window.strip.choices, window.ledger.head.words, window.ledger.totals.words):
        faces = [face_of(each) for each in few]
        assert {face.role() for face in faces} == {ROLES.RadioButton}
        assert sum(bool(face.state().checked) for face in faces) == 1


def test_words_are_said_in_the_language_that_they_are_in(window: MainWindow) -> None:
    """Whatever the system speaks, a reader is told English: Qt tells the language that is its default."""
    assert window.isVisible()
    assert QLocale().language() is QLocale.Language.English


def test_a_reader_presses_what_a_mouse_presses(window: MainWindow) -> None:
    """The action of a stage goes there; what only shows something offers no such action."""
    action = face_of(window.stage_line.cells[1]).actionInterface()
    assert action is not None
    assert action.actionNames()[0] == "Press"
    action.doAction("Press")
    assert window.desk.stage is Stage.JOINTS
    shows = face_of(window.foot.position).actionInterface()
    assert shows is None or "Press" not in shows.actionNames()


def test_panes_are_read_in_the_order_of_tab(window: MainWindow) -> None:
    """In the tree of a reader they come as in desk.md, section 9; the window itself is one."""
    face = face_of(window)
    assert face.role() is ROLES.Window
    names = [each.text(QAccessible.Text.Name) for each in below(face)]
    panes = ("Job and stages", "Actions of the stage", "Levels", "Plan of B2", "Tape", "Ledger", "Foot")
    places = [names.index(pane) for pane in panes]
    assert places == sorted(places)


def below(face: QAccessibleInterface) -> Iterator[QAccessibleInterface]:
    """All parts of a face, each before its own parts, without cells and what is pressed."""
    for number in range(face.childCount()):
        part = face.child(number)
        if part is not None and part.role() not in (ROLES.Cell, ROLES.Button, ROLES.CheckBox):
            yield part
            yield from below(part)


def test_a_stage_is_told_with_what_to_do_there(window: MainWindow) -> None:
    """Once, and without that the tool in hand was put away."""
    take_tool(window, "L")
    with told(window) as said:
        window.desk.go_to(Stage.REPAIR)
        QApplication.processEvents()
    assert said == ["Stage Repair. 1 zone, firm. Pick a zone on the plan or in the ledger, or press a letter."]


def test_a_tool_is_told_when_it_comes_and_when_it_goes(window: MainWindow) -> None:
    """With its name and first step; then what can be done without it."""
    with told(window) as said:
        take_tool(window, "L")
        window.desk.take_tool(None)
        QApplication.processEvents()
    assert said[0].startswith("Leak stretch. Press 0 to 5")
    assert said[1].startswith("Leak stretch is put away. Press L")
    assert len(said) == 2


def test_a_choice_by_its_key_is_told_and_by_space_keeps_the_keyboard(window: MainWindow, qtbot: QtBot) -> None:
    """What a key chose is announced; on the cell itself its state says it, and the keyboard stays there."""
    take_tool(window, "L")
    with told(window) as said:
        qtbot.keyClick(window.plan, Qt.Key.Key_4)
        assert said == ["4 run"]
        cell = window.strip.choices[5]
        cell.setFocus(BY_TAB)
        qtbot.keyClick(cell, Qt.Key.Key_Space)
    assert (window.desk.wetness, said) == (Wetness.JET, ["4 run"])
    assert QApplication.focusWidget() is cell
    assert face_of(cell).state().checked


def test_the_cross_is_told_where_it_rests_with_what_is_measured(window: MainWindow, qtbot: QtBot) -> None:
    """Its place first; then the length and angle of the piece, all of the line, and typed figures as they read."""
    window.desk.go_to(Stage.JOINTS)
    take_tool(window, "J")
    hand, plan = window.spoken.hand, window.plan
    with told(window) as said:
        qtbot.keyClick(plan, Qt.Key.Key_Up)
        hand.tell()
        place = said[-1]
        qtbot.keyClick(plan, Qt.Key.Key_Space)
        for _ in range(2):
            qtbot.keyClick(plan, Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier)
        hand.tell()
        assert said[-1].startswith("2.00 metres, 90 degrees, ")
        assert said[-1] != place
        qtbot.keyClick(plan, Qt.Key.Key_Space)
        qtbot.keyClick(plan, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
        hand.tell()
        assert said[-1].startswith("1.00 metres, 0 degrees, 3.00 metres in all, ")
        qtbot.keyClicks(plan, "2.5")
        hand.tell()
        assert said[-1].startswith("2.5 metres, 0 degrees, 4.50 metres in all, ")
        count = len(said)
        hand.tell()
    assert len(said) == count
    assert plan.hand.arrows.cross is not None


def test_a_mouse_is_not_followed(window: MainWindow) -> None:
    """Where no cross stands and nothing is typed, the hand has no words."""
    take_tool(window, "L")
    window.plan.hand.put_on((300.0, 200.0))
    assert window.spoken.hand.words() == ""


def test_along_a_row_cells_are_said_with_their_heading(window: MainWindow) -> None:
    """A row is one sentence wherever arrows come to it from above or below; along it each cell is said alone."""
    table, rows = window.ledger.table, window.ledger.model
    window.desk.take_role(Role.ESTIMATOR)
    table.setFocus(BY_TAB)
    table.setCurrentIndex(rows.index(0, 0))
    whole = rows.heard(0, 0)
    assert whole.startswith("L-01, J-01, 1.00 metres, seep")
    table.setCurrentIndex(rows.index(0, 2))
    assert rows.heard(0, 2) == "Length, 1.00 metres"
    assert (rows.heard(0, 0), rows.heard(0, 3)) == (whole, "seep")
    table.setCurrentIndex(rows.index(1, 2))
    assert rows.heard(1, 2) == rows.heard(1, 0)


def test_a_heading_is_named_for_its_column(window: MainWindow, qtbot: QtBot) -> None:
    """With how it sorts, so that a reader tells it when that changes."""
    header = window.ledger.table.horizontalHeader()
    header.setFocus(BY_TAB)
    assert face_of(header).text(QAccessible.Text.Name) == "Ref"
    for order in (", rising", ", falling", ""):
        qtbot.keyClick(header, Qt.Key.Key_Return)
        assert face_of(header).text(QAccessible.Text.Name) == f"Ref{order}"


def test_what_was_found_is_counted(window: MainWindow, qtbot: QtBot) -> None:
    """The row that Enter takes, and which of how many; that nothing was found."""
    finder = window.finder
    finder.take_keyboard()
    qtbot.keyClicks(finder, "L-01")
    qtbot.waitUntil(lambda: finder.accessibleDescription().startswith("L-01"))
    assert " 1 of " in finder.accessibleDescription()
    finder.selectAll()
    qtbot.keyClicks(finder, "qqq")
    qtbot.waitUntil(lambda: finder.accessibleDescription().startswith("Nothing called that."))
    finder.leave()


def test_a_sheet_gives_the_keyboard_back_to_what_had_it(window: MainWindow, qtbot: QtBot) -> None:
    """After the settings it is on the job cell again that led to them; it never rests on a button in passing."""
    cell = window.stage_line.job_cell
    cell.setFocus(BY_TAB)
    window.desk.show_declared(Declared.SETTINGS)
    sheet = QApplication.focusWidget()
    assert sheet is not None
    assert face_of(sheet).role() is ROLES.RadioButton
    qtbot.keyClick(sheet, Qt.Key.Key_Escape)
    assert QApplication.focusWidget() is cell


@pytest.mark.parametrize("sheet", [Declared.SETTINGS, Declared.RATES, Declared.CAUTIONS, Declared.OLD_JOBS])
def test_a_sheet_gets_the_keyboard_where_it_begins(window: MainWindow, sheet: Declared) -> None:
    """On its first value, or what is read, and not on Back: after the find box, and by F6 from elsewhere."""
    window.desk.show_declared(sheet)
    first = QApplication.focusWidget()
    assert first is not None
    window.finder.take_keyboard()
    window.finder.leave()
    assert QApplication.focusWidget() is first
    window.next_pane(1)
    assert QApplication.focusWidget() is not first
    window.next_pane(-1)
    assert QApplication.focusWidget() is first


def test_more_of_a_tool_is_announced(window: MainWindow) -> None:
    """F1 says aloud what it shows in the band; put away it says nothing."""
    with told(window) as said:
        window.explain()
        assert said == [window.centre.band.sentence]
        window.explain()
    assert len(said) == 1


def test_long_work_is_a_progress_bar(window: MainWindow) -> None:
    """It is announced once, and how far it is is a value."""
    band, work = window.centre.band, Watched()
    with told(window) as said:
        band.watch(work)
        work.progressed.emit("Reading B1.dxf, 61 of 122 lines", 61, 122)
        band._show_work(work)
        value = face_of(band.tape).valueInterface()
        assert value is not None
        assert (value.currentValue(), value.maximumValue()) == (500, 1000)
        work.progressed.emit("Reading B1.dxf, 122 of 122 lines", 122, 122)
        assert value.currentValue() == 1000
        work.finished.emit(None)
    assert said == ["Reading B1.dxf. Esc stops it."]
    assert not band.tape.isVisible()


def test_a_picked_end_is_told_by_its_chainage(window: MainWindow, qtbot: QtBot) -> None:
    """Tab on the tape goes round the ends of what is picked, each with where it is."""
    job = window.desk.job
    assert job is not None
    window.desk.pick(Thing(Sort.LEAK, next(iter(job.leaks))))
    tape = window.tape.view
    tape.setFocus(BY_TAB)
    with told(window) as said:
        for _ in range(2):
            qtbot.keyClick(tape, Qt.Key.Key_Tab)
            window.spoken.hand.tell()
    assert said == ["end at 1.00 metres of J-01, picked", "end at 2.00 metres of J-01, picked"]


def test_the_keyboard_passes_nothing_that_goes(qtbot: QtBot, tmp_path: Path) -> None:
    """While a job opens it goes from the button to the sheet that says so, and from there to the plan."""
    with window_with(None, tmp_path) as window:
        qtbot.waitExposed(window)
        window.activateWindow()
        qtbot.waitUntil(window.isActiveWindow)
        window.start.choose.setFocus(BY_TAB)
        went: list[QWidget | None] = []
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        app.focusChanged.connect(lambda _old, now: went.append(now))
        window.sitting._note_opening("pit.gpkg")
        assert went == [window.start]
        assert face_of(window.start).text(QAccessible.Text.Name) == "Opening pit.gpkg…"
        app.focusChanged.disconnect()
        window.sitting._note_opening("")
        assert window.start.choose.hasFocus()
