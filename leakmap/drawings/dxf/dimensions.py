"""Dimensions of which a file holds no picture: their lines and words are made from what they measure.

Drawing programs keep a picture of each dimension as a block; some writers leave that to the reader.
The audit would remove such dimensions, so this comes before it. Dimensions are worth having: they are
the known lengths that a scale is checked against.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from ezdxf.document import Drawing as Document

from leakmap.base.findings import Effect
from leakmap.drawings.dxf.troubles import TROUBLE, Troubles, handle_of

_ALIGNED: Final = 1
"""Kind of a dimension along its two points, which has no angle of its own: some writers give it one all the same
(from memory of the DXF reference)."""


def draw_missing_pictures(document: Document, troubles: Troubles) -> None:
    """Give every dimension without a picture one; those that resist are left to the audit."""
    every: Iterable[Any] = document.chain_layouts_and_blocks()
    lacking = [entity for entity in every if _lacks_picture(entity)]
    if lacking:
        _say_defaults(document)
    for dimension in lacking:
        _say_nothing_twice(dimension)
        try:
            dimension.render()
        except TROUBLE:  # the audit removes it and says so
            continue
        text = (
            "Dimensions of which the file holds no picture, drawn from what they measure: {n}; they may look different."
        )
        troubles.note("dimension-drawn", text, where=handle_of(dimension), effect=Effect.LOOK)


def _say_defaults(document: Document) -> None:
    """Write into each style of dimensions what the format says of values that are not given.

    Without that the library draws such a dimension with values of its own, and otherwise once it has written the file.
    """
    for style in document.dimstyles:
        for _, name in style.DXFATTRIBS.build_group_code_items(lambda each: each.startswith("dim")):
            default = style.dxf.get_default(name)
            if default is not None:
                style.dxf.set(name, default)


def _say_nothing_twice(dimension: Any) -> None:  # noqa: ANN401 - ezdxf's attributes are untyped
    """Leave out what says nothing: the library takes its mere presence for a wish, and drops it when it writes."""
    if dimension.dimtype == _ALIGNED:
        dimension.dxf.discard("angle")
    if not dimension.dxf.get("text_rotation", 0.0):
        dimension.dxf.discard("text_rotation")


def _lacks_picture(entity: Any) -> bool:  # noqa: ANN401 - ezdxf's attributes are untyped
    if entity.dxftype() != "DIMENSION":
        return False
    return entity.get_geometry_block() is None and not entity.is_dimensional_constraint
