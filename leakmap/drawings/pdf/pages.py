"""The pages of a PDF file, to choose one from: number, label, size, what is on it, and a small picture.

A hostile file may break the process that looks at it: a window does this in one of its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Final, Self

import pypdfium2  # type: ignore[import-untyped]
import pyvips
from pypdfium2 import raw

from leakmap.base.errors import UnusableDrawing
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.drawings.pdf.document import PdfFile
from leakmap.drawings.pdf.frame import MM_PER_POINT
from leakmap.drawings.pdf.layers import plain
from leakmap.drawings.pdf.rendered import grid_over, pixels_of
from leakmap.drawings.pdf.things import left_out_as_giant, things_of
from leakmap.drawings.pdf.weight import Weight, weight_of

MOST_PAGES: Final = 500
"""Pages that are listed, at most (ours)."""

LARGEST_THUMBNAIL_PX: Final = 1000

LOOKING: Final = "Looking at the pages"

_GLANCE_BYTES: Final = 1_000_000
"""What is on a page is judged by as many bytes of its contents."""

_FEW_LINES: Final = 20
"""A page with a picture and no more lines than a frame and a title have is a picture (ours)."""

_MOST_THINGS: Final = 200_000
_MOST_SEEN: Final = 1000
_LONGEST_LABEL: Final = 40


class PageKind(StrEnum):
    """What is on a page, at a glance."""

    VECTOR = "vector"
    PICTURE = "picture"
    BOTH = "both"
    EMPTY = "empty"


@dataclass(frozen=True, slots=True)
class PageInfo:
    """A page of a PDF file.

    Attributes:
        number: 1 first.
        label: What the file calls it, such as "iv"; empty where it calls it nothing.
        size_mm: Width and height of the upright page as printed: its crop box times its user unit.
        kind: What is on it, at a glance.
        turned_deg: By how much the file turns it clockwise: 0, 90, 180 or 270.
        weight: What it draws, estimated at a glance.
    """

    number: int
    label: str
    size_mm: tuple[float, float]
    kind: PageKind
    turned_deg: int
    weight: Weight


def pages(
    data: bytes, *, password: str | None = None, name: str = "", progress: Progress = UNWATCHED
) -> tuple[PageInfo, ...]:
    """The pages of a PDF file, the first ``MOST_PAGES`` of them.

    Args:
        data: The file.
        password: What opens it; None for none.
        name: Its name, for messages.
        progress: Watches, page by page.

    Raises:
        LockedDrawing: It opens with a password only, or with another one.
        UnusableDrawing: It is no PDF, damaged, or without pages.
        Stopped: The watcher asked to stop.
    """
    with PdfFile(data, name=name, password=password) as file:
        return tuple(_info(file, index) for index in _each(range(min(len(file), MOST_PAGES)), progress))


def thumbnail(data: bytes, *, page: int, password: str | None = None, longest_px: int = 240) -> bytes:
    """A small picture of a page, as a PNG file.

    Args:
        data: The file.
        page: Which of its pages, 0 first.
        password: What opens the file; None for none.
        longest_px: Pixels of its longer side, 1 to ``LARGEST_THUMBNAIL_PX``.

    Raises:
        LockedDrawing: The file opens with a password only, or with another one.
        UnusableDrawing: There is no such page, or it draws too much to be shown quickly.
    """
    with PdfFile(data, password=password) as file:
        return _thumbnail(file, file.checked(page), longest_px)


def thumbnails(
    data: bytes,
    *,
    password: str | None = None,
    numbers: Sequence[int] | None = None,
    longest_px: int = 240,
    progress: Progress = UNWATCHED,
) -> Mapping[int, bytes]:
    """Small pictures of pages, as PNG files; the file is opened once.

    Args:
        data: The file.
        password: What opens it; None for none.
        numbers: Which of its pages, 0 first; None for the first ``MOST_PAGES``.
        longest_px: Pixels of their longer sides, 1 to ``LARGEST_THUMBNAIL_PX``.
        progress: Watches, page by page.

    Returns:
        The picture of each page; one that cannot be shown, or not quickly, is left out.

    Raises:
        LockedDrawing: The file opens with a password only, or with another one.
        UnusableDrawing: It is no PDF, damaged, or without pages.
        Stopped: The watcher asked to stop.
    """
    found = {}
    with PdfFile(data, password=password) as file:
        for page in _each(range(min(len(file), MOST_PAGES)) if numbers is None else numbers, progress):
            with suppress(UnusableDrawing):
                found[page] = _thumbnail(file, file.checked(page), longest_px)
    return found


class PdfLeaves:
    """The pages of a PDF file, to leaf through one by one: the file is opened once. To be used in ``with``.

    Args:
        data: The file.
        name: Its name, for messages.
        password: What opens it; None for none.

    Raises:
        LockedDrawing: It opens with a password only, or with another one.
        UnusableDrawing: It is no PDF, damaged, or without pages.
    """

    def __init__(self, data: bytes, *, name: str = "", password: str | None = None) -> None:
        self._file = PdfFile(data, name=name, password=password)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *trouble: object) -> None:
        self._file.close()

    def __len__(self) -> int:
        """Number of pages that are listed."""
        return min(len(self._file), MOST_PAGES)

    def info(self, page: int) -> PageInfo:
        """What is known of a page, 0 first."""
        return _info(self._file, page)

    def thumbnail(self, page: int, longest_px: int) -> bytes:
        """A small picture of a page, as a PNG file.

        Raises:
            UnusableDrawing: It draws too much to be shown quickly.
        """
        return _thumbnail(self._file, self._file.checked(page), longest_px)


def _each(numbers: Sequence[int], progress: Progress) -> Iterator[int]:
    for done, number in enumerate(numbers):
        progress.report(LOOKING, done, len(numbers))
        yield number


def _thumbnail(file: PdfFile, index: int, longest_px: int) -> bytes:
    assert 1 <= longest_px <= LARGEST_THUMBNAIL_PX
    facts = file.page_facts(index)
    weight = None if facts is None else weight_of(facts)
    if weight is not None and (weight.things > _MOST_THINGS or not weight.whole):
        text = f"Page {index + 1} draws too much to be shown quickly; it may still be read."
        raise UnusableDrawing(text, where=str(index + 1))
    shown = file.page(index)
    frame = file.frame(shown, index)
    for thing in things_of(shown, frame):
        if thing.kind == raw.FPDF_PAGEOBJ_IMAGE:
            left_out_as_giant(thing)
    size = frame.size_mm
    grid = grid_over(size, (0.0, 0.0, *size), longest_px / max(size))
    pixels = pixels_of(shown, grid, 0, grid.size_px[1])
    height, width, bands = pixels.shape
    image = pyvips.Image.new_from_memory(pixels, width, height, bands, "uchar")
    return bytes(image.copy(interpretation="srgb").pngsave_buffer(compression=6, keep="none"))


def _info(file: PdfFile, index: int) -> PageInfo:
    try:
        width, height = file.pdf.get_page_size(index)
        label = plain(file.pdf.get_page_label(index))[:_LONGEST_LABEL]
    except (pypdfium2.PdfiumError, UnicodeDecodeError):
        width, height, label = 0.0, 0.0, ""
    mm = MM_PER_POINT * file.user_unit(index)
    facts = file.page_facts(index)
    weight = _weight_seen(file, index) if facts is None else weight_of(facts, most_bytes=_GLANCE_BYTES)
    return PageInfo(index + 1, label, (width * mm, height * mm), _kind_of(weight), _turned_deg(file, index), weight)


def _turned_deg(file: PdfFile, index: int) -> int:
    """The turn of a page; 0 where it is too damaged to tell."""
    try:
        return int(file.page(index).get_rotation())
    except UnusableDrawing:
        return 0


def _weight_seen(file: PdfFile, index: int) -> Weight:
    """What pdfium finds on a page, where pikepdf cannot read the file: things of a form count as one."""
    try:
        page = file.page(index)
    except UnusableDrawing:
        return Weight(0, 0, 0)
    count = raw.FPDFPage_CountObjects(page.raw)
    kinds = [_type_of(page, place) for place in range(min(count, _MOST_SEEN))]
    pictures = sum(kind in {raw.FPDF_PAGEOBJ_IMAGE, raw.FPDF_PAGEOBJ_SHADING} for kind in kinds)
    texts = kinds.count(raw.FPDF_PAGEOBJ_TEXT)
    return Weight(len(kinds) - pictures - texts, texts, pictures, whole=count <= _MOST_SEEN)


def _type_of(page: Any, place: int) -> int:  # noqa: ANN401 - pypdfium2 has no types
    return int(raw.FPDFPageObj_GetType(raw.FPDFPage_GetObject(page.raw, place)))


def _kind_of(weight: Weight) -> PageKind:
    drawn = weight.lines + weight.texts
    if weight.pictures:
        return PageKind.BOTH if drawn > _FEW_LINES else PageKind.PICTURE
    return PageKind.VECTOR if drawn or not weight.whole else PageKind.EMPTY
