"""The plan set as other libraries read it: scale, sheets, layers, links, and tapes that find their places again.

Sources: ISO 216 (sheets), ISO 5457 (borders and fields), ISO 7200:2004 (fields of data of a title block, read in a
summary), ISO 3098-1 (letter heights) and ISO 128-2 (line widths), all but the third from memory. The file is read by
pdfplumber and pikepdf, which had no part in drawing it; places are found from the printed tapes by trilateration.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from math import atan2, degrees, hypot, sqrt

import numpy as np
import pdfplumber
import pikepdf
import pytest
from pdfplumber.page import Page

from leakmap.geometry.boxes import holds
from leakmap.geometry.path import Path
from leakmap.issue.layers import Layer
from leakmap.issue.marks.primitives import WIDTHS_MM
from leakmap.issue.plan_set.plan_set import levels_of, plan_set
from leakmap.issue.plan_set.sheets import laid_out
from leakmap.issue.plan_set.views import Kind
from leakmap.issue.schedule_pdf.lettering import Lettering, use_faces
from leakmap.issue.schedule_pdf.paper import SHEETS_MM
from leakmap.model.drawing import Drawing, Strokes, UnitHint
from leakmap.model.drawing import Layer as DrawnLayer
from leakmap.model.grid import Grid, axes_with_bays
from leakmap.model.job import Job
from leakmap.model.joint import plan_path
from leakmap.repair.results import Repairs
from leakmap.repair.work_out import repairs
from tests.helpers.hand_made import made_id
from tests.helpers.paper_ink import drawn_widths_mm, least_capital_mm
from tests.helpers.paper_job import B2, B2_SOURCE, heading, paper_job

MM_PER_POINT = 25.4 / 72
DRAWN = (0.6627, 0.6784, 0.6745)


def ten_metres() -> Drawing:
    """A drawing in metres with one line of 10 m that lies on a level of 32 by 22 m."""
    xy = np.array([(2.0, 3.0), (12.0, 3.0)])
    strokes = Strokes(xy, np.array([0, 2], dtype=np.int32), np.array([0], dtype=np.int32))
    return Drawing(
        origin=(0.0, 0.0),
        layers=(DrawnLayer("LINE"),),
        strokes=strokes,
        texts=(),
        unit=UnitHint(1.0, "the header says metre"),
        shown=(0.0, 0.0, 32.0, 22.0),
    )


@pytest.fixture(scope="module")
def job() -> Job:
    """Every kind of joint on two levels with a grid, so wide that B2 is parted on A3."""
    grid = Grid(letters=axes_with_bays("ABCD", (10, 10, 12)), numbers=axes_with_bays("123", (9, 9), towards_deg=90))
    made = paper_job()
    far = replace(
        made.joints[made_id("J-01")], id=made_id("J-90"), ref="J-90", path=Path(((33.0, 5.0), (46.0, 5.0))), blind=()
    )
    joints = {**made.joints, far.id: far}
    sheets = {**made.sheets, B2: replace(made.sheets[B2], north_deg=30.0)}
    rules = replace(made.rules, largest_paper="A3")
    return replace(made, grid=grid, joints=joints, sheets=sheets, rules=rules, legal_owner="Harbour board")


@pytest.fixture(scope="module")
def work(job: Job) -> Repairs:
    """Its repairs as the program works them out."""
    return repairs(job)


@pytest.fixture(scope="module")
def data(job: Job, work: Repairs) -> bytes:
    """The paper."""
    return plan_set(job, work, drawings={B2_SOURCE: ten_metres()}, heading=heading()).data


@pytest.fixture(scope="module")
def pages(data: bytes) -> Iterator[list[Page]]:
    """Its pages as another library reads them."""
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        yield pdf.pages


@pytest.fixture(scope="module")
def texts(pages: list[Page]) -> list[str]:
    """Text of each page."""
    return [page.extract_text() for page in pages]


@pytest.mark.slow
def test_the_same_job_gives_the_same_bytes(job: Job, work: Repairs, data: bytes) -> None:
    """Byte-identical when made twice."""
    assert plan_set(job, work, drawings={B2_SOURCE: ten_metres()}, heading=heading()).data == data


@pytest.mark.slow
def test_lines_and_capitals_are_those_of_the_standards(data: bytes) -> None:
    """Every line that is drawn, mark, frame or rule, is of a width of the series; no capital of our own is under 1.8 mm."""
    assert drawn_widths_mm(data) <= set(WIDTHS_MM)
    assert least_capital_mm(data) >= 1.8 - 1e-6


@pytest.mark.slow
def test_plans_are_true_to_their_scale(pages: list[Page], texts: list[str]) -> None:
    """10 m measure 50 mm at 1:200 and 100 mm at 1:100; sheets are A3 and A4."""
    lengths: dict[str, list[float]] = {}
    for page, text in zip(pages, texts, strict=True):
        sides = sorted((round(page.width * MM_PER_POINT), round(page.height * MM_PER_POINT)))
        assert tuple(sides) in {SHEETS_MM["A3"], SHEETS_MM["A4"]}
        scale = re.search(r"1:(\d+) on A3", text)
        if scale is None:
            continue
        for line in page.lines:
            if line["stroking_color"] == pytest.approx(DRAWN, abs=1e-3) and line["linewidth"] < 0.15 / MM_PER_POINT:
                long = hypot(line["x1"] - line["x0"], line["bottom"] - line["top"]) * MM_PER_POINT
                lengths.setdefault(scale[1], []).append(long)
    assert lengths["200"] == [pytest.approx(50, abs=0.01)]
    assert lengths["100"] == [pytest.approx(100, abs=0.01)] * len(lengths["100"])


@pytest.mark.slow
def test_the_scale_bar_is_true(pages: list[Page], texts: list[str]) -> None:
    """Its five parts, 1.2 mm high, are on paper what the figure at its end stands for at the scale of the title block."""
    measured = 0
    for page, text in zip(pages, texts, strict=True):
        scale = re.search(r"1:(\d+) on A3", text)
        parts = [rect for rect in page.rects if rect["height"] * MM_PER_POINT == pytest.approx(1.2, abs=0.01)]
        if scale is None:
            continue
        assert len(parts) == 5
        left, right = min(part["x0"] for part in parts), max(part["x1"] for part in parts)
        metres = (right - left) * MM_PER_POINT * int(scale[1]) / 1000
        (top,) = {round(part["top"], 2) for part in parts}
        over = page.crop((right - 4, top - 9, right + 20, top)).extract_text()
        assert over == f"{metres:.0f} m"
        measured += 1
    assert measured >= 3


@pytest.mark.slow
def test_nothing_in_the_column_of_a_sheet_lies_on_something_else(pages: list[Page], texts: list[str]) -> None:
    """No two words of key, key plan and north share a place on A3, where all rows of the key have just room."""
    for page, text in zip(pages, texts, strict=True):
        if "Title" not in text:
            continue
        edge = page.width - (10 + 54) / MM_PER_POINT + 1
        strip = page.height - (10 + 40) / MM_PER_POINT
        words = page.crop((edge, 0, page.width, strip)).extract_words()
        assert {"KEY", "PLAN"} <= {word["text"] for word in words} or "KEY PLAN" not in text
        for one, other in combinations(words, 2):
            wide = min(one["x1"], other["x1"]) - max(one["x0"], other["x0"])
            high = min(one["bottom"], other["bottom"]) - max(one["top"], other["top"])
            assert wide <= 0.5 or high <= 0.3 * (one["bottom"] - one["top"]), (one["text"], other["text"])


@pytest.mark.slow
def test_every_sheet_has_its_title_block_and_says_which_page_it_is(texts: list[str]) -> None:
    """The fields of data of ISO 7200 stand on each plan; every page bears job, revision, date and its number of how many."""
    plans = [text for text in texts if "Title" in text]
    assert len(plans) >= 4
    for text in plans:
        for words in ("Legal owner", "Identification number", "Date of issue", "Sheet", "Approved by", "Created by"):
            assert words in text
        assert "Harbour board" in text
        assert "–" in text.split("Approved by")[1].split("Identification")[0]
        for words in ("Document type", "Repair plan and setting-out", "Leak repair, level", "site office"):
            assert words in text
    assert len({re.search(r"PLAN-\d+", text)[0] for text in plans}) == len(plans)  # type: ignore[index]
    for number, text in enumerate(texts, start=1):
        assert f"page {number} of {len(texts)}" in text
        for words in ("Tern Quay pumping station", "C02", "25 Nov 2026"):
            assert words in text


@pytest.mark.slow
def test_north_is_an_arrow_where_the_level_knows_it(pages: list[Page], texts: list[str]) -> None:
    """B2's north lies 30° clockwise of up: the arrow's shaft, 11 mm long, does too, and an N stands beyond it; B1 says words."""
    for page, text in zip(pages, texts, strict=True):
        if "Title" not in text:
            continue
        edge = (page.width * MM_PER_POINT - 10 - 54) / MM_PER_POINT
        shafts = [
            line for line in page.lines
            if line["x0"] > edge and hypot(line["width"], line["height"]) * MM_PER_POINT == pytest.approx(11, abs=0.01)
        ]  # fmt: skip
        assert ("North: not known" in text) is ("level B1" in text)
        if "level B2" in text:
            (shaft,) = shafts
            (x0, y0), (x1, y1) = shaft["pts"]
            assert degrees(atan2(x1 - x0, y0 - y1)) == pytest.approx(30, abs=0.1)
            n = next(
                char for char in page.chars if char["text"] == "N" and char["x0"] > edge and abs(char["x0"] - x1) < 15
            )
            assert n["bottom"] < y1 + 3


@pytest.mark.slow
def test_match_lines_name_each_other(pages: list[Page], texts: list[str]) -> None:
    """Each part says which sheet goes on beyond its match line, and that one says the same of it."""
    seen: dict[int, set[int]] = {}
    for number, page in enumerate(pages, start=1):
        upright = sorted(
            (char for char in page.chars if not char["upright"]), key=lambda char: (round(char["x0"]), -char["top"])
        )
        words = f"{''.join(char['text'] for char in upright)} {texts[number - 1]}"
        seen[number] = {int(other) for other in re.findall(r"match line, see sheet (\d+)", words)}
    assert sum(map(len, seen.values())) >= 2
    for number, others in seen.items():
        assert all(number in seen[other] for other in others)


@pytest.mark.slow
def test_the_general_plan_says_on_which_sheet_each_zone_is(work: Repairs, texts: list[str]) -> None:
    """Every zone of the ranges in the frame of a part has its reference on that sheet; all zones of the level are in one."""
    general = next(text for text in texts if "general plan" in text)
    told: dict[int, set[int]] = {}
    for number, words in re.findall(r"sheet (\d+): ((?:Z-\d+(?:[–, ]+)?)+)", general):
        for first, last in re.findall(r"Z-(\d+)(?:–Z-(\d+))?", words):
            told.setdefault(int(number), set()).update(range(int(first), int(last or first) + 1))
    assert sum(map(len, told.values())) >= len([zone for zone in work.zones if B2 in zone.sheets])
    for number, zones in told.items():
        assert all(f"Z-{zone:02d}" in texts[number - 1] for zone in zones)


@pytest.mark.slow
def test_layers_can_be_switched(data: bytes) -> None:
    """Each layer is an optional content group that pages name and mark; marks are opened and closed in pairs."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        groups = {str(group.Name): group.objgen for group in pdf.Root.OCProperties.OCGs}
        assert set(groups) == {layer.value for layer in Layer}
        assert {group.objgen for group in pdf.Root.OCProperties.D.Order} == set(groups.values())
        used = set()
        for page in pdf.pages:
            open_marks = 0
            for operands, operator in pikepdf.parse_content_stream(page):
                if str(operator) == "BDC":
                    assert str(operands[0]) == "/OC"
                    used.add(page.Resources.Properties[str(operands[1])].objgen)
                    open_marks += 1
                open_marks -= str(operator) == "EMC"
                assert open_marks in {0, 1}
            assert open_marks == 0
        assert used == set(groups.values())


@pytest.mark.slow
def test_links_lead_from_each_zone_to_its_row_and_back(work: Repairs, data: bytes, texts: list[str]) -> None:
    """A reference on a plan leads to a page of the table that names the zone, a row to a plan that shows it."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        number_of = {page.objgen: number for number, page in enumerate(pdf.pages)}
        with pdf.open_outline() as outline:
            titles = [item.title for item in outline.root]
            zones = {child.title for item in outline.root for child in item.children}
        assert {f"Sheet {number + 1}" for number, text in enumerate(texts) if "Title" in text} == {
            title.split(":")[0] for title in titles if title.startswith("Sheet")
        }
        assert {zone.ref for zone in work.zones} <= zones
        forth, back = 0, 0
        for number, page in enumerate(pdf.pages):
            for link in page.get("/Annots", ()):
                to = number_of[link.Dest[0].objgen]
                if "Title" in texts[number]:
                    assert "second tape" in texts[to]
                    forth += 1
                else:
                    assert "Title" in texts[to]
                    back += 1
        assert forth >= len(work.zones)
        assert back >= len(work.zones)


@pytest.mark.slow
def test_printed_tapes_find_every_place_again(job: Job, work: Repairs, texts: list[str]) -> None:
    """Trilateration from the tapes, points and sides as printed gives the place of the printed chainage, within 3 mm."""
    use_faces()
    level = next(
        level for level in levels_of(job, work, {B2_SOURCE: ten_metres()}, Lettering()) if level.sheet.id == B2
    )
    assert level.set_out is not None
    points = {known.name: np.array(known.at) for known in level.set_out.known if known.name}
    joints = {joint.ref: joint for joint in job.joints.values()}
    row = re.compile(r"(J-\d+) (\d+\.\d+) ([^\s*]+)\*? (\d+\.\d+) ([^\s*]+)\*? (\d+\.\d+) (left|right) (\d+) mm")
    page = next(text for text in texts if "Setting-out, level B2" in text)
    found = row.findall(page)
    assert len(found) >= 12
    for ref, chainage, one, first, other, second, side, miss in found:
        a, b, r, s = points[one], points[other], float(first), float(second)
        base = float(np.linalg.norm(b - a))
        along = (r**2 - s**2 + base**2) / (2 * base)
        east = (b - a) / base
        north = np.array([-east[1], east[0]]) * (1 if side == "left" else -1)
        place = a + along * east + sqrt(max(r**2 - along**2, 0.0)) * north
        path = plan_path(joints[ref])
        assert path is not None
        true = path.point_at(float(chainage) - joints[ref].start_m)
        assert place == pytest.approx(true, abs=0.003)
        assert 14 <= int(miss) <= 39


def test_every_zone_and_leak_lies_whole_on_a_sheet(job: Job, work: Repairs) -> None:
    """On a part or the general plan; a part of a level never shows more than its field."""
    use_faces()
    levels = levels_of(job, work, {B2_SOURCE: ten_metres()}, Lettering())
    sheets = laid_out(levels, heading()).sheets
    assert {sheet.kind for sheet in sheets.each} >= {Kind.GENERAL, Kind.PART}
    for level in levels:
        views = [view for sheet in sheets.of(level) for view in sheet.views]
        for box in [*level.zones.values(), *level.leaks.values()]:
            assert any(holds(view.seen, box) for view in views)
        for view in views:
            assert holds(view.field_mm, view.on_page(view.seen))
