"""A picture cut into tiles at ever coarser levels, in one pass from its top to its bottom.

Only a strip of the picture is held at a time, so that a sheet of 250 million pixels takes some tens
of megabytes. Drawings become PNG, whose edges stay clean; photos become JPEG.
"""

from __future__ import annotations

import io
import re
from typing import Final
from zipfile import ZipFile

import pyvips

from leakmap.base.errors import Stopped
from leakmap.base.progress import Progress
from leakmap.geometry.path import Box
from leakmap.model.drawing import TILE_PX, Picture, TilePlace

CUTTING: Final = "Reading the picture"

_TILE: Final = re.compile(r"/(\d+)/(\d+)_(\d+)\.(?:png|jpg)$")
_PNG: Final = ".png[compression=6,keep=none]"
_JPEG: Final = ".jpg[Q=90,keep=none]"


def tiled(picture: pyvips.Image, box: Box, *, clean: bool, progress: Progress) -> Picture:
    """A picture as the drawing keeps it.

    Args:
        picture: One band (grey) or three (colour) of eight bits.
        box: Where it lies in the drawing.
        clean: Whether its edges must stay clean.
        progress: Watches, in parts of the picture.

    Raises:
        pyvips.Error: Its pixels could not be read.
        Stopped: The watcher asked to stop.
    """
    packed = _watched(picture, clean=clean, progress=progress)
    with ZipFile(io.BytesIO(packed)) as parts:
        found = {match: name for name in parts.namelist() if (match := _TILE.search(name))}
        finest = max(int(match[1]) for match in found)
        whole = Picture(box, (picture.width, picture.height), {}, 0)
        tiles = {}
        for match, name in found.items():
            place = TilePlace(finest - int(match[1]), int(match[2]), int(match[3]))
            if place.level < whole.levels:
                tiles[place] = parts.read(name)
    return Picture(box, whole.size_px, dict(sorted(tiles.items())), 0)


def _watched(picture: pyvips.Image, *, clean: bool, progress: Progress) -> bytes:
    """The tiles in one archive; stops where the watcher wants that."""
    stopped: list[Stopped] = []

    def report(image: pyvips.Image, state: object) -> None:
        try:
            progress.report(CUTTING, getattr(state, "percent", 0), 100)
        except Stopped as stop:  # it must not pass through the library, which would print it and go on
            stopped.append(stop)
            image.set_kill(True)

    picture.set_progress(True)
    picture.signal_connect("eval", report)
    try:
        archive = picture.dzsave_buffer(
            basename="picture",
            tile_size=TILE_PX,
            overlap=0,
            depth="onepixel",
            suffix=_PNG if clean else _JPEG,
            container="zip",
            compression=0,
        )
    except pyvips.Error:
        if stopped:
            raise stopped[0] from None
        raise
    if stopped:
        raise stopped[0]
    return bytes(archive)
