"""A drawing on its way into a job: read apart from the window, watched in the band, its unit asked for.

Both the start window and the action Import drawing bring drawings in this way; what becomes of the
drawing then is the caller's.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Final

from leakmap.desk.reading import Reading
from leakmap.desk.state import Desk
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
        other: Lets the user choose another file; offered when this one cannot be read.
    """
    reading = Reading(desk)
    reading.finished.connect(lambda new: _take_with_unit(desk, new, take))
    reading.failed.connect(lambda sentence: desk.troubled.emit(_unreadable(sentence, other)))
    for ended in (reading.finished, reading.failed, reading.stopped):
        ended.connect(reading.deleteLater)
    reading.start(file)
    desk.working.emit(reading)
    return reading


def _take_with_unit(desk: Desk, new: NewDrawing, take: Callable[[NewDrawing], object]) -> None:
    def taken(m_per_unit: float) -> None:
        known = replace(new, source=replace(new.source, unit=m_per_unit))
        desk.attempt(lambda: take(known))

    if new.source.unit is not None or new.drawing.unit.m_per_unit is not None:
        desk.attempt(lambda: take(new))
        return
    answers = [Answer(words=words, give=lambda metres=metres: taken(metres)) for words, metres in UNITS.items()]  # type: ignore[misc] # the default binds each
    desk.troubled.emit(Trouble(sentence=UNIT_QUESTION, answers=tuple(answers), grave=False))


def _unreadable(sentence: str, other: Callable[[], object] | None) -> Trouble:
    answers = () if other is None else (Answer(words="Choose another", give=lambda: _call(other)),)
    return Trouble(sentence=sentence, answers=answers)


def _call(deed: Callable[[], object]) -> None:
    deed()
