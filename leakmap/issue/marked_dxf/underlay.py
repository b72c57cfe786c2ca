"""A drawing that was no DXF, drawn anew under the marks: lines and texts of a PDF, in metres of the site plane.

Hidden layers are left out. Pictures are left out too: a drawing file only names pictures beside it, and a
name is easily lost on the way to whoever opens it.
"""

from __future__ import annotations

from typing import Final

import ezdxf.document
import numpy as np
from ezdxf.enums import TextEntityAlignment

from leakmap.issue.marked_dxf.layers import INK, layer_name
from leakmap.issue.marked_dxf.text import one_line
from leakmap.issue.schedule_pdf.backdrop import placed, shown_layers, texts_of
from leakmap.model.drawing import Drawing
from leakmap.model.sheet import Sheet

LINES: Final = "PLAN-LINES"
TEXT: Final = "PLAN-TEXT"

_GREY: Final = (0x9A, 0x9E, 0x9F)
_ALIGNMENTS: Final = {
    0.0: TextEntityAlignment.LEFT,
    0.5: TextEntityAlignment.CENTER,
    1.0: TextEntityAlignment.RIGHT,
}


def draw_under(doc: ezdxf.document.Drawing, sheet: Sheet, drawing: Drawing, discipline: str) -> None:
    """Draw what a sheet's drawing shows into a new file in metres.

    Args:
        doc: The file.
        sheet: The sheet, with the placement of its drawing.
        drawing: Its drawing as read.
        discipline: First part of our layers' names.
    """
    names = {content: layer_name(discipline, content) for content in (LINES, TEXT)}
    for name in names.values():
        doc.layers.add(name, color=INK, lineweight=13).rgb = _GREY
    space = doc.modelspace()
    shown = np.isin(drawing.strokes.layer, list(shown_layers(sheet, drawing)))
    xy = placed(sheet.placement, drawing, drawing.strokes.xy)
    starts = drawing.strokes.starts
    for index in np.flatnonzero(shown).tolist():
        points = xy[starts[index] : starts[index + 1]].tolist()
        space.add_lwpolyline(points, dxfattribs={"layer": names[LINES]})
    for text in texts_of(sheet, drawing):
        look = {"layer": names[TEXT], "height": text.cap_height_m, "rotation": text.turn_deg}
        written = space.add_text(one_line(text.words), dxfattribs=look)
        written.set_placement(text.at, align=_ALIGNMENTS[round(2 * text.across) / 2])
