"""What a user does with whole files: open a job, start one from a drawing, look round the sample, close.

One job lies on the desk at a time. While it does, its lock is kept alive and what could not be written
is tried again. A job is made beside its drawing unless the user says otherwise.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Final

import platformdirs
from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtWidgets import QApplication

from leakmap.base.errors import LeakmapError, UnusableFile, reason_of
from leakmap.desk.aside import Aside
from leakmap.desk.choosing import chosen_drawing
from leakmap.desk.fetching import Fetching
from leakmap.desk.long_work import Errand, LongWork
from leakmap.desk.marked_in import MarkedIn
from leakmap.desk.one_aside import OneAside
from leakmap.desk.photos_in import PhotosIn
from leakmap.desk.state import Desk
from leakmap.desk.things import Stage
from leakmap.desk.trouble import Answer, Trouble
from leakmap.desk.watched import Watched
from leakmap.model.sheet import Source
from leakmap.work.held_drawings import sources_of
from leakmap.work.here import host, now, user
from leakmap.work.job_drawings import NewDrawing, sheet_added
from leakmap.work.job_names import SAMPLE_NAME, free_path, is_job_file, level_in
from leakmap.work.open_job import Hand, OpenJob, made, opened
from leakmap.work.recent import with_job, without_job

if TYPE_CHECKING:
    from leakmap.desk.levels_in import LevelsIn
    from leakmap.desk.pages_in import Wanted
    from leakmap.work.from_marked import FromMarked

SAMPLE_SENTENCE: Final = "This is a sample. Change anything."
BEAT_MS: Final = 60_000
RETRY_MS: Final = 5_000


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
        wanted: What of a file is brought in; its first page is the drawing of the first level.
        level: Name of the level that it shows.
        name: Name of the job.
        folder: Where its file goes.
        asked: Whether the drawing is read and something about it is asked first.
        new: The drawing as read; None while it is being read.
    """

    wanted: Wanted
    level: str
    name: str
    folder: Path
    asked: bool = False
    new: NewDrawing | None = None

    @property
    def waits(self) -> str:
        """Why the job cannot be made yet; empty where nothing stands in the way."""
        if self.new is not None:
            return ""
        return "answer the question below" if self.asked else f"waiting for {self.wanted.file.name}"


class Sitting(QObject):
    """Whole files on and off the desk."""

    planned = Signal()  # ``plan`` or ``opening`` is another, or none
    laid = Signal()  # a job was put on the desk that was opened, not made just now
    leaving = Signal()  # the job is about to be put away

    def __init__(self, desk: Desk, hand: Hand | None = None) -> None:
        super().__init__(desk)
        self.desk = desk
        self.hand = hand or this_hand()
        self.plan: Plan | None = None
        self.opening = ""  # name of the job that is being opened
        self._errand: Errand | None = None
        self._asides = OneAside(desk, self)
        self._asides.broken.connect(lambda: self._note_opening(""))
        self._photos = PhotosIn(desk, self._asides, self)
        self._marked = MarkedIn(desk, self._take_marked, self)
        self._fetching = Fetching(desk, self._asides, lambda: self._note_opening(""))
        self._beat = QTimer(self, interval=BEAT_MS)
        self._beat.timeout.connect(self._keep_alive)
        self._retry = QTimer(self, interval=RETRY_MS)
        self._retry.timeout.connect(self._try_again)
        desk.saved_changed.connect(self._watch_saving)
        desk.reading_asked.connect(lambda *how: self._levels.read_otherwise(*how))  # noqa: PLW0108 - it is late

    @cached_property
    def _levels(self) -> LevelsIn:
        from leakmap.desk.levels_in import LevelsIn  # noqa: PLC0415 - late

        return LevelsIn(self.desk, self._asides, self.choose_drawing, self)

    def open_file(self, path: Path, *others: Path) -> None:
        """Open a job, or bring a drawing in: into the job on the desk, else into a new one.

        A drawing that holds the job it was issued from asks which of both is meant; a filled field table is read, and one
        of rates or materials taken where its sheet lies in the plan's place. Of what came with it, other marked drawings
        count.
        """
        if is_job_file(path):
            self.open_job(path)
            return
        from leakmap.desk.field_table import TABLE_ENDINGS, read_field_table  # noqa: PLC0415 - late
        from leakmap.desk.table_in import SHEET_TABLE, take_dropped_table  # noqa: PLC0415 - late

        if path.suffix.lower() in TABLE_ENDINGS:
            read_field_table(self.desk, path)
        elif path.suffix.lower() == SHEET_TABLE:
            take_dropped_table(self.desk, path)
        else:
            self._marked.ask(
                path, self._bring, tuple(each for each in others if each.suffix.lower() == path.suffix.lower())
            )

    def open_job(self, path: Path, then: Callable[[], object] | None = None) -> None:
        """Put a job on the desk instead of the one there; what goes wrong is told in the band.

        Args:
            path: Its file.
            then: What is done when it lies there; None for nothing.
        """
        self._open(path, Stage.DRAWING, "", then=then)

    def choose_drawing(self) -> None:
        """Let the user choose a drawing and bring it in."""
        title = "Choose a drawing" if self.desk.open_job is None else "Import drawing"
        path = chosen_drawing(QApplication.activeWindow(), title)
        if path is not None:
            self.desk.remember(lambda old: replace(old, drawings=path.absolute().parent))
            self.open_file(path)

    def start_with(self, drawing: Path) -> None:
        """Start a job from a drawing: it is read while its names are asked for."""
        from leakmap.desk.pages_in import ask_what  # noqa: PLC0415 - late

        self.give_up()
        self._errand = ask_what(self.desk, drawing, self._start, other=self.choose_drawing, left=self.give_up)

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
        """Bring a drawing into the job on the desk, as a level of its own whose name is asked for; or several pages."""
        if self.desk.may_change():
            from leakmap.desk.pages_in import ask_what  # noqa: PLC0415 - late

            ask_what(self.desk, drawing, self._levels.add_pages, other=self.choose_drawing)

    def look_round(self, folder: Path | None = None, *, then: Callable[[], object] | None = None) -> None:
        """Make a copy of the sample job, in a process of its own, and open it.

        Args:
            folder: Where it goes; the documents of the user unless said otherwise.
            then: What is done when it lies on the desk; None for nothing.
        """
        from leakmap.work.sample_file import make_sample_file  # noqa: PLC0415 - late

        place = folder or sample_folder()
        try:
            place.mkdir(parents=True, exist_ok=True)
        except OSError as problem:
            words = f"The folder {place} cannot be made: {reason_of(problem)}."
            self.desk.troubled.emit(Trouble(sentence=words, lasts=True))
            return
        path = free_path(place, SAMPLE_NAME)
        work = self._errand = LongWork(self)
        work.finished.connect(lambda _findings: self._open(path, Stage.REPAIR, SAMPLE_SENTENCE, then=then))
        work.failed.connect(lambda sentence: self.desk.troubled.emit(Trouble(sentence=sentence, lasts=True)))
        work.when_ended(work.deleteLater)
        work.start(make_sample_file, path, user=self.hand.user, at=self.hand.clock())
        self.desk.working.emit(work)

    @property
    def busy(self) -> bool:
        """Whether a file is being read or written aside."""
        return self._asides.busy

    def settle(self) -> None:
        """Wait for what is done aside."""
        self._marked.settle()
        self._asides.settle()

    def close(self, *, lose_unsaved: bool = False) -> bool:
        """Take the job off the desk; False where it holds what is not on disk, which the band tells."""
        self.settle()
        self._fetching.leave()
        open_job = self.desk.open_job
        if open_job is None:
            return True
        self.leaving.emit()
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
        for work in (*self.findChildren(Watched), *self.desk.findChildren(Watched)):
            work.close()
        for aside in (*self.findChildren(Aside), *self.desk.findChildren(Aside)):
            aside.drop()

    def _lose(self) -> Answer:
        def close() -> None:
            self.close(lose_unsaved=True)

        return Answer(words="Close all the same and lose it", give=close)

    def _plan(self, plan: Plan | None) -> None:
        self.plan = plan
        self.planned.emit()

    def _bring(self, drawing: Path) -> None:
        """Bring a drawing in that is nothing but a drawing."""
        if self.desk.open_job is None:
            self.start_with(drawing)
        else:
            self.add_level(drawing)

    def _take_marked(self, marked: Path, found: FromMarked) -> None:
        """Keep the job of a marked drawing in a file of its own and put it on the desk instead of the one there."""
        from leakmap.work.marked_file import taken_words  # noqa: PLC0415 - late

        path = free_path(self._folder_of(marked), found.job.name)

        def told() -> None:
            self.desk.troubled.emit(Trouble(sentence=taken_words(found, path.name), grave=False))

        def lay(_file: object) -> None:
            self._open(path, Stage.REPAIR, "", then=told)

        self._asides.settle()
        self._asides.go(lambda: made(path, found.job, self.hand, drawings=found.drawings).close(), lay, self._tell)

    def _folder_of(self, drawing: Path) -> Path:
        """Where the job of a drawing goes: the folder of jobs that is set, else beside it."""
        jobs = self.desk.settings.jobs_folder
        return Path(jobs) if jobs and Path(jobs).is_dir() else drawing.absolute().parent

    def _start(self, wanted: Wanted) -> None:
        from leakmap.desk.drawing_in import bring_in  # noqa: PLC0415 - late

        file = wanted.file
        level = level_in(file.name) if wanted.of == 1 else ""
        self._plan(Plan(wanted=wanted, level=level, name=file.stem, folder=self._folder_of(file)))
        errand = bring_in(self.desk, wanted, self._read, other=self._start_anew, left=self.give_up)
        errand.finished.connect(lambda _new: self._note_asked())
        errand.stopped.connect(self.give_up)
        errand.failed.connect(self.give_up)
        self._errand = errand

    def _start_anew(self) -> None:
        self.give_up()
        self.choose_drawing()

    def _read(self, new: NewDrawing) -> None:
        if self.plan is not None:
            self._plan(replace(self.plan, new=new))

    def _note_asked(self) -> None:
        if self.plan is not None and self.plan.new is None:
            self._plan(replace(self.plan, asked=True))

    def _make_job(self) -> None:
        from leakmap.desk.drawing_in import told_of  # noqa: PLC0415 - late
        from leakmap.work.new_job import empty_job  # noqa: PLC0415 - late

        plan = self.plan
        if plan is None or plan.new is None or self.busy:
            return
        path, new = free_path(plan.folder, plan.name), plan.new
        if not plan.folder.is_dir():
            raise UnusableFile(f"The folder {plan.folder} is not there; choose another one.")
        job = sheet_added(
            empty_job(plan.name, settings=self.desk.settings, system=self.desk.system).job, new, name=plan.level
        ).job
        self._errand = None

        def lay(open_job: OpenJob) -> None:
            self._plan(None)
            self._lay(open_job, path, Stage.DRAWING)
            self.desk.troubled.emit(told_of(self.desk, new))
            self._levels.add_pages(plan.wanted.rest)

        self._asides.go(lambda: _fetched(made(path, job, self.hand, drawings=[new]))[0], lay, self._tell)

    def _open(self, path: Path, stage: Stage, sentence: str, *, then: Callable[[], object] | None = None) -> None:
        """Open a job aside, with its drawings, and put it on the desk instead of the one there."""
        before = self.desk.open_job
        if not self.close():
            return

        def lay(open_job: OpenJob) -> None:
            self._lay(open_job, path, stage)
            self._note_opening("")  # after that, for the start sheet must not ask its question again meanwhile
            if not sentence:
                self.laid.emit()
            if then is not None:
                then()
            for words in (open_job.notice, sentence, *open_job.held.unreadable):  # last, for a stage lets go of them
                if words:
                    self.desk.said.emit(words)

        def fetch(found: tuple[OpenJob, tuple[Source, ...]]) -> None:
            open_job, unread = found
            self._fetching.start(open_job, unread, lambda: lay(open_job))

        def leave(problem: LeakmapError) -> None:
            self._note_opening("")
            self.desk.remember(lambda old: without_job(old, path))
            self._tell(problem, *self._back_to(before, other_than=path))

        self._note_opening(path.name)
        self._asides.go(lambda: _fetched(opened(path, self.hand)), fetch, leave)

    def _note_opening(self, name: str) -> None:
        """Say which job is being opened; none: an empty name."""
        self.opening = name
        self.planned.emit()

    def _lay(self, open_job: OpenJob, path: Path, stage: Stage) -> None:
        self.desk.remember(lambda old: with_job(old, path))
        self.desk.take_tool(None)
        self.desk.go_to(stage)
        self.desk.put(open_job)
        self._beat.start()

    def _back_to(self, before: OpenJob | None, *, other_than: Path) -> tuple[Answer, ...]:
        """The way back to the job that was put away for one that does not open."""
        if before is None or before.file.path.absolute() == other_than.absolute():
            return ()
        path = before.file.path
        return (Answer(words="Back to the job before", give=lambda: self.open_job(path)),)

    def _tell(self, problem: LeakmapError, *answers: Answer) -> None:
        """Tell why there is no job; it stays until it is read, whatever stage is looked at meanwhile."""
        self.desk.troubled.emit(Trouble(sentence=str(problem), answers=answers, lasts=True))

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


def _fetched(open_job: OpenJob) -> tuple[OpenJob, tuple[Source, ...]]:
    """A job with its drawings at hand, and those that must be read again first."""
    return open_job, open_job.held.fetch(sources_of(open_job.job))
