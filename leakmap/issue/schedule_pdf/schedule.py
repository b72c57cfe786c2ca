"""The PDF repair schedule: totals and rules, a marked plan of each level, zones, evidence, cautions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final
from uuid import UUID

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, NextPageTemplate, PageBreak

from leakmap.base.findings import Effect, Finding
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.issue.copies import archive_copy, compact
from leakmap.issue.drawn_sheets import drawing_of, drawn_sheets
from leakmap.issue.heading import Heading, as_told, told_changes
from leakmap.issue.layers import Layer, with_layers
from leakmap.issue.marks.changes import changed_sheets
from leakmap.issue.office_paper import OFFICE_MM, office_papers
from leakmap.issue.schedule_pdf.apart import apart_sections
from leakmap.issue.schedule_pdf.change_page import draw_changes
from leakmap.issue.schedule_pdf.changes_section import changes_heading, changes_sections
from leakmap.issue.schedule_pdf.document import TABLES, table_template, whole_page, written
from leakmap.issue.schedule_pdf.evidence import evidence_sections
from leakmap.issue.schedule_pdf.front import front
from leakmap.issue.schedule_pdf.furniture import PageCounts, table_page, title_of
from leakmap.issue.schedule_pdf.lettering import Lettering, use_faces
from leakmap.issue.schedule_pdf.material_section import material_sections
from leakmap.issue.schedule_pdf.paper import taken_sheet
from leakmap.issue.schedule_pdf.plan_page import PlanPage, draw_plan, plan_page
from leakmap.issue.schedule_pdf.price_section import price_sections
from leakmap.issue.schedule_pdf.styles import Bookmark, Setting
from leakmap.issue.schedule_pdf.tables import marked
from leakmap.issue.schedule_pdf.zone_tables import zone_sections
from leakmap.model.drawing import Drawing
from leakmap.model.job import Job
from leakmap.model.sheet import Source
from leakmap.repair.ground import ground_of
from leakmap.repair.results import Repairs
from leakmap.repair.sides import Differences

LONG: Final = 200
"""Zones up to which the paper is printed on small sheets; more are laid out in two columns on large ones."""


@dataclass(frozen=True, slots=True)
class SchedulePdf:
    """The paper.

    Attributes:
        data: The copy for site: a PDF with bookmarks, links, layers and attachments.
        made: The same as the library made it.
        findings: What could not be printed or was missing.
    """

    data: bytes
    made: bytes
    findings: tuple[Finding, ...]

    def archive(self) -> bytes:
        """The copy for the archive: PDF/A-1b."""
        return archive_copy(self.made)


def schedule_pdf(
    job: Job,
    repairs: Repairs,
    *,
    drawings: Mapping[Source, Drawing],
    heading: Heading,
    attached: Mapping[str, bytes] = MappingProxyType({}),
    since: Differences | None = None,
    progress: Progress = UNWATCHED,
) -> SchedulePdf:
    """Write the repair schedule of a job. The same input gives the same bytes.

    Args:
        job: The job.
        repairs: Its work-out.
        drawings: Drawings as read, by their source.
        heading: What the paper says of itself.
        attached: Files that the copy for site carries, by name.
        since: What changed since an earlier revision; None: the paper says nothing of it.
        progress: Told each page of a plan; may stop the work.

    Raises:
        Stopped: The watcher asked to stop.
    """
    use_faces()
    job, since = as_told(job, since, heading)
    setting = Setting(Lettering(), job.units, job.materials.filling)
    counts = PageCounts(setting.lettering)
    pages = plan_pages(job, drawings)
    paper = _Paper(heading, counts, page_mm(job, repairs))
    for page in pages.values():
        paper.add_plan(_PlanFlowable(page, paper, job, repairs))
    changed = changed_sheets(since) if since is not None else ()
    for sheet in changed:
        paper.add_plan(_ChangeFlowable(pages[sheet], paper, job, repairs, since))
    told = (
        marked(Bookmark("changes", changes_heading(since), 0), list(changes_sections(setting, since))) if since else []
    )
    story = [
        *front(setting, job, repairs, heading, pages),
        *told,
        *paper.plans(progress),
        NextPageTemplate(TABLES),
        PageBreak(),
    ]
    network, plans = ground_of(job).network, {sheet: f"plan-{number}" for number, sheet in enumerate(pages)}
    story += zone_sections(setting, job, repairs, heading=heading, network=network, plans=plans)
    story += price_sections(setting, job, repairs)
    story += material_sections(setting, job, repairs)
    story += marked(Bookmark("apart", "Apart from the zones", 0), apart_sections(setting, job, repairs))
    story += marked(Bookmark("evidence", "Leaks and joints", 0), evidence_sections(setting, job, repairs))
    raw = paper.written(story)
    data = compact(with_layers(raw, tuple(Layer)), attached, heading.at)
    findings = (*_missing_drawings(job, drawings), *_paper_findings(job), *paper.findings)
    return SchedulePdf(
        data, raw, (*findings, *setting.lettering.unprintable("repair schedule"), *_cut(setting.lettering))
    )


def changes_pdf(
    found: Differences, *, drawings: Mapping[Source, Drawing], heading: Heading, progress: Progress = UNWATCHED
) -> bytes:
    """What changed between two revisions as a paper of its own: the tables, then a plan of each level that changed.

    Args:
        found: The comparison.
        drawings: Drawings as read, by their source.
        heading: What the paper says of itself.
        progress: Told each page of a plan; may stop the work.

    Raises:
        Stopped: The watcher asked to stop.
    """
    use_faces()
    found = told_changes(found, heading)
    job = found.new.job
    setting = Setting(Lettering(), job.units, job.materials.filling)
    paper = _Paper(heading, PageCounts(setting.lettering), OFFICE_MM[office_papers(job.rules)[0]])
    pages = plan_pages(job, drawings)
    for sheet in changed_sheets(found):
        paper.add_plan(_ChangeFlowable(pages[sheet], paper, job, found.new_repairs, found))
    story = marked(Bookmark("changes", changes_heading(found), 0), list(changes_sections(setting, found)))
    return compact(paper.written([*story, *paper.plans(progress)]))


def plan_pages(job: Job, drawings: Mapping[Source, Drawing]) -> dict[UUID, PlanPage]:
    """A plan page for each sheet that has a drawing or a joint."""
    return {sheet.id: plan_page(job, sheet, drawing_of(sheet, drawings)) for sheet in drawn_sheets(job)}


def page_mm(job: Job, repairs: Repairs) -> tuple[float, float]:
    """Width and height of the pages of tables: the office's small paper, for many zones its large one on its side."""
    small, large = (OFFICE_MM[name] for name in office_papers(job.rules))
    return large[::-1] if len(repairs.zones) > LONG else small


class _PlanFlowable(Flowable):  # type: ignore[misc] # the library has no types
    """A plan page as a flowable that fills its page."""

    heading = "Plan of {}"

    def __init__(self, page: PlanPage, paper: _Paper, job: Job, repairs: Repairs) -> None:
        super().__init__()
        self.page, self.paper, self.job, self.repairs = page, paper, job, repairs
        self.progress: Progress = UNWATCHED
        self.number = 0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """All of the page."""
        return width, height

    def draw(self) -> None:
        """Draw the page and set its bookmark."""
        self.progress.report(f"Drawing the plan of {self.page.sheet.name}", self.number, len(self.paper.flowables))
        name = self.page.sheet.name
        key = f"plan-{self.number}"
        self.canv.bookmarkPage(key)
        self.canv.addOutlineEntry(self.heading.format(name), key, 0)
        self.draw_page()

    def draw_page(self) -> None:
        """Draw the page; what found no place on it is a finding."""
        left_out = draw_plan(
            self.canv,
            self.page,
            job=self.job,
            repairs=self.repairs,
            heading=self.paper.heading,
            counts=self.paper.counts,
        )
        if left_out:
            self.paper.findings.append(_left_out(self.page.sheet.name, left_out))


class _ChangeFlowable(_PlanFlowable):
    """A plan page of what changed."""

    heading = "Changes on {}"

    def __init__(self, page: PlanPage, paper: _Paper, job: Job, repairs: Repairs, since: Differences | None) -> None:
        super().__init__(page, paper, job, repairs)
        self.since = since

    def draw_page(self) -> None:
        """Draw the page."""
        assert self.since is not None
        draw_changes(self.canv, self.page, found=self.since, heading=self.paper.heading, counts=self.paper.counts)


class _Paper:
    """Page templates and the document of one paper."""

    def __init__(self, heading: Heading, counts: PageCounts, page_mm: tuple[float, float]) -> None:
        self.heading, self.counts, self.page_mm = heading, counts, page_mm
        self.flowables: list[_PlanFlowable] = []
        self.findings: list[Finding] = []
        self.templates = [table_template(page_mm, self._table_page)]

    def _table_page(self, canvas: Canvas) -> None:
        table_page(canvas, self.heading, self.counts, page_mm=self.page_mm)

    def add_plan(self, flowable: _PlanFlowable) -> None:
        """Take a plan page."""
        layout = flowable.page.layout
        self.templates.append(whole_page(f"plan-{len(self.flowables)}", layout.width_mm, layout.height_mm))
        self.flowables.append(flowable)

    def plans(self, progress: Progress) -> list[Flowable]:
        """The plan pages in order."""
        found: list[Flowable] = []
        for number, flowable in enumerate(self.flowables):
            flowable.progress, flowable.number = progress, number
            found += [NextPageTemplate(f"plan-{number}"), PageBreak(), flowable]
        return found

    def written(self, story: list[Flowable]) -> bytes:
        """The file as the library makes it, pages not compressed."""
        return written(
            story,
            self.templates,
            title=title_of(self.heading),
            subject="Leaking joints: marked plans, repair zones and quantities",
            heading=self.heading,
            counts=self.counts,
        )


def _left_out(sheet: str, refs: list[str]) -> Finding:
    text = (
        f"There is no place on the plan of {sheet} for the references of {len(refs)} leaks; the table lists them all."
    )
    return Finding("leaks-not-named", sheet, text)


def _missing_drawings(job: Job, drawings: Mapping[Source, Drawing]) -> list[Finding]:
    return [
        Finding(
            "drawing-missing",
            sheet.name,
            f"The drawing of {sheet.name} ({sheet.source.name}) was not at hand, so its plan shows the marks alone.",
            Effect.LOST,
        )
        for sheet in job.sheets.values()
        if sheet.source is not None and sheet.source not in drawings
    ]


def _paper_findings(job: Job) -> list[Finding]:
    given, taken = job.rules.largest_paper, taken_sheet(job.rules.largest_paper)
    if given == taken:
        return []
    text = f'The largest paper is given as "{given}", which is no sheet of a known series; {taken} was taken.'
    return [Finding("paper-unknown", "rules", text, Effect.FIXED)]


def _cut(lettering: Lettering) -> list[Finding]:
    text = "This text is too long for its place and was cut on the paper; the job keeps all of it."
    return [Finding("text-cut", start, text) for start in sorted(lettering.cut)]
