"""Rules, boxes and words of a sheet on a layout of a drawing, in millimetres from the sheet's lower left corner."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from ezdxf.colors import rgb2int
from ezdxf.entities.text import Text
from ezdxf.enums import TextEntityAlignment
from ezdxf.layouts.base import BaseLayout
from ezdxf.lldxf.const import BOUNDARY_PATH_EXTERNAL

from leakmap.issue.marked_dxf.layers import layer_name
from leakmap.issue.marked_dxf.tags import style_name
from leakmap.issue.marked_dxf.text import one_line
from leakmap.issue.marked_dxf.width import width_mm
from leakmap.issue.schedule_pdf.ink import INK, INK2, WHITE, Colour
from leakmap.issue.schedule_pdf.lettering import Face

SHEET: Final = "NOTE-SHEET"
NARROWEST: Final = 0.75
"""How far words are squeezed before they are cut (ours)."""

_WEIGHTS: Final = (13, 18, 25, 35, 50, 70, 100)
"""Line weights of the format that rules are drawn with, hundredths of a millimetre (from memory of the DXF reference)."""

_ALIGN: Final = {0.0: TextEntityAlignment.LEFT, 0.5: TextEntityAlignment.CENTER, 1.0: TextEntityAlignment.RIGHT}


@dataclass(frozen=True, slots=True)
class LayoutPen:
    """Draws a sheet's furniture: a ``PaperPen``.

    Attributes:
        space: A layout, or a block whose unit is a millimetre.
        discipline: First part of our names in this drawing.
    """

    space: BaseLayout
    discipline: str

    def rule(self, x0: float, y0: float, x1: float, y1: float, *, width: float = 0.25, ink: Colour = INK) -> None:
        """A straight rule."""
        self.space.add_line((x0, y0), (x1, y1), dxfattribs=self._look(ink, width))

    def box(
        self,
        x0: float,
        y0: float,
        x1: float,
        y1: float,
        *,
        width: float = 0.25,
        ink: Colour | None = INK,
        fill: Colour | None = None,
    ) -> None:
        """A rectangle; a fill in the colour of paper is left out, as the sheet has it already."""
        corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
        filled = fill is not None and fill != WHITE
        look = self._look(fill if filled and fill is not None else INK, width)
        hatch = self.space.add_hatch(color=256, dxfattribs=look) if filled else None
        if hatch is None and ink is None:
            return
        border = self.space.add_lwpolyline(corners, close=True, dxfattribs=self._look(ink or fill or INK, width))
        if hatch is not None:
            path = hatch.paths.add_polyline_path(corners, is_closed=True, flags=BOUNDARY_PATH_EXTERNAL)
            hatch.associate(path, [border])

    def words(
        self,
        words: str,
        x: float,
        y: float,
        *,
        cap: float,
        face: Face = Face.BODY,
        ink: Colour = INK,
        across: float = 0.0,
        room: float | None = None,
    ) -> None:
        """One line of words; squeezed, then cut with an ellipsis, where they exceed ``room`` mm."""
        if not words:
            return
        text, squeeze = fitted(one_line(words), cap, room)
        look = self._look(ink, None) | {
            "style": style_name(self.discipline, bold=face is Face.BOLD),
            "height": cap,
            "width": squeeze,
        }
        written: Text = self.space.add_text(text, dxfattribs=look)
        written.set_placement((x, y), align=_ALIGN[across])

    def _look(self, ink: Colour, width: float | None) -> dict[str, object]:
        """Layer and line weight; a true colour only where it is not that of the layer, which is ink."""
        look: dict[str, object] = {"layer": layer_name(self.discipline, SHEET)}
        if width is not None:
            look["lineweight"] = min(_WEIGHTS, key=lambda weight: abs(weight - width * 100))
        if ink not in {INK, INK2}:
            red, green, blue = (round(share * 255) for share in ink)
            look["true_color"] = rgb2int((red, green, blue))
        return look


def fitted(words: str, cap_mm: float, room_mm: float | None) -> tuple[str, float]:
    """Words that fit a room, and how far they are squeezed: 1 for not at all.

    >>> fitted("Plan", 2.5, None), fitted("M" * 10, 1.0, 10.0)
    (('Plan', 1.0), ('MMMMMMMMMM', 0.769))
    """
    wide = width_mm(words, cap_mm)
    if room_mm is None or wide <= room_mm:
        return words, 1.0
    while len(words) > 1 and wide * NARROWEST > room_mm:
        words = f"{words.removesuffix('…')[:-1].rstrip()}…"
        wide = width_mm(words, cap_mm)
    return words, round(max(min(room_mm / wide, 1.0), NARROWEST) - 0.0005, 3)
