"""The tools of stage Issue: check, new revision, the papers to look at, and the issue itself.

A revision is begun with its purpose; that freezes nothing, and it stays begun over restarts. The issue makes the papers
in a process of its own, then numbers the zones for good, seals the revision and puts the papers into a folder.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QFileDialog

from leakmap.base.counted import many
from leakmap.base.file_names import safe_name
from leakmap.base.findings import to_look_at
from leakmap.desk.keeping_issue import keep_issue
from leakmap.desk.long_work import LongWork, told_work
from leakmap.desk.state import Desk
from leakmap.desk.things import Paper, Sort, Stage, Thing
from leakmap.desk.tools.handles import Gesture
from leakmap.desk.tools.kinds import taken_by_key
from leakmap.desk.tools.places import leak_at, zone_at
from leakmap.desk.tools.tool import Ask, Choice, Pointer, Tool
from leakmap.desk.trouble import Answer, Trouble
from leakmap.model.words import Purpose
from leakmap.repair.results import Repairs
from leakmap.work.check_list import check_list, next_name, open_checks
from leakmap.work.issuing import Issue, issue, refuse_to_issue, unchecked_sheets
from leakmap.work.papers import can_take_papers
from leakmap.work.recent import recent
from leakmap.work.revisions import side_before

_NUMBERS: Final = ("No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten")
_RECENT: Final = (2, 5)
"""How many who got an issue before are offered again; and to a hand in a glove, which types slowly."""


def purpose_choices(
    chosen: Purpose | None, take: Callable[[Purpose], None], *, alt: bool = False
) -> tuple[Choice, ...]:
    """The two purposes; with Alt where letters are typed meanwhile."""
    return tuple(
        Choice(
            key=purpose.letter,
            words=f"{purpose.letter} for {purpose}",
            chosen=purpose is chosen,
            alt=alt,
            take=lambda purpose=purpose: take(purpose),  # type: ignore[misc] # a default keeps the value of each turn
        )
        for purpose in Purpose
    )


class Check(Gesture):
    """Looks at what stands in the way of an issue; a click on the plan picks."""

    name = "Check"
    key = "C"
    by_cross = False

    def sentence(self) -> str:
        """How much needs a look."""
        count = len(open_checks(check_list(self.kept, self.kept_repairs)))
        before = (
            f"{next_name(self.kept, self.desk.draft)} is" if self.desk.draft is not None else "the next revision is"
        )
        if count == 0:
            ready = " Press I to issue it." if self.desk.draft is not None else ""
            return f"Nothing needs a look before {before} issued.{ready}"
        number = _NUMBERS[count] if count < len(_NUMBERS) else str(count)
        return f"{number} thing{'s' if count > 1 else ''} to look at before {before} issued; the ledger says where."

    def pressed(self, pointer: Pointer) -> None:
        """Pick what is under the hand."""
        zone, leak = zone_at(self.desk, pointer), leak_at(self.desk, pointer)
        if zone is not None:
            self.desk.pick(Thing(Sort.ZONE, zone.number))
        else:
            self.desk.pick(*(() if leak is None else (Thing(Sort.LEAK, leak.id),)))


class NewRevision(Gesture):
    """Begins the next revision by its purpose."""

    name = "New revision"
    key = "R"
    by_cross = False

    def sentence(self) -> str:
        """What is asked."""
        draft = self.desk.draft
        if draft is None:
            return "What is it for? Press P for price or C for work; nothing freezes until it is issued."
        return f"{next_name(self.kept, draft)} is begun; P or C changes what it is for, Delete gives it up."

    def choices(self) -> tuple[Choice, ...]:
        """The two purposes."""
        return purpose_choices(self.desk.draft, self._begin)

    def typed(self, text: str) -> bool:
        """The letter of a purpose."""
        return taken_by_key(self.choices(), text.upper())

    def deleted(self) -> bool:
        """Give the revision up; nothing was frozen."""
        if self.desk.draft is None:
            return False
        self.desk.begin_revision(None)
        self.refresh()
        return True

    def _begin(self, purpose: Purpose) -> None:
        self.desk.begin_revision(purpose)
        self.desk.take_tool(Check(self.desk))


class _Preview(Tool):
    """Lays a paper in the plan's place for as long as the tool is in hand."""

    paper: Paper
    by_cross = False

    def taken(self) -> None:
        """Lay the paper out."""
        self.desk.lay_out(self.paper)

    def dropped(self) -> None:
        """The plan again."""
        self.desk.lay_out(None)


class MarkedDrawing(_Preview):
    """Shows the marked drawing of the level as it would be issued."""

    name = "Marked drawing"
    key = "D"
    paper = Paper.MARKED

    def sentence(self) -> str:
        """What is seen."""
        return "The marked drawing as it would be issued; the wheel brings it nearer, Esc shows the plan again."


class RepairSchedule(_Preview):
    """Shows the pages of the repair schedule as they would be issued."""

    name = "Schedule"
    key = "S"
    paper = Paper.SCHEDULE

    def sentence(self) -> str:
        """What is seen."""
        return "The repair schedule as it would be issued; the wheel turns pages, Esc shows the plan again."


class PlanSet(_Preview):
    """Shows the pages of the plan set as they would be issued, one at a time."""

    name = "Plan set"
    key = "P"
    paper = Paper.PLAN_SET

    def sentence(self) -> str:
        """What is seen."""
        return "The plan set as it would be issued; the wheel and Page Down turn its pages, Esc shows the plan again."


class Changes(_Preview):
    """Shows what changed since a revision, or between two that are picked in the ledger."""

    name = "Changes"
    key = "H"
    paper = Paper.CHANGES

    def taken(self) -> None:
        """Lay the comparison out, once there is a revision to compare with."""
        if self.desk.job is not None and self.desk.job.revisions:
            super().taken()

    def sentence(self) -> str:
        """What is compared with what."""
        job = self.desk.job
        if job is None or job.last_revision is None:
            return "Nothing is issued yet, so there is nothing to compare with. Press R to begin a revision."
        keys = {thing.key for thing in self.desk.picked if thing.sort is Sort.REVISION}
        names = [revision.name for revision in job.revisions.values() if revision.id in keys]
        names = names or [job.last_revision.name]
        what = f"from {names[0]} to {names[-1]}" if len(names) > 1 else f"since {names[0]}"
        return f"What changed {what}; pick one revision in the ledger, or two with Ctrl. Esc shows the plan again."


class IssueRevision(Gesture):
    """Issues the next revision: its purpose, to whom, and where the papers go."""

    name = "Issue"
    key = "I"
    by_cross = False

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.to_whom = desk.begun.to_whom if desk.begun is not None else ""
        self._of_others = recent().recipients
        self.folder: Path | None = None  # chosen by hand; None: beside the job file

    @property
    def work(self) -> LongWork | None:
        """What makes the papers now; it goes on while other tools are in hand."""
        return self.desk.issuing

    # What is seen ------------------------------------------------------------------------------------

    def sentence(self) -> str:
        """What is asked next."""
        draft = self.desk.draft
        if draft is None:
            return "What is it for? Press P for price or C for work."
        name = next_name(self.kept, draft)
        if self.work is not None:
            return f"The papers of {name} are being made."
        return f"Type to whom, Enter seals {name}; its papers go {self._where()}."

    def choices(self) -> tuple[Choice, ...]:
        """The two purposes, which can be changed until the end; then who got an issue before, and another folder."""
        purposes = purpose_choices(self.desk.draft, self._begin, alt=self.ask() is not None)
        if self.desk.draft is None:
            return purposes
        if self.work is not None:
            return ()
        known = [
            Choice(key="", words=name, chosen=name == self.to_whom, take=lambda name=name: self._take(name))  # type: ignore[misc] # a default keeps the value of each turn
            for name in self._known()
        ]
        return (
            *purposes,
            *known,
            Choice(key="F", words="F other folder", chosen=self.folder is not None, alt=True, take=self._ask_folder),
        )

    def ask(self) -> Ask | None:
        """To whom it goes."""
        if self.desk.draft is None or self.work is not None:
            return None
        return Ask(name="To whom", words=self.to_whom, changed=self._named, entered=self.issue)

    def folder_for(self, purpose: Purpose) -> Path:
        """Where the papers go: the chosen folder, else one of the revision's own beside the job file."""
        if self.folder is not None:
            return self.folder
        assert self.desk.open_job is not None
        path = self.desk.open_job.file.path.absolute()
        return path.parent / f"{safe_name(self.kept.name)} {next_name(self.kept, purpose)}"

    def _where(self) -> str:
        return f"into {self.folder.name}" if self.folder is not None else "beside the job"

    def _known(self) -> tuple[str, ...]:
        """Who got an issue before, of this job and then of recent ones, latest first."""
        latest = (revision.to_whom for revision in reversed([*self.kept.revisions.values()]))
        return tuple(dict.fromkeys((*latest, *self._of_others)))[: _RECENT[self.desk.settings.glove_mode]]

    # What the hand does ------------------------------------------------------------------------------

    def typed(self, text: str) -> bool:
        """The letter of a purpose, while none was said."""
        return self.desk.draft is None and taken_by_key(self.choices(), text.upper())

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Issue."""
        if self.desk.draft is None or self.work is not None:
            return False
        self.issue()
        return True

    def escaped(self) -> bool:
        """Stop the making of the papers; nothing is issued."""
        if self.work is None:
            return False
        self.work.stop()
        return True

    def _begin(self, purpose: Purpose) -> None:
        self.desk.begin_revision(purpose)
        self.refresh()

    def _named(self, words: str) -> None:
        self.to_whom = words
        self.desk.begin_revision(self.desk.draft, to_whom=words)

    def _take(self, name: str) -> None:
        self._named(name)
        self.refresh()

    def _ask_folder(self) -> None:
        assert self.desk.open_job is not None
        chosen = QFileDialog.getExistingDirectory(None, "Where the papers go", str(self.desk.open_job.file.path.parent))
        if chosen:
            self.folder = Path(chosen)
            self.refresh()

    # The issue ---------------------------------------------------------------------------------------

    def issue(self) -> None:
        """Make the papers, then seal the revision; what stands in the way is told in the band."""
        purpose, open_job = self.desk.draft, self.desk.open_job
        if purpose is None or open_job is None or self.work is not None:
            return
        if not self.desk.may_change() or self._scale_missing(purpose) or self._folder_closed(purpose):
            return
        if self.desk.attempt(
            lambda: refuse_to_issue(self.kept, self.kept_repairs, purpose=purpose, to_whom=self.to_whom)
        ):
            self.desk.attempt(lambda: self._start(purpose))
        self.refresh()

    def _start(self, purpose: Purpose) -> None:
        open_job = self.desk.open_job
        assert open_job is not None
        held, folder = open_job.drawings(), self.folder_for(purpose)
        self.desk.issuing = work = told_work(self.desk)
        self.desk.opened.connect(work.stop)  # another job
        work.finished.connect(lambda made: self._made(made, folder))
        for ended in (work.stopped, work.failed):
            ended.connect(self._ended)
        work.start(
            issue,
            open_job.job,
            purpose=purpose,
            to_whom=self.to_whom,
            by=open_job.hand.user,
            at=open_job.hand.clock(),
            sources=held.sources,
            drawings=held.drawings,
            before=side_before(open_job.job, purpose, open_job.file.blob),
        )
        self.desk.working.emit(work)

    def _ended(self) -> None:
        self.desk.issuing = None
        self.refresh()

    def _made(self, made: object, folder: Path) -> None:
        assert isinstance(made, Issue)
        self.desk.issuing = None
        before = self.kept
        kept: list[Path] = []
        done = self.desk.attempt(lambda: kept.extend(keep_issue(self.desk, made, folder)))
        if self.kept is before:
            self.refresh()
            return
        if self.desk.stage is Stage.ISSUE:
            self.desk.pick(Thing(Sort.REVISION, made.revision.id))
        if isinstance(self.desk.tool, IssueRevision):
            self.desk.take_tool(None)
        if done:
            self.desk.troubled.emit(
                Trouble(
                    sentence=_told(made, self.kept_repairs, folder),
                    answers=(_show(folder),),
                    grave=False,
                    waits=False,
                )
            )

    def _folder_closed(self, purpose: Purpose) -> bool:
        """Whether the folder cannot be written; the band says so before the papers are made, and leads to another."""
        folder = self.folder_for(purpose)
        if can_take_papers(folder):
            return False
        another = Answer(words="Choose another folder", give=self._ask_folder)
        sentence = f"{folder} cannot be written, so nothing was issued."
        self.desk.troubled.emit(Trouble(sentence=sentence, answers=(another,)))
        return True

    def _scale_missing(self, purpose: Purpose) -> bool:
        """Whether work is asked for from a scale that nobody checked; the band says so and leads there."""
        unchecked = unchecked_sheets(self.kept)
        if purpose is not Purpose.WORK or not unchecked:
            return False
        level = unchecked[0]

        def give() -> None:
            from leakmap.desk.tools.table import action_for  # noqa: PLC0415 - the table holds this tool

            self.desk.show_level(level.id)
            self.desk.go_to(Stage.DRAWING)
            action = action_for(Stage.DRAWING, "S")
            if action is not None and action.tool is not None:
                self.desk.take_tool(action.tool(self.desk))

        sentence = f"The scale of {level.name} has not been checked, so nothing can be issued for work."
        self.desk.troubled.emit(Trouble(sentence=sentence, answers=(Answer(words="Set scale", give=give),)))
        return True


def _told(made: Issue, found: Repairs, folder: Path) -> str:
    """What was issued, where it is, and what of it is provisional."""
    revision = made.revision
    papers = many(len(made.papers), "paper")
    said = f"{revision.name} is issued for {revision.purpose} to {revision.to_whom}: {papers} in {folder}."
    apart = ", ".join(zone.ref for zone in found.zones if zone.provisional)
    provisional = f" Provisional, not for work: {apart}." if apart and revision.purpose is Purpose.WORK else ""
    return " ".join((said + provisional, *(finding.text for finding in to_look_at(made.findings)[:1])))


def _show(folder: Path) -> Answer:
    return Answer(words="Open the folder", give=lambda: _open(folder))


def _open(folder: Path) -> None:
    QDesktopServices.openUrl(QUrl.fromLocalFile(str(folder)))
