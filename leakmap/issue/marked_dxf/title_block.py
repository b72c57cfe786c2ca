"""The title block of a layout: a block whose attributes are the fields of data of ISO 7200.

The fields, their words and their places are those of the plan set, so that both papers say the same of a sheet.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from ezdxf.document import Drawing
from ezdxf.layouts.base import BaseLayout

from leakmap.geometry.path import Point
from leakmap.issue.marked_dxf.layers import REPAIR, layer_name
from leakmap.issue.marked_dxf.layout_pen import SHEET, LayoutPen, fitted
from leakmap.issue.marked_dxf.tags import style_name
from leakmap.issue.marked_dxf.text import cut_to, one_line
from leakmap.issue.plan_set.frame import PlacedCell, TitleCell, draw_title_rules, placed_cells
from leakmap.issue.plan_set.paper import Paper

NOTE: Final = "_NOTE"
"""End of the tag of a line that says more than its field."""

_SMALL_MM: Final = 1.8


def put_title_block(
    doc: Drawing, space: BaseLayout, discipline: str, paper: Paper, rows: Iterable[Iterable[TitleCell]]
) -> None:
    """Put the title block of a sheet into its layout, made anew for each size of paper."""
    cells = list(placed_cells(paper, rows))
    name = layer_name(discipline, f"TITLE-{paper.name} {paper.width_mm:.0f}x{paper.height_mm:.0f}".replace(" ", "-"))
    if name not in doc.blocks:
        _define(doc, name, discipline, paper, cells)
    insert = space.add_blockref(name, (0, 0), dxfattribs={"layer": layer_name(discipline, SHEET)})
    for tag, value, at, cap_mm, cell in _fields(cells):
        text, squeeze = fitted(one_line(value), cap_mm, cell.room)
        look = _look(discipline, cap_mm) | {"width": squeeze}
        attrib = insert.add_attrib(tag, cut_to(text), at, dxfattribs=look)
        if cell.cell.warns if tag.endswith(NOTE) else cell.cell.value_warns:
            attrib.rgb = REPAIR


def _define(doc: Drawing, name: str, discipline: str, paper: Paper, cells: list[PlacedCell]) -> None:
    block = doc.blocks.new(name)
    pen = LayoutPen(block, discipline)
    draw_title_rules(pen, paper, cells)
    for each in cells:
        pen.words(each.cell.caption, *each.caption_at, cap=_SMALL_MM, room=each.room)
    for tag, _, at, cap_mm, cell in _fields(cells):
        prompt = cell.cell.caption if tag == cell.cell.tag else f"{cell.cell.caption}, more"
        block.add_attdef(tag, at, "", dxfattribs=_look(discipline, cap_mm) | {"prompt": prompt})


def _fields(cells: Iterable[PlacedCell]) -> Iterator[tuple[str, str, Point, float, PlacedCell]]:
    """Tag, value, place and height of each attribute."""
    for each in cells:
        yield each.cell.tag, each.cell.value, each.value_at, each.cell.cap_mm, each
        yield f"{each.cell.tag}{NOTE}", each.cell.note, each.note_at, _SMALL_MM, each


def _look(discipline: str, cap_mm: float) -> dict[str, object]:
    bold = cap_mm > _SMALL_MM
    return {"layer": layer_name(discipline, SHEET), "style": style_name(discipline, bold=bold), "height": cap_mm}
