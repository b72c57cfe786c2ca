"""Inserts: blocks drawn once and placed, nested, mirrored, stretched, in rows and columns.

Rules:

* What lies on layer 0 of a block takes the layer of the insert, through all levels.
* Under an insert on a frozen layer everything goes to that layer, so that it shows or hides with it.
* A block that holds itself is left out where it would start again.
* A drawing never grows beyond ``MOST_POINTS``: inserts that would do so are left out and counted.
* A block is drawn anew for each scale that asks for finer or coarser curves. Where all blocks together have drawn
  ``MOST_POINTS`` so, one at another fineness serves, and a block that was not drawn yet is left out and counted.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from math import floor, log2, radians
from typing import Any, Final

import numpy as np
from ezdxf.document import Drawing as Document
from ezdxf.math import OCS, Vec3

from leakmap.base.findings import Effect
from leakmap.base.progress import Progress
from leakmap.drawings.dxf.clips import clip_of, clipped
from leakmap.drawings.dxf.curves import Chords
from leakmap.drawings.dxf.fast_load import Bulk
from leakmap.drawings.dxf.ink import Ink, Pen
from leakmap.drawings.dxf.layers import LayerNumbers
from leakmap.drawings.dxf.texts import Wording
from leakmap.drawings.dxf.troubles import Troubles, handle_of
from leakmap.model.drawing import FloatArray

MOST_POINTS: Final = 8_000_000
"""Points that inserts may add (ours): about 200 MB as arrays, far more than any plan that people work on."""

MOST_DEEP: Final = 100
"""Blocks within blocks (ours)."""

TEXT_POINTS: Final = 40
"""A text takes the memory of so many points."""

MOST_COPIES: Final = 250_000
"""Places of one insert in rows and columns (ours)."""

_TOO_LARGE: Final = "Inserts left out, as with them the drawing would grow too large to be shown: {n}."
_TICK: Final = 256
_BUCKET_LIMIT: Final = 60

Draw = Callable[[Iterable[Any], Pen, "Reading"], None]


class Reading:
    """What the reading of one document shares: layers, blocks, troubles, progress.

    Attributes:
        layers: Numbers of the layers.
        wording: Plain words of texts.
        troubles: What went wrong so far.
        bulk: What is drawn in bulk.
        chords: What curves may still have.
    """

    def __init__(
        self,
        document: Document,
        *,
        layers: LayerNumbers,
        wording: Wording,
        troubles: Troubles,
        progress: Progress,
        draw: Draw,
        bulk: Bulk,
    ) -> None:
        self.layers = layers
        self.wording = wording
        self.troubles = troubles
        self.bulk = bulk
        self.chords = Chords()
        self._document = document
        self._progress = progress
        self._draw = draw
        self._inks: dict[tuple[str, int], Ink] = {}
        self._open: set[str] = set()
        self._left = MOST_POINTS
        self._left_to_draw = MOST_POINTS
        self._ticks = 0

    def tick(self) -> None:
        """Count an entity; now and then tell the watcher.

        Raises:
            Stopped: The watcher asks to stop.
        """
        self._ticks += 1
        if self._ticks % _TICK == 1:
            self._progress.report("Drawing the lines", self._ticks, None)

    @property
    def in_block(self) -> bool:
        """Whether the content of a block is being drawn."""
        return bool(self._open)

    def has_block(self, name: str) -> bool:
        """Whether the document holds a block of this name."""
        return self._document.blocks.get(name) is not None

    def spend(self, points: int) -> bool:
        """Whether the drawing may still grow by this many points; if so they are spent."""
        if points > self._left:
            return False
        self._left -= points
        return True

    def block_ink(self, name: str, tolerance: float) -> Ink | None:
        """What a block draws, curves at least as fine as the tolerance in its own units.

        None, with a finding, when the block holds itself or lies too deep.
        """
        # Tolerances are taken down to a power of two, so that many scales share few copies.
        bucket = max(min(floor(log2(tolerance)), _BUCKET_LIMIT), -_BUCKET_LIMIT) if tolerance > 0 else 0
        key = (name.casefold(), bucket)
        if key not in self._inks:
            where = self.wording.plain(name, what="block names")
            if key[0] in self._open:
                self.troubles.note("block-loop", "Inserts left out, as the block holds itself: {n}.", where=where)
                return None
            if len(self._open) >= MOST_DEEP:
                text = f"Inserts left out, as they lie more than {MOST_DEEP} blocks deep: {{n}}."
                self.troubles.note("too-much", text, where=where)
                return None
            if self._left_to_draw <= 0:
                return self._other_ink(key, where)
            self._inks[key] = self._drawn(name, 2.0**bucket)
        return self._inks[key]

    def _drawn(self, name: str, tolerance: float) -> Ink:
        """Draw a block; what that takes is spent."""
        self._open.add(name.casefold())
        try:
            pen = Pen(tolerance, self.chords)
            self._draw(self._document.blocks.get(name) or (), pen, self)
            ink = pen.ink()
        finally:
            self._open.remove(name.casefold())
        self._left_to_draw -= ink.points + TEXT_POINTS * len(ink.letterings)
        return ink

    def _other_ink(self, key: tuple[str, int], where: str) -> Ink | None:
        """A block as it was drawn at the fineness that is nearest; None, with a finding, when it never was."""
        buckets = [bucket for name, bucket in self._inks if name == key[0]]
        if not buckets:
            self.troubles.note("too-much", _TOO_LARGE, where=where)
            return None
        text = "Blocks whose curves are coarser or finer than elsewhere, as they come in too many sizes: {n}."
        self.troubles.note("too-many-sizes", text, where=where, effect=Effect.LOOK)
        self._inks[key] = self._inks[key[0], min(buckets, key=lambda bucket: abs(bucket - key[1]))]
        return self._inks[key]


def draw_insert(insert: Any, layer: int, pen: Pen, reading: Reading) -> None:  # noqa: ANN401 - ezdxf's attributes are untyped
    """Place the block of an INSERT; its attribute texts are not part of this."""
    name, where = insert.dxf.name, handle_of(insert)
    block = insert.block()
    if block is None:
        text = f"Inserts left out, as the file does not hold the block {_shown_name(name, reading)}: {{n}}."
        reading.troubles.note("block-missing", text, where=where)
        return
    if block.block.is_xref or block.block.is_xref_overlay:
        other = _shown_name(block.block.dxf.xref_path or name, reading)
        text = (
            f"Inserts of another file, {other}, left out: {{n}}; bind that file into the drawing, or bring it in as a"
            " sheet of its own."
        )
        reading.troubles.note("external-reference", text, where=where)
        return
    stretch = max(abs(insert.dxf.xscale), abs(insert.dxf.yscale), abs(insert.dxf.zscale)) or 1.0
    ink = reading.block_ink(name, pen.tolerance / stretch)
    if ink is None:
        return
    clip = clip_of(insert)
    if clip is not None:
        text = "Clipped inserts, of which only the inside of the frame is drawn: {n}."
        reading.troubles.note("block-clipped", text, where=where, effect=Effect.LOOK)
        ink = clipped(ink, clip[0], inside_out=clip[1])
    _place(insert, ink, layer, pen, reading)


def _place(insert: Any, ink: Ink, layer: int, pen: Pen, reading: Reading) -> None:  # noqa: ANN401 - ezdxf's attributes are untyped
    matrix = np.array(list(insert.matrix44()), dtype=np.float64).reshape(4, 4)
    dxf = insert.dxf
    columns = max(dxf.column_count, 1) if dxf.column_spacing else 1
    rows = max(dxf.row_count, 1) if dxf.row_spacing else 1
    points = (ink.points + TEXT_POINTS * len(ink.letterings)) * rows * columns
    if rows * columns > MOST_COPIES or not reading.spend(points):
        reading.troubles.note("too-much", _TOO_LARGE, where=handle_of(insert))
        return
    pen.place(ink, (matrix, _steps(insert, rows, columns)), layer, whole=reading.layers.frozen(layer))


def _steps(insert: Any, rows: int, columns: int) -> FloatArray:  # noqa: ANN401 - ezdxf's attributes are untyped
    """How far each copy of an insert in rows and columns lies from the first, which comes first, ``(k, 3)``."""
    dxf, ocs = insert.dxf, OCS(insert.dxf.extrusion)
    spacings = Vec3(dxf.column_spacing, 0), Vec3(0, dxf.row_spacing)
    step, rise = (np.array(ocs.to_wcs(spacing.rotate(radians(dxf.rotation))).xyz) for spacing in spacings)
    up, along = np.divmod(np.arange(rows * columns), columns)
    steps: FloatArray = along[:, None] * step + up[:, None] * rise
    return steps


def draw_block(name: str, at: Vec3, layer: int, pen: Pen, reading: Reading) -> None:
    """Place a block unturned and unscaled, such as the picture of a dimension."""
    ink = reading.block_ink(name, pen.tolerance)
    if ink is None:
        return
    if not reading.spend(ink.points):
        reading.troubles.note("too-much", _TOO_LARGE, where=_shown_name(name, reading))
        return
    pen.place(ink, (np.eye(4), np.array([at.xyz])), layer, whole=reading.layers.frozen(layer))


def _shown_name(name: str, reading: Reading) -> str:
    return reading.wording.plain(name, what="block names").replace("{n}", "n")
