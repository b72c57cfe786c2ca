"""Dimensions of which a file holds no picture: their lines and words are made from what they measure.

Drawing programs keep a picture of each dimension as a block; some writers leave that to the reader.
The audit would remove such dimensions, so this comes before it. Dimensions are worth having: they are
the known lengths that a scale is checked against.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from ezdxf.document import Drawing as Document

from leakmap.base.findings import Effect
from leakmap.drawings.dxf.troubles import TROUBLE, Troubles, handle_of


def draw_missing_pictures(document: Document, troubles: Troubles) -> None:
    """Give every dimension without a picture one; those that resist are left to the audit."""
    every: Iterable[Any] = document.chain_layouts_and_blocks()
    for dimension in [entity for entity in every if _lacks_picture(entity)]:
        try:
            dimension.render()
        except TROUBLE:  # the audit removes it and says so
            continue
        text = (
            "Dimensions of which the file holds no picture, drawn from what they measure: {n}; they may look different."
        )
        troubles.note("dimension-drawn", text, where=handle_of(dimension), effect=Effect.LOOK)


def _lacks_picture(entity: Any) -> bool:  # noqa: ANN401 - ezdxf's attributes are untyped
    if entity.dxftype() != "DIMENSION":
        return False
    return entity.get_geometry_block() is None and not entity.is_dimensional_constraint
