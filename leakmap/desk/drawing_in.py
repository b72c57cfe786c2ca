"""A drawing on its way into a job: read apart from the window, watched in the band, its unit or scale asked for.

Before that, a file that stops before its end is asked about: it is used only where the user says so. Both the
start window and the action Import drawing bring drawings in this way; what becomes of the drawing then is the
caller's.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from leakmap.base.counted import many
from leakmap.base.errors import BadValue
from leakmap.base.findings import Effect
from leakmap.base.trade_words import in_trade_words
from leakmap.desk.pages_in import ANOTHER, Wanted
from leakmap.desk.reading import Reading
from leakmap.desk.state import Desk
from leakmap.desk.things import Stage
from leakmap.desk.tools.lay_flat import LayFlat
from leakmap.desk.tools.straighten import Straighten
from leakmap.desk.trouble import Answer, Trouble, Typing
from leakmap.drawings.pdf.printed_scale import m_per_unit, typed_scale
from leakmap.drawings.unit_guess import unit_words
from leakmap.model.drawing import Drawing
from leakmap.model.sheet import Reading as How
from leakmap.model.sheet import Source
from leakmap.work.job_drawings import NewDrawing

UNITS: Final = {"millimetre": 0.001, "metre": 1.0, "inch": 0.0254, "foot": 0.3048}
"""Units that are offered where a file does not say its own, in metres."""

SCALES: Final = (50, 100, 200)
"""Scales of plans that are offered for a page, of those that ISO 5455 recommends; any other can be typed."""

UNIT_QUESTION: Final = "The file does not say its unit. One unit is one…"
SCALE_QUESTION: Final = "{name} has the size of its paper. At which scale is it printed?"

_GUESSES: Final = frozenset({"unit-guessed", "unit-contradicted"})
_CHECK: Final = " Check it by a known length."


def bring_in(
    desk: Desk,
    wanted: Wanted,
    take: Callable[[NewDrawing], object],
    *,
    other: Callable[[], object] | None = None,
    left: Callable[[], object] = lambda: None,
) -> Reading:
    """Read a drawing and give it to ``take``, after asking for its unit or scale where the file does not say one.

    Args:
        desk: Shows the reading in its band, and whatever goes wrong.
        wanted: What of a file is read: the next of its pages.
        take: Is given the drawing on the main thread, inside ``Desk.attempt``.
        other: Lets the user choose another file; offered where this one cannot be read. None: it is not offered.
        left: What follows when a question about it is left without an answer.
    """
    bringing = _Bringing(desk, take, other, left)
    reading = Reading(desk)
    reading.finished.connect(bringing.take_whole)
    more = (Answer(words="Next page", give=left),) if wanted.rest.pages else ()
    reading.failed.connect(
        lambda words: desk.troubled.emit(Trouble(sentence=words, answers=(*more, *bringing.another())))
    )
    reading.when_ended(reading.deleteLater)
    reading.start(wanted.file, how=How(page=wanted.pages[0]), password=wanted.password)
    desk.working.emit(reading)
    return reading


def told_of(desk: Desk, new: NewDrawing) -> Trouble:
    """What the band says once a drawing is in, as the level on the plan: how much of it, its scale, what was noticed."""
    job, level = desk.job, desk.level
    assert job is not None
    assert level is not None
    noticed = [found for found in new.drawing.findings if found.code != "page-scale"]
    sentence = f"{job.sheets[level].name} is in: {_much(new.drawing)}, {_scale_words(new.source)}."
    offered = _offered(desk) if new.source.pixel is not None else ()
    if not noticed:
        return Trouble(sentence=sentence, answers=offered, grave=False, waits=False)

    def show() -> None:
        desk.go_to(Stage.DRAWING)
        desk.take_tool(None)
        desk.show_level(level)

    worst = next((found for found in noticed if found.effect is Effect.LOST), noticed[0])
    more = f" That and {many(len(noticed) - 1, 'more thing')} stand in the ledger." if len(noticed) > 1 else ""
    words = "Show it" if len(noticed) == 1 else f"Show all {len(noticed)}"
    answers = (Answer(words=words, give=show), *offered)
    return Trouble(sentence=f"{sentence} {worst.text}{more}", answers=answers, grave=False, waits=False)


def _much(drawing: Drawing) -> str:
    """How much of a drawing there is."""
    if len(drawing.strokes) or not drawing.pictures:
        return f"{len(drawing.strokes):,} lines"
    width, height = drawing.pictures[0].size_px
    return f"a picture of {width:,} × {height:,} pixels"


def _scale_words(source: Source) -> str:
    """How the size of a drawing is known."""
    if source.on_paper and source.unit is not None:
        return f"printed 1:{source.unit * 1000:g}, to check by two lengths that you know"
    if source.on_paper or source.pixel is not None:
        return "its scale to be set by two lengths that you know"
    return "its unit as you said" if source.unit is not None else "its unit from the file"


def _offered(desk: Desk) -> tuple[Answer, ...]:
    """What is done to the picture of a sheet of paper first."""

    def take(tool: type[Straighten | LayFlat]) -> None:
        desk.go_to(Stage.DRAWING)
        desk.take_tool(tool(desk))

    return (
        Answer(words="Straighten", give=lambda: take(Straighten)),
        Answer(words="Lay flat", give=lambda: take(LayFlat)),
    )


class _Bringing:
    """What is asked about a drawing that was read, and who gets it then."""

    def __init__(
        self,
        desk: Desk,
        take: Callable[[NewDrawing], object],
        other: Callable[[], object] | None,
        left: Callable[[], object],
    ) -> None:
        self._desk, self._take, self._other, self._left = desk, take, other, left

    def another(self) -> tuple[Answer, ...]:
        """The way to another file, where there is one."""
        return () if self._other is None else (Answer(words=ANOTHER, give=self._other),)

    def take_whole(self, new: NewDrawing) -> None:
        """Take a drawing; of a file that stops before its end, only when the user wants what was read."""
        cut = next((found for found in new.drawing.findings if found.code == "file-cut"), None)
        if cut is None:
            self._take_with_unit(new)
            return
        sentence = f"{new.source.name} stops {cut.where}. {len(new.drawing.strokes):,} lines of the plan were read."
        use = Answer(words="Use what was read", give=lambda: self._take_with_unit(new))
        self._desk.troubled.emit(Trouble(sentence=sentence, answers=(use, *self.another()), left=self._left))

    def _take_with_unit(self, new: NewDrawing) -> None:
        if new.source.on_paper:
            self._ask_scale(new, "")
        elif new.drawing.unit.m_per_unit is None and new.source.pixel is None:
            self._ask_unit(new)
        else:
            self._desk.attempt(lambda: self._take(new))

    def _ask_unit(self, new: NewDrawing) -> None:
        guess = _guess(new.drawing)
        units = sorted(UNITS.items(), key=lambda unit: f"suggests {unit_words(unit[1], page=False)}:" not in guess)
        answers = tuple(self._unit_answer(new, words, metres) for words, metres in units)
        sentence = f"{guess}{UNIT_QUESTION}"
        self._desk.troubled.emit(Trouble(sentence=sentence, answers=answers, grave=False, left=self._left))

    def _unit_answer(self, new: NewDrawing, words: str, metres: float | None) -> Answer:
        def taken() -> None:
            known = replace(new, source=replace(new.source, unit=metres))
            self._desk.attempt(lambda: self._take(known))

        return Answer(words=in_trade_words(self._desk.units, words), give=taken)

    def _ask_scale(self, new: NewDrawing, wrong: str) -> None:
        """Ask for the scale that is printed on a page; once more, with what was wrong."""
        guess = _guess(new.drawing)
        scales = sorted(SCALES, key=lambda n: f"suggests {unit_words(m_per_unit(n), page=True)}:" not in guess)
        answers = [self._unit_answer(new, f"1:{n}", m_per_unit(n)) for n in scales]
        answers.append(self._unit_answer(new, "Not known", None))

        def typed(words: str) -> None:
            try:
                n = typed_scale(words)
            except BadValue as problem:
                self._ask_scale(new, str(problem))
            else:
                self._unit_answer(new, words, m_per_unit(n)).give()

        self._desk.troubled.emit(
            Trouble(
                sentence=wrong or f"{guess}{SCALE_QUESTION.format(name=new.source.name)}",
                answers=tuple(answers),
                grave=bool(wrong),
                left=self._left,
                typing=Typing(name="1:n", enter=typed, figure=True),
            )
        )


def _guess(drawing: Drawing) -> str:
    """What the content of a drawing suggests for its unit or scale, as a sentence before a question; empty for nothing."""
    found = next((found for found in drawing.findings if found.code in _GUESSES), None)
    return "" if found is None else f"{found.text.removesuffix(_CHECK)} "
