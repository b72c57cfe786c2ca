"""A drawing on its way into a job: read apart from the window, watched in the band, its unit asked for.

Before the unit, a file that stops before its end is asked about: it is used only where the user says so.

Both the start window and the action Import drawing bring drawings in this way; what becomes of the
drawing then is the caller's.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Final

from leakmap.base.counted import many
from leakmap.base.findings import Effect
from leakmap.desk.reading import Reading
from leakmap.desk.state import Desk, Stage
from leakmap.desk.trouble import Answer, Trouble
from leakmap.work.job_drawings import NewDrawing

UNITS: Final = {"millimetre": 0.001, "metre": 1.0, "inch": 0.0254, "foot": 0.3048}
"""Units that are offered where a file does not say its own, in metres."""

UNIT_QUESTION: Final = "The file does not say its unit. One unit is one…"


def bring_in(
    desk: Desk, file: Path, take: Callable[[NewDrawing], object], *, other: Callable[[], object] | None = None
) -> Reading:
    """Read a drawing and give it to ``take``, after asking for its unit where the file does not say one.

    Args:
        desk: Shows the reading in its band, and whatever goes wrong.
        file: The drawing.
        take: Is given the drawing on the main thread, inside ``Desk.attempt``.
        other: Lets the user choose another file; offered when this one cannot be read, and what follows when a
            question about it is left without an answer.
    """
    reading = Reading(desk)
    reading.finished.connect(lambda new: _take_whole(desk, new, take, other))
    reading.failed.connect(lambda sentence: desk.troubled.emit(_unreadable(sentence, other)))
    for ended in (reading.finished, reading.failed, reading.stopped):
        ended.connect(reading.deleteLater)
    reading.start(file)
    desk.working.emit(reading)
    return reading


def told_of(desk: Desk, new: NewDrawing) -> Trouble:
    """What the band says once a drawing is in, as the level on the plan: how much of it, its unit, what was noticed."""
    job, level = desk.job, desk.level
    assert job is not None
    assert level is not None
    drawing, noticed = new.drawing, new.drawing.findings
    unit = "its unit as you said" if new.source.unit is not None else "its unit from the file"
    sentence = f"{job.sheets[level].name} is in: {len(drawing.strokes):,} lines, {unit}."
    if not noticed:
        return Trouble(sentence=sentence, grave=False, waits=False)

    def show() -> None:
        desk.go_to(Stage.DRAWING)
        desk.take_tool(None)
        desk.show_level(level)

    worst = next((found for found in noticed if found.effect is Effect.LOST), noticed[0])
    more = f" That and {many(len(noticed) - 1, 'more thing')} stand in the ledger." if len(noticed) > 1 else ""
    words = "Show it" if len(noticed) == 1 else f"Show all {len(noticed)}"
    answers = (Answer(words=words, give=show),)
    return Trouble(sentence=f"{sentence} {worst.text}{more}", answers=answers, grave=False, waits=False)


def _take_whole(
    desk: Desk, new: NewDrawing, take: Callable[[NewDrawing], object], other: Callable[[], object] | None
) -> None:
    """Take a drawing; of a file that stops before its end, only when the user wants what was read."""
    cut = next((found for found in new.drawing.findings if found.code == "file-cut"), None)
    if cut is None:
        _take_with_unit(desk, new, take, other)
        return
    sentence = f"{new.source.name} stops {cut.where}. {len(new.drawing.strokes):,} lines of the plan were read."
    use = Answer(words="Use what was read", give=lambda: _take_with_unit(desk, new, take, other))
    desk.troubled.emit(Trouble(sentence=sentence, answers=(use, *_another(other)), left=other))


def _take_with_unit(
    desk: Desk, new: NewDrawing, take: Callable[[NewDrawing], object], other: Callable[[], object] | None
) -> None:
    def taken(m_per_unit: float) -> None:
        known = replace(new, source=replace(new.source, unit=m_per_unit))
        desk.attempt(lambda: take(known))

    if new.source.unit is not None or new.drawing.unit.m_per_unit is not None:
        desk.attempt(lambda: take(new))
        return
    answers = [Answer(words=words, give=lambda metres=metres: taken(metres)) for words, metres in UNITS.items()]  # type: ignore[misc] # the default binds each
    desk.troubled.emit(Trouble(sentence=UNIT_QUESTION, answers=tuple(answers), grave=False, left=other))


def _unreadable(sentence: str, other: Callable[[], object] | None) -> Trouble:
    return Trouble(sentence=sentence, answers=_another(other))


def _another(other: Callable[[], object] | None) -> tuple[Answer, ...]:
    return () if other is None else (Answer(words="Choose another", give=lambda: _call(other)),)


def _call(deed: Callable[[], object]) -> None:
    deed()
