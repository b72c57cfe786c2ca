"""The frame of a sheet, its title block, the revisions, and the column with key plan and key.

Frame: line 0.7 mm, fields and their letters in a band of 5 mm outside it, centring marks 0.7 mm (ISO 5457, from memory).
Title block: the fields of data of ISO 7200 (read in a summary): legal owner, identification number, date of issue,
sheet number, title, approval person, creator and document type. Heights of capitals are of the series of ISO 3098-1 (from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from reportlab.pdfgen.canvas import Canvas

from leakmap.geometry.path import Box
from leakmap.issue.heading import Heading
from leakmap.issue.plan_set.paper import BAND_MM, TITLE_WIDTH_MM, Paper, frame_fields
from leakmap.issue.plan_set.views import PlanSheet
from leakmap.issue.schedule_pdf.furniture import PageCounts
from leakmap.issue.schedule_pdf.ink import INK, INK2, REPAIR, WHITE
from leakmap.issue.schedule_pdf.lettering import Face
from leakmap.issue.schedule_pdf.pen_box import PaperPen, PenBox
from leakmap.issue.schedule_pdf.words import date_words
from leakmap.model.job import Job
from leakmap.model.sheet import Sheet, scale_is_checked

_SMALL, _USUAL, _LARGE = 1.8, 2.5, 3.5
_THIN, _MIDDLE, _THICK = 0.18, 0.35, 0.7
_ROWS: Final = (14.0, 13.0, 13.0)
_REVISION_ROW: Final = 4.6
_REVISION_COLUMNS: Final = ("Revision", "Date", "Purpose", "To", "By")
_REVISION_MM: Final = (15.0, 21.0, 17.0)  # of the first three
_MOST_TO_MM: Final = 112.0
_MOST_BY_MM: Final = 48.0
_KEY_PLAN_MM: Final = 40.0
"""Height of the key plan, at most."""

_KEY_HEAD_MM: Final = 9.0
_SMALL_KEY_MM: Final = 46.0
_SHOWN: Final = (0.92, 0.90, 0.86)
_NOBODY: Final = "–"
_NOT_FOR_WORK: Final = "not for work"


def draw_frame(pen: PaperPen, paper: Paper) -> None:
    """Frame, fields with their letters and numbers, and centring marks."""
    left, bottom, right, top = paper.frame_mm
    pen.box(left, bottom, right, top, width=_THICK)
    pen.box(left - BAND_MM, bottom - BAND_MM, right + BAND_MM, top + BAND_MM, width=_MIDDLE)
    across, down = frame_fields(paper)
    for each in across:
        for edge, outer in ((bottom, bottom - BAND_MM), (top, top + BAND_MM)):
            if each.from_mm > left:
                pen.rule(each.from_mm, edge, each.from_mm, outer, width=_MIDDLE)
            middle = (edge + outer) / 2
            pen.words(each.name, (each.from_mm + each.to_mm) / 2, middle - _LARGE / 2, cap=_LARGE, across=0.5)
    for each in down:
        for edge, outer in ((left, left - BAND_MM), (right, right + BAND_MM)):
            if each.from_mm > bottom:
                pen.rule(edge, each.from_mm, outer, each.from_mm, width=_MIDDLE)
            y = (each.from_mm + each.to_mm) / 2 - _LARGE / 2
            pen.words(each.name, (edge + outer) / 2, y, cap=_LARGE, across=0.5)
    x, y = (left + right) / 2, (bottom + top) / 2
    for x0, y0, x1, y1 in (
        (x, bottom - BAND_MM, x, bottom),
        (x, top, x, top + BAND_MM),
        (left - BAND_MM, y, left, y),
        (right, y, right + BAND_MM, y),
    ):
        pen.rule(x0, y0, x1, y1, width=_THICK)


def draw_fields(pen: PaperPen, paper: Paper) -> None:
    """The rules that part plan, column and strip."""
    left, _, right, top = paper.frame_mm
    _, low, key_left, _ = paper.field_mm
    pen.rule(left, low, right, low, width=_MIDDLE)
    pen.rule(key_left, low, key_left, top, width=_MIDDLE)


@dataclass(frozen=True, slots=True)
class TitleCell:
    """A field of the title block.

    Attributes:
        tag: Its name for programs.
        caption: What it is, for people.
        share: Its width, mm of a block of full width.
        value: What it says.
        note: A line that says more.
        warns: Whether that line is a warning, or the value where no line says more.
        cap_mm: Height of the capitals of its value.
    """

    tag: str
    caption: str
    share: float
    value: str
    note: str = ""
    warns: bool = False
    cap_mm: float = _USUAL

    @property
    def value_warns(self) -> bool:
        """Whether the value itself is a warning."""
        return self.warns and not self.note


@dataclass(frozen=True, slots=True)
class PlacedCell:
    """A field of the title block on its sheet: where its upper left corner lies, its width and its height, mm."""

    cell: TitleCell
    left: float
    top: float
    width: float
    height: float

    @property
    def value_at(self) -> tuple[float, float]:
        """Where the value begins, on its baseline."""
        return self.left + 2, self.top - (8.2 if self.cell.note else 9.0)

    @property
    def note_at(self) -> tuple[float, float]:
        """Where the line that says more begins."""
        return self.left + 2, self.top - self.height + 1.4

    @property
    def caption_at(self) -> tuple[float, float]:
        """Where the caption begins."""
        return self.left + 2, self.top - 3.2

    @property
    def room(self) -> float:
        """Width that words may take."""
        return self.width - 4.0


def title_rows(
    job: Job, sheet: Sheet, heading: Heading, *, words: str, document: str, number: str, scale: str, page: str = ""
) -> list[list[TitleCell]]:
    """The fields of a title block, row by row; who is not said yet is a dash.

    Args:
        job: Names owner and approver.
        sheet: The level that is shown.
        heading: What the paper says of itself.
        words: What the sheet shows.
        document: Type of document.
        number: Identification number.
        scale: The scale in words; empty where nothing is to scale.
        page: Number of the sheet; empty where it is set later.
    """
    checked = not scale or scale_is_checked(sheet)
    said = "" if not scale else "scale checked" if checked else "not checked: not for work"
    return [
        [
            TitleCell("OWNER", "Legal owner", 60, job.legal_owner or _NOBODY),
            TitleCell("TITLE", "Title", 120, f"Leak repair, {words}", heading.job_name, cap_mm=_LARGE),
        ],
        [
            TitleCell("DOCUMENT", "Document type", 60, document),
            TitleCell("CREATED_BY", "Created by", 40, heading.by or _NOBODY),
            TitleCell("APPROVED_BY", "Approved by", 40, job.approver or _NOBODY),
            TitleCell("SCALE", "Scale", 40, scale or "none", said, warns=not checked),
        ],
        [
            TitleCell("NUMBER", "Identification number", 60, number, _source(sheet)),
            TitleCell("REVISION", "Revision", 26, heading.revision),
            TitleCell("DATE", "Date of issue", 32, heading.day),
            TitleCell("STATUS", "Status", 32, _status(heading), warns=heading.not_for_work),
            TitleCell("SHEET", "Sheet", 30, page),
        ],
    ]


def placed_cells(paper: Paper, rows: Iterable[Iterable[TitleCell]]) -> Iterator[PlacedCell]:
    """Where each field of the title block lies on its sheet."""
    left, _, right, y = paper.title_mm
    for height, row in zip(_ROWS, rows, strict=True):
        x = left
        for cell in row:
            width = cell.share * (right - left) / TITLE_WIDTH_MM
            yield PlacedCell(cell, x, y, width, height)
            x += width
        y -= height


def draw_title_rules(pen: PaperPen, paper: Paper, cells: Iterable[PlacedCell]) -> None:
    """The rules between the fields of the title block, and round it."""
    left, bottom, right, top = paper.title_mm
    for each in cells:
        low = each.top - each.height
        if each.left > left:
            pen.rule(each.left, low, each.left, each.top, width=_THIN)
        elif low > bottom + 1:
            pen.rule(left, low, right, low, width=_THIN)
    pen.rule(left, bottom, left, top, width=_MIDDLE)
    if paper.narrow:
        pen.rule(left, top, right, top, width=_MIDDLE)


def draw_title_block(
    canvas: Canvas, pen: PenBox, sheet: PlanSheet, *, scale: str, heading: Heading, counts: PageCounts
) -> None:
    """The title block: caption, value, and a line that says more, in three rows of cells."""
    left, bottom, right, _ = sheet.paper.title_mm
    number, document = f"PLAN-{sheet.number:03d}", "Repair plan and setting-out"
    level = sheet.level
    rows = title_rows(level.job, level.sheet, heading, words=sheet.words, document=document, number=number, scale=scale)
    cells = list(placed_cells(sheet.paper, rows))
    for each in cells:
        cell, room = each.cell, each.room
        pen.words(cell.caption, *each.caption_at, cap=_SMALL, ink=INK2, room=room)
        ink = REPAIR if cell.value_warns else INK
        pen.words(cell.value, *each.value_at, cap=cell.cap_mm, face=Face.BOLD, room=room, ink=ink)
        pen.words(cell.note, *each.note_at, cap=_SMALL, ink=REPAIR if cell.warns else INK2, room=room)
    draw_title_rules(pen, sheet.paper, cells)
    counts.place(
        canvas, right - 28 * (right - left) / TITLE_WIDTH_MM, bottom + _ROWS[-1] - 9.0, cap_mm=_USUAL, face=Face.BOLD
    )


def _status(heading: Heading) -> str:
    return _NOT_FOR_WORK if heading.not_for_work else heading.purpose_words


def _source(sheet: Sheet) -> str:
    return f"on {sheet.source.name}" if sheet.source is not None else "on a blank sheet"


def revision_rows(job: Job, heading: Heading) -> list[tuple[str, ...]]:
    """Every revision, newest first: name, date, purpose, to whom, by whom; the one that is being issued among them."""
    rows: list[tuple[str, ...]] = [
        (each.name, date_words(job.units, each.at.date()), f"for {each.purpose.value}", each.to_whom, each.by)
        for each in job.revisions.values()
    ]
    if heading.revision not in {row[0] for row in rows}:
        rows.append((heading.revision, heading.day, _status(heading), heading.to_whom, heading.by))
    return rows[::-1]


def draw_revisions(pen: PaperPen, paper: Paper, rows: Iterable[tuple[str, ...]]) -> None:
    """The table of revisions, beside the title block or over it; what finds no room is counted."""
    left, bottom, right, top = paper.strip_mm
    if paper.narrow:
        bottom, right = paper.title_mm[3], right - _SMALL_KEY_MM - 3.0
    else:
        right = paper.title_mm[0]
    room = int((top - bottom - 3.0) / _REVISION_ROW) - 1
    shown = list(rows)
    if len(shown) > room:
        left_out = len(shown) - room + 1
        shown = [*shown[: room - 1], (f"and {left_out} earlier ones, listed in the job", "", "", "", "")]
    names = right - left - 4.0 - sum(_REVISION_MM)
    by = min(names / 2, _MOST_BY_MM)
    x, y = left + 2.0, top - 4.0
    for index, (caption, wide) in enumerate(
        zip(_REVISION_COLUMNS, (*_REVISION_MM, min(names - by, _MOST_TO_MM), by), strict=True)
    ):
        pen.words(caption, x, y, cap=_SMALL, ink=INK2)
        for down, row in enumerate(shown, start=1):
            words = row[index]
            cell = wide - 1.5 if row[1] else None
            pen.words(
                words, x, y - down * _REVISION_ROW, cap=_SMALL, face=Face.BOLD if not index else Face.BODY, room=cell
            )
        x += wide
    for down in range(len(shown)):
        line = y - down * _REVISION_ROW - 1.4
        pen.rule(left + 2.0, line, x, line, width=_THIN)


def key_plan_mm(paper: Paper, top: float, low: float) -> Box:
    """Where the key plan stands: in the column between two heights, or beside the revisions where the key fills that."""
    right, high = paper.strip_mm[2:]
    if paper.narrow:
        return right - _SMALL_KEY_MM - 3.0, paper.title_mm[3] + 2.0, right - 3.0, high - 2.0
    top -= _KEY_HEAD_MM
    return paper.field_mm[2] + 4, max(low, top - _KEY_PLAN_MM), right - 4, top


def draw_key_plan(pen: PenBox, box_mm: Box, sheet: PlanSheet, all_sheets: Iterable[PlanSheet]) -> None:
    """The parts of the level with their sheet numbers, the one that is shown filled, and the joints as thin lines."""
    left, bottom, right, top = box_mm
    if not sheet.paper.narrow:
        pen.words("KEY PLAN", left, top + 3.0, cap=_USUAL, face=Face.BOLD)
    x0, y0, x1, y1 = sheet.level.box
    here = [each for each in all_sheets if each.level is sheet.level]
    parts = [(each.number, each.part.cell(each.tile)) for each in here if each.tile is not None]
    for _, box in parts:
        x0, y0 = min(x0, box[0]), min(y0, box[1])
        x1, y1 = max(x1, box[2]), max(y1, box[3])
    k = min((right - left) / (x1 - x0), (top - bottom) / (y1 - y0))

    def at(x: float, y: float) -> tuple[float, float]:
        return left + (x - x0) * k, top - (y1 - y) * k

    for number, box in parts:
        (ax, ay), (bx, by) = at(*box[:2]), at(*box[2:])
        pen.box(ax, ay, bx, by, width=_MIDDLE, fill=_SHOWN if number == sheet.number else WHITE)
    for joint in sheet.level.joints:
        path = sheet.level.job.joints[joint].path
        for (ax, ay), (bx, by) in pairwise(path.corners) if path is not None else ():
            pen.rule(*at(ax, ay), *at(bx, by), width=_THIN, ink=INK2)
    for number, box in parts:
        x, y = at((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
        wide, high = (box[2] - box[0]) * k, (box[3] - box[1]) * k
        cap = _USUAL if wide > 8.0 and high > 4.5 else _SMALL
        half = pen.lettering.width_mm(str(number), cap) / 2 + 0.4
        fill = _SHOWN if number == sheet.number else WHITE
        pen.box(x - half, y - cap / 2 - 0.4, x + half, y + cap / 2 + 0.4, ink=None, fill=fill)
        pen.words(str(number), x, y - cap / 2, cap=cap, face=Face.BOLD, across=0.5)
