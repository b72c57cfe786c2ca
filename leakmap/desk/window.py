"""The main window: where every pane has its place, and what the keys do that belong to none of them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import (
    QAccessible,
    QCloseEvent,
    QDragEnterEvent,
    QDropEvent,
    QKeyEvent,
    QKeySequence,
    QResizeEvent,
    QShortcut,
)
from PySide6.QtWidgets import QApplication, QHBoxLayout, QVBoxLayout, QWidget

from leakmap.base.trade_words import in_trade_words
from leakmap.desk import dropping
from leakmap.desk.beside import LEDGER, TAPE, Beside
from leakmap.desk.doings import EVERYWHERE
from leakmap.desk.faces import text
from leakmap.desk.find.box import FindBox
from leakmap.desk.foot import Foot
from leakmap.desk.glove_offer import GloveOffer
from leakmap.desk.glove_row import GloveRow
from leakmap.desk.guide.leading import Leading
from leakmap.desk.job_menu import below, job_menu
from leakmap.desk.keyboard import Bookmark, escaped_in, give_keyboard, tab_order
from leakmap.desk.larger import larger, sizes_for
from leakmap.desk.late_panes import LatePanes
from leakmap.desk.ledger.pane import LedgerPane
from leakmap.desk.levels import Levels, neighbour
from leakmap.desk.longer import longer_sentence
from leakmap.desk.memory import Memory
from leakmap.desk.panes import Centre, RuleSplitter, closely
from leakmap.desk.plan.view import PlanView
from leakmap.desk.roles import tell_roles
from leakmap.desk.sitting import Sitting
from leakmap.desk.spoken import Spoken
from leakmap.desk.stage_line import StageLine
from leakmap.desk.start import StartSheet
from leakmap.desk.state import Desk
from leakmap.desk.strip import Strip
from leakmap.desk.system import system_units
from leakmap.desk.taking import brings_first_drawing, take
from leakmap.desk.tape.pane import TapePane
from leakmap.desk.theme import theme
from leakmap.desk.things import Pane
from leakmap.desk.tokens import BODY_TYPE, LEAST_PLAN, LEAST_WINDOW, LEDGER_LIMITS, TAPE_LIMITS, WIDE, WIDE_FROM
from leakmap.desk.tools.by_letter import taken_with_alt
from leakmap.desk.tools.table import action_for
from leakmap.desk.tools.tool import Tool
from leakmap.work.kept_settings import kept_settings
from leakmap.work.open_job import Hand
from leakmap.work.recent import Recent, recent

_LAST_LATIN: Final = 0x80
_FIRST_SIZE: Final = (1600, 1000)
_LEAST_SHARE: Final = 0.25
"""Of the window for the plan, below which large letters put ledger and tape away."""


class MainWindow(LatePanes):
    """The window of one desk.

    Args:
        desk: Its state.
        hand: Who works here; whoever sits at this computer unless said otherwise.
        known: What is remembered of earlier windows; the user's own unless said otherwise.

    Attributes:
        sitting: Opens, makes and closes jobs.
        finder: The find box.
        spoken: Says what happens to who cannot see it.
        beside: Which of ledger and tape is wanted.
        ledger_px: Width that the hand gave the ledger; None: that of the layout.
        tape_px: Height that the hand gave the tape; None: that of the layout.
    """

    heard_as: Final = QAccessible.Role.Window
    stage_line: StageLine
    plan: PlanView
    start: StartSheet
    finder: FindBox
    beside: Beside
    leading: Leading

    def __init__(self, desk: Desk, hand: Hand | None = None, *, known: Recent | None = None) -> None:
        super().__init__()
        tell_roles()
        self.desk = desk
        desk.system = system_units()
        self.sitting = Sitting(desk, hand)
        self.stage_line = StageLine(desk, self)
        self.strip = Strip(desk, self)
        self.levels = Levels(desk, self)
        self.plan = PlanView(desk)
        self.start = StartSheet(self.sitting)
        self.tape = TapePane(desk, self)
        self.ledger = LedgerPane(desk)
        self.foot = Foot(desk, self)
        self.centre = Centre(desk, self.plan)
        self.finder = FindBox(self)
        self.stage_line.give_place(self.finder)
        self.beside = Beside(self)
        self.glove_row = GloveRow(desk, self._pane, self.beside.turn, self)
        self.leading = Leading(self)
        self.sizes = WIDE
        self._tool: Tool | None = None
        self.ledger_px: int | None = None
        self.tape_px: int | None = None
        self._tape_given = 0
        self._before = Bookmark(self.centre)
        self._put_together()
        self._listen()
        self.spoken = Spoken(self)
        if known is None:
            self.desk.take_settings(kept_settings())
        self._follow_settings()
        self.memory = Memory(self, recent() if known is None else known)
        self._show_job()

    # Putting together ---------------------------------------------------------------------------

    def _put_together(self) -> None:
        self.setMinimumSize(*LEAST_WINDOW)
        self.resize(*_FIRST_SIZE)
        self.setAcceptDrops(True)
        self.setFont(text(BODY_TYPE))
        upper = QWidget()
        across = closely(QHBoxLayout(upper), self.levels, self.centre)
        across.setStretch(1, 1)
        self._left = RuleSplitter(Qt.Orientation.Vertical)
        self._left.addWidget(upper)
        self._left.addWidget(self.tape)
        self._middle = RuleSplitter(Qt.Orientation.Horizontal)
        self._middle.addWidget(self._left)
        self._middle.addWidget(self.ledger)
        for splitter, words in ((self._left, "over the tape"), (self._middle, "before the ledger")):
            splitter.handle(1).setAccessibleName(words)
            splitter.setStretchFactor(0, 1)
            splitter.setStretchFactor(1, 0)
        self.tape.setMinimumHeight(TAPE_LIMITS[0])
        self.tape.setMaximumHeight(TAPE_LIMITS[1])
        self.ledger.setMinimumWidth(LEDGER_LIMITS[0])
        self.ledger.setMaximumWidth(LEDGER_LIMITS[1])
        down = (self.stage_line, self.strip, self._middle, self.glove_row, self.leading.bar, self.foot)
        self._down = closely(QVBoxLayout(self), *down)
        self._down.setStretch(2, 1)
        panes: tuple[QWidget, ...] = (self.levels, self.centre, *down)
        for pane in panes:
            pane.raise_()  # a screen reader reads panes in the order in which they lie over each other

    def _listen(self) -> None:
        desk = self.desk
        desk.opened.connect(self._show_job)
        for signal in (desk.paper_changed, desk.pages_offered, desk.declared_changed):
            signal.connect(lambda: self._show_job(opened=False))
        desk.changed.connect(self._show_title)
        desk.tool_changed.connect(self._follow_tool)
        desk.settings_changed.connect(lambda: theme().choose(desk.settings.theme, desk.settings.contrast))
        self.stage_line.job_pressed.connect(self._offer_jobs)
        self.strip.height_changed.connect(self._take_sizes)
        for left in (self.strip.field_left, self.centre.band.keyboard_left, self.leading.bar.left):
            left.connect(self.give_keyboard_back)
        self.strip.first_drawing.connect(self.sitting.choose_drawing)
        self.strip.beside_asked.connect(self.beside.turn)
        self.beside.changed.connect(self._lie_beside)
        self.start.find_pressed.connect(lambda: self.old_jobs.open())  # noqa: PLW0108 - the pane is late
        self.start.guide_pressed.connect(self.leading.begin)
        self.leading.bar.height_changed.connect(self._take_sizes)
        self.glove_row.height_changed.connect(self._lie_again)
        self.start.question_wanted.connect(self.centre.band.take_keyboard)
        self._middle.default_asked.connect(self._default_ledger)
        self._left.default_asked.connect(self._default_tape)
        self._middle.splitterMoved.connect(lambda *_: self._note_sizes())
        self._left.splitterMoved.connect(lambda *_: self._note_sizes())
        desk.settings_changed.connect(self._follow_settings)
        larger().changed.connect(self._grow)
        self.plan.touched.connect(GloveOffer(desk).make)
        self._add_keys()

    def _add_keys(self) -> None:
        for doing in EVERYWHERE:
            for key in filter(None, (doing.key, doing.other_key) if doing.bound else ()):
                self._on(key, lambda doing=doing: doing.do(self))  # type: ignore[misc] # the default binds each
        self.centre.band.work_changed.connect(self._listen_for_stop)
        self.centre.band.covers.connect(self.plan.keep_clear)

    def _listen_for_stop(self) -> None:
        """While long work runs, Esc stops it wherever the keyboard is."""
        app = QApplication.instance()
        assert app is not None
        if self.centre.band.working:
            app.installEventFilter(self)
        else:
            app.removeEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Keep Esc from everybody else in this window while it means Stop."""
        if escaped_in(self, watched, event):
            return self.centre.band.stop()
        return super().eventFilter(watched, event)

    def _on(self, keys: str, do: Callable[[], object]) -> QShortcut:
        shortcut = QShortcut(QKeySequence(keys), self)
        shortcut.activated.connect(lambda: do())  # noqa: PLW0108 - Qt must not give it anything
        return shortcut

    # What is shown ------------------------------------------------------------------------------

    def _show_job(self, *, opened: bool = True) -> None:
        pane = self._pane()
        goes_to = self._before.turned(pane, sheet=pane not in (self.plan, self.start), opened=opened)
        self.refresh_column()
        self.centre.show_pane(pane)
        self._make_room()
        self._show_title()
        if pane is self.start:
            self.start.refresh()
        else:
            goes_to.setFocus(Qt.FocusReason.OtherFocusReason)

    def _offer_jobs(self) -> None:
        """Offer jobs, rules and settings under the job cell, the first of them ready for Enter."""
        menu = job_menu(self)
        menu.popup(below(self.stage_line))
        menu.setActiveAction(next(action for action in menu.actions() if action.isEnabled()))

    def _show_title(self) -> None:
        job = self.desk.job
        self.setWindowTitle(f"{job.name} · leakmap" if job is not None else "leakmap")

    def _follow_tool(self) -> None:
        """Give the plan the keyboard when another tool is taken."""
        if self.desk.tool is not self._tool:
            self._tool = self.desk.tool
            if self._tool is not None:
                self._pane().setFocus(Qt.FocusReason.OtherFocusReason)

    def _pane(self) -> QWidget:
        """What lies in the middle: the plan, something in its place, or the start sheet."""
        return self.late_pane() or (self.start if self.desk.open_job is None else self.plan)

    def _make_room(self) -> None:
        """Put ledger and tape away where they are not wanted, and where large letters need their room for something else."""
        large = larger().large
        empty = large and self.desk.open_job is None and self._pane() is self.start
        reads = large and self.desk.declared is not None
        shown = self.beside.shown
        self.ledger.setVisible(shown[LEDGER] and not (empty or reads))
        self.tape.setVisible(shown[TAPE] and not (empty or reads))
        for switches in (self.glove_row, self.strip.beside):
            switches.mark(shown)

    def _lie_beside(self) -> None:
        """Give ledger and tape their room, or the plan."""
        self._make_room()
        self._share()

    def _follow_settings(self) -> None:
        larger().follow(self.desk.settings)
        self.glove_row.setVisible(self.desk.settings.glove_mode)

    def _fold(self) -> None:
        """Put ledger and tape away where gloves or large letters leave the plan little room."""
        scarce = (larger().glove and self.width() < WIDE_FROM) or (larger().large and self._plan_share() < _LEAST_SHARE)
        self.beside.follow_room(scarce=scarce)

    def _plan_share(self) -> float:
        """What ledger and tape would leave the plan of the window."""
        sizes = sizes_for(self.width())
        wide = self.width() - sizes.levels - sizes.ledger
        high = self.height() - sizes.stage_line - sizes.strip - sizes.tape - sizes.foot
        return wide * high / (self.width() * self.height())

    def _grow(self) -> None:
        """Lay everything out anew: controls or letters are of another size."""
        self.setFont(text(BODY_TYPE))
        self._make_room()
        self.glove_row.lay_out()
        self._take_sizes()
        self.strip.grow()
        self.ledger.take_sizes()
        for pane in self.findChildren(QWidget):
            pane.updateGeometry()
            pane.update()

    # Sizes --------------------------------------------------------------------------------------

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Take the layout for this width."""
        super().resizeEvent(event)
        self._take_sizes()

    def _take_sizes(self) -> None:
        """Take the layout for this width, as large as is in force."""
        self._fold()
        sizes = sizes_for(self.width())
        if sizes is not self.sizes:
            self.sizes = sizes
            for pane in (self.stage_line, self.strip, self.levels, self.plan, self.start, self.tape, self.foot):
                pane.set_sizes(sizes)
        self._down.activate()
        self._share()

    def _share(self) -> None:
        self._middle.give_second(self.ledger_px or self.sizes.ledger)
        tape = self.tape_px or self.sizes.tape
        spare = self._left.height() - LEAST_PLAN - tape  # where little is left for the plan, the tape gives way
        self._tape_given = max(tape + min(spare, 0), TAPE_LIMITS[0])
        self._left.give_second(self._tape_given)

    def _lie_again(self) -> None:
        """Keep the list of the find box off what a glove types with."""
        self._down.activate()
        self.finder.lie_again()

    def _default_ledger(self) -> None:
        self.ledger_px = None
        self._share()

    def _default_tape(self) -> None:
        self.tape_px = None
        self._share()

    def _note_sizes(self) -> None:
        ledger, tape = self._middle.sizes()[1], self._left.sizes()[1]
        if ledger and ledger != self.sizes.ledger:
            self.ledger_px = ledger
        if tape and tape not in (self.sizes.tape, self._tape_given):
            self.tape_px = tape

    # Keys ---------------------------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Do what a key does that no pane used."""
        alt = bool(event.modifiers() & Qt.KeyboardModifier.AltModifier)
        letters = self.desk.settings.letter_keys
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            super().keyPressEvent(event)
        elif alt:
            letter = chr(event.key()) if event.key() < _LAST_LATIN else ""
            if not taken_with_alt(self.desk.tool, letter) and (letters or not self._take_letter(letter)):
                super().keyPressEvent(event)
        elif event.key() in (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown):
            self.change_level(-1 if event.key() == Qt.Key.Key_PageUp else 1)
        elif event.key() == Qt.Key.Key_Escape:
            self._step_back()
        elif not letters or not self._take_letter(event.text()):
            super().keyPressEvent(event)

    def _take_letter(self, letter: str) -> bool:
        action = action_for(self.desk.stage, letter) if letter.isalpha() else None
        if action is None:
            return False
        if self.desk.open_job is not None:
            take(self.desk, action)
        elif brings_first_drawing(action):
            self.sitting.choose_drawing()
        return True

    def change_level(self, steps: int) -> None:
        """Put the level so many above (below zero) or below on the plan, where there is one."""
        job = self.desk.job
        level = neighbour(job, self.desk.level, steps) if job is not None else None
        if level is not None:
            self.desk.show_level(level)

    def _step_back(self) -> None:
        """Esc: back one click of the tool, else away from it, else the band goes, else what is picked, else the guide."""
        tool = self.desk.tool
        if tool is not None:
            if not tool.escaped():
                self.desk.take_tool(None)
        elif self.centre.band.stop():
            return
        elif self.desk.picked:
            self.desk.pick()
        else:
            self.leading.guide.leave()

    def explain(self) -> None:
        """Say more of the button or pane that has the keyboard, of the tool in hand, or of the stage."""
        action = self.strip.action_with_keyboard()
        self.centre.band.explain(
            in_trade_words(self.desk.units, action.longer)
            if action is not None
            else longer_sentence(self.desk, self._pane_of_keys())
        )

    def _pane_of_keys(self) -> Pane | None:
        """The pane that has the keyboard, where it is one that F1 knows."""
        focus = QApplication.focusWidget()
        named = (
            (self.finder, Pane.FIND), *((pane, Pane.FIND) for pane in self.finder.panes), (self.stage_line, Pane.STAGES),
            (self.levels, Pane.LEVELS), (self.tape, Pane.TAPE), (self.ledger, Pane.LEDGER), (self.foot, Pane.FOOT),
            (self.leading.bar, Pane.GUIDE), *([(self.pages, Pane.PAGES)] if self.desk.page_choice is not None else ()),
        )  # fmt: skip
        here = (pane for widget, pane in named if focus and (focus is widget or widget.isAncestorOf(focus)))
        return next(here, None)

    def give_keyboard_back(self) -> None:
        """Give the keyboard to what lies in the middle."""
        give_keyboard(self._pane(), Qt.FocusReason.OtherFocusReason)

    def next_pane(self, step: int) -> None:
        """Give the keyboard to the next pane, or with -1 to the one before."""
        panes = [pane for pane in self._panes() if pane.isVisible()]
        focus = QApplication.focusWidget()
        here = next((k for k, pane in enumerate(panes) if focus is pane or (focus and pane.isAncestorOf(focus))), -1)
        give_keyboard(panes[(here + step) % len(panes)] if here >= 0 else panes[0], Qt.FocusReason.TabFocusReason)

    def focusNextPrevChild(self, next: bool) -> bool:  # noqa: N802, A002, FBT001 - Qt's name
        """Go on by Tab in the order of the panes, which Qt does not know of buttons that come and go."""
        upper = self.stage_line, *self.finder.panes, self.strip, self.levels
        panes = (*upper, self.centre, self.tape, self.ledger, self.leading.bar, self.foot)
        order, focus = tab_order(panes), QApplication.focusWidget()
        if focus not in order:
            return super().focusNextPrevChild(next)
        way, step = (Qt.FocusReason.TabFocusReason, 1) if next else (Qt.FocusReason.BacktabFocusReason, -1)
        passed = self.passed_by(focus) if next else frozenset()
        order = tuple(widget for widget in order if widget not in passed)
        order[(order.index(focus) + step) % len(order)].setFocus(way)
        return True

    def _panes(self) -> list[QWidget]:
        middle = self._pane(), self.tape.view, self.ledger, self.leading.bar
        return [self.stage_line, self.strip, self.levels, *middle, self.foot]

    # Files --------------------------------------------------------------------------------------

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:  # noqa: N802 - Qt's name
        """Take files that are dragged in."""
        dropping.enter(event)

    def dropEvent(self, event: QDropEvent) -> None:  # noqa: N802 - Qt's name
        """Do what dropped files mean where they are dropped."""
        dropping.drop(self, event)

    # Memory -------------------------------------------------------------------------------------

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802 - Qt's name
        """Close the job; stay where it holds what is not on disk."""
        if not self.sitting.close():
            event.ignore()
            return
        self.sitting.end_work()
        self.memory.keep()
        event.accept()
