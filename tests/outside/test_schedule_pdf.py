"""The PDF repair schedule against published series, and as other libraries read it.

Sources: ISO 216 (sheets from 1 m² and √2, rebuilt here; table from memory), ISO 5455:1979 (scales, quoted
in textbooks), ISO 3098-1 (letter heights, from memory), ISO 128-2 (line widths, from memory). The file is
read by pdfplumber and pikepdf, which had no part in writing it.
"""

from __future__ import annotations

import io
import re
from dataclasses import replace
from decimal import Decimal
from itertools import islice
from math import hypot

import numpy as np
import pdfplumber
import pikepdf
import pypdfium2
import pytest
from PIL import Image

from leakmap.drawings.scan.read import read_scan
from leakmap.geometry.placement import Placement
from leakmap.issue.marks.primitives import WIDTHS_MM
from leakmap.issue.schedule_pdf.paper import SHEETS_MM, iso_scales
from leakmap.issue.schedule_pdf.schedule import schedule_pdf
from leakmap.model.drawing import Drawing, Layer, Strokes, Text, UnitHint
from leakmap.model.job import Job
from leakmap.model.rules import Rules
from leakmap.model.sheet import Sheet, Source
from leakmap.model.words import Purpose
from leakmap.repair.results import Repairs
from tests.helpers.hand_made import made_id, repairs_of
from tests.helpers.paper_ink import drawn_widths_mm, least_capital_mm
from tests.helpers.paper_job import B2_SOURCE, DRAWING, heading, paper_job, paper_repairs

MM_PER_POINT = 25.4 / 72


def test_sheets_follow_from_one_square_metre_and_the_root_of_two() -> None:
    """A0 is 1 m² with sides 1 : √2 to the nearest millimetre; each next size halves the long side, rounded down."""
    short, long = round(1000 * 2**-0.25), round(1000 * 2**0.25)
    rebuilt = {}
    for name in ("A0", "A1", "A2", "A3", "A4"):
        rebuilt[name] = (short, long)
        short, long = long // 2, short
    assert rebuilt == SHEETS_MM


def test_scales_are_those_of_iso_5455() -> None:
    """1:1 and the reduction scales of the standard's table."""
    table = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000]
    assert list(islice(iso_scales(), len(table))) == table


def ten_metres(box_m: tuple[float, float]) -> Drawing:
    """A drawing in millimetres with one line of 10 m, shown in a box of the size given."""
    xy = np.array([(1000.0, 2000.0), (11000.0, 2000.0)])
    return Drawing(
        origin=(0.0, 0.0),
        layers=(Layer("LINE"),),
        strokes=Strokes(xy, np.array([0, 2], dtype=np.int32), np.array([0], dtype=np.int32)),
        texts=(Text((1000.0, 3000.0), 400.0, 0.0, 0.0, 0.0, "LEVEL", 0),),
        unit=UnitHint(0.001, "the header says millimetre"),
        shown=(0.0, 0.0, box_m[0] * 1000, box_m[1] * 1000),
    )


def plan_of(box_m: tuple[float, float], largest: str) -> tuple[Job, Repairs, dict[Source, Drawing]]:
    """A job with that drawing alone."""
    source = Source(name="line.dxf", sha256=DRAWING)
    placement = Placement(x_m_per_unit=0.001, y_m_per_unit=0.001)
    sheet = Sheet(id=made_id("s"), name="B1", placement=placement, source=source)
    job = Job(id=made_id("one"), name="Ten metres", sheets={sheet.id: sheet}, rules=Rules(largest_paper=largest))
    return job, repairs_of(job, ()), {source: ten_metres(box_m)}


@pytest.mark.slow
@pytest.mark.parametrize(
    ("box_m", "largest", "scale", "paper", "printed_mm"),
    [
        ((14.0, 9.0), "A3", 50, "A3", 200.0),
        ((14.0, 9.0), "A4", 100, "A4", 100.0),
        ((20.0, 30.0), "A4", 200, "A4", 50.0),
    ],
)
def test_ten_metres_print_true_to_scale(
    box_m: tuple[float, float], largest: str, scale: int, paper: str, printed_mm: float
) -> None:
    """10 m measure 200.00, 100.00 and 50.00 mm on paper at 1:50, 1:100 and 1:200, and the page is the ISO sheet."""
    job, work, drawings = plan_of(box_m, largest)
    data = schedule_pdf(job, work, drawings=drawings, heading=heading()).data
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        page = next(
            page
            for page in pdf.pages
            if f"1:{scale} on {paper}" in page.extract_text() and "KEY" in page.extract_text()
        )
        lines = [
            line for line in page.lines if line["stroking_color"] == pytest.approx((0.6627, 0.6784, 0.6745), abs=1e-3)
        ]
        lengths = [hypot(line["x1"] - line["x0"], line["bottom"] - line["top"]) * MM_PER_POINT for line in lines]
        assert lengths == [pytest.approx(printed_mm, abs=0.01)]
        sides = sorted((round(page.width * MM_PER_POINT), round(page.height * MM_PER_POINT)))
        assert tuple(sides) == SHEETS_MM[paper]


def scan_of(px: tuple[int, int], dark: tuple[int, int, int, int]) -> Drawing:
    """A white scan with a dark rectangle: left, top, right, bottom, pixels."""
    paper = Image.new("L", px, 255)
    paper.paste(0, dark)
    out = io.BytesIO()
    paper.save(out, "PNG")
    return read_scan(out.getvalue())


@pytest.mark.slow
@pytest.mark.parametrize("turn_deg", [0.0, 90.0])
def test_scan_prints_true_to_scale(turn_deg: float) -> None:
    """1,000 × 700 pixels of 10 mm are 10 m × 7 m: at 1:50 on A3 the tiles together measure 200 × 140 mm."""
    source = Source(name="scan.png", sha256=DRAWING, pixel=1.0)
    placement = Placement(x_m_per_unit=0.01, y_m_per_unit=0.01, turn_deg=turn_deg)
    sheet = Sheet(id=made_id("s"), name="B1", placement=placement, source=source)
    job = Job(id=made_id("one"), name="Ten metres", sheets={sheet.id: sheet}, rules=Rules(largest_paper="A3"))
    scan = scan_of((1000, 700), (400, 300, 500, 400))
    data = schedule_pdf(job, repairs_of(job, ()), drawings={source: scan}, heading=heading()).data
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        page = next(page for page in pdf.pages if "1:50 on A3" in page.extract_text() and page.images)
        boxes = np.array([(image["x0"], image["top"], image["x1"], image["bottom"]) for image in page.images])
    assert len(boxes) == 4
    extent = (boxes[:, 2:].max(axis=0) - boxes[:, :2].min(axis=0)) * MM_PER_POINT
    assert extent == pytest.approx((200, 140) if turn_deg == 0 else (140, 200), abs=0.01)
    with pypdfium2.PdfDocument(data) as read:
        seen = np.asarray(read[page.page_number - 1].render(scale=2).to_pil().convert("L"))
    left, top, right, bottom = (int(2 * value) for value in (*boxes[:, :2].min(axis=0), *boxes[:, 2:].max(axis=0)))
    part = seen[top + 2 : bottom - 2, left + 2 : right - 2]
    grey = np.argwhere(np.abs(part.astype(int) - 169) < 8)  # the tone of printed drawings
    share = grey.mean(axis=0) / part.shape
    wanted = (0.5, 0.45) if turn_deg == 0 else (0.55, 0.5)  # middle of the dark rectangle, down and across
    assert share == pytest.approx(wanted, abs=0.01)


@pytest.fixture(scope="module")
def data() -> bytes:
    """The paper of a job with every kind of joint and every wetness."""
    job = paper_job()
    return schedule_pdf(
        job, paper_repairs(job), drawings={B2_SOURCE: in_metres(ten_metres((32, 22)))}, heading=heading()
    ).data


def in_metres(drawing: Drawing) -> Drawing:
    """The same drawing in metres."""
    assert drawing.shown is not None
    box = tuple(value / 1000 for value in drawing.shown)
    strokes = replace(drawing.strokes, xy=drawing.strokes.xy / 1000)
    return replace(drawing, strokes=strokes, shown=box, texts=())  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def texts(data: bytes) -> list[str]:
    """Text of each page."""
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        return [page.extract_text() for page in pdf.pages]


@pytest.mark.slow
def test_every_page_says_job_revision_date_and_its_number(texts: list[str]) -> None:
    """Page n of m, m being the number of pages that another library counts."""
    for number, text in enumerate(texts, start=1):
        assert f"page {number} of {len(texts)}" in text
        assert "Tern Quay pumping station" in text
        assert "C02" in text
        assert "25 Nov 2026" in text


@pytest.mark.slow
def test_printed_totals_are_the_sums_of_printed_rows(texts: list[str]) -> None:
    """Lengths of stretches on the cards add up to their zones, these to firm and provisional, these to the front page."""
    whole = "\n".join(texts)
    cards = re.split(r"\n(Z-\d+) (?:Slot|Deep slot|Repair)", whole.partition("\nLengths, coats and volumes")[0])
    on_card = {
        ref: sum(map(Decimal, re.findall(r"\b(\d+\.\d{3})(?: m long| × \d)", words)))
        for ref, words in zip(cards[1::2], cards[2::2], strict=True)
    }
    in_table = {
        row[1]: Decimal(row[2])
        for row in re.finditer(r"^(Z-\d+|Firm|Provisional|All zones) (\d+\.\d{3}) ", whole, re.MULTILINE)
    }
    assert len(on_card) == 12
    assert on_card == {ref: metres for ref, metres in in_table.items() if ref.startswith("Z")}
    assert sum(on_card.values()) == in_table["All zones"] == in_table["Firm"] + in_table["Provisional"]
    front = re.search(r"Repair, measured m (\S+) (\S+) (\S+)", texts[0])
    assert front
    assert [Decimal(part) for part in front.groups()] == [
        in_table[name] for name in ("Firm", "Provisional", "All zones")
    ]
    assert in_table["Firm"] > in_table["Provisional"] > 0


@pytest.mark.slow
def test_coats_and_volumes_add_up_in_every_column(texts: list[str]) -> None:
    """Eight columns: zones sum to their subtotal, subtotals to the total."""
    rows: list[list[Decimal]] = []
    sums: dict[str, list[Decimal]] = {}
    for line in "\n".join(texts).split("\n"):
        row = re.match(r"(Z-\d+|Firm|Provisional|All zones)((?: \d+\.\d+){8})$", line)
        if row and row[1].startswith("Z"):
            rows.append([Decimal(part) for part in row[2].split()])
        elif row:
            sums[row[1]] = [Decimal(part) for part in row[2].split()]
            if row[1] != "All zones":
                assert sums[row[1]] == [sum(column) for column in zip(*rows, strict=True)], line
                rows = []
    assert sums["All zones"] == [a + b for a, b in zip(sums["Firm"], sums["Provisional"], strict=True)]


@pytest.mark.slow
def test_a_paper_for_work_prints_provisional_zones_apart_and_one_for_price_does_not_say_so() -> None:
    """Provisional zones stand under "not for work" on an issue for work."""
    job = paper_job()
    for purpose, expected in ((Purpose.WORK, True), (Purpose.PRICE, False)):
        paper = schedule_pdf(job, paper_repairs(job), drawings={}, heading=heading(purpose)).data
        with pikepdf.open(io.BytesIO(paper)) as pdf:
            assert len(pdf.pages) > 4
        with pdfplumber.open(io.BytesIO(paper)) as pdf:
            words = " ".join(page.extract_text() for page in pdf.pages if page.width < 600)
        assert ("Provisional zones: not for work" in words) is expected
        assert "Z-06" in words


def test_every_font_is_embedded(data: bytes) -> None:
    """Each font of each page and form carries its own font file."""
    checked = 0
    with pikepdf.open(io.BytesIO(data)) as pdf:
        for item in pdf.objects:
            if isinstance(item, pikepdf.Dictionary) and item.get("/Type") == "/Font":
                assert "/FontFile2" in item["/FontDescriptor"], str(item["/BaseFont"])
                checked += 1
    assert checked >= 2


@pytest.mark.slow
def test_nothing_is_cut_off(data: bytes) -> None:
    """Every letter of a table page lies inside its margins, every letter of a plan inside its frame."""
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        for page in pdf.pages:
            table = sorted((round(page.width * MM_PER_POINT), round(page.height * MM_PER_POINT))) == [210, 297]
            right_mm = 12 if table else 10
            for char in page.chars:
                assert char["x0"] * MM_PER_POINT >= 20 - 0.3
                assert (page.width - char["x1"]) * MM_PER_POINT >= right_mm - 0.3, char["text"]
                assert char["top"] * MM_PER_POINT >= 8


@pytest.mark.slow
def test_lines_and_letters_are_of_the_standard_sizes(data: bytes) -> None:
    """Capitals of references 2.5 and 3.5 mm (ISO 3098-1) and of nothing under 1.8 mm; every line of the series of ISO 128-2."""
    assert 0.5 in drawn_widths_mm(data) <= set(WIDTHS_MM)
    assert least_capital_mm(data) >= 1.8 - 1e-6
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        page = next(page for page in pdf.pages if "Leak repair, level B2" in page.extract_text())
        sizes = {round(char["size"] * 0.7 * MM_PER_POINT, 2) for char in page.chars}
        assert {1.8, 2.5, 3.5} <= sizes


@pytest.mark.slow
def test_the_text_can_be_searched_and_copied(texts: list[str]) -> None:
    """Units and signs come out as what they are: square metres, en dashes, the true minus."""
    whole = "\n".join(texts)
    for sign in ("m²", "–", "−7.800", "µg/m³"):
        assert sign in whole
    assert "Overrun: extension of the repair past visible water" in texts[0]
