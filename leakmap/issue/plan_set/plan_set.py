"""The plan set: framed plans of every level at a true scale, details, and how to set the zones out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, NextPageTemplate, PageBreak, PageTemplate

from leakmap.base.findings import Finding
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.geometry.path import Box
from leakmap.issue.copies import compact
from leakmap.issue.drawn_sheets import drawing_of, drawn_sheets
from leakmap.issue.heading import Heading
from leakmap.issue.layers import Layer, with_layers
from leakmap.issue.marks.plan import Marks
from leakmap.issue.marks.primitives import Coat, What
from leakmap.issue.office_paper import OFFICE_MM, office_papers
from leakmap.issue.plan_set.draw_view import draw_view
from leakmap.issue.plan_set.frame import (
    draw_fields,
    draw_frame,
    draw_key_plan,
    draw_revisions,
    draw_title_block,
    key_plan_mm,
    revision_rows,
)
from leakmap.issue.plan_set.laid_out import LaidOut
from leakmap.issue.plan_set.level import Level
from leakmap.issue.plan_set.north import NORTH_MM, draw_north
from leakmap.issue.plan_set.set_out import set_out
from leakmap.issue.plan_set.sheets import laid_out
from leakmap.issue.plan_set.signs_used import SETTING_OUT_MM, draw_setting_out_key, signs_used
from leakmap.issue.plan_set.tables import plan_key, setting_out_sections
from leakmap.issue.plan_set.views import Kind, PlanSheet, Sheets, View
from leakmap.issue.schedule_pdf.document import TABLES, table_template, whole_page, written
from leakmap.issue.schedule_pdf.furniture import PageCounts, table_page
from leakmap.issue.schedule_pdf.key import draw_key
from leakmap.issue.schedule_pdf.lettering import MM, Lettering, use_faces
from leakmap.issue.schedule_pdf.pen_box import PenBox
from leakmap.issue.schedule_pdf.styles import TEXT, Setting
from leakmap.model.drawing import Drawing
from leakmap.model.job import Job
from leakmap.model.sheet import Source
from leakmap.repair.results import Repairs

_NOTHING: Final = "No repair zone lies on these levels, so there is nothing to set out."
_ROUND_ZONE_MM: Final = 25.0


@dataclass(frozen=True, slots=True)
class PlanSetPdf:
    """The paper.

    Attributes:
        data: The PDF file.
        findings: What found no place on it, and what could not be printed.
    """

    data: bytes
    findings: tuple[Finding, ...]


def plan_set(
    job: Job,
    repairs: Repairs,
    *,
    drawings: Mapping[Source, Drawing],
    heading: Heading,
    progress: Progress = UNWATCHED,
) -> PlanSetPdf:
    """Write the plan set of a job. The same input gives the same bytes.

    Args:
        job: The job.
        repairs: Its work-out.
        drawings: Drawings as read, by their source.
        heading: What the paper says of itself.
        progress: Told each sheet; may stop the work.

    Raises:
        Stopped: The watcher asked to stop.
    """
    use_faces()
    setting = Setting(Lettering(), job.units)
    progress.report("Setting the zones out", 0, None)
    levels = levels_of(job, repairs, drawings, setting.lettering)
    done = laid_out(levels, heading, progress)
    book = _Book(job, heading, PageCounts(setting.lettering), done, progress)
    data = book.written(setting_out_sections(setting, levels, done.sheets) or [setting.words(_NOTHING, TEXT)])
    left_out = (book.left_out(level) for level in levels if book.unnamed(level))
    return PlanSetPdf(data, (*left_out, *setting.lettering.unprintable("plan set")))


def levels_of(job: Job, repairs: Repairs, drawings: Mapping[Source, Drawing], lettering: Lettering) -> list[Level]:
    """Each level that has a drawing or a joint."""
    out = set_out(job, repairs, drawings)
    return [
        Level(job, repairs, sheet, drawing_of(sheet, drawings), out.get(sheet.id), lettering)
        for sheet in drawn_sheets(job)
    ]


class _SheetFlowable(Flowable):  # type: ignore[misc] # the library has no types
    """A sheet of the set as a flowable that fills its page."""

    def __init__(self, sheet: PlanSheet, book: _Book) -> None:
        super().__init__()
        self.sheet, self.book = sheet, book

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """All of the page."""
        return width, height

    def draw(self) -> None:
        """Draw the sheet."""
        self.book.draw(self.canv, self.sheet)


@dataclass
class _Book:
    """The document of one plan set while it is made."""

    job: Job
    heading: Heading
    counts: PageCounts
    done: LaidOut
    progress: Progress
    named: set[str] = field(default_factory=set)

    @property
    def sheets(self) -> Sheets:
        """All sheets of the set."""
        return self.done.sheets

    def draw(self, canvas: Canvas, sheet: PlanSheet) -> None:
        """Draw a sheet and set its bookmarks."""
        self.progress.report(f"Drawing sheet {sheet.number}", sheet.number - 1, len(self.sheets.each))
        key = f"sheet-{sheet.number}"
        canvas.bookmarkPage(key)
        canvas.addOutlineEntry(f"Sheet {sheet.number}: {sheet.words}", key, 0, closed=True)
        pen = PenBox(canvas, self.counts.lettering)
        for view in sheet.views:
            marks = draw_view(canvas, sheet, view, self.done)
            self._take_names(marks)
        draw_frame(pen, sheet.paper)
        draw_fields(pen, sheet.paper)
        self._column(canvas, pen, sheet)
        draw_revisions(pen, sheet.paper, revision_rows(self.job, self.heading))
        draw_title_block(canvas, pen, sheet, scale=_scale(sheet), heading=self.heading, counts=self.counts)
        self._say_unprinted(canvas, sheet)
        self._mark_zones(canvas, sheet)

    def _say_unprinted(self, canvas: Canvas, sheet: PlanSheet) -> None:
        """Over the scale bar, or at the foot of a sheet of details."""
        left, low, _, _ = sheet.paper.field_mm
        self.counts.place_unprinted(canvas, left + 5.0, low + (1.2 if sheet.kind is Kind.DETAILS else 8.6))

    def _take_names(self, marks: Marks) -> None:
        self.named |= {mark.ref for mark in marks if mark.what is What.LEAK and mark.coat is Coat.LABEL}

    def _column(self, canvas: Canvas, pen: PenBox, sheet: PlanSheet) -> None:
        """The column at the right: key, what is known of north, and between them the key plan where the level is parted."""
        _, low, left, top = sheet.paper.field_mm
        top -= draw_key(canvas, pen.lettering, left, top, units=self.job.units, used=signs_used(sheet.level))
        if sheet.level.set_out is not None and sheet.kind is not Kind.GENERAL:
            draw_setting_out_key(pen, left, top)
            top -= SETTING_OUT_MM
        north_deg = sheet.level.sheet.north_deg
        draw_north(pen, left + 4, low + 3.0, north_deg)
        low += 9.0 if north_deg is None else NORTH_MM + 3.0
        if sheet.part.general is not None:
            draw_key_plan(pen, key_plan_mm(sheet.paper, top, low), sheet, self.sheets.each)

    def _mark_zones(self, canvas: Canvas, sheet: PlanSheet) -> None:
        """A bookmark for each zone that has its home on the sheet."""
        for (ref, _), (home, view) in self.sheets.homes.items():
            if home is not sheet:
                continue
            left, bottom, right, top = _round(view, view.level.zones[ref])
            key = plan_key(ref, sheet)
            canvas.bookmarkPage(key, fit="FitR", left=left, bottom=bottom, right=right, top=top)
            canvas.addOutlineEntry(ref, key, 1)

    def unnamed(self, level: Level) -> list[str]:
        """References of leaks of a level that stand on no sheet."""
        return [self.job.leaks[leak].ref for leak in level.leaks if self.job.leaks[leak].ref not in self.named]

    def left_out(self, level: Level) -> Finding:
        """What a person should know of leaks that stand on no sheet by name."""
        refs, name = self.unnamed(level), level.sheet.name
        text = (
            f"The plan set of {name} has no place for the references of {len(refs)} leaks; the schedule lists them all."
        )
        return Finding("leaks-not-named-in-set", name, text)

    def written(self, tables: list[Flowable]) -> bytes:
        """The finished file."""
        story: list[Flowable] = []
        for sheet in self.sheets.each:
            story += [NextPageTemplate(f"sheet-{sheet.number}"), PageBreak(), _SheetFlowable(sheet, self)]
        story += [NextPageTemplate(TABLES), PageBreak(), *tables]
        made = written(
            story[2:],
            self._templates(),
            title=f"{self.heading.job_name}: plan set, revision {self.heading.revision}",
            subject="Leaking joints: plans and setting-out",
            heading=self.heading,
            counts=self.counts,
        )
        return compact(with_layers(made, tuple(Layer)))

    @property
    def _page_mm(self) -> tuple[float, float]:
        """The small paper of the office, which tables are printed on."""
        return OFFICE_MM[office_papers(self.job.rules)[0]]

    def _templates(self) -> list[PageTemplate]:
        plans = [
            whole_page(f"sheet-{sheet.number}", sheet.paper.width_mm, sheet.paper.height_mm)
            for sheet in self.sheets.each
        ]
        return [*plans, table_template(self._page_mm, self._table_page)]

    def _table_page(self, canvas: Canvas) -> None:
        table_page(
            canvas, self.heading, self.counts, paper="Plan set: setting-out of repair zones", page_mm=self._page_mm
        )


def _scale(sheet: PlanSheet) -> str:
    if sheet.kind is Kind.DETAILS:
        return "as shown"
    return f"1:{sheet.views[0].scale} on {sheet.paper.name}"


def _round(view: View, box: Box) -> tuple[float, ...]:
    """A box of the site plane on the page, points, with room round it."""
    left, bottom, right, top = view.on_page(box)
    wide = _ROUND_ZONE_MM
    return (left - wide) * MM, (bottom - wide) * MM, (right + wide) * MM, (top + wide) * MM
