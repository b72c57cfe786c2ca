"""The first-job guide on a desk: which step it is at, what was done, and how far the hand is within the step."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QObject, Signal

from leakmap.desk.state import Desk
from leakmap.work.first_job import Seen, Step, first_job
from leakmap.work.recent import recent, with_window

LEFT_AT: Final = "first_job_left_at"
DONE: Final = "first_job_done"


class Guide(QObject):
    """Leads through a first job; it only watches, and the work goes on as without it.

    Attributes:
        steps: Its steps.
        number: Index of the step that it is at; None: it does not lead. After the last it is their number.
        done: Indices of the steps that were really done, not passed.
    """

    changed = Signal()

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.desk = desk
        self.steps = first_job().steps
        self.number: int | None = None
        self.done: frozenset[int] = frozenset()
        self._before: Seen | None = None
        for signal in (desk.changed, desk.stage_changed, desk.draft_changed):
            signal.connect(self._look)
        desk.tool_changed.connect(self._tell)
        desk.opened.connect(self._follow_job)

    @property
    def leads(self) -> bool:
        """Whether it leads now."""
        return self.number is not None

    @property
    def step(self) -> Step | None:
        """The step that it is at; None: it does not lead, or all are behind."""
        return self.steps[self.number] if self.number is not None and self.number < len(self.steps) else None

    @property
    def at_press(self) -> int:
        """How far the hand is within the step: 0 in another stage, 1 without its tool, then 2."""
        step = self.step
        if step is None or self.desk.stage != step.stage:
            return 0
        tool = self.desk.tool
        return 2 if step.tool and tool is not None and tool.key == step.tool else 1

    def start(self) -> None:
        """Begin, or go on with the step at which it was left; a job is open."""
        assert self.desk.open_job is not None
        left = recent().window.get(LEFT_AT, 0)
        self.number = left if isinstance(left, int) and 0 <= left < len(self.steps) else 0
        self.done = frozenset()
        self._begin_step()

    def go_on(self) -> None:
        """Pass the step, or after the last leave."""
        if self.step is None:
            self.leave()
        elif self.number is not None:
            self._to(self.number + 1)

    def leave(self) -> None:
        """End; where it was left, or that it was gone through, is remembered."""
        if self.number is None:
            return
        at, self.number, self._before = self.number, None, None
        through = at >= len(self.steps)
        kept = {LEFT_AT: 0, DONE: 1} if through else {LEFT_AT: at}
        self.desk.remember(lambda old: with_window(old, kept))
        self.changed.emit()

    def _to(self, number: int) -> None:
        self.number = number
        if number >= len(self.steps):
            self.desk.remember(lambda old: with_window(old, {LEFT_AT: 0, DONE: 1}))
        self._begin_step()

    def _begin_step(self) -> None:
        self._before = self._seen()
        self.changed.emit()
        self._look()

    def _look(self, _rows: object = None) -> None:
        """Go on where the deed of the step was done."""
        step, seen, before = self.step, self._seen(), self._before
        if step is None or seen is None or before is None or self.number is None:
            return
        if step.done(before, seen):
            self.done |= {self.number}
            self._to(self.number + 1)
        else:
            self._tell()

    def _tell(self) -> None:
        if self.number is not None:
            self.changed.emit()

    def _follow_job(self) -> None:
        """Go on with another job; without one there is nothing to lead through."""
        if self.number is not None:
            if self.desk.open_job is None:
                self.leave()
            else:
                self._begin_step()

    def _seen(self) -> Seen | None:
        open_job = self.desk.open_job
        return None if open_job is None else Seen(open_job.job, self.desk.begun is not None, self.desk.stage.value)


def was_done() -> bool:
    """Whether somebody went through all of it here."""
    return bool(recent().window.get(DONE))
