"""The tools of stage Issue in the window: real keys and clicks, checked on the job and on the files."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from leakmap.desk.state import Desk
from leakmap.desk.things import Paper, Stage
from leakmap.desk.tools.issue_tools import IssueRevision
from leakmap.desk.trouble import Trouble
from leakmap.desk.window import MainWindow
from leakmap.model.job import Job
from leakmap.model.revision import Begun
from leakmap.model.words import Purpose, Wetness
from leakmap.work.edits.leaks import set_wetness
from leakmap.work.edits.rules import set_approver, set_legal_owner
from leakmap.work.open_job import Hand, opened
from tests.helpers.desks import AT, desk_with
from tests.helpers.mouse import turn_wheel
from tests.helpers.small_jobs import DRAWN, one_line, with_leak


class Sitter:
    """Somebody who sits before the window in stage Issue."""

    def __init__(self, bot: QtBot, desk: Desk) -> None:
        self.bot, self.desk = bot, desk
        self.window = MainWindow(desk)
        self.told: list[Trouble] = []
        desk.troubled.connect(self.told.append)
        bot.addWidget(self.window)
        self.window.resize(1600, 1000)
        self.window.show()
        bot.waitExposed(self.window)

    @property
    def job(self) -> Job:
        """The job as kept."""
        assert self.desk.open_job is not None
        return self.desk.open_job.job

    def letters(self, words: str) -> None:
        """Type where the keyboard is in the middle of the window."""
        for letter in words:
            pane = self.window.plan if self.desk.paper is None else self.window.papers
            self.bot.keyClick(pane, letter)

    def to_whom(self, words: str) -> None:
        """Type a line of words in the strip, and Enter."""
        field = self.window.strip.field
        assert field is not None
        self.bot.waitUntil(field.hasFocus)  # it takes the keyboard by itself
        self.bot.keyClicks(field, words)
        self.bot.keyClick(field, Qt.Key.Key_Return)


@pytest.fixture
def sitter(qtbot: QtBot, tmp_path: Path) -> Iterator[Sitter]:
    """A job with a seep from 2 to 3 m of a 7 m joint: Z-01 runs from 1.7 to 3.3, 1.60 m."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 2, 3)
    job = set_approver(set_legal_owner(job, name="Harbour board").job, name="M. Reed").job
    with desk_with(job, tmp_path, Stage.ISSUE) as desk:
        found = Sitter(qtbot, desk)
        yield found
        found.window.sitting.end_work()


def test_a_revision_is_begun_by_a_letter_and_freezes_nothing(sitter: Sitter) -> None:
    """R then C begins C01 for work: the job and its undo stay as they were; Delete gives it up."""
    before = sitter.job
    sitter.letters("rc")
    assert sitter.desk.draft is Purpose.WORK
    assert "before C01 is issued" in sitter.window.strip.sentence
    assert sitter.job is before
    sitter.letters("r")
    sitter.bot.keyClick(sitter.window.plan, Qt.Key.Key_Delete)
    assert sitter.desk.draft is None


def test_a_revision_that_was_begun_is_on_disk_with_to_whom_it_goes(sitter: Sitter) -> None:
    """Each letter of the name is on disk at once, so that a restart finds it: another opener sees C01 begun for crew 2."""
    sitter.letters("rc")
    sitter.letters("i")
    field = sitter.window.strip.field
    assert field is not None
    sitter.bot.waitUntil(field.hasFocus)
    sitter.bot.keyClicks(field, "crew 2")
    assert sitter.desk.open_job is not None
    other = opened(sitter.desk.open_job.file.path, Hand(user="ben", host="other", clock=lambda: AT))
    assert other.begun == Begun(purpose=Purpose.WORK, to_whom="crew 2")
    other.close()
    sitter.desk.take_tool(IssueRevision(sitter.desk))
    assert sitter.window.strip.field is not None
    assert sitter.window.strip.field.text() == "crew 2"


def test_the_purpose_of_a_begun_revision_is_changed_where_it_is_issued(sitter: Sitter) -> None:
    """P01 is begun for crew 2; Alt C in Issue makes it C01, and to whom it goes stays typed."""
    sitter.letters("rp")
    assert sitter.window.strip.sentence == "Nothing needs a look before P01 is issued. Press I to issue it."
    sitter.letters("i")
    strip = sitter.window.strip
    assert strip.field is not None
    sitter.bot.waitUntil(strip.field.hasFocus)
    sitter.bot.keyClicks(strip.field, "crew 2")
    assert [cell.text() for cell in strip.choices if cell.choice.chosen] == ["Alt P for price"]
    sitter.bot.keyClick(strip.field, Qt.Key.Key_C, Qt.KeyboardModifier.AltModifier)
    assert sitter.desk.begun == Begun(purpose=Purpose.WORK, to_whom="crew 2")
    assert strip.sentence.startswith("Type to whom, Enter seals C01;")
    assert (strip.field.text(), strip.field.hasFocus()) == ("crew 2", True)


@pytest.mark.slow
def test_an_issue_writes_its_papers_beside_the_job_and_says_where(sitter: Sitter) -> None:
    """I, P, a name with a blank and Enter: P01 is sealed to "crew 2", its papers lie in a folder, and undo stops there.

    Who looks at something else meanwhile stops nothing; I again says that the papers are being made.
    """
    desk = sitter.desk
    sitter.letters("ip")
    with sitter.bot.waitSignal(desk.draft_changed, timeout=30_000):  # the issue ends the draft
        sitter.to_whom("crew 2")
        assert not sitter.job.revisions  # nothing is frozen while the papers are made
        sitter.letters("ci")
        assert sitter.window.strip.sentence == "The papers of P01 are being made."
    (revision,) = sitter.job.revisions.values()
    assert (revision.name, revision.to_whom, revision.by, revision.at) == ("P01", "crew 2", "ann", AT)
    assert desk.open_job is not None
    folder = desk.open_job.file.path.parent / "Heron Wharf P01"
    assert sorted(paper.name for paper in revision.papers) == sorted(path.name for path in folder.iterdir())
    schedule = json.loads((folder / "Heron Wharf P01 schedule.json").read_text(encoding="utf-8"))
    assert [zone["length_m"] for zone in schedule["zones"]] == [1.6]
    told = sitter.told[-1]
    assert told.sentence.startswith(f"P01 is issued for price to crew 2: {len(revision.papers)} papers in {folder}.")
    assert [answer.words for answer in told.answers] == ["Open the folder"]
    assert desk.open_job.undo_words is None
    assert desk.tool is None
    assert sitter.window.plan.hasFocus()  # the keyboard is on the plan again


def test_an_issue_to_nobody_is_refused_in_the_band(sitter: Sitter) -> None:
    """Enter without a name issues nothing and says what is missing."""
    sitter.letters("ic")
    sitter.to_whom("")
    assert [trouble.sentence for trouble in sitter.told] == ["An issue needs somebody to go to; say to whom."]
    assert not sitter.job.revisions
    assert sitter.window.centre.band.isVisible()


def test_a_folder_that_cannot_be_written_is_told_before_papers_are_made(sitter: Sitter, tmp_path: Path) -> None:
    """A file in the folder's place keeps the issue from beginning; the band leads to another folder, and to whom stays typed."""
    sitter.letters("ip")
    tool = sitter.desk.tool
    assert isinstance(tool, IssueRevision)
    tool.folder = tmp_path / "papers.zip" / "P01"
    tool.folder.parent.write_bytes(b"")
    sitter.to_whom("crew 2")
    assert sitter.desk.issuing is None
    assert sitter.told[-1].sentence == f"{tool.folder} cannot be written, so nothing was issued."
    assert [answer.words for answer in sitter.told[-1].answers] == ["Choose another folder"]
    assert sitter.desk.begun == Begun(purpose=Purpose.PRICE, to_whom="crew 2")


@pytest.mark.slow
def test_a_job_changed_meanwhile_is_not_issued(sitter: Sitter) -> None:
    """A leak that gets wetter while the papers are made keeps the issue from the job; nothing is left in the folder."""
    desk = sitter.desk
    sitter.letters("ip")
    sitter.to_whom("the client")
    desk.do(set_wetness(sitter.job, leak=next(iter(sitter.job.leaks)), wetness=Wetness.DRIP))
    with sitter.bot.waitSignal(desk.troubled, timeout=30_000):
        pass
    assert sitter.told[-1].sentence.startswith("The job was changed while its papers were made, so nothing was issued")
    assert not sitter.job.revisions
    assert desk.open_job is not None
    assert [path.name for path in desk.open_job.file.path.parent.glob("Heron*")] == []


def test_escape_stops_the_issue(sitter: Sitter) -> None:
    """Esc while the papers are made stops them: no revision, no folder, and the tool waits for a name again."""
    sitter.letters("ip")
    sitter.to_whom("the client")
    tool = sitter.desk.tool
    assert isinstance(tool, IssueRevision)
    work = tool.work
    assert work is not None
    with sitter.bot.waitSignal(work.stopped, timeout=5_000):
        sitter.bot.keyClick(sitter.window.plan, Qt.Key.Key_Escape)
    assert not sitter.job.revisions
    assert sitter.desk.tool is tool
    assert sitter.window.strip.field is not None


def test_work_from_an_unchecked_scale_leads_to_set_scale(qtbot: QtBot, tmp_path: Path) -> None:
    """On a drawing whose scale nobody checked, C is refused with those words and a button that takes Set scale."""
    job, joint = one_line(source=DRAWN)
    job, _ = with_leak(job, joint, 2, 3)
    with desk_with(job, tmp_path, Stage.ISSUE) as desk:
        sitter = Sitter(qtbot, desk)
        sitter.told.clear()  # the drawing of this job is not in its file, which is told too
        sitter.letters("ic")
        sitter.to_whom("the crew")
        told = sitter.told[-1]
        assert told.sentence == "The scale of B2 has not been checked, so nothing can be issued for work."
        told.answers[0].give()
        assert desk.stage is Stage.DRAWING
        assert desk.tool is not None
        assert desk.tool.name == "Set scale"
        desk.take_tool(None)
        sitter.window.sitting.end_work()


@pytest.mark.slow
def test_papers_are_looked_at_in_the_plans_place(sitter: Sitter) -> None:
    """S lays the schedule's pages out, D the one sheet of the level; Esc shows the plan again, and nothing is frozen."""
    window, papers = sitter.window, sitter.window.papers
    before = sitter.job
    sitter.letters("s")
    assert sitter.desk.paper is Paper.SCHEDULE
    assert papers.isVisible()
    assert not window.plan.isVisible()
    sitter.bot.waitUntil(lambda: papers.pages is not None, timeout=30_000)
    assert len(papers.shown_pages()) > 3
    top = papers.places()[1][1].top()
    sitter.bot.keyClick(papers, Qt.Key.Key_PageDown)
    assert papers.places()[1][1].top() < top
    sitter.letters("d")
    assert sitter.desk.paper is Paper.MARKED
    assert len(papers.shown_pages()) == 1
    sitter.bot.keyClick(papers, Qt.Key.Key_Escape)
    assert window.plan.isVisible()
    assert sitter.job is before


def test_the_plan_set_is_leafed_through(sitter: Sitter) -> None:
    """P lays its real pages out, one at a time: keys and the wheel turn them and stop at both ends, near or far; Esc leaves."""
    sitter.letters("p")
    papers = sitter.window.papers
    sitter.bot.waitUntil(lambda: papers.pages is not None, timeout=30_000)
    assert papers.pages is not None
    last = len(papers.pages) - 1
    assert last > 0
    (place,) = (place for _, place in papers.places())
    assert papers.rect().toRectF().contains(place)
    assert papers.accessibleDescription() == f"page 1 of {last + 1}"
    for key, page in (("PageUp", 0), ("PageDown", 1), ("End", last), ("PageDown", last), ("Home", 0)):
        sitter.bot.keyClick(papers, Qt.Key[f"Key_{key}"])
        assert papers.shown_pages() == (page,)
    turn_wheel(papers, -120)
    assert papers.shown_pages() == (1,)
    turn_wheel(papers, 120)
    assert papers.shown_pages() == (0,)
    turn_wheel(papers, 480, Qt.KeyboardModifier.ControlModifier)
    assert papers.places()[0][1].width() > place.width()
    sitter.bot.waitUntil(lambda: not papers.tiles.busy, timeout=5_000)
    turn_wheel(papers, -120)
    assert papers.shown_pages() == (0,)  # of a page that is near, first what lies below
    sitter.bot.keyClick(papers, Qt.Key.Key_Escape)
    assert sitter.window.plan.isVisible()


def test_escape_stops_the_making_of_a_paper(sitter: Sitter) -> None:
    """Esc while the plan set is made ends that, says so and shows the plan; taken again, it is made anew."""
    sitter.letters("p")
    papers = sitter.window.papers
    assert papers.work is not None
    sitter.bot.keyClick(papers, Qt.Key.Key_Escape)
    sitter.bot.waitUntil(lambda: papers.work is None, timeout=2_000)
    assert sitter.window.centre.band.sentence == "Stopped. Nothing was changed."
    assert sitter.window.plan.isVisible()
    assert papers.pages is None
    sitter.letters("p")
    assert papers.work is not None
