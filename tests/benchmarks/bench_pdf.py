"""Reading a vector page of a PDF: how many times as fast as pdfplumber, which users of the same task would take.

    python tests/benchmarks/bench_pdf.py [FILE.pdf ...]

Without files the PDF drawings of the corpus are read, and a page made here of 50,000 lines. Both read all paths and
letters of the first page, one after the other in one run; the best of three counts.
"""

from __future__ import annotations

import io
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pdfplumber
from reportlab.pdfgen.canvas import Canvas

from leakmap.drawings.pdf.read import read_pdf

CORPUS = Path(__file__).parents[3] / "shared" / "corpus" / "real"
LINES = 50_000
TRIES = 3


def made() -> bytes:
    """A page of many lines."""
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(1000, 1000), invariant=1)
    for index in range(LINES):
        canvas.line(index % 1000, index % 777, index % 333, index % 999)
    canvas.save()
    return stream.getvalue()


def theirs(data: bytes) -> int:
    """All that pdfplumber finds on the first page."""
    with pdfplumber.open(io.BytesIO(data)) as file:
        page = file.pages[0]
        return len(page.lines) + len(page.rects) + len(page.curves) + len(page.chars)


def ours(data: bytes) -> int:
    """All that the reader finds there."""
    drawing = read_pdf(data)
    return len(drawing.strokes) + len(drawing.texts)


def best(work: Callable[[bytes], int], data: bytes) -> float:
    """Seconds of the fastest of some tries."""
    found = []
    for _ in range(TRIES):
        begin = time.perf_counter()
        work(data)
        found.append(time.perf_counter() - begin)
    return min(found)


def main(files: list[str]) -> None:
    """Print a ratio for each file."""
    paths = [Path(file) for file in files] or sorted(CORPUS.glob("*.pdf"))
    for name, data in [*((path.name, path.read_bytes()) for path in paths), (f"{LINES:,} lines", made())]:
        print(f"{name}: {best(theirs, data) / best(ours, data):.0f} times as fast")


if __name__ == "__main__":
    main(sys.argv[1:])
