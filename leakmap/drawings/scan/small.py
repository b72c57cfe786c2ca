"""A small picture of a photo, turned upright: what a list shows."""

from __future__ import annotations

from typing import Final

import pyvips

from leakmap.base.errors import UnusableDrawing, UnusableFile
from leakmap.drawings.scan.header import scan_info

SMALL_PX: Final = (320, 240)
"""No small picture is wider or higher."""

_JPEG: Final = ".jpg[Q=85,keep=none]"


def small_picture(data: bytes, name: str) -> bytes:
    """A small picture of a PNG, JPEG or TIFF file, as a JPEG file, turned as the photo says it was held.

    Args:
        data: The file.
        name: Its name, for sentences.

    Raises:
        UnusableFile: It is none of them, damaged, or too large.
    """
    try:
        scan_info(data, name=name)
        image = pyvips.Image.thumbnail_buffer(
            data, SMALL_PX[0], height=SMALL_PX[1], size="down", export_profile="srgb", fail_on="error"
        )
        flat = image.flatten(background=255) if image.hasalpha() else image
        return bytes(flat.write_to_buffer(_JPEG))
    except (UnusableDrawing, pyvips.Error) as error:
        raise UnusableFile(
            f"{name} is no photo that can be read: PNG, JPEG and TIFF are. Nothing was added; save it as one of these.",
            where=name,
        ) from error
