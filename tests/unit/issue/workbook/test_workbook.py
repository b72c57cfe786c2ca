"""The workbook as another library reads it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from io import BytesIO
from typing import Any

import openpyxl
import pytest
from openpyxl.workbook import Workbook

from leakmap.base.measures import FOOT_M, Units, feet_inches
from leakmap.issue.heading import Heading
from leakmap.issue.workbook.book import LONGEST_TEXT
from leakmap.issue.workbook.workbook import workbook_xlsx
from leakmap.model.job import Job
from leakmap.model.rules import Rules
from leakmap.repair.results import Repairs
from leakmap.repair.work_out import repairs
from leakmap.work.edits.rules import set_units
from tests.helpers.paper_job import heading, paper_job

SHEETS = ["Summary", "Zones", "Stretches", "Joints", "Leaks", "Another method", "Findings", "Rules"]
HOSTILE = (
    '=HYPERLINK("file:///etc", "x")',
    "+1+1",
    "-2",
    "@SUM(1)",
    "a\x00\x0bb\ud800",
    "_x0041_",
    "x" * 40_000,
    "1,5",
)


def read(content: bytes, *, formulas: bool = False) -> Workbook:
    """A workbook, with values or with formulas."""
    return openpyxl.load_workbook(BytesIO(content), data_only=not formulas)


@pytest.fixture(scope="module", params=Units.EACH)
def made(request: pytest.FixtureRequest) -> tuple[Job, Repairs, bytes]:
    """The job of the papers in either system, and its workbook."""
    job = set_units(paper_job(), units=request.param).job
    found = repairs(job)
    return job, found, workbook_xlsx(job, found, heading())


def column(book: Workbook, sheet: str, words: str) -> list[Any]:
    """Cells below a heading that begins with these words."""
    rows = list(book[sheet].iter_rows(values_only=True))
    at = next(at for at, cell in enumerate(rows[0]) if str(cell).startswith(words))
    return [row[at] for row in rows[1:]]


def shown(units: Units, length_m: Decimal) -> float:
    """A length as the cell holds it, by another way than the workbook's."""
    return float(length_m) if units == Units.METRIC else float(length_m / Decimal("0.3048"))


def test_the_same_job_gives_the_same_bytes_and_every_sheet(made: tuple[Job, Repairs, bytes]) -> None:
    """Eight sheets in their order; made twice, not one byte differs; headings stay in view and on every page."""
    job, found, content = made
    assert content == workbook_xlsx(job, found, heading())
    book = read(content)
    assert book.sheetnames == SHEETS
    for name in SHEETS[1:]:
        assert book[name].freeze_panes == "A2"
        assert book[name].print_title_rows == "$1:$1"
        assert book[name].page_setup.paperSize == 9  # A4
        assert book[name].page_setup.orientation == "landscape"
    assert book.properties.created.isoformat() == "2026-11-25T09:30:00"


def test_figures_are_those_of_the_work_out(made: tuple[Job, Repairs, bytes]) -> None:
    """Values that stand beside formulas are the zones' own figures, and sums those of the totals."""
    job, found, content = made
    book = read(content)
    for words, name in (
        ("Measured", "length_m"),
        ("Chargeable", "chargeable_m"),
        ("Wet", "wet_m"),
        ("Bridged", "bridged_m"),
    ):
        expected = [shown(job.units, getattr(zone, name)) for zone in found.zones]
        assert column(book, "Zones", words) == pytest.approx(expected, abs=1e-12)
    summary = {row[0]: row[3] for row in book["Summary"].iter_rows(values_only=True) if row[0]}
    unit = "m" if job.units == Units.METRIC else "ft"
    for words, value in (
        (f"Repair, measured {unit}", found.totals.repair_m),
        (f"Repair, chargeable {unit}", found.totals.chargeable_m),
        (f"Chargeable less measured {unit}", found.totals.chargeable_m - found.totals.repair_m),
        (f"Joints {unit}", found.totals.joint_m),
    ):
        assert summary[words] == pytest.approx(shown(job.units, value), abs=1e-12)


def test_formulas_are_live_and_give_their_values(made: tuple[Job, Repairs, bytes]) -> None:
    """Each length is the difference of its chainages, each zone the sum of its stretches, each sum that of its column."""
    _, found, content = made
    book, live = read(content), read(content, formulas=True)
    starts, ends, lengths = (column(book, "Stretches", words) for words in ("From", "To", "Length"))
    assert lengths == pytest.approx([end - start for start, end in zip(starts, ends, strict=True)], abs=1e-9)
    zones, measured = column(book, "Zones", "Zone"), column(book, "Zones", "Measured")
    of = column(book, "Stretches", "Zone")
    sums = [sum(length for zone, length in zip(of, lengths, strict=True) if zone == ref) for ref in zones]
    assert measured == pytest.approx(sums, abs=1e-9)
    for sheet, words in (("Stretches", "Length"), ("Zones", "Measured"), ("Zones", "Chargeable"), ("Leaks", "Length")):
        assert all(str(cell).startswith("=") for cell in column(live, sheet, words))
    assert len(zones) == len(found.zones) > 3


def test_headings_stand_over_what_they_head(made: tuple[Job, Repairs, bytes]) -> None:
    """Words begin under their heading, one step in, and figures and lengths in feet and inches end under theirs."""
    book = read(made[2])
    for name in SHEETS[1:]:
        head, *rows = book[name].iter_rows()
        for cells in zip(head, *rows, strict=True):
            below = {(cell.alignment.horizontal, cell.alignment.indent) for cell in cells[1:] if cell.value is not None}
            words = below == {("left", 1.0)}
            if below and not any(cell.is_date for cell in cells[1:]):
                assert (cells[0].alignment.horizontal == "left") is words, (name, cells[0].value)
            assert cells[0].alignment.horizontal in {"left", "right"}


def test_rows_are_as_high_as_their_words(made: tuple[Job, Repairs, bytes]) -> None:
    """What wraps is not cut where an office program keeps the heights that it finds: 15 points a line at least."""
    sheet = read(made[2])["Zones"]
    long = 0
    for row in sheet.iter_rows(min_row=2):
        letters = int(sheet.column_dimensions[row[-1].column_letter].width)
        if isinstance(row[-1].value, str) and len(row[-1].value) > letters:
            long += 1
            assert sheet.row_dimensions[row[0].row].height >= 15 * (len(row[-1].value) / letters)
    assert long


def test_decimal_feet_are_said_in_feet_and_inches_beside(made: tuple[Job, Repairs, bytes]) -> None:
    """Live words, as papers print them, beside each length of stretches and zones; none where lengths are metres."""
    job, found, content = made
    book, live = read(content), read(content, formulas=True)
    headings = {str(cell.value) for sheet in ("Zones", "Stretches") for cell in book[sheet][1]}
    wanted = {"Measured ft in", "Chargeable ft in", "From ft in", "To ft in", "Length ft in"}
    if job.units.metric:
        assert not wanted & headings
        return
    assert wanted < headings
    for sheet, words in (
        ("Zones", "Measured"),
        ("Zones", "Chargeable"),
        ("Stretches", "From"),
        ("Stretches", "Length"),
    ):
        said, feet = column(book, sheet, f"{words} ft in"), column(book, sheet, f"{words} ft")
        assert said == [feet_inches(Decimal(repr(value)) * FOOT_M) for value in feet]
        assert all(str(cell).startswith("=") for cell in column(live, sheet, f"{words} ft in"))
    assert column(book, "Zones", "Measured ft in")[0] == feet_inches(found.zones[0].length_m)


def texts(book: Workbook) -> Iterator[str]:
    """Every text of a workbook."""
    for sheet in book:
        for row in sheet.iter_rows():
            yield from (cell.value for cell in row if cell.data_type == "s")


@pytest.mark.parametrize("words", HOSTILE)
def test_hostile_words_stay_words(words: str) -> None:
    """What people typed is no formula, link or number, whatever it looks like; what no cell can hold is left out."""
    job = paper_job()
    leak = next(iter(job.leaks.values()))
    job = replace(job, leaks={**job.leaks, leak.id: replace(leak, note=words)})
    content = workbook_xlsx(job, repairs(job), replace(heading(), job_name=f"{words[:80]} & co"))
    live = read(content, formulas=True)
    kept = re.sub("[\x00-\x08\x0b\ud800]", " ", words)
    kept = kept if len(kept) <= LONGEST_TEXT else f"{'x' * (LONGEST_TEXT - 1)}…"
    found = next(cell for cell in live["Leaks"]["N"] if cell.row > 1 and cell.value)
    assert found.data_type == "s"
    assert found.value in {kept, kept.replace("_x0041_", "_x005F_x0041_")}  # as the file format writes it
    assert not any(cell.hyperlink for row in live["Leaks"].iter_rows() for cell in row)
    assert found.quotePrefix is (words[0] in "=+-@")


def test_paper_and_words_are_those_of_the_job() -> None:
    """An office with US sheets prints on letter paper; a provisional workbook says that it is not for work."""
    job = replace(paper_job(), rules=Rules(largest_paper="ARCH D"))
    provisional: Heading = heading(None)
    book = read(workbook_xlsx(job, repairs(job), provisional))
    assert book["Zones"].page_setup.paperSize == 1  # letter
    assert {"provisional, not for work", "not issued"} <= set(texts(book))
    assert any("Read them" in words for words in texts(book))


def test_values_of_rules_have_the_words_of_the_trade() -> None:
    """How far the plug goes is told by the word that the rest of the workbook has for a slot."""
    for units, word in zip(Units.EACH, ("slot", "groove"), strict=True):
        job = set_units(paper_job(), units=units).job
        assert f"whole {word}" in texts(read(workbook_xlsx(job, repairs(job), heading())))
