"""Marks as PDF path operators, written in bulk, and words set on the page.

``Ink`` writes into the page's own content stream: a canvas call for each line would take twice the
time and the room. Coordinates are points on the page; numbers have three decimals (0.4 µm).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import cos, radians, sin
from typing import Final

from reportlab.pdfgen.canvas import Canvas

from leakmap.geometry.path import Box, Point
from leakmap.issue.marks.labels import leader_line
from leakmap.issue.marks.primitives import Area, Disc, Hatch, Label, Line, Pen, Polygon, Primitive, Tone
from leakmap.issue.schedule_pdf.lettering import CAP_SHARE, MM, Face, Lettering

Colour = tuple[float, float, float]


def colour(hexadecimal: str) -> Colour:
    """Red, green, blue from 0 to 1.

    >>> colour("#FF0000")
    (1.0, 0.0, 0.0)
    """
    red, green, blue = (int(hexadecimal[index : index + 2], 16) / 255 for index in (1, 3, 5))
    return red, green, blue


INK: Final = colour("#1B2327")
INK2: Final = colour("#4C555A")
RULE: Final = colour("#BDB8AB")
REPAIR: Final = colour("#A63A1E")
PANEL: Final = colour("#F4F2EB")
WHITE: Final = colour("#FFFFFF")
DRAWN: Final = colour("#A9ADAC")
DRAWN_TEXT: Final = colour("#8A8F8F")

COLOURS: Final[dict[Tone, Colour]] = {
    Tone.INK: INK,
    Tone.FAINT: colour("#636A6E"),
    Tone.WATER: colour("#0B3C6B"),
    Tone.REPAIR: REPAIR,
    Tone.PAPER: WHITE,
    Tone.BAND: colour("#F3E5E2"),  # 13 % of the repair red on white
    Tone.WET_BAND: colour("#EAD1CA"),  # and 12 % more of it
    Tone.W1: colour("#DCE9F3"),
    Tone.W2: colour("#B9D4E8"),
    Tone.W3: colour("#86B4D9"),
    Tone.W4: colour("#4C8CC2"),
    Tone.W5: colour("#1F639F"),
}
_KAPPA: Final = 0.5522847498
_HALO_MM: Final = 0.45


@dataclass(frozen=True, slots=True)
class Onto:
    """Where the site plane lies on the page: ``page = (site − origin) · k + at``, in points."""

    origin: Point
    k: float
    at: Point

    def __call__(self, point: Point) -> Point:
        """The page position, points, of a site position."""
        return (point[0] - self.origin[0]) * self.k + self.at[0], (point[1] - self.origin[1]) * self.k + self.at[1]


def onto_middle(box: Box, field_mm: Box, scale: float) -> Onto:
    """Placement of a box of the site plane in the middle of a field of the page, at a scale (100 for 1:100)."""
    left, bottom, right, top = field_mm
    x0, y0, x1, y1 = box
    middle = ((left + right) / 2 * MM, (bottom + top) / 2 * MM)
    return Onto(((x0 + x1) / 2, (y0 + y1) / 2), 1000 / scale * MM, middle)


class Ink:
    """Draws primitives on a canvas of the PDF library.

    Args:
        canvas: The canvas, on the page to be drawn.
        onto: Placement of the site plane on the page.
        lettering: Sets the words.
    """

    def __init__(self, canvas: Canvas, onto: Onto, lettering: Lettering) -> None:
        self.canvas, self.onto, self.lettering = canvas, onto, lettering
        self._code: list[str] = []

    def draw(self, primitives: Iterable[Primitive]) -> None:
        """Draw in the order given."""
        for primitive in primitives:
            match primitive:
                case Line():
                    self._line(primitive)
                case Area():
                    self._area(primitive.polygons, primitive.fill, primitive.pen)
                case Hatch():
                    self._hatch(primitive)
                case Disc():
                    self._disc(primitive)
                case Label():
                    self._label(primitive)
        self._flush()

    def _flush(self) -> None:
        if self._code:
            self.canvas._code.append("q\n" + "\n".join(self._code) + "\nQ")  # noqa: SLF001 - bulk content
            self._code = []

    def _pen(self, pen: Pen) -> None:
        red, green, blue = COLOURS[pen.tone]
        dash = " ".join(f"{max(length, 0.001) * MM:.3f}" for length in pen.dash_mm)
        cap = 1 if 0.0 in pen.dash_mm else 0
        self._code.append(f"{red:.4f} {green:.4f} {blue:.4f} RG {pen.width_mm * MM:.3f} w [{dash}] 0 d {cap} J 0 j")

    def _fill(self, tone: Tone) -> None:
        self._code.append("{:.4f} {:.4f} {:.4f} rg".format(*COLOURS[tone]))

    def _path(self, points: Iterable[Point], *, closed: bool) -> None:
        pairs = [f"{x:.3f} {y:.3f}" for x, y in map(self.onto, points)]
        self._code.append(f"{pairs[0]} m " + " ".join(f"{pair} l" for pair in pairs[1:]) + (" h" if closed else ""))

    def _line(self, line: Line) -> None:
        self._pen(line.pen)
        self._path(line.points, closed=line.closed)
        self._code.append("S")

    def _area(self, polygons: tuple[Polygon, ...], fill: Tone | None, pen: Pen | None) -> None:
        if not polygons or (fill is None and pen is None):
            return
        if fill is not None:
            self._fill(fill)
        if pen is not None:
            self._pen(pen)
        for rings in polygons:
            for ring in rings:
                self._path(ring[:-1], closed=True)
        self._code.append("S" if fill is None else "f*" if pen is None else "B*")

    def _hatch(self, hatch: Hatch) -> None:
        if not hatch.lines:
            return
        self._pen(hatch.pen)
        for ends in hatch.lines:
            self._path(ends, closed=False)
        self._code.append("S")

    def _disc(self, disc: Disc) -> None:
        if disc.fill is not None:
            self._fill(disc.fill)
        if disc.pen is not None:
            self._pen(disc.pen)
        (x, y), r = self.onto(disc.centre), disc.radius_m * self.onto.k
        c = r * _KAPPA
        self._code.append(
            f"{x + r:.3f} {y:.3f} m {x + r:.3f} {y + c:.3f} {x + c:.3f} {y + r:.3f} {x:.3f} {y + r:.3f} c "
            f"{x - c:.3f} {y + r:.3f} {x - r:.3f} {y + c:.3f} {x - r:.3f} {y:.3f} c "
            f"{x - r:.3f} {y - c:.3f} {x - c:.3f} {y - r:.3f} {x:.3f} {y - r:.3f} c "
            f"{x + c:.3f} {y - r:.3f} {x + r:.3f} {y - c:.3f} {x + r:.3f} {y:.3f} c h"
        )
        self._code.append("S" if disc.fill is None else "f" if disc.pen is None else "B")

    def _label(self, label: Label) -> None:
        leader = leader_line(label)
        if leader is not None:
            self._line(leader)
        (x, y), cap = self.onto(label.at), label.cap_height_m * self.onto.k
        halo, width = _HALO_MM * MM, label.width_m * self.onto.k
        self._fill(Tone.PAPER)
        self._code.append(f"{x - halo:.3f} {y - halo:.3f} {width + 2 * halo:.3f} {cap + 2 * halo:.3f} re f")
        self._flush()
        set_words(
            self.canvas, self.lettering, label.words, at=(x, y), face=Face.BOLD, cap=cap, fill=COLOURS[label.tone]
        )


def set_words(
    canvas: Canvas,
    lettering: Lettering,
    words: str,
    *,
    at: Point,
    face: Face,
    cap: float | None = None,
    size: float | None = None,
    fill: Colour = INK,
    across: float = 0.0,
    turn_deg: float = 0.0,
) -> None:
    """Set one line of words on the page.

    Args:
        canvas: The canvas.
        lettering: Cuts the words into runs.
        words: What to set.
        at: Point on the page, points, on the baseline.
        face: The face wanted.
        cap: Height of a capital in points, or give ``size``.
        size: Size in points.
        fill: Colour.
        across: 0 left, 0.5 middle, 1 right: which part of the width lies at the point.
        turn_deg: Counter-clockwise.
    """
    if size is None:
        assert cap is not None
        size = cap / CAP_SHARE[face]
    runs = lettering.runs(words, face)
    if not any(piece.strip() for _, piece in runs):
        return
    back = across * lettering.width(words, face, size)
    c, s = cos(radians(turn_deg)), sin(radians(turn_deg))
    text = canvas.beginText()
    text.setTextTransform(c, s, -s, c, at[0] - back * c, at[1] - back * s)
    text.setFillColorRGB(*fill)
    for run, piece in runs:
        text.setFont(run.value, size)
        text.textOut(piece)
    canvas.drawText(text)
