"""A paper layout for each sheet: the plan and its notes at the plot scale, ready to print.

Our line types have real lengths in model space, so these layouts do not scale line types by their
viewports. A layout of the drawing that does so shows our dashed lines without gaps.
"""

from __future__ import annotations

from typing import Final

from ezdxf.document import Drawing
from ezdxf.entities.viewport import Viewport
from ezdxf.layouts.layout import Paperspace

from leakmap.geometry.path import Box
from leakmap.issue.marked_dxf.layers import FORBIDDEN, layer_name
from leakmap.issue.schedule_pdf.paper import SHEETS_MM

EDGE_MM: Final = 10.0
_GAP_MM: Final = 5.0
_ROUND_MM: Final = (20.0, 2.0)
"""Free strips round the plan, for its labels, and round the notes."""

_LONGEST_NAME: Final = 60


def add_layout(doc: Drawing, discipline: str, name: str, *, plan: Box, notes: Box, unit: float) -> None:
    """Make the layout of a sheet.

    Args:
        doc: The drawing.
        discipline: First part of our names.
        name: Name of the sheet.
        plan: Box round the plan, drawing units.
        notes: Box round the notes beside it, drawing units.
        unit: Drawing units of a millimetre on paper.
    """
    sizes = [_size_mm(box, unit, free) for box, free in zip((plan, notes), _ROUND_MM, strict=True)]
    need = sum(size[0] for size in sizes) + _GAP_MM, max(size[1] for size in sizes)
    paper = _paper_for(need[0] + 2 * EDGE_MM, need[1] + 2 * EDGE_MM)
    layout = doc.new_layout(_free_name(doc, f"{discipline} {name}"))
    layout.page_setup(size=paper, margins=(0, 0, 0, 0), units="mm")
    layout.dxf.layout_flags = 0  # bit 1 would scale line types by viewport
    left, top = EDGE_MM, paper[1] - EDGE_MM
    for box, size in zip((plan, notes), sizes, strict=True):
        viewport = _view(layout, box, size, (left, top), unit=unit)
        viewport.dxf.layer = layer_name(discipline, "NOTE-FRAME")
        left += size[0] + _GAP_MM


def _size_mm(box: Box, unit: float, free_mm: float) -> tuple[float, float]:
    return (box[2] - box[0]) / unit + 2 * free_mm, (box[3] - box[1]) / unit + 2 * free_mm


def _view(
    layout: Paperspace, box: Box, size: tuple[float, float], corner: tuple[float, float], *, unit: float
) -> Viewport:
    """A viewport with its upper left corner at a point of the paper."""
    return layout.add_viewport(
        center=(corner[0] + size[0] / 2, corner[1] - size[1] / 2),
        size=size,
        view_center_point=((box[0] + box[2]) / 2, (box[1] + box[3]) / 2),
        view_height=size[1] * unit,
    )


def _paper_for(width_mm: float, height_mm: float) -> tuple[float, float]:
    """The smallest A sheet, lying or standing, that takes a size; a roll of just that size where none does."""
    for short, long in SHEETS_MM.values():
        for size in ((long, short), (short, long)):
            if width_mm <= size[0] and height_mm <= size[1]:
                return size
    return width_mm, height_mm


def _free_name(doc: Drawing, wanted: str) -> str:
    """A name for a layout that the format takes and the drawing does not have yet."""
    plain = "".join("_" if sign in FORBIDDEN or ord(sign) < 32 else sign for sign in wanted)[:_LONGEST_NAME].strip()
    taken = {name.casefold() for name in doc.layout_names()}
    tries = (plain, *(f"{plain} {number}" for number in range(2, len(taken) + 3)))
    return next(tried for tried in tries if tried.casefold() not in taken)
