"""Changes since a revision on the live plan: chosen by keys, drawn by signs, listed under the revision's name."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from leakmap.desk.plan.change_key import key_rows, paint_change_key
from leakmap.desk.plan.changed import CHANGE
from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.trouble import Trouble
from leakmap.desk.window import MainWindow
from leakmap.model.job import Job
from leakmap.model.words import Purpose, Wetness
from leakmap.repair.compared import Change
from leakmap.work.changes_since import Changes
from leakmap.work.edits.joints import draw_vertical_joint
from leakmap.work.edits.leaks import add_leak, move_leak_ends, remove_leak
from tests.helpers.bare_issues import bare_issue
from tests.helpers.desks import desk_with
from tests.helpers.small_jobs import leak_named, one_line, with_leak
from tests.helpers.windows import window_with

if TYPE_CHECKING:
    from leakmap.work.open_job import OpenJob


def two_issues() -> Job:
    """A job with three zones of 1.60 m on a joint, and a dry vertical joint."""
    job, joint = one_line(((0, 0), (20, 0)))
    for at in (2.0, 8.0, 14.0):
        job, _ = with_leak(job, joint, at, at + 1.0)
    sheet = next(iter(job.sheets))
    return draw_vertical_joint(job, sheet=sheet, kind=job.joints[joint].kind, point=(10.0, 4.0), rise_m=3.0).job


def worked_on(desk: Desk, folder: Path) -> None:
    """P01; then a zone is longer by 0.50 m and C01 issued; then one is gone, and one new on the vertical joint."""
    open_job = desk.open_job
    assert open_job is not None
    bare_issue(open_job, Purpose.PRICE, folder)
    desk.do(move_leak_ends(open_job.job, leak=leak_named(open_job.job, "L-01").id, to_m=3.5))
    bare_issue(open_job, Purpose.WORK, folder)
    desk.do(remove_leak(open_job.job, leak=leak_named(open_job.job, "L-02").id))
    upright = next(joint.id for joint in open_job.job.joints.values() if joint.vertical)
    desk.do(add_leak(open_job.job, joint=upright, from_m=1.0, to_m=1.4, wetness=Wetness.DRIP))
    desk.go_to(Stage.REPAIR)


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    """A window on that job, in stage Repair."""
    with window_with(two_issues(), tmp_path) as found:
        worked_on(found.desk, tmp_path)
        qtbot.waitExposed(found)
        yield found


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """That job on a desk without a window."""
    with desk_with(two_issues(), tmp_path, Stage.REPAIR) as found:
        worked_on(found, tmp_path)
        yield found


def _open(window: MainWindow) -> OpenJob:
    assert window.desk.open_job is not None
    return window.desk.open_job


def _drawn(window: MainWindow) -> set[object]:
    """Zone and change of each sign on the plan."""
    window.plan.scene.finish()
    return {key[1] for key, _ in window.plan.scene.level.drawn if key[0] == CHANGE}


def _words(window: MainWindow) -> set[str]:
    """References that the plan bears, with what they say of changes."""
    window.plan.scene.finish()
    return {drawn.words for _, drawn in window.plan.scene.level.drawn if drawn.words.startswith("Z-")}


def _key_fits(changes: Changes) -> None:
    """The key of changes stands in its room, a row for each sign, and in the other corner where it would hide a reference."""
    image, room = QImage(600, 400, QImage.Format.Format_RGB32), QRectF(0, 0, 600, 400)
    painter = QPainter(image)
    box = paint_change_key(painter, room, changes)
    other = paint_change_key(painter, room, changes, [box])
    painter.end()
    assert room.contains(other)
    assert not other.intersects(box)
    assert room.contains(box)
    assert box.height() > 22 * len(key_rows(changes))
    low = QRectF(0, 0, 600, 120)
    painter = QPainter(image)
    box = paint_change_key(painter, low, changes)
    painter.end()
    assert low.contains(box)
    assert box.height() < low.height() / 2  # rows beside each other


def test_the_plan_tells_what_changed_since_the_chosen_revision(window: MainWindow, qtbot: QtBot) -> None:
    """E takes the switch: C01 comes first, 2 is P01; signs and words follow the choice and every deed, and 0 ends it.

    Leaks give way and zones are mere outlines, as on the drawing of the comparison; the switch stays on when another tool is
    taken and another stage shows zones; a stage without zones is as always. After a deed only what it changed is drawn anew.
    """
    desk, since = window.desk, window.desk.since
    assert _words(window) == {"Z-01", "Z-03", "Z-04"}
    qtbot.keyClick(window.plan, "e")
    since.settle()
    assert since.chosen is not None
    assert since.chosen.name == "C01"
    assert [choice.words for choice in desk.tool.choices()] == ["1 C01", "2 P01", "0 off"]
    assert _drawn(window) == {(2, Change.GONE), (4, Change.ADDED)}
    assert _words(window) == {"Z-01", "Z-02 gone 1.60 m", "Z-03", "Z-04 new 1.20 m"}
    assert window.strip.sentence.startswith("Since C01: 1 zone new, 1 zone gone.")
    assert not window.plan.scene.show.leaks
    qtbot.keyClick(window.plan, "2")
    since.settle()
    assert since.on_plan is not None
    assert [words for _, words in key_rows(since.on_plan)] == ["new", "longer", "gone"]
    _key_fits(since.on_plan)
    assert _drawn(window) == {(1, Change.LONGER), (2, Change.GONE), (4, Change.ADDED)}
    assert "Z-01 longer 0.50 m" in _words(window)
    qtbot.keyClick(window.plan, "o")
    open_job = _open(window)
    desk.do(move_leak_ends(open_job.job, leak=leak_named(open_job.job, "L-03").id, to_m=14.6))
    since.settle()
    assert "Z-03 shorter 0.40 m" in _words(window)
    drawn = dict(window.plan.scene.level.drawn)
    desk.undo()
    since.settle()
    assert "Z-03" in _words(window)
    again = dict(window.plan.scene.level.drawn)
    assert all(again[key] is drawn[key] for key in drawn if key[0] == CHANGE and key[1] != (3, Change.SHORTER))
    desk.go_to(Stage.LEAKS)
    assert window.plan.scene.changes is None
    desk.go_to(Stage.ISSUE)
    assert window.plan.scene.changes is since.on_plan
    qtbot.keyClick(window.plan, "e")
    qtbot.keyClick(window.plan, "0")
    assert (since.chosen, _drawn(window)) == (None, set())
    assert window.plan.scene.show.leaks


def test_the_ledger_says_since_which_revision(window: MainWindow, qtbot: QtBot) -> None:
    """In stage Issue changes are listed since what the next revision is compared with: P01 for a price, C01 for work.

    A revision that is picked with the switch in hand is the one that plan and ledger tell changes since.
    """
    desk, since = window.desk, window.desk.since

    def told() -> tuple[str, list[str]]:
        since.settle()
        QApplication.processEvents()  # the ledger lists in the turn after
        rows = [entry.note.words for entry in window.ledger.model.entries]
        at = next(number for number, words in enumerate(rows) if words.startswith("Changed since"))
        return rows[at], rows[at + 1 : at + 4]

    desk.go_to(Stage.ISSUE)
    desk.begin_revision(Purpose.WORK)
    assert told() == ("Changed since C01", ["Z-02 is gone", "Z-04 new 1.20 m"])
    desk.begin_revision(Purpose.PRICE)
    heading, notes = told()
    assert heading == "Changed since P01"
    assert notes == ["Z-01 longer 0.50 m", "Z-02 is gone", "Z-04 new 1.20 m"]
    assert since.on_plan is None
    qtbot.keyClick(window.plan, "e")
    work = list(desk.job.revisions.values())[1]
    desk.pick(Thing(Sort.REVISION, work.id))
    assert since.chosen is work
    assert told()[0] == "Changed since C01"


def test_a_large_revision_is_unpacked_in_a_process_and_esc_stops_it(
    desk: Desk, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Above a size the window works on while a process unpacks it; stopped, no revision is chosen any more."""
    since, works = desk.since, []
    desk.working.connect(works.append)
    monkeypatch.setattr("leakmap.desk.since._SMALL", 0)
    revision = next(iter(desk.job.revisions))
    since.choose(revision)
    qtbot.waitUntil(lambda: bool(works))
    works[-1].stop()
    qtbot.waitUntil(lambda: since.chosen is None)
    since.choose(revision)
    qtbot.waitUntil(lambda: since.on_plan is not None, timeout=20_000)
    assert since.on_plan.groups[1].keys() == {Change.LONGER}


def test_a_damaged_revision_is_told_and_nothing_is_shown(desk: Desk) -> None:
    """Where the frozen job is not what was sealed the band says so; the plan goes on without changes."""
    told: list[Trouble] = []
    desk.troubled.connect(told.append)
    open_job = desk.open_job
    assert open_job is not None
    first = next(iter(open_job.job.revisions.values()))
    open_job.file._connection.execute("UPDATE blobs SET content = x'00' WHERE sha256 = ?", (first.job_sha256,))
    desk.since.choose(first.id)
    desk.since.settle()
    assert len(told) == 1
    assert (desk.since.chosen, desk.since.on_plan) == (None, None)
