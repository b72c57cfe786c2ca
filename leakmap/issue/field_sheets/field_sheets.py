"""Field sheets: blank strips of every joint, to write leaks on while it leaks.

They are read and copied in black and white: everything is dark lines and words, and nothing rests on a colour.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from itertools import groupby
from typing import Final

from reportlab.pdfgen.canvas import Canvas

from leakmap.base.findings import Finding
from leakmap.base.trade_words import english_of, in_trade_words
from leakmap.issue.copies import compact
from leakmap.issue.field_sheets.draw_strip import CAP_MM, StripPen
from leakmap.issue.field_sheets.strips import SCALES, SIDE_MM, Sheet, Strip, strips_of
from leakmap.issue.office_paper import office_papers
from leakmap.issue.schedule_pdf.document import MAKER
from leakmap.issue.schedule_pdf.furniture import PageCounts, counted_canvas
from leakmap.issue.schedule_pdf.lettering import MM, Face, Lettering, use_faces
from leakmap.issue.schedule_pdf.pen_box import PenBox
from leakmap.issue.schedule_pdf.words import wetness_words
from leakmap.model.job import Job
from leakmap.model.words import Wetness
from leakmap.repair.ground import ground_of
from leakmap.repair.results import Repairs
from leakmap.repair.tape_layout import laid_out

MEANINGS: Final = {
    Wetness.SUSPECT: "dry today, but stained",
    Wetness.DAMP: "dark, dry to the hand",
    Wetness.SEEP: "wets the hand",
    Wetness.DRIP: "drops can be counted",
    Wetness.RUN: "flows without a break",
    Wetness.JET: "leaves the face",
}
_FIELDS: Final = (
    ("Name", 0.22),
    ("Date and time", 0.2),
    ("Water level outside", 0.2),
    ("Weather, days since rain", 0.38),
)
"""What is asked at the head of every page, and which share of it each has."""

_HEAD_TOP_MM, _FIELDS_MM, _FIELD_MM = 9.0, 18.5, 11.0
_MADE_MM: Final = 40.0


@dataclass(frozen=True, slots=True)
class FieldSheets:
    """The paper.

    Attributes:
        data: The PDF file.
        findings: What could not be printed.
    """

    data: bytes
    findings: tuple[Finding, ...]


def field_sheets(job: Job, repairs: Repairs, *, at: datetime, paper: str | None = None) -> FieldSheets:
    """Blank strips of every joint of a job. The same input gives the same bytes.

    Args:
        job: The job.
        repairs: Its work-out.
        at: When they are made, with time zone.
        paper: A name of ``OFFICE_MM``; None: the small paper of the job's office.
    """
    use_faces()
    sheet = Sheet(paper=paper or office_papers(job.rules)[0], scale=SCALES[job.units.system])
    lettering = Lettering()
    counts = PageCounts(lettering)
    out = BytesIO()
    width, height = sheet.size_mm
    canvas = counted_canvas(counts, at)(
        out, pagesize=(width * MM, height * MM), invariant=1, pageCompression=0, initialFontName=Face.BODY.value,
        lang=english_of(job.units),
    )  # fmt: skip
    canvas.setTitle(f"{job.name}: field sheets")
    canvas.setAuthor(MAKER)
    canvas.setCreator(MAKER)
    canvas.setProducer(MAKER)
    network = ground_of(job).network
    for number, strips in groupby(strips_of(job, sheet), key=lambda strip: strip.page):
        page = _Page(canvas, counts, job, sheet)
        on_page = list(strips)
        page.furnish(on_page[0], job.units.day(at), number)
        for strip in on_page:
            page.strips.draw(strip, laid_out(job, repairs, strip.joint.id, network))
        canvas.showPage()
    if not job.joints:
        PenBox(canvas, lettering).words("No joint is drawn yet.", SIDE_MM, height - 30, cap=2.5)
    canvas.save()
    return FieldSheets(compact(out.getvalue()), lettering.unprintable("field sheets"))


class _Page:
    """A page of strips: head, fields to fill, key of wetness."""

    def __init__(self, canvas: Canvas, counts: PageCounts, job: Job, sheet: Sheet) -> None:
        self.canvas, self.counts, self.job, self.sheet = canvas, counts, job, sheet
        self.pen = PenBox(canvas, counts.lettering)
        self.strips = StripPen(self.pen, job, sheet)

    def furnish(self, first: Strip, day: str, number: int) -> None:
        """Draw what stands on every page.

        Args:
            first: A strip of the page, for its level.
            day: The day that the sheets are made on.
            number: Of the page, the first being 0.
        """
        level = self.job.sheet_of(first.joint).name
        width, height = self.sheet.size_mm
        right, y = width - SIDE_MM, height - _HEAD_TOP_MM - 2.5
        self.canvas.addOutlineEntry(f"{level}, from {first.joint.ref}", f"field-{number}", 0)
        self.canvas.bookmarkPage(f"field-{number}")
        self.pen.words(self.job.name, SIDE_MM, y, cap=2.5, face=Face.BOLD, room=0.45 * width)
        self.pen.words(f"Field sheet, level {level}", right, y, cap=2.5, face=Face.BOLD, across=1)
        self.pen.words(self._reading(), SIDE_MM, y - 4.4, cap=CAP_MM)
        self._fields(height - _FIELDS_MM, right)
        self._key(right)
        self.pen.words(f"Made {day}", SIDE_MM, 6.5, cap=CAP_MM)
        self.counts.place(self.canvas, right, 6.5, cap_mm=CAP_MM, across=1)
        self.counts.place_unprinted(self.canvas, SIDE_MM + _MADE_MM, 6.5)

    def _reading(self) -> str:
        scale = "1:50" if self.job.units.metric else "1/4 inch to a foot (1:48)"
        words = (
            f"Scale {scale}, printed at full size. Chainages in {'metres' if self.job.units.metric else 'feet'}. "
            "Mark each wet stretch in the box with both chainages and its number; ring a spot."
        )
        return in_trade_words(self.job.units, words)

    def _fields(self, top: float, right: float) -> None:
        x = SIDE_MM
        for words, share in _FIELDS:
            to = x + share * (right - SIDE_MM)
            self.pen.box(x, top - _FIELD_MM, to, top, width=0.25)
            self.pen.words(words, x + 1.2, top - CAP_MM - 1.0, cap=CAP_MM)
            x = to

    def _key(self, right: float) -> None:
        self.pen.rule(SIDE_MM, 19.5, right, 19.5, width=0.35)
        each = (right - SIDE_MM) / len(MEANINGS)
        for at, (wetness, meaning) in enumerate(MEANINGS.items()):
            x = SIDE_MM + at * each
            self.pen.words(wetness_words(wetness), x, 15.6, cap=2.2, face=Face.BOLD)
            self.pen.words(meaning, x, 11.8, cap=CAP_MM, room=each - 1.5)
