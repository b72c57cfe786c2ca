"""What a user does with whole files: open a job, start one from a drawing, look round the sample, close.

One job lies on the desk at a time. While it does, its lock is kept alive and what could not be written
is tried again. A job is made beside its drawing unless the user says otherwise.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final, TypeVar

import platformdirs
from PySide6.QtCore import QObject, QTimer, Signal

from leakmap.base.errors import LeakmapError, UnusableFile
from leakmap.desk.aside import Aside
from leakmap.desk.drawing_in import bring_in, told_of
from leakmap.desk.long_work import Errand, LongWork
from leakmap.desk.state import Desk, Stage
from leakmap.desk.tools.name_level import ask_for_level
from leakmap.desk.trouble import Answer, Trouble
from leakmap.work.here import host, now, user
from leakmap.work.job_drawings import NewDrawing, sheet_added
from leakmap.work.job_names import free_path, is_job_file, level_in
from leakmap.work.new_job import empty_job
from leakmap.work.open_job import Hand, OpenJob, made, opened
from leakmap.work.recent import remember, with_job, without_job
from leakmap.work.sample_file import make_sample_file
from leakmap.work.sample_job import SAMPLE_NAME

SAMPLE_SENTENCE: Final = "This is a sample. Change anything."
BEAT_MS: Final = 60_000
RETRY_MS: Final = 5_000

T = TypeVar("T")


def this_hand() -> Hand:
    """Whoever sits at this computer."""
    return Hand(user=user(), host=host(), clock=now)


def sample_folder() -> Path:
    """Where copies of the sample go: the user's documents, or where programs keep their own files."""
    documents = platformdirs.user_documents_path()
    return documents if documents.is_dir() else platformdirs.user_data_path("leakmap", appauthor=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A job that is about to be made from a drawing.

    Attributes:
        drawing: The drawing's file.
        level: Name of the level that it shows.
        name: Name of the job.
        folder: Where its file goes.
        new: The drawing as read; None while it is being read.
    """

    drawing: Path
    level: str
    name: str
    folder: Path
    new: NewDrawing | None = None


class Sitting(QObject):
    """Whole files on and off the desk."""

    planned = Signal()  # ``plan`` is another, or none

    def __init__(self, desk: Desk, hand: Hand | None = None) -> None:
        super().__init__(desk)
        self.desk = desk
        self.hand = hand or this_hand()
        self.plan: Plan | None = None
        self._errand: Errand | None = None
        self._aside: Aside | None = None
        self._beat = QTimer(self, interval=BEAT_MS)
        self._beat.timeout.connect(self._keep_alive)
        self._retry = QTimer(self, interval=RETRY_MS)
        self._retry.timeout.connect(self._try_again)
        desk.saved_changed.connect(self._watch_saving)

    def open_file(self, path: Path) -> None:
        """Open a job, or bring a drawing in: into the job on the desk, else into a new one."""
        if is_job_file(path):
            self.open_job(path)
        elif self.desk.open_job is None:
            self.start_with(path)
        else:
            self.add_level(path)

    def open_job(self, path: Path) -> None:
        """Put a job on the desk instead of the one there; what goes wrong is told in the band."""
        self._open(path, Stage.DRAWING, "")

    def start_with(self, drawing: Path) -> None:
        """Start a job from a drawing: it is read while its names are asked for."""
        folder = drawing.absolute().parent
        self._plan(Plan(drawing=drawing, level=level_in(drawing.name), name=drawing.stem, folder=folder))
        self._errand = bring_in(self.desk, drawing, self._read, other=self.give_up)
        self._errand.stopped.connect(self.give_up)
        self._errand.failed.connect(self.give_up)

    def change_plan(self, *, level: str, name: str, folder: Path) -> None:
        """Take other names for the job to be made; the pane that asks knows them already."""
        if self.plan is not None:
            self.plan = replace(self.plan, level=level, name=name, folder=folder)

    def make_job(self) -> None:
        """Make the planned job and put it on the desk; what goes wrong is told in the band."""
        self.desk.attempt(self._make_job)

    def give_up(self) -> None:
        """Plan no job any more; a reading ends."""
        if self._errand is not None:
            with contextlib.suppress(RuntimeError):  # Qt has deleted it: it had ended
                self._errand.stop()
            self._errand = None
        self._plan(None)

    def add_level(self, drawing: Path) -> None:
        """Bring a drawing into the job on the desk, as a level of its own whose name is asked for."""
        if not self.desk.may_change():
            return
        proposal = level_in(drawing.name) or drawing.stem

        def ask(new: NewDrawing) -> None:
            ask_for_level(self.desk, drawing.name, proposal, lambda name: self._add(new, name))

        bring_in(self.desk, drawing, ask)

    def look_round(self, folder: Path | None = None) -> None:
        """Make a copy of the sample job, in a process of its own, and open it."""
        place = folder or sample_folder()
        try:
            place.mkdir(parents=True, exist_ok=True)
        except OSError as problem:
            words = f"The folder {place} cannot be made: {problem.strerror}."
            self.desk.troubled.emit(Trouble(sentence=words))
            return
        path = free_path(place, SAMPLE_NAME)
        work = self._errand = LongWork(self)
        work.finished.connect(lambda _findings: self._open(path, Stage.REPAIR, SAMPLE_SENTENCE))
        work.failed.connect(lambda sentence: self.desk.troubled.emit(Trouble(sentence=sentence)))
        for ended in (work.finished, work.failed, work.stopped):
            ended.connect(work.deleteLater)
        work.start(make_sample_file, path, user=self.hand.user, at=self.hand.clock())
        self.desk.working.emit(work)

    @property
    def busy(self) -> bool:
        """Whether a file is being read or written aside."""
        return self._aside is not None

    def settle(self) -> None:
        """Wait for what is done aside."""
        while self._aside is not None:
            self._aside.settle()

    def close(self, *, lose_unsaved: bool = False) -> bool:
        """Take the job off the desk; False where it holds what is not on disk, which the band tells."""
        self.settle()
        open_job = self.desk.open_job
        if open_job is None:
            return True
        try:
            open_job.close(lose_unsaved=lose_unsaved)
        except LeakmapError as problem:
            self.desk.troubled.emit(Trouble(sentence=str(problem), answers=(self._lose(),)))
            return False
        self._beat.stop()
        self._retry.stop()
        self.desk.take_tool(None)
        self.desk.put(None)
        return True

    def end_work(self) -> None:
        """End whatever still runs, as when the window closes."""
        for errand in (*self.findChildren(Errand), *self.desk.findChildren(Errand)):
            errand.close()
        for aside in (*self.findChildren(Aside), *self.desk.findChildren(Aside)):
            aside.drop()

    def _lose(self) -> Answer:
        def close() -> None:
            self.close(lose_unsaved=True)

        return Answer(words="Close all the same and lose it", give=close)

    def _plan(self, plan: Plan | None) -> None:
        self.plan = plan
        self.planned.emit()

    def _read(self, new: NewDrawing) -> None:
        if self.plan is not None:
            self._plan(replace(self.plan, new=new))

    def _make_job(self) -> None:
        plan = self.plan
        if plan is None or plan.new is None or self.busy:
            return
        path, new = free_path(plan.folder, plan.name), plan.new
        if not plan.folder.is_dir():
            raise UnusableFile(f"The folder {plan.folder} is not there; choose another one.")
        job = sheet_added(empty_job(plan.name).job, new, name=plan.level).job
        self._errand = None

        def lay(open_job: OpenJob) -> None:
            self._plan(None)
            self._lay(open_job, path, Stage.DRAWING)
            self.desk.troubled.emit(told_of(self.desk, new))

        self._go_aside(lambda: _with_drawings(made(path, job, self.hand, drawings=[new])), lay, self._tell)

    def _add(self, new: NewDrawing, name: str) -> None:
        self.settle()
        open_job = self.desk.open_job
        if open_job is None:
            return
        sheet_added(open_job.job, new, name=name)  # what is refused is refused before anything is kept

        def add(_outcome: object) -> None:
            open_job.end_keeping(new)
            edit = sheet_added(open_job.job, new, name=name)
            self.desk.do(edit)
            self.desk.show_level(edit.made[0])
            self.desk.troubled.emit(told_of(self.desk, new))

        def leave(problem: LeakmapError) -> None:
            self._tell(problem)
            open_job.end_keeping(None)

        self._go_aside(open_job.begin_keeping(new), add, leave)

    def _open(self, path: Path, stage: Stage, sentence: str) -> None:
        """Open a job aside, with its drawings, and put it on the desk instead of the one there."""
        if not self.close():
            return

        def lay(open_job: OpenJob) -> None:
            self._lay(open_job, path, stage)
            if sentence:
                self.desk.said.emit(sentence)

        def leave(problem: LeakmapError) -> None:
            remember(lambda old: without_job(old, path))
            self._tell(problem)

        self._go_aside(lambda: _with_drawings(opened(path, self.hand)), lay, leave)

    def _lay(self, open_job: OpenJob, path: Path, stage: Stage) -> None:
        remember(lambda old: with_job(old, path))
        self.desk.take_tool(None)
        self.desk.go_to(stage)
        self.desk.put(open_job)
        self._beat.start()
        if open_job.notice:
            self.desk.said.emit(open_job.notice)

    def _go_aside(
        self, work: Callable[[], T], take: Callable[[T], None], leave: Callable[[LeakmapError], None]
    ) -> None:
        """Do something aside; what came out, or what went wrong, is taken on the main thread."""
        aside = self._aside = Aside(work, self)

        def ended(tell: Callable[[], None]) -> None:
            self._aside = None
            self.desk.attempt(tell)

        aside.finished.connect(lambda outcome: ended(lambda: take(outcome)))
        aside.failed.connect(lambda problem: ended(lambda: leave(problem)))

    def _tell(self, problem: LeakmapError) -> None:
        self.desk.troubled.emit(Trouble(sentence=str(problem)))

    def _keep_alive(self) -> None:
        if self.desk.open_job is not None and not self.desk.open_job.look_only:
            self.desk.attempt(self.desk.open_job.beat)

    def _watch_saving(self) -> None:
        """Say once that the disk does not take the work, and try again until it does."""
        open_job = self.desk.open_job
        unsaved = open_job.unsaved if open_job is not None else ""
        if unsaved and not self._retry.isActive():
            self._retry.start()
            self.desk.troubled.emit(Trouble(sentence=unsaved))

    def _try_again(self) -> None:
        open_job = self.desk.open_job
        if open_job is None or (self.desk.attempt(open_job.retry) and not open_job.unsaved):
            self._retry.stop()
            self.desk.saved_changed.emit()


def _with_drawings(open_job: OpenJob) -> OpenJob:
    """A job with its drawings at hand; one that cannot be had is told of where it is asked for."""
    for sheet in open_job.job.sheets:
        with contextlib.suppress(LeakmapError):
            open_job.drawing(sheet)
    return open_job
