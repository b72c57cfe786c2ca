"""Straight rules, boxes and words on a page, measured in millimetres from its lower left corner."""

from __future__ import annotations

from typing import Protocol

from reportlab.pdfgen.canvas import Canvas

from leakmap.issue.schedule_pdf.ink import INK, Colour, set_words
from leakmap.issue.schedule_pdf.lettering import MM, Face, Lettering


class PaperPen(Protocol):
    """What draws frames, title blocks and scale bars, on a page of a PDF or on a layout of a drawing."""

    def rule(self, x0: float, y0: float, x1: float, y1: float, *, width: float = 0.25, ink: Colour = INK) -> None:
        """A straight rule."""
        ...

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
        """A rectangle, outlined where ``ink`` is given and filled where ``fill`` is."""
        ...

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
        """One line of words with capitals ``cap`` mm high; shortened where they exceed ``room`` mm."""
        ...


class PenBox:
    """Draws page furniture.

    Args:
        canvas: A canvas of the PDF library.
        lettering: Sets the words.
    """

    def __init__(self, canvas: Canvas, lettering: Lettering) -> None:
        self.canvas, self.lettering = canvas, lettering

    def rule(self, x0: float, y0: float, x1: float, y1: float, *, width: float = 0.25, ink: Colour = INK) -> None:
        """A straight rule."""
        self.canvas.setStrokeColorRGB(*ink)
        self.canvas.setLineWidth(width * MM)
        self.canvas.line(x0 * MM, y0 * MM, x1 * MM, y1 * MM)

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
        """A rectangle, outlined where ``ink`` is given and filled where ``fill`` is."""
        if ink is not None:
            self.canvas.setStrokeColorRGB(*ink)
            self.canvas.setLineWidth(width * MM)
        if fill is not None:
            self.canvas.setFillColorRGB(*fill)
        self.canvas.rect(
            x0 * MM, y0 * MM, (x1 - x0) * MM, (y1 - y0) * MM, stroke=ink is not None, fill=fill is not None
        )

    def disc(
        self, x: float, y: float, radius: float, *, width: float = 0.25, ink: Colour = INK, fill: Colour = INK
    ) -> None:
        """A filled circle with an outline."""
        self.canvas.setStrokeColorRGB(*ink)
        self.canvas.setFillColorRGB(*fill)
        self.canvas.setLineWidth(width * MM)
        self.canvas.circle(x * MM, y * MM, radius * MM, stroke=1, fill=1)

    def triangle(self, *corners: tuple[float, float], fill: Colour = INK) -> None:
        """A filled triangle, such as the head of an arrow."""
        path = self.canvas.beginPath()
        path.moveTo(corners[0][0] * MM, corners[0][1] * MM)
        for x, y in corners[1:]:
            path.lineTo(x * MM, y * MM)
        path.close()
        self.canvas.setFillColorRGB(*fill)
        self.canvas.drawPath(path, stroke=0, fill=1)

    def pill(self, x0: float, y0: float, x1: float, y1: float, *, width: float = 0.25, ink: Colour = INK) -> None:
        """A rectangle with round ends, a circle where it is as wide as high."""
        self.canvas.setStrokeColorRGB(*ink)
        self.canvas.setLineWidth(width * MM)
        self.canvas.roundRect(x0 * MM, y0 * MM, (x1 - x0) * MM, (y1 - y0) * MM, (y1 - y0) / 2 * MM, stroke=1, fill=0)

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
        """One line of words with capitals ``cap`` mm high; cut with an ellipsis where they exceed ``room`` mm."""
        size = cap * MM / 0.7
        if room is not None:
            words = self.lettering.fitted(words, face, size, room * MM)
        set_words(
            self.canvas, self.lettering, words, at=(x * MM, y * MM), face=face, size=size, fill=ink, across=across
        )
