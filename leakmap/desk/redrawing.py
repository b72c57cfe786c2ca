"""A drawing that was read, on its way under a level that is there: where it lies is asked for, and what it left is told."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from uuid import UUID

from leakmap.base.errors import LeakmapError
from leakmap.desk.aside import WatchedAside
from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tools.redraw import Redraw
from leakmap.desk.trouble import Answer, Trouble
from leakmap.model.job import Job
from leakmap.work.drawing_fits import NewUnder, Placed, redrawn
from leakmap.work.edits.edit import Edit
from leakmap.work.job_drawings import NewDrawing
from leakmap.work.left_behind import joints_left_behind

Next = Callable[[], object]

Keep = Callable[[Callable[[Job], Edit], Callable[[], object]], object]
"""Keeps the drawing in the job's file, does a deed, and calls what follows."""


def lay_new(desk: Desk, new: NewDrawing, sheet: UUID, keep: Keep, *, then: Callable[[], object] = lambda: None) -> None:
    """Ask where a new drawing lies under a level, and put it there.

    Args:
        desk: The desk.
        new: The drawing.
        sheet: The level.
        keep: Keeps it.
        then: What follows, once it is there.
    """
    under = _under(desk, new, sheet)
    if under is None:
        return
    desk.go_to(Stage.DRAWING)
    desk.show_level(sheet)

    def again() -> None:
        lay_new(desk, new, sheet, keep, then=then)

    desk.take_tool(Redraw(desk, under, lambda placed: _put(desk, under, placed, keep, (then, again)), again))


def _under(desk: Desk, new: NewDrawing, sheet: UUID) -> NewUnder | None:
    """The new drawing with the level as it is; None where that is gone."""
    open_job = desk.open_job
    if open_job is None or sheet not in open_job.job.sheets:
        return None
    before = None
    with suppress(LeakmapError):  # a drawing that cannot be read any more is replaced all the more
        before = open_job.drawing(sheet)
    return NewUnder(
        sheet=open_job.job.sheets[sheet],
        before=before,
        source=new.source,
        drawing=new.drawing,
        grid=open_job.job.grid,
    )


def _put(desk: Desk, under: NewUnder, placed: Placed, keep: Keep, after: tuple[Next, Next]) -> None:
    """Work the deed out aside, because joints are looked for among all lines of both drawings; then do it.

    What follows is the first of ``after``, or the second where it was stopped.
    """
    then, again = after
    assert desk.open_job is not None
    job = desk.open_job.job

    def keep_it(edit: object) -> None:
        assert isinstance(edit, Edit)
        said = edit.said

        def kept() -> None:
            _tell(desk, under, said)
            then()

        desk.attempt(lambda: keep(lambda now: edit if now is job else redrawn(now, under, placed), kept))

    sentence = f"{under.source.name} is being laid under {under.sheet.name}: its joints are looked for on the lines."
    desk.troubled.emit(Trouble(sentence=sentence, grave=False, waits=False))
    aside = WatchedAside(lambda progress: redrawn(job, under, placed, progress=progress), desk)
    aside.finished.connect(keep_it)
    aside.failed.connect(lambda sentence: desk.troubled.emit(Trouble(sentence=sentence)))
    aside.stopped.connect(again)
    desk.working.emit(aside)


def _tell(desk: Desk, under: NewUnder, said: tuple[str, ...]) -> None:
    """Say in the band what the new drawing did, until the next deed or undo, with a way to what it left behind."""
    job = desk.job
    left = joints_left_behind(job, sheet=under.sheet.id) if job is not None else ()
    words = "Show it" if len(left) == 1 else "Show the first"
    answers = (Answer(words=words, give=lambda: _show(desk, left[0].id)),) if left else ()
    sentence = f"{under.sheet.name} shows {under.source.name} now. {' '.join(said)}"
    desk.troubled.emit(Trouble(sentence=sentence, answers=answers, grave=False, waits=False))


def _show(desk: Desk, joint: UUID) -> None:
    """Go to a joint that was left behind, in the stage that mends it; its key leads on to the next."""
    desk.go_to(Stage.JOINTS)
    desk.pick(Thing(Sort.JOINT, joint))
    desk.look_at.emit(Thing(Sort.JOINT, joint))
