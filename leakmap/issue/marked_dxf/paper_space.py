"""Paper layouts of a sheet, ready to print: its plan at the plot scale, then its tables, each in frame and title block.

Frame, fields, title block, revisions and scale bar are those of the plan set; what is marked is seen through viewports
whose scale is locked. Layouts of the drawing itself are left alone.

Our line types have real lengths in model space, so these layouts do not scale line types by their
viewports. A layout of the drawing that does so shows our dashed lines without gaps.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from ezdxf.document import Drawing
from ezdxf.enums import MTextEntityAlignment
from ezdxf.layouts.layout import Paperspace

from leakmap.geometry.boxes import size_of, widened
from leakmap.geometry.path import Box, Point
from leakmap.geometry.placement import Placement
from leakmap.issue.heading import Heading
from leakmap.issue.marked_dxf.free_name import free_name
from leakmap.issue.marked_dxf.key import write_key
from leakmap.issue.marked_dxf.layers import FORBIDDEN, layer_name
from leakmap.issue.marked_dxf.layout_pen import LayoutPen
from leakmap.issue.marked_dxf.notes import TABLE_MM, Spot, caution_words, paper_plane
from leakmap.issue.marked_dxf.paint import Painter
from leakmap.issue.marked_dxf.plane import Plane
from leakmap.issue.marked_dxf.table_pages import TableColumn, TableRow, table_columns
from leakmap.issue.marked_dxf.title_block import put_title_block
from leakmap.issue.marks.primitives import PAPER_SCALE
from leakmap.issue.plan_set.frame import draw_fields, draw_frame, draw_revisions, revision_rows, title_rows
from leakmap.issue.plan_set.north import NORTH_MM, draw_north
from leakmap.issue.plan_set.paper import Paper
from leakmap.issue.schedule_pdf.plan_page import draw_scale_bar, draw_warnings, warning_lines
from leakmap.model.job import Job
from leakmap.model.sheet import Sheet

FRAME: Final = "NOTE-FRAME"
"""Layer of viewports, by which a layout of ours is known."""

AIR_MM: Final = 3.0
"""What a viewport shows round the plan and its words; less than what parts them from the notes beside the plan."""

_ROUND_TABLE_MM: Final = 6.0
_AIR_MM: Final = 0.6
_KEY_WORDS_MM: Final = 29.0
_SMALL_MM: Final = 1.8
_LONGEST_NAME: Final = 60
_LOCKED: Final = 0x4000
_PLOT_FLAGS: Final = 16 | 32 | 128 | 512
"""Standard scale, plot styles, line weights, viewports first; with plot type 5 the plot area is the layout (both from
memory of the DXF reference)."""

_ONE_TO_ONE: Final = 16
_WHOLE_LAYOUT: Final = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Notes:
    """The notes that stand beside a plan in model space.

    Attributes:
        box: Round all of them, drawing units.
        table_at: Upper left corner of the tables, a drawing point.
        rows: Rows of the tables.
    """

    box: Box
    table_at: Point
    rows: tuple[TableRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetOnPaper:
    """A sheet and what its layouts show.

    Attributes:
        number: Its number in the job, from 1.
        paper: What it is printed on.
        plane: Its plane at its plot scale.
        plan: Box round the plan, drawing units; its middle is that of the field.
        seen: Box round the plan and all words on it.
        notes: What stands beside it.
    """

    job: Job
    sheet: Sheet
    heading: Heading
    number: int
    paper: Paper
    plane: Plane
    plan: Box
    seen: Box
    notes: Notes

    @property
    def north_deg(self) -> float | None:
        """From straight up in the drawing to true north, degrees clockwise; None where nobody said."""
        north = self.sheet.north_deg
        return None if north is None else (north + self.sheet.placement.turn_deg) % 360


def add_layouts(doc: Drawing, discipline: str, shown: SheetOnPaper) -> None:
    """Make the layouts of a sheet: the plan, and as many as its tables need."""
    tables = _table_pages(shown)
    count = 1 + len(tables)
    scale = f"1:{shown.plane.scale:g} on {shown.paper.name}"
    plan = _layout(doc, discipline, shown, what="", page=f"1 of {count}", scale=scale)
    _write_plan(plan, discipline, shown)
    for number, columns in enumerate(tables, start=2):
        page = _layout(doc, discipline, shown, what="repair zones", page=f"{number} of {count}", scale="")
        _write_tables(page, discipline, shown, columns)


def _layout(doc: Drawing, discipline: str, shown: SheetOnPaper, *, what: str, page: str, scale: str) -> Paperspace:
    """A layout with its plot settings, frame, title block and revisions."""
    paper, level = shown.paper, shown.sheet.name
    layout = doc.new_layout(_layout_name(doc, " ".join(part for part in (discipline, level, what) if part)))
    size = paper.width_mm, paper.height_mm
    layout.page_setup(size=size, units="mm", scale=_ONE_TO_ONE, name=paper.name.replace(" ", "_"), device="")
    layout.dxf.plot_layout_flags = _PLOT_FLAGS
    layout.dxf.plot_type = _WHOLE_LAYOUT
    layout.dxf.layout_flags = 0  # bit 1 would scale line types by viewport
    pen = LayoutPen(layout, discipline)
    draw_frame(pen, paper)
    left, _, right, high = paper.strip_mm
    pen.rule(left, high, right, high, width=0.35)
    draw_revisions(pen, paper, revision_rows(shown.job, shown.heading))
    words = ", ".join(part for part in (f"level {level}", what) if part)
    number = f"MARKED-{shown.number:03d}"
    rows = title_rows(
        shown.job,
        shown.sheet,
        shown.heading,
        words=words,
        document="Marked drawing",
        number=number,
        scale=scale,
        page=page,
    )
    put_title_block(doc, layout, discipline, paper, rows)
    return layout


def _write_plan(layout: Paperspace, discipline: str, shown: SheetOnPaper) -> None:
    """The plan in its field; key, north and cautions beside it; scale bar and warnings over it."""
    paper, pen = shown.paper, LayoutPen(layout, discipline)
    _, low, right, top = paper.field_mm
    _view_plan(layout, discipline, shown)
    draw_fields(pen, paper)
    draw_scale_bar(pen, paper.field_mm, round(shown.plane.scale), shown.job.units)
    draw_warnings(pen, warning_lines(paper.field_mm, shown.sheet, shown.heading))
    plane = Plane(placement=Placement(), scale=PAPER_SCALE, whole=shown.plane.whole)
    spot = Spot(
        painter=Painter(space=layout, plane=paper_plane(plane, (right + 3.0, top - 4.0)), discipline=discipline)
    )
    write_key(spot, shown.job.units, cap_mm=_SMALL_MM, room_mm=_KEY_WORDS_MM)
    north_deg = shown.north_deg
    draw_north(pen, right + 3.0, low + 3.0, north_deg)
    foot = spot.moved(0, top - low - (13.0 if north_deg is None else NORTH_MM + 9.0))
    hold = MTextEntityAlignment.BOTTOM_LEFT
    foot.painter.words(caution_words(), foot.at(0, 0), "NOTE-KEY", cap_mm=_SMALL_MM, hold=hold, width_mm=48.0)


def _view_plan(layout: Paperspace, discipline: str, shown: SheetOnPaper) -> None:
    """The viewport of the plan: the plan and its words, as far as the field goes."""
    left, low, right, top = shown.paper.field_mm
    unit, (x0, y0, x1, y1) = shown.plane.unit, shown.plan
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    across, up = (left + right) / 2, (low + top) / 2
    near_x0, near_y0, near_x1, near_y1 = widened(shown.seen, AIR_MM * unit)
    box = (
        max(left, across + (near_x0 - x) / unit),
        max(low, up + (near_y0 - y) / unit),
        min(right, across + (near_x1 - x) / unit),
        min(top, up + (near_y1 - y) / unit),
    )
    middle = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    seen = x + (middle[0] - across) * unit, y + (middle[1] - up) * unit
    _view(layout, discipline, middle=middle, size_mm=size_of(box), seen=seen, unit=unit)


def _table_pages(shown: SheetOnPaper) -> list[Sequence[TableColumn]]:
    """Columns of tables on each further layout."""
    left, low, right, top = _table_field(shown.paper)
    across = max(int((right - left + _ROUND_TABLE_MM) / (TABLE_MM + _ROUND_TABLE_MM)), 1)
    columns = list(table_columns(shown.notes.rows, top - low))
    return [columns[at : at + across] for at in range(0, len(columns), across)]


def _table_field(paper: Paper) -> Box:
    left, _, right, top = paper.frame_mm
    free = _ROUND_TABLE_MM
    return left + free, paper.strip_mm[3] + free, right - free, top - free


def _write_tables(layout: Paperspace, discipline: str, shown: SheetOnPaper, columns: Sequence[TableColumn]) -> None:
    """Columns of the tables beside the plan, each through viewports of its own."""
    left, _, _, top = _table_field(shown.paper)
    unit, (x, y) = shown.plane.unit, shown.notes.table_at
    for column in columns:
        down = top
        for span in (column.head, column.span):
            if span is None:
                continue
            high = span[1] - span[0]
            middle = left + TABLE_MM / 2, down - high / 2
            seen = x + TABLE_MM / 2 * unit, y - (span[0] + span[1]) / 2 * unit
            size = TABLE_MM + 2 * _AIR_MM, high + (2 * _AIR_MM if span is column.span else 0.0)
            _view(layout, discipline, middle=middle, size_mm=size, seen=seen, unit=unit)
            down -= high
        left += TABLE_MM + _ROUND_TABLE_MM


def _view(
    layout: Paperspace, discipline: str, *, middle: Point, size_mm: tuple[float, float], seen: Point, unit: float
) -> None:
    """A viewport with its middle at a point of the paper, looking at a drawing point, its scale locked."""
    viewport = layout.add_viewport(center=middle, size=size_mm, view_center_point=seen, view_height=size_mm[1] * unit)
    viewport.dxf.layer = layer_name(discipline, FRAME)
    viewport.dxf.flags = viewport.dxf.flags | _LOCKED


def _layout_name(doc: Drawing, wanted: str) -> str:
    """A name for a layout that the format takes and the drawing does not have yet."""
    plain = "".join("_" if sign in FORBIDDEN or ord(sign) < 32 else sign for sign in wanted)[:_LONGEST_NAME].strip()
    return free_name(plain, doc.layout_names())
