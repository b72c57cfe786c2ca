"""The revision since which changes are shown, and what changed since: found aside, and anew after every deed.

The revision is unpacked and worked out once, a large one in a process of its own; the comparison goes in slices. Until
that is done plan and ledger go on showing what was found before. In stage Issue the ledger asks for changes that nobody chose
to see on the plan: since the revision that the next one is compared with.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final
from uuid import UUID

from PySide6.QtCore import QObject, QTimer, Signal

from leakmap.desk.aside import Aside
from leakmap.desk.long_work import LongWork
from leakmap.desk.slices import Slices
from leakmap.desk.things import Stage
from leakmap.desk.trouble import Trouble, trouble_of
from leakmap.desk.watched import Watched
from leakmap.model.revision import Revision
from leakmap.work.changes_since import Before, Changes, before_in, before_of, changes_steps, packed_before
from leakmap.work.revisions import FrozenSide, before_next, frozen_side

if TYPE_CHECKING:
    from leakmap.desk.state import Desk

_SMALL: Final = 60_000
"""Bytes of a frozen job that is unpacked and worked out at once: a twentieth of a second."""


class Since(QObject):
    """What is shown of changes.

    Signals: ``changed`` when another revision is chosen, or when it is found anew what changed since.

    Args:
        desk: The desk whose job it is.
    """

    changed = Signal()

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._desk = desk
        self._chosen: UUID | None = None
        self._before: tuple[UUID, Before] | None = None
        self._found: tuple[UUID, Changes] | None = None
        self._work: Watched | None = None
        self._of: UUID | None = None  # the revision that is being unpacked
        self._broken: frozenset[UUID] = frozenset()  # revisions that cannot be unpacked, which was told
        self._rest = QTimer(self, singleShot=True, interval=0)
        self._rest.timeout.connect(self._go_on)
        desk.opened.connect(self._forget)
        for signal in (desk.changed, desk.stage_changed, desk.draft_changed):
            signal.connect(self._again)

    @property
    def chosen(self) -> Revision | None:
        """The revision that was chosen; None: the plan shows no changes."""
        job = self._desk.job
        return job.revisions.get(self._chosen) if job is not None and self._chosen is not None else None

    @property
    def listed(self) -> Revision | None:
        """The revision since which the ledger lists changes: the chosen one, else what the next one is compared with."""
        job = self._desk.job
        return self.chosen or (None if job is None else before_next(job, self._desk.draft))

    @property
    def on_plan(self) -> Changes | None:
        """What the plan shows; None where no revision is chosen, or nothing is found yet."""
        return None if self._chosen is None else self.found(self._chosen)

    def found(self, revision: UUID) -> Changes | None:
        """What changed since a revision, where that is known."""
        return self._found[1] if self._found is not None and self._found[0] == revision else None

    def broken(self, revision: UUID) -> bool:
        """Whether a revision could not be unpacked."""
        return revision in self._broken

    def choose(self, revision: UUID | None) -> None:
        """Show what changed since a revision, or no changes."""
        if revision != self._chosen:
            self._chosen = revision
            self.changed.emit()
            self._again()

    def settle(self) -> None:
        """Wait until it is known what changed, unless a process works on it; for pictures and tests."""
        while self._rest.isActive() or isinstance(self._work, Slices):
            if isinstance(self._work, Slices) and not self._rest.isActive():
                self._work.go_on()
                continue
            self._rest.stop()
            self._go_on()

    def _forget(self) -> None:
        self._give_up()
        told = self._chosen, self._before, self._found
        self._chosen, self._before, self._found, self._broken = None, None, None, frozenset()
        if told != (None, None, None):
            self.changed.emit()

    def _again(self, _rows: object = None) -> None:
        """Compare again when the hand has let go: once for all that happens now."""
        self._rest.start()

    def _wanted(self) -> UUID | None:
        """The revision that is to be compared with; None where nobody asks."""
        listed = self.listed
        if self._chosen is not None or listed is None or self._desk.stage is not Stage.ISSUE:
            return self._chosen
        return None if listed.id in self._broken else listed.id

    def _go_on(self) -> None:
        wanted, open_job = self._wanted(), self._desk.open_job
        if open_job is None or wanted is None or wanted not in open_job.job.revisions:
            self._give_up()
            return
        if self._before is not None and self._before[0] == wanted:
            self._compare(wanted, self._before[1])
        elif self._of != wanted or self._work is None:
            revision = open_job.job.revisions[wanted]
            if not self._desk.attempt(lambda: self._open(wanted, frozen_side(revision, open_job.file.blob))):
                self._note_broken(wanted)
                self.choose(None)

    def _open(self, revision: UUID, side: FrozenSide) -> None:
        self._give_up()
        if len(side.content) <= _SMALL:
            self._opened(revision, before_of(side))
            return
        self._of = revision
        work = LongWork(self)
        work.finished.connect(lambda packed: self._unpack(revision, packed))
        work.failed.connect(lambda _: self._note_broken(revision))
        self._watch(work)
        work.start(packed_before, side)
        self._desk.working.emit(work)

    def _note_broken(self, revision: UUID) -> None:
        self._broken |= {revision}
        self.changed.emit()

    def _unpack(self, revision: UUID, packed: object) -> None:
        assert isinstance(packed, bytes)
        aside = Aside(lambda: before_in(packed), self)
        aside.finished.connect(lambda before: self._opened(revision, before))
        aside.failed.connect(lambda problem: self._desk.troubled.emit(trouble_of(problem)))

    def _opened(self, revision: UUID, before: object) -> None:
        assert isinstance(before, Before)
        self._before, self._of = (revision, before), None
        self._again()

    def _compare(self, revision: UUID, before: Before) -> None:
        open_job, found = self._desk.open_job, self._found
        assert open_job is not None
        if found is not None and found[0] == revision and found[1].new is open_job.job:
            return
        self._give_up()
        last = None if found is None else found[1]
        steps = changes_steps(before, open_job.job, open_job.repairs, last)
        work = Slices(f"Comparing with {before.name}", len(before.repairs.zones), steps, self)
        work.finished.connect(lambda changes: self._take(revision, changes))
        self._watch(work)
        self._desk.working.emit(work)

    def _watch(self, work: Watched) -> None:
        self._work = work
        work.stopped.connect(self._stop)
        work.failed.connect(self._fail)
        work.when_ended(lambda: self._ended(work))

    def _take(self, revision: UUID, changes: object) -> None:
        assert isinstance(changes, Changes)
        self._found = revision, changes
        self.changed.emit()

    def _fail(self, sentence: str) -> None:
        self._desk.troubled.emit(Trouble(sentence=sentence))
        self.choose(None)

    def _stop(self) -> None:
        """The user stopped it: the plan shows no changes any more."""
        self._chosen = None
        self.changed.emit()

    def _ended(self, work: Watched) -> None:
        if self._work is work:
            self._work, self._of = None, None

    def _give_up(self) -> None:
        work, self._work, self._of = self._work, None, None
        if isinstance(work, Slices):
            work.give_up()
        elif work is not None:
            work.close()
            work.given_up.emit()
