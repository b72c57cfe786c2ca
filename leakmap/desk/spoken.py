"""What is said to who cannot see the window: what the plan shows, what a deed did, where the pointer is caught.

Everything on the plan is a row of the ledger as well, which a screen reader reads there. This tells what happens while
the keyboard is elsewhere. Nothing is said twice: words are said when they are others than those before.
"""

from __future__ import annotations

from operator import attrgetter
from typing import TYPE_CHECKING
from uuid import UUID

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent
from PySide6.QtWidgets import QApplication

from leakmap.base.counted import many
from leakmap.base.differing import Tally, counting
from leakmap.desk.hand_aloud import HandAloud
from leakmap.desk.thing_words import words_of
from leakmap.desk.tools.tool import Tool
from leakmap.desk.trouble import Trouble
from leakmap.model.leak import Leak
from leakmap.work.aloud import aloud

if TYPE_CHECKING:
    from leakmap.desk.window import MainWindow


class Spoken(QObject):
    """Follows one window and says what happens in it.

    Signals: ``said``, for each announcement: its words, and whether it must not wait.
    """

    said = Signal(str, bool)

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window, self._desk = window, window.desk
        self._turns: tuple[str | None, str | None] = (None, None)
        self._tool: Tool | None = None
        self._chosen: tuple[str, ...] = ()  # choices of the tool in hand
        self._put_away = ""  # name of a tool that was in hand a moment ago
        self.hand = HandAloud(window, self._say)
        self._leaks_on: Tally[Leak, UUID, int] = counting(attrgetter("joint"))
        self._told = {"caught": "", "step": "", "saved": ""}
        desk = self._desk
        for signal in (desk.opened, desk.level_changed, desk.picked_changed, desk.changed, desk.stage_changed):
            signal.connect(self._describe_plan)
        desk.opened.connect(self._opened)
        desk.picked_changed.connect(self._picked)
        desk.changed.connect(self._deed_done)
        desk.saved_changed.connect(self._saved)
        desk.caught_changed.connect(self._caught)
        desk.tool_changed.connect(self._next_step)
        desk.stage_changed.connect(self._stage)
        desk.said.connect(self._say)
        desk.troubled.connect(self._trouble)
        window.leading.bar.told.connect(self._say)
        window.centre.band.told.connect(self._say)
        window.ledger.table.told.connect(self._say)
        self._describe_plan()

    # The plan -----------------------------------------------------------------------------------

    def _describe_plan(self, _rows: object = None) -> None:
        """Say in words which level is on the plan, and what of it is picked."""
        plan, job, level = self._window.plan, self._desk.job, self._desk.level
        if self._desk.dragging:
            return
        if job is None or level is None:
            plan.setAccessibleName("Plan")
            plan.heard_details = "Nothing is on it yet."
            return
        sheet = job.sheets[level]
        joints = {joint.id for joint in job.joints.values() if joint.sheet == level}
        leaks = sum(count for joint, count in self._leaks_on.of(job.leaks).items() if joint in joints)
        plan.setAccessibleName(f"Plan of {sheet.name}")
        plan.heard_details = self._picked_words() or f"{many(len(joints), 'joint')}, {many(leaks, 'leak')}"

    def _picked_words(self) -> str:
        """What is picked, the latest first; more than three things are counted."""
        job, repairs, picked = self._desk.job, self._desk.repairs, self._desk.picked
        if job is None or repairs is None or not picked:
            return ""
        words = [words_of(job, repairs, thing) for thing in (*reversed(picked),)[:3]]
        more = f", and {len(picked) - 3} more" if len(picked) > 3 else ""
        return f"{'; '.join(filter(None, words))}{more}, picked" if any(words) else ""

    # What happens -------------------------------------------------------------------------------

    def _opened(self) -> None:
        self._turns = (None, None)
        job = self._desk.job
        self._say(f"{job.name} is open." if job is not None else "No job is open.")

    def _picked(self) -> None:
        """Say what is picked, unless the ledger does so itself."""
        focus = QApplication.focusWidget()
        if self._desk.dragging or (focus is not None and self._window.ledger.isAncestorOf(focus)):
            return
        self._say(self._picked_words() or "Nothing is picked.")

    def _deed_done(self, _rows: object = None) -> None:
        """Say what was done or taken back, and whether it is on disk."""
        open_job = self._desk.open_job
        if open_job is None:
            return
        (_, redo), self._turns = self._turns, (open_job.undo_words, open_job.redo_words)
        done, undone = self._turns
        if redo is not None and done == redo:
            what = f"done again: {done}"
        else:
            what = f"taken back: {undone}" if undone is not None else done or ""
        self._told["saved"] = open_job.saved_words
        self._say(", ".join(part for part in (what, open_job.saved_words) if part))

    def _saved(self) -> None:
        open_job = self._desk.open_job
        if open_job is not None:
            self._say_new("saved", open_job.saved_words)

    def _caught(self) -> None:
        """Say what a mouse is caught on; of a cross that is said with its place."""
        caught = self._desk.caught if not self.hand.by_cross else None
        self._say_new("caught", caught.catch.words if caught is not None and caught.catch is not None else "")

    def _next_step(self) -> None:
        """Say what the next click or key does, when that is another thing; with another tool its name."""
        tool, before = self._desk.tool, self._tool
        self._tool = tool
        if tool is None and before is not None:
            self._told["step"], self._put_away = "", before.name
            QTimer.singleShot(0, self, self._tool_gone)
        elif tool is not before and tool is not None:
            self._told["step"] = tool.sentence()
            self._say(". ".join(filter(None, (tool.name, tool.sentence()))))
        else:
            self._say_new("step", tool.sentence() if tool is not None else "")
        chosen = tuple(choice.words for choice in tool.choices() if choice.chosen) if tool is not None else ()
        others = [words for words in chosen if words not in self._chosen]
        self._chosen = chosen
        if tool is before and others and QApplication.focusWidget() not in self._window.strip.choices:
            self._say(", ".join(others))

    def _tool_gone(self) -> None:
        """Say that no tool is in hand, unless another one or another stage was taken in its stead."""
        if self._put_away and self._tool is None:
            self._say(f"{self._put_away} is put away. {self._window.strip.sentence}")
        self._put_away = ""

    def _stage(self) -> None:
        """Say which stage it is, how far it is, and what to do there."""
        self._put_away = ""
        stage, window = self._desk.stage, self._window
        if window.sitting.opening:
            return  # that a job is open is said, and where the keyboard is
        state = window.stage_line.cells[stage - 1].state.sentence
        told = (f"Stage {stage.title}", state, window.strip.sentence)
        self._say(". ".join(words.removesuffix(".") for words in told if words) + ".")

    def _trouble(self, trouble: Trouble | None) -> None:
        if trouble is not None:
            answers = ", ".join(answer.words for answer in trouble.answers)
            self._say(f"{trouble.sentence} {answers}".strip(), at_once=trouble.grave)

    def _say_new(self, sort: str, words: str) -> None:
        if words != self._told[sort]:
            self._told[sort] = words
            self._say(words)

    def _say(self, words: str, *, at_once: bool = False) -> None:
        """Say words as soon as the reader pauses; at once, where work may be lost."""
        if not words:
            return
        heard = aloud(words)
        self.said.emit(heard, at_once)
        if QAccessible.isActive():
            event = QAccessibleAnnouncementEvent(self._window, heard)
            ways = QAccessible.AnnouncementPoliteness
            event.setPoliteness(ways.Assertive if at_once else ways.Polite)
            QAccessible.updateAccessibility(event)
