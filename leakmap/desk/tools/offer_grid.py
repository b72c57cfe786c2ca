"""The grid that the drawing of a level shows, offered: seen on the plan at once, kept only when it is asked for."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final, TypeVar

from leakmap.base.errors import LeakmapError
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.desk.aside import WatchedAside
from leakmap.desk.state import Desk
from leakmap.desk.trouble import Answer, Trouble
from leakmap.drawings.grid_lines import GridFound, grid_found
from leakmap.model.drawing import Drawing
from leakmap.model.sheet import Sheet, scale_is_checked
from leakmap.work.edits.grid import set_grid

T = TypeVar("T")

MOST_POINTS: Final = 200_000
"""A drawing of more points is looked through only when it is asked for: that takes a moment (ours)."""

AT_ONCE: Final = 20_000
"""Points that are looked through between two frames; more of them aside, where Esc stops it (ours)."""


def offer_by_itself(desk: Desk, *, then: Callable[[], None], offered: Callable[[Callable[[], None]], object]) -> None:
    """Offer the grid of the drawing on the plan where no grid is set yet and the drawing is not very large.

    Args:
        desk: The desk.
        then: What follows once the grid is kept.
        offered: Is given what keeps the grid, while it is offered.
    """
    assert desk.open_job is not None
    sheet, drawing = _on_plan(desk)
    if desk.open_job.job.grid is not None or sheet is None or drawing is None:
        return
    if len(drawing.strokes.xy) <= MOST_POINTS:
        _look(
            desk, sheet, drawing, lambda found: offered(_offer(desk, sheet, found, then)) if found is not None else None
        )


def offer(
    desk: Desk,
    *,
    then: Callable[[], None],
    offered: Callable[[Callable[[], None]], object] = lambda _use: None,
) -> None:
    """Offer the grid of the drawing on the plan, or say that it shows none.

    Args:
        desk: The desk.
        then: What follows once the grid is kept.
        offered: Is given what keeps the grid, while it is offered.
    """
    sheet, drawing = _on_plan(desk)
    if sheet is None or drawing is None:
        return

    def take(found: GridFound | None) -> None:
        if found is not None:
            offered(_offer(desk, sheet, found, then))
            return
        sentence = (
            f"{sheet.name} shows no grid: no parallel lines that end at circles with one letter or number each."
            " Click its axes by hand."
        )
        desk.troubled.emit(Trouble(sentence=sentence, grave=False))

    _look(desk, sheet, drawing, take)


def look_through(
    desk: Desk, words: str, drawings: Sequence[Drawing], search: Callable[[Progress], T], take: Callable[[T], object]
) -> None:
    """Look for grids: in small drawings at once, in large ones aside, where Esc stops it.

    Args:
        desk: The desk; what comes out while another tool is in hand, or the job is another, is told nobody.
        words: What is looked for.
        drawings: The drawings that are looked through.
        search: Looks.
        take: Is given what came out.
    """
    if sum(len(drawing.strokes.xy) for drawing in drawings) <= AT_ONCE:
        take(search(UNWATCHED))
        return
    tool, job = desk.tool, desk.job

    def searched(progress: Progress) -> T:
        progress.report(words, 0, None)
        return search(progress)

    def ended(found: T) -> None:
        if desk.tool is tool and desk.job is job:
            take(found)

    looking = WatchedAside(searched, desk)
    looking.finished.connect(ended)
    desk.working.emit(looking)


def _look(desk: Desk, sheet: Sheet, drawing: Drawing, take: Callable[[GridFound | None], object]) -> None:
    """Look for the grid of one drawing."""
    words = f"Looking for the grid of {sheet.name}"
    look_through(desk, words, [drawing], lambda progress: grid_found(drawing, sheet, progress=progress), take)


def can_offer(desk: Desk) -> bool:
    """Whether the level on the plan has a drawing."""
    sheet = desk.job.sheets.get(desk.level) if desk.job is not None and desk.level is not None else None
    return sheet is not None and sheet.source is not None


def _on_plan(desk: Desk) -> tuple[Sheet | None, Drawing | None]:
    """The level on the plan, and its drawing."""
    if desk.open_job is None or desk.level is None:
        return None, None
    try:
        return desk.open_job.job.sheets.get(desk.level), desk.open_job.drawing(desk.level)
    except LeakmapError:
        return None, None  # the plan says so where it shows the drawing


def _offer(desk: Desk, sheet: Sheet, found: GridFound, then: Callable[[], None]) -> Callable[[], None]:
    """Show a grid and offer it; gives what keeps it."""
    assert desk.open_job is not None
    job = desk.open_job.job

    def use() -> None:
        assert desk.open_job is not None
        kept = desk.open_job.job
        desk.show(None)
        if desk.attempt(lambda: desk.do(set_grid(kept, grid=found.grid))):
            then()

    more = " It would replace the grid that is set." if job.grid is not None else ""
    if not scale_is_checked(sheet):
        more += f" The scale of {sheet.name} is not checked yet, so its bays may be wrong."
    desk.show(set_grid(job, grid=found.grid))
    answers = (Answer(words="Use them", give=use), Answer(words="Set by hand", give=lambda: desk.show(None)))
    desk.troubled.emit(Trouble(sentence=found.words + more, answers=answers, grave=False, waits=False))
    return use
