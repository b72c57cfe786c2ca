"""What stands on every page: job, revision, date, and which page of how many.

The number of pages is known when the last one is done, so each page shows a form of its own that is
filled in at the end.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Final

from reportlab.pdfgen.canvas import Canvas

from leakmap.issue.heading import Heading
from leakmap.issue.schedule_pdf.ink import INK, INK2, REPAIR, RULE, Colour, set_words
from leakmap.issue.schedule_pdf.lettering import MM, Face, Lettering
from leakmap.issue.schedule_pdf.pen_box import PenBox

A4_MM: Final = (210.0, 297.0)
LEFT_MM, RIGHT_MM, TOP_MM, BOTTOM_MM = 20.0, 12.0, 26.0, 17.5
"""Margins of the text on table pages."""

WIDTH_MM: Final = A4_MM[0] - LEFT_MM - RIGHT_MM
"""Width of the text on any page of tables; a page on its side has two columns of it."""

TITLE: Final = "Repair schedule"
_SMALL_CAP: Final = 1.8
_UNPRINTED: Final = "unprinted"
_SENTENCE_MM: Final = 120.0


def title_of(heading: Heading) -> str:
    """Title of the paper, as its properties give it."""
    return f"{heading.job_name}: repair schedule, revision {heading.revision}"


def columns_mm(page_mm: tuple[float, float]) -> tuple[float, ...]:
    """Left edges of the columns of text of a page: one, or two where it lies on its side."""
    second = page_mm[0] - RIGHT_MM - WIDTH_MM
    return (LEFT_MM, second) if second > LEFT_MM + WIDTH_MM else (LEFT_MM,)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Count:
    page: int
    face: Face
    size: float
    fill: Colour
    across: float


@dataclass(slots=True)
class PageCounts:
    """Places on pages where "page n of m" stands.

    Attributes:
        lettering: Sets the words.
        says_unprinted: Whether a page has a place for what could not be printed.
    """

    lettering: Lettering
    says_unprinted: bool = False
    _asked: list[_Count] = field(default_factory=list)

    def place(
        self, canvas: Canvas, x_mm: float, y_mm: float, *, cap_mm: float, face: Face = Face.BODY, across: float = 0.0
    ) -> None:  # fmt: skip
        """Ask for the words at a point of the current page."""
        page = canvas.getPageNumber()
        self._asked.append(_Count(page=page, face=face, size=cap_mm * MM / 0.7, fill=INK, across=across))
        canvas.saveState()
        canvas.translate(x_mm * MM, y_mm * MM)
        canvas.doForm(f"page-{len(self._asked)}")
        canvas.restoreState()

    def place_unprinted(self, canvas: Canvas, x_mm: float, y_mm: float) -> None:
        """Ask for the sentence about characters that the paper could not print, at a point of the current page."""
        canvas.saveState()
        canvas.translate(x_mm * MM, y_mm * MM)
        canvas.doForm(_UNPRINTED)
        canvas.restoreState()
        self.says_unprinted = True

    def fill_in(self, canvas: Canvas, pages: int) -> None:
        """Write every form; call once, when all pages are done."""
        if self.says_unprinted:
            self._say_unprinted(canvas)
        for number, asked in enumerate(self._asked, start=1):
            canvas.beginForm(f"page-{number}", -60 * MM, -5 * MM, 60 * MM, 10 * MM)
            words = f"page {asked.page} of {pages}"
            set_words(
                canvas,
                self.lettering,
                words,
                at=(0.0, 0.0),
                face=asked.face,
                size=asked.size,
                fill=asked.fill,
                across=asked.across,
            )
            canvas.endForm()

    def _say_unprinted(self, canvas: Canvas) -> None:
        canvas.beginForm(_UNPRINTED, -1 * MM, -1 * MM, _SENTENCE_MM * MM, 4 * MM)
        size = _SMALL_CAP * MM / 0.7
        words = self.lettering.fitted(self.lettering.unprinted_words(), Face.BODY, size, (_SENTENCE_MM - 1) * MM)
        set_words(canvas, self.lettering, words, at=(0.0, 0.0), face=Face.BODY, size=size, fill=REPAIR)
        canvas.endForm()


def counted_canvas(counts: PageCounts, at: datetime) -> type[Canvas]:
    """A canvas that fills in "page n of m" when it is saved, and says that it was made at a given time."""
    stamp = f"D:{at.astimezone(UTC):%Y%m%d%H%M%S}+00'00'"

    class CountedCanvas(Canvas):  # type: ignore[misc] # the library has no types
        """A canvas that counts its pages."""

        def save(self) -> None:
            """Write the file."""
            if self._code:
                self.showPage()
            counts.fill_in(self, self.getPageNumber() - 1)
            self.setDateFormatter(lambda *_clock: stamp)
            self.showOutline()
            super().save()

    return CountedCanvas


def table_page(
    canvas: Canvas,
    heading: Heading,
    counts: PageCounts,
    *,
    paper: str = "Repair schedule for leaking joints",
    page_mm: tuple[float, float] = A4_MM,
) -> None:
    """Head and foot of a page of tables, over all of its columns; ``paper`` says what paper it belongs to."""
    pen = PenBox(canvas, counts.lettering)
    right, head = columns_mm(page_mm)[-1] + WIDTH_MM, page_mm[1] - 12.0
    canvas.saveState()
    pen.words(heading.job_name, LEFT_MM, head - 2.5, cap=2.5, face=Face.BOLD, room=110)
    pen.words(paper, LEFT_MM, head - 7.2, cap=_SMALL_CAP, ink=INK2)
    pen.words(revision_words(heading), right, head - 2.5, cap=2.5, face=Face.BOLD, across=1)
    pen.words(
        f"{heading.day}, {heading.purpose_words}",
        right, head - 7.2, cap=_SMALL_CAP, ink=REPAIR if heading.not_for_work else INK2, across=1,
    )  # fmt: skip
    pen.rule(LEFT_MM, head - 10.0, right, head - 10.0, width=0.5)
    pen.rule(LEFT_MM, 14.5, right, 14.5, ink=RULE)
    pen.words(_sent(heading), LEFT_MM, 10.0, cap=_SMALL_CAP, ink=INK2, room=125)
    counts.place(canvas, right, 10.0, cap_mm=_SMALL_CAP, across=1)
    counts.place_unprinted(canvas, LEFT_MM, 6.4)
    canvas.restoreState()


def revision_words(heading: Heading) -> str:
    """The revision as page heads give it."""
    return "Not issued" if heading.provisional else f"Revision {heading.revision}"


def _sent(heading: Heading) -> str:
    parts = [f"Issued to {heading.to_whom}" if heading.to_whom else "", f"by {heading.by}" if heading.by else ""]
    words = " ".join(part for part in parts if part)
    return words or "An earlier print may be out of date: ask for the latest revision."
