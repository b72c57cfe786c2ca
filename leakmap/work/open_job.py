"""A job under work: its file, its history, and what is worked out of it.

Every finished deed is on disk when ``do`` returns. Where it cannot be written for the time being, because
the disk is full, it waits in memory with those after it, in their order, and ``retry`` writes them. Undo goes on
where it was before the job was closed; it stops at an issue. Clock, user and computer are passed in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import Final
from uuid import UUID

from leakmap.base.errors import (
    EditRefused,
    NotWritten,
    UnusableFile,
    UnusableJobFile,
    reason_of,
)
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.model.drawing import Drawing
from leakmap.model.faults import Row
from leakmap.model.job import Job
from leakmap.model.revision import Begun
from leakmap.model.words import Purpose
from leakmap.records.job_file import JobFile, create_job_file, open_job_file
from leakmap.records.journal import Deed
from leakmap.repair.junctions import Junctions
from leakmap.repair.local import work_out, work_out_again
from leakmap.repair.network import Network
from leakmap.repair.results import Repairs
from leakmap.repair.worked_out import WorkedOut
from leakmap.work.edits.edit import JOB_ROW, Edit
from leakmap.work.held_drawings import HeldDrawings, sources_of
from leakmap.work.history import History, Step
from leakmap.work.issuing import Issue, issue
from leakmap.work.job_drawings import JobDrawings, NewDrawing, sheet_added
from leakmap.work.papers import refuse_to_replace
from leakmap.work.past import REDO, UNDO, steps_back
from leakmap.work.photos import NewPhoto
from leakmap.work.revisions import side_before
from leakmap.work.storing import store
from leakmap.work.writing import Writing

_PATIENCE_S: Final = 0.1  # as long as a window may stand still; what is not written then waits in memory
_MANY: Final = 200  # joints in one deed, from which on working out everything may be quicker


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """Who works, on which computer, and what tells the time."""

    user: str
    host: str
    clock: Callable[[], datetime]


class OpenJob:
    """A job that is open for work, or to look at.

    Attributes:
        file: Its job file.
        held: Its drawings.
    """

    def __init__(self, file: JobFile, hand: Hand) -> None:
        self.file = file
        file.wait_at_most(_PATIENCE_S)
        self._hand = hand
        self._history = History(present=file.job)
        self._earlier: Iterator[Step] | None = None if file.look_only else steps_back(file.earlier_jobs())
        self._writing = Writing(file, user=hand.user, clock=hand.clock)
        self._begun = file.begun()
        self._worked_out = work_out(file.job)
        self._ahead: WorkedOut | None = None
        self.held = HeldDrawings(file)

    @property
    def job(self) -> Job:
        """The job as kept."""
        return self._history.present

    @property
    def repairs(self) -> Repairs:
        """The work-out of the job as kept."""
        return self._worked_out.repairs

    @property
    def network(self) -> Network:
        """The network of the job as kept, which edits of leaks leave as it is."""
        return self._worked_out.ground.network

    @property
    def junctions(self) -> Junctions:
        """How the joints of the job as kept meet."""
        return self._worked_out.ground.junctions

    @property
    def look_only(self) -> bool:
        """Whether it can only be looked at."""
        return self.file.look_only

    @property
    def only_to_look(self) -> str:
        """Why it can only be looked at, as a sentence; empty where it can be changed."""
        if not self.look_only:
            return ""
        return self.file.notice or f"{self.file.path.name} is open only to look. You can look, not change."

    @property
    def notice(self) -> str:
        """What the user should read first; empty when there is nothing to say."""
        kept = self.file.kept_copy
        upgraded = f"The job was brought up to date; as it was before, it is kept in {kept.name}." if kept else ""
        return " ".join(part for part in (self.file.notice, upgraded) if part)

    @property
    def hand(self) -> Hand:
        """Who works, and what tells the time."""
        return self._hand

    @property
    def today(self) -> date:
        """The day, as the hand's clock tells it."""
        return self._hand.clock().date()

    # Saved ----------------------------------------------------------------------------------------

    @property
    def saved_words(self) -> str:
        """Whether everything is on disk, in the words of the foot."""
        return self._writing.words

    @property
    def unsaved(self) -> str:
        """What the user should know of what is not on disk, as a sentence; empty when all of it is."""
        return self._writing.unsaved

    def retry(self) -> bool:
        """Write what waits; whether everything is on disk now. To be called every few seconds while something waits.

        Raises:
            UnusableJobFile: Somebody else took the file over or changed it; what waits stays in memory.
        """
        return self._writing.retry()

    def beat(self) -> None:
        """Say that the job is still in use; to be called every minute.

        Raises:
            UnusableJobFile: Somebody else took the file over or changed it.
        """
        if self.retry():
            with suppress(NotWritten):
                self.file.beat(self._hand.clock())

    # Deeds ----------------------------------------------------------------------------------------

    @property
    def undo_words(self) -> str | None:
        """Words of what undo would undo."""
        self._reach_back()
        return None if self.look_only else self._history.undo_words

    @property
    def redo_words(self) -> str | None:
        """Words of what redo would do."""
        return self._history.redo_words

    def do(self, edit: Edit) -> None:
        """Do a deed: it is on disk when this returns, or waits in memory where the disk does not take it.

        Raises:
            EditRefused: The job can only be looked at.
            UnusableJobFile: Somebody else took the file over or changed it; the deed is not done.
        """
        self._refuse_looking()
        if edit.changed:
            self._keep(self._history.done(edit), Deed.EDITED, edit.words)

    def undo(self) -> frozenset[Row]:
        """Undo the last deed, of whichever day; gives the rows that differ.

        Raises:
            EditRefused: There is nothing to undo, it was issued, or the job can only be looked at.
            UnusableJobFile: Somebody else took the file over or changed it; nothing is undone.
        """
        self._refuse_looking()
        self._reach_back()
        return self._keep(self._history.undo(), Deed.UNDONE, f"{UNDO}{self._history.undo_words}")

    def redo(self) -> frozenset[Row]:
        """Do the last deed that was undone since opening again; gives the rows that differ.

        Raises:
            EditRefused: There is none, or the job can only be looked at.
            UnusableJobFile: Somebody else took the file over or changed it; nothing is done.
        """
        self._refuse_looking()
        return self._keep(self._history.redo(), Deed.REDONE, f"{REDO}{self._history.redo_words}")

    def work_ahead(self, edit: Edit) -> None:
        """Work out what a deed on the kept job gives, so that less is left to do at once when it is done next."""
        self._ahead = self._out_of(edit.job, edit.changed)

    def worked_out_of(self, edit: Edit) -> WorkedOut:
        """A job that is not kept, as a drag shows it, worked out."""
        return work_out_again(self._worked_out, edit.job, edit.changed)

    def repairs_of(self, edit: Edit) -> Repairs:
        """The work-out of such a job alone."""
        return self.worked_out_of(edit).repairs

    # Drawings -------------------------------------------------------------------------------------

    def drawing(self, sheet: UUID) -> Drawing | None:
        """The drawing of a sheet as read; None for a blank sheet.

        Raises:
            UnusableJobFile: It is missing from the file, or damaged.
            UnusableDrawing: It cannot be read any more.
        """
        source = self.job.sheets[sheet].source
        return None if source is None else self.held.drawing(source)

    def drawings(self, *, progress: Progress = UNWATCHED) -> JobDrawings:
        """Every drawing that the sheets show, as bytes and as read: what papers are made from.

        Raises:
            UnusableJobFile: One is missing from the file, or damaged.
            UnusableDrawing: One cannot be read any more.
            Stopped: The watcher asked to stop.
        """
        return self.held.for_papers(sources_of(self.job), progress=progress)

    def keep_drawing(self, new: NewDrawing) -> None:
        """Keep a drawing in the job file, so that a deed can put it under a sheet.

        Raises:
            EditRefused: The job can only be looked at.
            UnusableJobFile: It could not be kept.
        """
        self._refuse_looking()
        at = self._hand.clock()
        self.file.put_blob(new.content, at=at)
        for key, kept in new.parsed.items():
            self.file.put_parsed(key, kept, at=at)
        self.held.take(new)

    def begin_keeping(self, *new: NewDrawing | NewPhoto) -> Callable[[], None]:
        """Begin to keep files beside the work: what writes them, to be called in any thread before ``end_keeping``.

        Deeds done meanwhile wait in memory.

        Raises:
            EditRefused: The job can only be looked at.
            UnusableJobFile: It could not be kept.
        """
        self._refuse_looking()
        beside, at = self.file.begin_beside(), self._hand.clock()
        parsed = {key: kept for each in new for key, kept in each.parsed.items()}
        return lambda: beside.write([each.content for each in new], parsed, at=at)

    def end_keeping(self, new: NewDrawing | None) -> None:
        """Take note of a drawing that was kept, None where it was none or was not, and write what has waited.

        Raises:
            UnusableJobFile: Somebody else took the file over or changed it.
        """
        self.file.end_beside()
        if new is not None:
            self.held.take(new)
        self.retry()

    def add_drawing(self, new: NewDrawing, *, name: str, floor_level_m: float | None = None) -> Edit:
        """Add a sheet that shows a drawing; gives the deed done, whose first made id is the sheet's.

        The drawing is kept before the sheet names it, so that no sheet ever names what is not there.

        Args:
            new: The drawing.
            name: Name of the sheet, such as B2.
            floor_level_m: Level of its slab over the job's datum.

        Raises:
            EditRefused: The name is empty or in use, or the job can only be looked at.
            UnusableJobFile: The drawing could not be kept.
        """
        edit = sheet_added(self.job, new, name=name, floor_level_m=floor_level_m)
        self.keep_drawing(new)
        self.do(edit)
        return edit

    # Issues ---------------------------------------------------------------------------------------

    @property
    def begun(self) -> Begun | None:
        """The revision that is being made; None where none was begun."""
        return self._begun

    def begin(self, begun: Begun | None) -> None:
        """Begin the next revision, or give it up; kept over restarts as soon as the disk takes it.

        Raises:
            EditRefused: The job can only be looked at.
            UnusableJobFile: Somebody else took the file over or changed it.
        """
        self._refuse_looking()
        self._begun = begun
        with suppress(NotWritten):
            self.file.keep_begun(begun, at=self._hand.clock())

    def issue(
        self, *, purpose: Purpose, to_whom: str, folder: Path, progress: Progress = UNWATCHED
    ) -> tuple[Issue, tuple[Path, ...]]:
        """Issue the next revision and put its papers into a folder; gives it, and where they are.

        Raises:
            EditRefused: Nothing may be issued, and why.
            UnusableFile: The folder cannot be written, or has a paper of that name already; or the issue is kept,
                but a paper was not placed.
            UnusableJobFile: It could not be kept; nothing was issued.
            Stopped: The watcher asked to stop.
        """
        self._refuse_looking()
        held = self.drawings(progress=progress)
        made = issue(
            self.job,
            purpose=purpose,
            to_whom=to_whom,
            by=self._hand.user,
            at=self._hand.clock(),
            sources=held.sources,
            drawings=held.drawings,
            before=side_before(self.job, purpose, self.file.blob),
            progress=progress,
        )
        return made, self.keep_issue(made, folder)

    def keep_issue(self, made: Issue, folder: Path) -> tuple[Path, ...]:
        """Keep an issue that was made of this job, here or in another process; undo stops at it.

        Args:
            made: The issue.
            folder: Where its papers go; none there is replaced.

        Raises:
            EditRefused: The job was changed while the papers were made, or can only be looked at.
            UnusableFile: The folder cannot be written, or has a paper of that name already; or the issue is kept,
                but a paper was not placed.
            UnusableJobFile: It could not be kept; nothing was issued.
        """
        self._refuse_looking()
        old, new = self.job, made.job
        if replace(new, issued=old.issued, revisions=old.revisions, numbers=old.numbers) != old:
            raise EditRefused("The job was changed while its papers were made, so nothing was issued; issue it again.")
        refuse_to_replace(folder, made.papers)
        if not self.retry():
            raise self._writing.refusal()
        numbers = replace(old.numbers, zone=new.numbers.zone)  # what was drawn meanwhile, and removed, used numbers up
        new = replace(old, issued=new.issued, revisions=new.revisions, numbers=numbers)
        try:
            return store(self.file, replace(made, job=new), folder)
        except OSError as problem:
            raise UnusableFile(
                f"{folder} cannot take the papers: {reason_of(problem)}. Nothing was issued; choose another folder.",
                where=str(folder),
            ) from problem
        finally:
            if self.file.job is new:
                self._begun = None
                self._stop_at(new, made.revision.name)

    # Closing --------------------------------------------------------------------------------------

    def close(self, *, lose_unsaved: bool = False) -> None:
        """Let others open the file for change.

        Args:
            lose_unsaved: Whether it is closed even where deeds are not on disk; they are lost then.

        Raises:
            NotWritten: Deeds are not on disk; it stays open.
            UnusableJobFile: The same, because somebody else took the file over or changed it.
        """
        if not lose_unsaved and not self.retry():
            raise self._writing.refusal()
        self.file.close()

    def _keep(self, history: History, deed: Deed, words: str) -> frozenset[Row]:
        """Make a history the one in force and write its present, or let it wait."""
        self._writing.add(history.present, deed, words)
        self._history = history
        before, ahead = self._worked_out, self._ahead
        there = ahead is not None and ahead.job is history.present
        self._worked_out = ahead if there and ahead is not None else self._out_of(history.present, history.changed)
        self._ahead = before  # where undo goes back to, or redo after an undo
        return history.changed

    def _out_of(self, job: Job, changed: frozenset[Row]) -> WorkedOut:
        """The work-out of the job as it differs from the kept one: whole where most joints changed, which is quicker."""
        joints = sum(name == "joints" for name, _ in changed)
        if joints >= _MANY and 2 * joints > len(job.joints):
            return work_out(job)
        return work_out_again(self._worked_out, job, changed)

    def _reach_back(self) -> None:
        """Fetch the latest step of before this opening once those since are undone."""
        if self._history.past or self._earlier is None:
            return
        try:
            step = next(self._earlier, None)
        except UnusableJobFile:  # a damaged journal ends undo; the check of the file says where
            step = None
        if step is not None:
            self._history = replace(self._history, past=(step,))
            return
        self._earlier = None
        if self.job.revisions:
            self._history = replace(self._history, issued=list(self.job.revisions.values())[-1].name)

    def _stop_at(self, job: Job, revision: str) -> None:
        new = job.revisions.keys() - self.job.revisions.keys()
        rows = [("issued", key) for key in job.issued.keys() ^ self.job.issued.keys()]
        changed = frozenset([(JOB_ROW, job.id), *rows, *(("revisions", key) for key in new)])
        self._history = self._history.stopped_at(
            Edit(job=job, changed=changed, words=f"Issued {revision}"), revision=revision
        )
        self._earlier = None
        self._worked_out = work_out_again(self._worked_out, job, changed)

    def _refuse_looking(self) -> None:
        if self.look_only:
            raise EditRefused(self.only_to_look)


def opened(path: Path, hand: Hand) -> OpenJob:
    """Open a job file for work; where somebody else has it open, or it cannot be written, to look.

    Raises:
        UnusableJobFile: It is not there, no job file, damaged, or newer than this program.
    """
    at = hand.clock()
    try:
        return OpenJob(open_job_file(path, user=hand.user, host=hand.host, at=at), hand)
    except NotWritten as problem:
        file = open_job_file(path, user=hand.user, host=hand.host, at=at, look_only=True)
        file.notice = f"{problem.message} You can look, not change."
        return OpenJob(file, hand)


def made(path: Path, job: Job, hand: Hand, *, drawings: Iterable[NewDrawing] = (), replace: bool = False) -> OpenJob:
    """Make a job file and open it for work.

    Args:
        path: Where; by custom its name ends in ``.gpkg``.
        job: The job.
        hand: Who makes it.
        drawings: The drawings that its sheets show.
        replace: Whether a file of that name may be replaced.

    Raises:
        UnusableJobFile: It is there already, or cannot be written.
    """
    every = tuple(drawings)
    create_job_file(
        path,
        job,
        user=hand.user,
        at=hand.clock(),
        sources=[new.content for new in every],
        parsed={key: kept for new in every for key, kept in new.parsed.items()},
        replace=replace,
    )
    return opened(path, hand)
