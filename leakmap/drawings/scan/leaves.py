"""The pictures of a TIFF of several pages, to leaf through one by one."""

from __future__ import annotations

import pyvips

from leakmap.base.errors import UnusableDrawing
from leakmap.drawings.scan.header import scan_info


class ScanLeaves:
    """The pages of a scan.

    Args:
        data: The file.
        name: Its name, for messages.

    Raises:
        UnusableDrawing: It is no PNG, JPEG or TIFF, damaged at its head, or too large.
    """

    def __init__(self, data: bytes, *, name: str = "") -> None:
        self._data, self._name = data, name
        self._pages = scan_info(data, name=name).pages

    def __len__(self) -> int:
        """Number of pages."""
        return self._pages

    def size_words(self, page: int) -> str:
        """How large a page is, 0 first: its pixels, and its dots per inch where the file says them.

        Raises:
            UnusableDrawing: It is damaged at its head, or too large.
        """
        info = scan_info(self._data, name=self._name, page=page)
        said = "" if info.dots_per_inch is None else f", {info.dots_per_inch:.0f} dots per inch"
        return f"{info.width:,} × {info.height:,} pixels{said}"

    def thumbnail(self, page: int, longest_px: int) -> bytes:
        """A small picture of a page, as a PNG file.

        Raises:
            UnusableDrawing: Nothing of it could be shown.
        """
        try:
            small = pyvips.Image.thumbnail_buffer(
                self._data, longest_px, height=longest_px, option_string=f"page={page}"
            )
            if small.hasalpha():
                small = small.flatten(background=[255.0])
            return bytes(small.pngsave_buffer(compression=6, keep="none"))
        except pyvips.Error as error:
            raise UnusableDrawing(f"Page {page + 1} of {self._name} could not be shown.", where=self._name) from error
