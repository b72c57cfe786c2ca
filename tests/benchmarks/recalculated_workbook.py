"""The workbook reckoned again by another office program: every formula gives the value that stood there.

Run by hand, where LibreOffice is installed (Debian: libreoffice-calc-nogui). An office program keeps the values it finds,
so the values of formulas are taken out first; then it has to reckon. Equal means
all 15 digits that the program writes: a foot has no end of decimals.

    python tests/benchmarks/recalculated_workbook.py
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
import zipfile
from collections import defaultdict
from dataclasses import replace
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import Any

import openpyxl

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from leakmap.base.measures import Units
from leakmap.issue.workbook.workbook import workbook_xlsx
from leakmap.model.rates import Per, Rates
from leakmap.model.sheet import Source
from leakmap.model.words import Purpose
from leakmap.repair.work_out import repairs
from leakmap.work.edits.rules import set_units
from leakmap.work.sample_job import sample_job
from tests.helpers.paper_job import heading, paper_job

RATES = Rates(
    currency="TND",
    per=Per.FOOT,
    slot_plug=Decimal("61.5555"),
    deep_plug_relief=Decimal("96.4375"),
    corner=Decimal("0.0125"),
    relief_point=Decimal("35.5"),
    zone=Decimal("12.0625"),
)
"""Rates that give many amounts of which a half of the minor unit is rounded; one method has none."""

VALUE = re.compile(rb"(</f>)<v>[^<]*</v>")


def without_values(workbook: bytes) -> bytes:
    """The same workbook, its formulas without their values."""
    out = BytesIO()
    with zipfile.ZipFile(BytesIO(workbook)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, VALUE.sub(rb"\1", old.read(name)))
    return out.getvalue()


def reckoned(workbook: bytes) -> bytes:
    """The workbook as the office program saves it."""
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder, "in.xlsx")
        source.write_bytes(without_values(workbook))
        profile = f"-env:UserInstallation=file://{folder}/profile"
        words = ["soffice", profile, "--headless", "--convert-to", "xlsx", "--outdir", f"{folder}/out", str(source)]
        subprocess.run(words, check=True, capture_output=True)
        return Path(folder, "out", "in.xlsx").read_bytes()


def values(workbook: bytes, *, formulas: bool) -> dict[tuple[str, str], Any]:
    """Cells by sheet and address: formulas, or values."""
    book = openpyxl.load_workbook(BytesIO(workbook), data_only=not formulas)
    return {
        (sheet.title, cell.coordinate): cell.value
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if cell.value is not None
    }


def digits(value: Any) -> str:  # noqa: ANN401 - whatever a cell holds
    """A figure to the digits that a saved file keeps."""
    return f"{value:.15G}" if isinstance(value, int | float) else repr(value)


def main() -> None:
    """Compare the sample and the job of the paper tests, in both systems of units."""
    blank = defaultdict(lambda: Source(name="blank.dxf", sha256="00" * 32))
    for job in (replace(paper_job(), rates=RATES), sample_job(sources=blank)):
        for units in Units.EACH:
            there = set_units(job, units=units).job
            made = workbook_xlsx(there, repairs(there), heading(Purpose.PRICE))
            formulas = [key for key, cell in values(made, formulas=True).items() if str(cell).startswith("=")]
            ours, theirs = values(made, formulas=False), values(reckoned(made), formulas=False)
            differ = [
                (key, ours[key], theirs.get(key)) for key in formulas if digits(ours[key]) != digits(theirs.get(key))
            ]
            print(f"{job.name}, {units}: {len(formulas)} formulas, {len(differ)} differ {differ[:3]}")
            if differ or not formulas:
                sys.exit(1)


if __name__ == "__main__":
    main()
