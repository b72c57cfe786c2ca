"""Pages of a PDF file as pictures, for looking at on a screen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil
from typing import Any, Final

from leakmap.base.errors import UnusableFile

_LARGEST_PX: Final = 6000.0
"""No side of a picture is longer: a picture of a whole large sheet stays within some tens of megabytes."""


_SLACK_PX: Final = 0.01
"""So much more than whole pixels is none."""


@dataclass(frozen=True, slots=True)
class PagePicture:
    """A picture of a page.

    Attributes:
        width: Pixels.
        height: Pixels.
        stride: Bytes from one row to the next.
        data: Rows from the top; four bytes a pixel, blue, green, red and one that means nothing.
    """

    width: int
    height: int
    stride: int
    data: bytes


class PdfPages:
    """The pages of one PDF file; close it after use.

    Args:
        content: The bytes of the file.

    Raises:
        UnusableFile: They are no PDF file.
    """

    def __init__(self, content: bytes) -> None:
        try:
            import pypdfium2  # type: ignore[import-untyped] # noqa: PLC0415 - the rest of the window does without it
        except ImportError as problem:
            raise UnusableFile("The pages cannot be shown, because pypdfium2 is not installed here.") from problem
        try:
            self._pdf = pypdfium2.PdfDocument(content)
        except pypdfium2.PdfiumError as problem:
            raise UnusableFile("The pages cannot be shown: this is no PDF file that can be read.") from problem
        self._opened: tuple[int, Any] | None = None  # the page that parts were last made of: taking it apart takes time

    def __len__(self) -> int:
        """Number of pages."""
        return len(self._pdf)

    def close(self) -> None:
        """Let go of the file."""
        self._opened = None
        self._pdf.close()

    def size_pt(self, page: int) -> tuple[float, float]:
        """Width and height of a page in points (1/72 inch)."""
        width, height = self._pdf.get_page_size(page)
        return float(width), float(height)

    def headings(self) -> Mapping[str, int]:
        """Page of each bookmark, by its title."""
        found: dict[str, int] = {}
        for bookmark in self._pdf.get_toc():
            target = bookmark.get_dest()
            page = target.get_index() if target is not None else None
            if page is not None:
                found.setdefault(bookmark.get_title(), page)
        return found

    def picture(self, page: int, *, px_per_pt: float) -> PagePicture:
        """A picture of a page.

        Args:
            page: Its number, 0 first.
            px_per_pt: Pixels of one point; less where the picture would be too large.
        """
        scale = min(px_per_pt, _LARGEST_PX / max(self.size_pt(page)))
        drawn = self._pdf[page].render(scale=scale, rev_byteorder=False, prefer_bgrx=True)
        return PagePicture(drawn.width, drawn.height, drawn.stride, bytes(drawn.buffer))

    def part(self, page: int, *, px_per_pt: float, left: int, top: int, side: int) -> PagePicture:
        """A picture of a square part of a page, smaller where the page ends; it takes time by its own size.

        Args:
            page: Its number, 0 first.
            px_per_pt: Pixels of one point.
            left: Pixels of the whole page that lie left of it; less than the page is wide.
            top: Pixels above it; less than the page is high.
            side: Pixels of a side.
        """
        if self._opened is None or self._opened[0] != page:
            self._opened = page, self._pdf[page]
        wide, high = (ceil(length_pt * px_per_pt - _SLACK_PX) for length_pt in self.size_pt(page))
        around = left, high - min(top + side, high), wide - min(left + side, wide), top
        crop = tuple(max(px - 0.5, 0.0) / px_per_pt for px in around)  # the library rounds each up to a whole pixel
        scale = px_per_pt * (1 - _SLACK_PX / max(wide, high))
        drawn = self._opened[1].render(scale=scale, crop=crop, rev_byteorder=False, prefer_bgrx=True)
        return PagePicture(drawn.width, drawn.height, drawn.stride, bytes(drawn.buffer))
