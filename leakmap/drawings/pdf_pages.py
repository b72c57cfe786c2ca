"""Pages of a PDF file as pictures, for looking at on a screen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from leakmap.base.errors import UnusableFile

_LARGEST_PX: Final = 6000.0
"""No side of a picture is longer: a picture of a whole large sheet stays within some tens of megabytes."""


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

    def __len__(self) -> int:
        """Number of pages."""
        return len(self._pdf)

    def close(self) -> None:
        """Let go of the file."""
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
