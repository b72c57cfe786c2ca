"""The process that leafs through a file of several pages, so that one can be chosen by its looks.

    python -m leakmap.drawings.leafing FILE FOLDER

What it says on its standard output is told in ``leakmap.base.telling``. The file it names last says how many pages
there are; where there are several, a part comes for each page, first to last: a JSON object with ``page`` (0 first),
``of``, ``label``, ``size`` and ``kind`` in words, and the name of its ``picture`` (PNG), empty where it has none.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Final

from leakmap.base.errors import UnusableDrawing
from leakmap.base.progress import Progress
from leakmap.base.telling import Teller
from leakmap.drawings.asked import Asked, answered
from leakmap.drawings.kinds import FileKind, kind_of
from leakmap.drawings.limits import Watched
from leakmap.drawings.worker import content_of

COUNT: Final = "pages.json"
LOOKING: Final = "Looking at the pages"
THUMBNAIL_PX: Final = 240

_HEADS: Final = (b"II*\x00", b"MM\x00*", b"II+\x00", b"MM\x00+")
_KINDS: Final = {"vector": "lines", "picture": "picture", "both": "lines and picture", "empty": "empty"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaf:
    """A page to choose.

    Attributes:
        page: Its number, 0 first.
        of: How many pages there are.
        label: What the file calls it; empty where it calls it nothing, or only by its number.
        size: How large it is, in words; empty where that is not known.
        kind: What is on it, in words.
        picture: Name of the file with its thumbnail; empty where it cannot be shown quickly.
    """

    page: int
    of: int
    label: str
    size: str
    kind: str
    picture: str = ""


def may_have_pages(head: bytes) -> bool:
    r"""Whether a file with these first bytes can be one of several pages.

    >>> may_have_pages(b"%PDF-1.7"), may_have_pages(b"II*\x00"), may_have_pages(b"\x89PNG\r\n\x1a\n")
    (True, True, False)
    """
    return kind_of(head) is FileKind.PDF or head.startswith(_HEADS)


def leaves_of(data: bytes, folder: Path, *, name: str, password: str | None, progress: Progress) -> Iterator[Leaf]:
    """The pages of a file one by one, their thumbnails in a folder; one without its looks where there is but one page.

    Raises:
        LockedDrawing: It opens with a password only, or with another one.
        UnusableDrawing: Nothing of it could be used.
    """
    leaves = _pdf_leaves if kind_of(data) is FileKind.PDF else _scan_leaves
    yield from leaves(data, folder, name, password, progress)


def _pdf_leaves(data: bytes, folder: Path, name: str, password: str | None, progress: Progress) -> Iterator[Leaf]:
    from leakmap.drawings.pdf.frame import page_words  # noqa: PLC0415 - each kind of file brings large libraries
    from leakmap.drawings.pdf.pages import PdfLeaves  # noqa: PLC0415

    with PdfLeaves(data, name=name, password=password) as pages:
        if len(pages) == 1:
            yield _only()
            return
        for page in range(len(pages)):
            progress.report(LOOKING, page, len(pages))
            info = pages.info(page)
            picture = f"page-{page}.png"
            with suppress(UnusableDrawing):
                (folder / picture).write_bytes(pages.thumbnail(page, THUMBNAIL_PX))
            yield Leaf(
                page=page,
                of=len(pages),
                label="" if info.label == str(page + 1) else info.label,
                size=page_words(info.size_mm) if min(info.size_mm) > 0 else "",
                kind=_KINDS[info.kind.value],
                picture=picture if (folder / picture).exists() else "",
            )


def _scan_leaves(data: bytes, folder: Path, name: str, _password: str | None, progress: Progress) -> Iterator[Leaf]:
    from leakmap.drawings.scan.leaves import ScanLeaves  # noqa: PLC0415

    pages = ScanLeaves(data, name=name)
    if len(pages) == 1:
        yield _only()
        return
    for page in range(len(pages)):
        progress.report(LOOKING, page, len(pages))
        picture, size = f"page-{page}.png", ""
        with suppress(UnusableDrawing):
            size = pages.size_words(page)
            (folder / picture).write_bytes(pages.thumbnail(page, THUMBNAIL_PX))
        shown = picture if (folder / picture).exists() else ""
        yield Leaf(page=page, of=len(pages), label="", size=size, kind=_KINDS["picture"], picture=shown)


def _only() -> Leaf:
    return Leaf(page=0, of=1, label="", size="", kind="")


def leafed_into(file: Path, folder: Path, teller: Teller, asked: Asked) -> str:
    """Leaf through a file, its pages put into a folder; gives the name of the file that says how many there are.

    Raises:
        UnusableDrawing: Nothing of it could be used.
    """
    data = content_of(file)
    count = 0
    with Watched(teller, teller, file.name) as progress:
        for leaf in leaves_of(data, folder, name=file.name, password=asked.password, progress=progress):
            count = leaf.of
            if count > 1:
                part = f"leaf-{leaf.page}.json"
                (folder / part).write_text(json.dumps(asdict(leaf)), encoding="utf-8")
                teller.part(part)
    (folder / COUNT).write_text(json.dumps(count), encoding="utf-8")
    return COUNT


def main(arguments: list[str]) -> int:
    """Leaf through the file that the arguments name; gives the exit code."""
    return answered(arguments, leafed_into)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
