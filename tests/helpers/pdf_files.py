"""Small PDF files made in memory, by libraries that the reader does not use for reading lines."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import numpy as np
import pikepdf
from PIL import Image
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

Change = Callable[[pikepdf.Pdf], Any]

MM = 72 / 25.4
"""Points of a millimetre."""


def pdf(
    *builds: Callable[[Canvas], Any], size: tuple[float, float] = (400, 300), change: Change | None = None
) -> bytes:
    """A file with a page for each function that draws on one.

    Args:
        builds: Each draws a page.
        size: Width and height of every page, points.
        change: What pikepdf does to it afterwards.
    """
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=size, invariant=1)
    for build in builds:
        build(canvas)
        canvas.showPage()
    canvas.save()
    return stream.getvalue() if change is None else changed(stream.getvalue(), change)


def changed(data: bytes, change: Change, **save: Any) -> bytes:  # noqa: ANN401 - what pikepdf takes
    """A file that pikepdf changed; ``save`` goes to its ``save``."""
    stream = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as made:
        change(made)
        made.save(stream, **{"deterministic_id": True, **save})
    return stream.getvalue()


def locked(data: bytes, password: str) -> bytes:
    """A file that opens with a password only."""
    lock = pikepdf.Encryption(user=password, owner=password)
    return changed(data, lambda made: None, encryption=lock, deterministic_id=False)  # noqa: ARG005


def picture(width: int, height: int) -> ImageReader:
    """A grey picture whose pixels all differ from their neighbours."""
    ramp = (np.arange(width)[None, :] * 5 + np.arange(height)[:, None] * 3) % 200
    return ImageReader(Image.fromarray(ramp.astype(np.uint8)))


def plan(canvas: Canvas) -> None:
    """A page with a little of everything: lines, curves, a form, clips, a fill, texts and a picture."""
    canvas.line(10, 20, 210, 20)
    canvas.circle(300, 200, 40)
    canvas.beginForm("chair")
    canvas.rect(0, 0, 20, 10)
    canvas.drawString(2, 2, "C")
    canvas.endForm()
    canvas.saveState()
    canvas.translate(100, 100)
    canvas.rotate(30)
    canvas.doForm("chair")
    canvas.restoreState()
    canvas.saveState()
    window = canvas.beginPath()
    window.rect(50, 50, 100, 20)
    canvas.clipPath(window, stroke=0)
    canvas.line(0, 60, 400, 60)
    canvas.restoreState()
    canvas.rect(220, 40, 30, 30, stroke=0, fill=1)
    canvas.drawString(50, 250, "Pump room 2")
    canvas.drawImage(picture(60, 40), 300, 40, 60, 40)
