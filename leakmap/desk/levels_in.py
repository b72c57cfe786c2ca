"""Drawings on their way into the job on the desk: each as a level, as a new drawing of one, or read in another way."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from uuid import UUID

from PySide6.QtCore import QObject

from leakmap.base.errors import LeakmapError
from leakmap.desk.drawing_in import bring_in, told_of
from leakmap.desk.one_aside import OneAside
from leakmap.desk.pages_in import Wanted
from leakmap.desk.reading import Reading
from leakmap.desk.reading_again import read_again
from leakmap.desk.redrawing import lay_new
from leakmap.desk.state import Desk
from leakmap.desk.tools.name_level import ask_for_level
from leakmap.desk.trouble import Trouble, trouble_of
from leakmap.model.job import Job
from leakmap.model.sheet import Reading as How
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.paper import part_added, read_otherwise
from leakmap.work.job_drawings import NewDrawing, sheet_added
from leakmap.work.job_names import level_in


class LevelsIn(QObject):
    """What brings drawings into the job on the desk; each is kept aside, and shown by one deed.

    Args:
        desk: The desk.
        asides: What is done aside with whole files.
        choose: Lets the user choose another drawing.
        parent: Its owner.
    """

    def __init__(self, desk: Desk, asides: OneAside, choose: Callable[[], object], parent: QObject) -> None:
        super().__init__(parent)
        self.desk = desk
        self._asides, self._choose = asides, choose

    def add_pages(self, wanted: Wanted) -> None:
        """Bring the pages in one after the other, each as a level whose name is asked for."""
        if not wanted.pages:
            return
        here, file = self.desk.open_job, wanted.file

        def go_on() -> None:
            if self.desk.open_job is here:
                self.add_pages(wanted.rest)

        def ask(new: NewDrawing) -> None:
            if self.desk.open_job is here:
                proposal = (level_in(file.name) or file.stem) if wanted.of == 1 else f"page {wanted.pages[0] + 1}"
                ask_for_level(
                    self.desk,
                    wanted.words,
                    proposal,
                    lambda name: self._add(new, name, then=go_on),
                    instead=lambda level: lay_new(self.desk, new, level, partial(self._keep, new), then=go_on),
                )

        bring_in(self.desk, wanted, ask, other=self._choose, left=go_on)

    def read_otherwise(self, sheet: UUID, how: How, as_new: bool) -> None:  # noqa: FBT001 - a signal's argument
        """Read the file of a level in another way, for that level or for another one whose name is asked for."""
        open_job = self.desk.open_job
        source = open_job.job.sheets[sheet].source if open_job is not None else None
        if open_job is None or source is None or not self.desk.may_change():
            return
        if any(errand.running for errand in self.desk.findChildren(Reading)):
            self.desk.said.emit("A drawing is being read; wait for it, or stop it with Esc.")
            return

        def take(new: NewDrawing) -> None:
            if self.desk.open_job is not open_job:
                return
            if as_new:
                name = open_job.job.sheets[sheet].name
                ask_for_level(
                    self.desk, f"The part of {source.name}", name, lambda words: self._add_like(new, sheet, words)
                )
            else:
                self._keep(new, lambda job: read_otherwise(job, sheet=sheet, source=new.source), lambda: None)

        def failed(sentence: str) -> None:
            self.desk.troubled.emit(Trouble(sentence=sentence))

        read_again(self.desk, open_job, source, how, take, failed=failed, left=lambda: None)

    def _add(self, new: NewDrawing, name: str, *, then: Callable[[], object] = lambda: None) -> None:
        def added(job: Job) -> Edit:
            return sheet_added(job, new, name=name)

        def told() -> None:
            self.desk.troubled.emit(told_of(self.desk, new))
            then()

        self._keep(new, added, told)

    def _add_like(self, new: NewDrawing, sheet: UUID, name: str) -> None:
        """Add a level that shows another part of the drawing of one that is there, in the same scale and place."""

        def told() -> None:
            self.desk.troubled.emit(told_of(self.desk, new))

        self._keep(new, lambda job: part_added(job, sheet=sheet, source=new.source, name=name), told)

    def _keep(self, new: NewDrawing, deed: Callable[[Job], Edit], then: Callable[[], object]) -> None:
        """Keep a drawing aside, then do the deed that shows it and put its level on the plan."""
        self._asides.settle()
        open_job = self.desk.open_job
        if open_job is None:
            return
        deed(open_job.job)  # what is refused is refused before anything is kept

        def add(_outcome: object) -> None:
            open_job.end_keeping(new)
            edit = deed(open_job.job)
            self.desk.do(edit)
            if edit.made:
                self.desk.show_level(edit.made[0])
            then()

        def leave(problem: LeakmapError) -> None:
            self.desk.troubled.emit(trouble_of(problem))
            open_job.end_keeping(None)

        self._asides.go(open_job.begin_keeping(new), add, leave)
