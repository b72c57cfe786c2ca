"""Clipped inserts: only what lies inside the clipping frame is drawn (or outside, when it is turned over)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import shapely
from ezdxf.xclip import XClip

from leakmap.drawings.dxf.endless import NO_ENDLESS, EndlessLines, beyond, ended
from leakmap.drawings.dxf.ink import Ink
from leakmap.model.drawing import IntArray


def clip_of(insert: Any) -> tuple[shapely.Polygon, bool] | None:  # noqa: ANN401 - ezdxf's attributes are untyped
    """The frame that clips an insert, in the block's coordinates, and whether its inside is taken away."""
    if not insert.has_extension_dict:
        return None
    clip = XClip(insert)
    if not clip.is_clipping_enabled:
        return None
    path = clip.get_block_clipping_path()
    corners = [(corner.x, corner.y) for corner in path.inner_polygon()]
    if len(corners) < 2:
        return None
    if len(corners) == 2:  # a rectangle by two opposite corners
        corners = list(shapely.box(*corners[0], *corners[1]).exterior.coords)
    return shapely.make_valid(shapely.Polygon(corners)), path.is_inverted_clip


def clipped(ink: Ink, frame: shapely.Polygon, *, inside_out: bool) -> Ink:
    """The part of a block's ink that a frame lets show; a text shows when its point does."""
    ink, outside = _cut_endless(ink, frame)
    endless = outside if inside_out else NO_ENDLESS
    texts = tuple(text for text in ink.letterings if shapely.intersects_xy(frame, *text.at[:2]) != inside_out)
    if not len(ink.counts):
        return Ink(ink.xyz, ink.counts, ink.layer, texts, endless)
    several = np.flatnonzero(ink.counts > 1)
    owners = np.repeat(np.arange(len(ink.counts)), ink.counts)
    lines = shapely.linestrings(ink.xyz[np.isin(owners, several)], indices=_numbered(ink.counts[several]))
    cut = shapely.difference(lines, frame) if inside_out else shapely.intersection(lines, frame)
    pieces, sources = shapely.get_parts(cut, return_index=True)
    straight = shapely.get_type_id(pieces) == shapely.GeometryType.LINESTRING
    pieces, sources = pieces[straight], several[sources[straight]]
    xyz, numbers = shapely.get_coordinates(pieces, include_z=True, return_index=True)
    counts = np.bincount(numbers, minlength=len(pieces)).astype(np.int32)
    return Ink(xyz, counts, ink.layer[sources], texts, endless)


def _cut_endless(ink: Ink, frame: shapely.Polygon) -> tuple[Ink, EndlessLines]:
    """A block's ink in which endless lines end where they are clear of a frame, and what they are beyond that."""
    lines = ink.endless
    if not len(lines):
        return ink, lines
    ends, through = ended(lines, frame.bounds, from_ends=True)
    cut = replace(
        ink,
        xyz=np.concatenate((ink.xyz, ends.reshape(-1, 3))),
        counts=np.concatenate((ink.counts, np.full(len(ends), 2, dtype=np.int32))),
        layer=np.concatenate((ink.layer, lines.layer[through])),
    )
    return cut, beyond(lines, ends, through)


def _numbered(counts: IntArray) -> IntArray:
    return np.repeat(np.arange(len(counts), dtype=np.int32), counts)
