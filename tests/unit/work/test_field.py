"""Field tables as they come back: what is taken, what is said of the rest."""

from __future__ import annotations

import csv
import zipfile
from dataclasses import replace
from datetime import UTC, date, datetime
from io import BytesIO, StringIO
from typing import Any

import openpyxl
import pytest

from leakmap.base.errors import UnusableTable
from leakmap.base.measures import Units
from leakmap.issue.field_sheets.entry import ENTRY_COLUMNS, entry_xlsx
from leakmap.model.job import Job, Numbers
from leakmap.model.words import Wetness
from leakmap.records.tables import book_table
from leakmap.work.edits.rules import set_units
from leakmap.work.field import COLUMNS, FieldLeaks, leaks_from, read_field, told
from tests.helpers.paper_job import paper_job

AT = datetime(2026, 11, 25, tzinfo=UTC)
ROWS: list[tuple[Any, ...]] = [
    ("J-03", 1.25, "2,5", "3 drip", date(2026, 11, 24), "1,5", "=1+1"),
    ("J-03", "6' 4", None, 0, 46351, None, None),
    ("J-03", "4", "4.5", "jet", "2026-11-25", None, None),
    ("J-99", 1, 2, 3, None, None, None),
    ("J-03", 13.9, 14.2, 3, None, None, None),
    ("J-03", 5, 6, 7, None, None, None),
    ("J-02", 2.0, 3.4, 1, None, None, None),
    ("J-02", 3.0, 3.6, 2, None, None, None),
    ("J-03", 5, 6, 2, "yesterday or so", None, None),
    ("J-06", None, None, None, None, None, None),
]


def filled(rows: list[tuple[Any, ...]], job_units: Units = Units.METRIC) -> bytes:
    """The table of the job, its rows as another library fills them in."""
    book = openpyxl.load_workbook(BytesIO(entry_xlsx(set_units(paper_job(), units=job_units).job, at=AT)))
    sheet = book["Leaks"]
    for at, row in enumerate(rows, start=2):
        for column, value in enumerate(row, start=1):
            cell = sheet.cell(at, column, value)
            cell.data_type = "s" if isinstance(value, str) else cell.data_type  # a note may look like a formula
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def job_in(units: Units = Units.METRIC) -> Job:
    """The job of the papers, which has used the numbers of its leaks."""
    return replace(set_units(paper_job(), units=units).job, numbers=Numbers(leak=14))


def taken(content: bytes, units: Units = Units.METRIC) -> FieldLeaks:
    """What taking a file would do to the job of the papers."""
    return leaks_from(job_in(units), read_field(content, "field.xlsx", units))


def test_filled_rows_come_back_and_the_rest_is_said() -> None:
    """Figures, commas, feet, numbers of days and words of lists are read; each bad row has its own sentence, and no more."""
    found = taken(filled(ROWS))
    job = paper_job()
    refs = {joint.id: joint.ref for joint in job.joints.values()}
    got = [(refs[leak.joint], leak.from_m, leak.to_m, leak.wetness, leak.seen) for leak in found.leaks]
    assert got == [
        ("J-03", 1.25, 2.5, Wetness.DRIP, date(2026, 11, 24)),
        ("J-03", pytest.approx(1.9304), pytest.approx(1.9304), Wetness.SUSPECT, date(2026, 11, 25)),
        ("J-03", 4.0, 4.5, Wetness.JET, date(2026, 11, 25)),
        ("J-02", 3.0, 3.6, Wetness.SEEP, None),
    ]
    assert found.leaks[0].note == "=1+1"
    assert found.leaks[0].flow_l_min == 1.5
    said = {finding.where.split()[1]: finding.text for finding in found.findings}
    assert "by which office programs keep a day" in said["3"]
    assert "There is no joint J-99." in said["5"]
    assert "past the end of J-03" in said["6"]
    assert 'wetness is "7"' in said["7"]
    assert "marked there already as L-01" in said["8"]
    assert "lies over L-01 in part" in said["9"]
    assert "10" in said
    assert len(said) == 7
    assert found.edit is not None
    assert set(found.edit.job.leaks) - set(job.leaks) == set(found.edit.made)
    assert {name for name, _ in found.edit.changed} == {"leaks", "job"}  # the job's row: numbers used


def test_a_spot_is_listed_as_one() -> None:
    """A row without an end is a spot at its chainage, not a stretch from there to there."""
    found = taken(filled([("J-03", 1.25, "2,5", "3 drip"), ("J-03", 4, None, 5)]))
    assert [line.partition("J-03  ")[2] for line in told(job_in(), found)] == [
        "1.250 m to 2.500 m  drip",
        "spot at 4.000 m  jet",
    ]


def test_a_table_that_was_taken_gives_nothing_again() -> None:
    """Taken twice, every row is marked already: no leak is made twice, within one file either."""
    content = filled([ROWS[0], ROWS[0], ROWS[2]])
    first = taken(content)
    assert len(first.leaks) == 2
    assert first.edit is not None
    again = leaks_from(first.edit.job, read_field(content, "field.xlsx", Units.METRIC))
    assert again.edit is None
    assert [finding.code for finding in again.findings] == ["marked-already"] * 3


def test_feet_are_the_unit_of_an_imperial_table() -> None:
    """A plain figure is feet there; 16 CFR 500.19 gives the foot 0.3048 m. Flow is in US gallons of 231 cubic inches."""
    found = taken(filled([("J-03", 10, "20' 6\"", 2, None, 2, None)], Units.IMPERIAL), Units.IMPERIAL)
    assert found.leaks[0].from_m == pytest.approx(3.048)
    assert found.leaks[0].to_m == pytest.approx(6.2484)
    assert found.leaks[0].flow_l_min == pytest.approx(2 * 3.785411784)


def test_csv_comes_in_as_well() -> None:
    """The same columns as CSV give the same leaks."""
    out = StringIO()
    csv.writer(out).writerows([COLUMNS, *ROWS[:3]])
    assert [leak.to_m for leak in taken(out.getvalue().encode()).leaks] == [
        leak.to_m for leak in taken(filled(ROWS[:3])).leaks
    ]


def test_the_table_has_lists_and_every_joint() -> None:
    """Another library finds a row for each joint, the columns that are read, and both lists to choose from."""
    job = paper_job()
    content = entry_xlsx(job, at=AT)
    assert content == entry_xlsx(job, at=AT)
    assert ENTRY_COLUMNS == COLUMNS
    sheet = openpyxl.load_workbook(BytesIO(content))["Leaks"]
    assert [cell.value for cell in sheet[1]] == list(COLUMNS)
    assert [cell.value for cell in sheet["A"]][1:] == [joint.ref for joint in job.joints.values()]
    lists = {str(each.sqref).split(":")[0]: each.formula1 for each in sheet.data_validations.dataValidation}
    assert lists == {"A2": "Joints!$A$2:$A$14", "D2": '"0 suspect,1 damp,2 seep,3 drip,4 run,5 jet"'}


def test_what_is_no_table_is_refused_in_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    """Damaged, locked, swollen and foreign files: one sentence each, and no memory filled."""
    good = filled(ROWS[:1])
    bomb = BytesIO()
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as parts:
        parts.writestr("xl/worksheets/sheet1.xml", b"0" * (book_table.MOST_UNPACKED + 1))
    entities = BytesIO()
    with zipfile.ZipFile(BytesIO(good)) as old, zipfile.ZipFile(entities, "w") as new:
        for name in old.namelist():
            head = b'<!DOCTYPE x [<!ENTITY a "b">]>' if name.endswith("sheet1.xml") else b""
            new.writestr(name, head + old.read(name))
    bad = [b"PK\x03\x04", good[: len(good) // 2], bomb.getvalue(), entities.getvalue(), b"\x00\x01", b"a,b\n1,2\n", b""]
    for content in bad:
        with pytest.raises(UnusableTable) as refusal:
            read_field(content, "field.xlsx", Units.METRIC)
        assert "field.xlsx" in str(refusal.value)
    monkeypatch.setattr(book_table, "MOST_ROWS", 3)
    read = read_field(filled(ROWS[:3]), "field.xlsx", Units.METRIC)
    assert [finding.code for finding in read.findings][:1] == ["rows-left-out"]
