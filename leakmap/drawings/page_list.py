"""The pages of a PDF, or the pictures of a TIFF, as a list: number, label, size, turn and what lies on each.

    python -m leakmap.drawings.page_list FILE FOLDER

``listed`` starts this process, as a hostile file may break who looks at it. What it says on its standard output is told
in ``leakmap.base.telling``; the file that it names last holds the list.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Final

from leakmap.base.progress import UNWATCHED, Progress
from leakmap.base.telling import Teller
from leakmap.drawings.asked import Asked, answered
from leakmap.drawings.kinds import FileKind, kind_of
from leakmap.drawings.leafing import LOOKING
from leakmap.drawings.limits import Watched
from leakmap.drawings.worker import content_of

_LIST: Final = "list.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedPage:
    """A page of a list.

    Attributes:
        page: Its number, 1 first.
        label: What the file calls it; empty where it calls it nothing.
        width_mm: Width of the upright page as printed; None where the file does not say it.
        height_mm: Its height.
        width_px: Width of the upright picture, where the page is one and nothing else; None for a page of a PDF.
        height_px: Its height.
        turned_deg: By how much the file turns it clockwise.
        lines: Paths on it, estimated from above; so also what follows.
        texts: Pieces of text.
        pictures: Pictures and shadings.
        whole: Whether all of it was counted; else there is more.
    """

    page: int
    label: str = ""
    width_mm: float | None = None
    height_mm: float | None = None
    width_px: int | None = None
    height_px: int | None = None
    turned_deg: int = 0
    lines: int = 0
    texts: int = 0
    pictures: int = 0
    whole: bool = True


def listed(
    name: str, data: bytes, *, password: str | None = None, progress: Progress = UNWATCHED
) -> tuple[ListedPage, ...]:
    """The pages of a PDF or of a scan, listed by another process.

    Args:
        name: Name of the file, for messages.
        data: Its content.
        password: What opens it; None for none. It is kept nowhere.
        progress: Watches, page by page.

    Raises:
        LockedDrawing: It opens with a password only, or with another one.
        UnusableDrawing: It is damaged, without pages, or the process broke off; one sentence says so.
        Stopped: The watcher asked to stop.
    """
    from leakmap.drawings.apart import made_apart  # noqa: PLC0415 - the process itself starts no other

    def take(file: Path) -> tuple[ListedPage, ...]:
        return tuple(ListedPage(**page) for page in json.loads(file.read_text(encoding="utf-8")))

    worker = "leakmap.drawings.page_list"
    return made_apart(worker, name, data, Asked(password=password), take=take, progress=progress)


def _pdf_pages(data: bytes, name: str, password: str | None, progress: Progress) -> Iterator[ListedPage]:
    from leakmap.drawings.pdf.pages import pages  # noqa: PLC0415 - each kind of file brings large libraries

    for info in pages(data, password=password, name=name, progress=progress):
        width, height = info.size_mm
        known, weight = min(info.size_mm) > 0, info.weight
        yield ListedPage(
            page=info.number,
            label="" if info.label == str(info.number) else info.label,
            width_mm=width if known else None,
            height_mm=height if known else None,
            turned_deg=info.turned_deg,
            lines=weight.lines,
            texts=weight.texts,
            pictures=weight.pictures,
            whole=weight.whole,
        )


def _scan_pages(data: bytes, name: str, progress: Progress) -> Iterator[ListedPage]:
    from leakmap.drawings.scan.header import MM_PER_INCH, scan_info  # noqa: PLC0415 - as above

    count = scan_info(data, name=name).pages
    for page in range(count):
        progress.report(LOOKING, page, count)
        info = scan_info(data, name=name, page=page)
        mm = None if info.dots_per_inch is None else MM_PER_INCH / info.dots_per_inch
        yield ListedPage(
            page=page + 1,
            width_mm=None if mm is None else info.width * mm,
            height_mm=None if mm is None else info.height * mm,
            width_px=info.width,
            height_px=info.height,
            pictures=1,
        )


def listed_into(file: Path, folder: Path, teller: Teller, asked: Asked) -> str:
    """List the pages of a file; gives the name of the file in the folder that holds the list.

    Raises:
        UnusableDrawing: Nothing of it could be used.
    """
    data = content_of(file)
    with Watched(teller, teller, file.name) as progress:
        is_pdf = kind_of(data) is FileKind.PDF
        pages = (
            _pdf_pages(data, file.name, asked.password, progress) if is_pdf else _scan_pages(data, file.name, progress)
        )
        rows = [asdict(page) for page in pages]
    (folder / _LIST).write_text(json.dumps(rows), encoding="utf-8")
    return _LIST


def main(arguments: list[str]) -> int:
    """List the pages of the file that the arguments name; gives the exit code."""
    return answered(arguments, listed_into)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
