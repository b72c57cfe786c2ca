"""Looks through lines of a drawing beside the window: what a layer proposes, and the outline round a place."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from leakmap.base.errors import LeakmapError
from leakmap.base.findings import Finding
from leakmap.desk.aside import Aside
from leakmap.desk.long_work import LongWork, told_work
from leakmap.desk.state import Desk
from leakmap.desk.trouble import Trouble, trouble_of
from leakmap.geometry.path import Path, Point
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import Drawing
from leakmap.work.outline import outline_round
from leakmap.work.proposals import MOST, Proposal, only_layer, proposed_by_layer
from leakmap.work.snap_lines import Lines

AT_ONCE: Final = 2_000
"""Points of a layer that are looked through between two frames; more of them in a process of their own."""

Found = tuple[tuple[Proposal, ...], tuple[Finding, ...]]


class LineSearch:
    """One search at a time; what comes out is told once, and what went wrong in the band."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._aside: Aside | None = None
        self._work: LongWork | None = None

    @property
    def looking(self) -> bool:
        """Whether an outline is looked for."""
        return self._aside is not None

    def layer(self, drawing: Drawing, placement: Placement, layer: str, *, then: Callable[[Found], object]) -> None:
        """Look through a layer: a small one at once, a large one beside the window, where Esc stops it."""
        if self._work is not None:
            self._hint("Another layer is still looked through; Esc stops that.")
            return
        lines = only_layer(drawing, layer)
        if len(lines.strokes.xy) <= AT_ONCE:
            self._desk.attempt(lambda: then(proposed_by_layer(lines, placement, layer, most=MOST)))
            return
        self._work = work = told_work(self._desk)

        def take(found: Found) -> None:
            if self._work is work:
                self._work = None
                then(found)

        work.finished.connect(take)
        for ended in (work.failed, work.stopped):
            ended.connect(self._ended)
        work.start(proposed_by_layer, lines, placement, layer, most=MOST)
        self._desk.working.emit(work)

    def outline(self, lines: Callable[[], Lines], at: Point, *, then: Callable[[Path], object]) -> None:
        """Look aside for the outline that lines make round a place; ``lines`` gathers them there."""
        if self._aside is not None:
            return
        self._aside = aside = Aside(lambda: outline_round(lines(), at), self._desk)

        def take(path: Path) -> None:
            if self._aside is aside:
                self._aside = None
                then(path)

        def fail(problem: LeakmapError) -> None:
            if self._aside is aside:
                self._aside = None
                self._desk.tool_changed.emit()
                self._desk.troubled.emit(trouble_of(problem))

        aside.finished.connect(take)
        aside.failed.connect(fail)

    def give_up(self) -> None:
        """Look for nothing any more; what comes out all the same is told nobody."""
        self._aside = None
        work, self._work = self._work, None
        if work is not None:
            work.stop()

    def _ended(self) -> None:
        self._work = None

    def _hint(self, sentence: str) -> None:
        self._desk.troubled.emit(Trouble(sentence=sentence, grave=False))
