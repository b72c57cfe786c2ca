"""Layers of a PDF that a viewer can switch: optional content groups (ISO 32000-1, 8.11; from memory).

What is drawn between ``on_layer`` bears a mark in the content of its page; the library that draws knows no layers, so
``with_layers`` adds what the marks stand for when the file is done.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from enum import StrEnum
from io import BytesIO

import pikepdf
from reportlab.pdfgen.canvas import Canvas


class Layer(StrEnum):
    """A layer by the name that a viewer shows, in the order of a viewer's list."""

    DRAWING = "Drawing"
    GRID = "Grid"
    JOINTS = "Joints"
    LEAKS = "Leaks"
    ZONES = "Repair zones"
    SETTING_OUT = "Setting-out"

    @property
    def tag(self) -> str:
        """Its name in the content of a page."""
        return f"OC-{self.name.replace('_', '-')}"


@contextmanager
def on_layer(canvas: Canvas, layer: Layer) -> Iterator[None]:
    """Draw on a layer; nothing else may be begun inside and ended outside."""
    canvas._code.append(f"/OC /{layer.tag} BDC")  # noqa: SLF001 - bulk content
    yield
    canvas._code.append("EMC")  # noqa: SLF001 - bulk content


def with_layers(data: bytes, layers: Sequence[Layer]) -> bytes:
    """The same file with its layers made known to viewers, all of them shown.

    Args:
        data: A PDF whose pages are not compressed yet.
        layers: Those that may be on its pages; one that is on none is left out.
    """
    out = BytesIO()
    with pikepdf.open(BytesIO(data)) as pdf:
        on_page = [[layer for layer in layers if _marks(page, layer)] for page in pdf.pages]
        used = [layer for layer in layers if any(layer in found for found in on_page)]
        groups = {layer: pdf.make_indirect(_group(layer)) for layer in used}
        for page, found in zip(pdf.pages, on_page, strict=True):
            if found:
                page.Resources.Properties = pikepdf.Dictionary({f"/{layer.tag}": groups[layer] for layer in found})
        if used:
            every = [groups[layer] for layer in used]
            shown = pikepdf.Dictionary(
                Name=pikepdf.String("Layers"), BaseState=pikepdf.Name.ON, Order=pikepdf.Array(every)
            )
            pdf.Root.OCProperties = pikepdf.Dictionary(OCGs=pikepdf.Array(every), D=shown)
        pdf.save(out, deterministic_id=True, min_version="1.5")
    return out.getvalue()


def _marks(page: pikepdf.Page, layer: Layer) -> bool:
    return f"/OC /{layer.tag} BDC".encode() in page.Contents.read_bytes()


def _group(layer: Layer) -> pikepdf.Dictionary:
    return pikepdf.Dictionary(Type=pikepdf.Name.OCG, Name=pikepdf.String(layer.value))
