"""PDF pages as read here against pdfplumber, which reads them by a library of its own (pdfminer).

Both must find the same points of the same paths, and the same words in the same places, on real exports
and on pages made here.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pdfplumber
import pikepdf
import pytest
import shapely

from leakmap.drawings.pdf.read import read_pdf
from leakmap.model.drawing import Drawing, FloatArray
from tests.helpers.pdf_files import pdf, plan

CORPUS = Path(__file__).parents[3] / "shared" / "corpus" / "real"
FILES = (
    "barcelona_exported_plan_view.pdf",
    "evil_master1.pdf",
    "evil_plan.pdf",
    "evil_stairs_basement.pdf",
)
POINT_MM = 25.4 / 72
SLACK_MM = 1e-3
"""pdfium keeps coordinates in single precision."""


def corpus(name: str) -> bytes:
    """A real PDF that nobody here wrote."""
    if not (CORPUS / name).is_file():
        pytest.skip(f"the corpus of real drawings is not beside the project: {name}")
    return (CORPUS / name).read_bytes()


def theirs(data: bytes) -> Iterator[FloatArray]:
    """Corners of every path that pdfplumber finds, millimetres, y up; ends of curves without their control points."""
    with pdfplumber.open(io.BytesIO(data)) as file:
        page = file.pages[0]
        for kind in ("lines", "rects", "curves"):
            for thing in getattr(page, kind):
                if (thing["stroke"] or thing["fill"]) and not _white(thing):
                    yield np.array([(x, float(page.height) - y) for x, y in _corners(thing)]) * POINT_MM


def _white(thing: dict[str, Any]) -> bool:
    return not thing["stroke"] and thing["non_stroking_color"] in {(1,), (1, 1, 1), (1.0, 1.0, 1.0)}


def _corners(thing: dict[str, Any]) -> list[tuple[float, float]]:
    """The ends of the pieces of a path."""
    return [piece[-1] for piece in thing["path"] if len(piece) > 1]


def length_of(lines: list[FloatArray]) -> float:
    """Length of all pieces of some polylines together."""
    return sum(float(np.hypot(*np.diff(line, axis=0).T).sum()) for line in lines)


def ours(drawing: Drawing) -> list[FloatArray]:
    """The polylines of a drawing."""
    return [drawing.strokes.polyline(index) for index in range(len(drawing.strokes))]


def farthest(some: FloatArray, others: FloatArray) -> float:
    """How far the loneliest of some points is from the nearest of the others."""
    tree = shapely.STRtree(shapely.points(others))
    _, distance = tree.query_nearest(shapely.points(some), return_distance=True, all_matches=False)
    return float(distance.max())


@pytest.mark.slow
@pytest.mark.parametrize("name", FILES)
def test_real_plans_have_the_same_corners(name: str) -> None:
    """Each corner that pdfplumber finds on the page is one of ours, to a thousandth of a millimetre on a page of a metre."""
    data = corpus(name)
    drawing = read_pdf(data)
    assert drawing.shown is not None
    size = max(drawing.shown)
    slack = max(SLACK_MM, 4e-7 * size)
    others = list(theirs(data))
    xy = np.vstack(others)
    on_page = ((xy >= -slack) & (xy <= np.array(drawing.shown[2:]) + slack)).all(axis=1)
    assert np.count_nonzero(on_page) > 0.9 * len(xy)
    assert farthest(xy[on_page], drawing.strokes.xy) <= slack


@pytest.mark.slow
@pytest.mark.parametrize("name", [name for name in FILES if name != "barcelona_exported_plan_view.pdf"])
def test_real_plans_have_the_same_length_of_lines(name: str) -> None:
    """Nothing is missing and nothing is doubled: all lines together are as long, where no line leaves the page."""
    data = corpus(name)
    assert length_of(ours(read_pdf(data))) == pytest.approx(length_of(list(theirs(data))), rel=2e-3)


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_pages_made_here_have_the_same_corners(turn: int) -> None:
    """Lines, a rectangle, a form placed turned: on pages turned each corner is where pdfplumber has it."""

    def change(made: pikepdf.Pdf) -> None:
        made.pages[0].obj["/Rotate"] = turn

    data = pdf(plan, change=change)
    others = np.vstack(list(theirs(data)))
    drawing = read_pdf(data)
    assert drawing.shown is not None
    on_page = (others >= 0).all(axis=1) & (others <= drawing.shown[2:]).all(axis=1)
    missing = [point for point in others[on_page] if farthest(point[None], drawing.strokes.xy) > SLACK_MM]
    assert len(missing) == 2  # the two ends of the line that a window clips; pdfplumber does not clip


def test_words_are_where_pdfplumber_has_them() -> None:
    """Words, and the left end of each line of text."""
    data = pdf(plan)
    with pdfplumber.open(io.BytesIO(data)) as file:
        words = [word["text"] for word in file.pages[0].extract_words()]
        left = {char["text"]: char["x0"] * POINT_MM for char in file.pages[0].chars}
    texts = read_pdf(data).texts
    assert sorted(word for text in texts for word in text.words.split()) == sorted(words)
    room = next(text for text in texts if text.words.startswith("Pump"))
    assert room.at[0] == pytest.approx(left["P"], abs=SLACK_MM)
