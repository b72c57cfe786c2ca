"""A table out of a workbook (XLSX) as office programs write it: its first sheet, cut into rows of named cells.

Whatever the file says of itself is bounded before it is unpacked, so that a small file cannot fill the memory.
"""

from __future__ import annotations

import zipfile
import zlib
from collections.abc import Sequence
from datetime import date, datetime
from io import BytesIO
from itertools import islice
from typing import Final

from leakmap.base.errors import UnusableTable
from leakmap.base.findings import Effect, Finding
from leakmap.records.tables.table import Cells, Table

MOST_BYTES: Final = 20_000_000
MOST_UNPACKED: Final = 100_000_000
MOST_PARTS: Final = 1_000
MOST_ROWS: Final = 10_000
MOST_COLUMNS: Final = 100
_HEADING_WITHIN: Final = 20
_ENTITIES: Final = (b"<!DOCTYPE", b"<!ENTITY")
_WIDE: Final = (b"\xff\xfe", b"\xfe\xff", b"\x00<", b"<\x00")


def is_workbook(content: bytes) -> bool:
    """Whether a file begins as a workbook does."""
    return content.startswith(b"PK")


def read_book(content: bytes, name: str, *, columns: Sequence[str]) -> Table:
    """Cut the first sheet of a workbook into rows of cells; its heading is the first row that holds every column needed.

    A number stands in its cell as its plain digits, a day as 2026-11-25, the value of a formula as the office program
    left it.

    Args:
        content: The file.
        name: Its name, for what is said of it.
        columns: Columns that have a meaning, of which the first two must be there; others are left out.

    Raises:
        UnusableTable: It is no workbook, too large, or lacks the columns.
    """
    _refuse_what_is_too_large(content, name)
    import openpyxl  # noqa: PLC0415 - a large library, which only this needs

    try:
        book = openpyxl.load_workbook(BytesIO(content), read_only=True, data_only=True)
        sheet = book.worksheets[0]
        limits = {"max_row": MOST_ROWS + 1, "max_col": MOST_COLUMNS, "values_only": True}
        rows = [tuple(map(_text, row)) for row in islice(sheet.iter_rows(**limits), MOST_ROWS + 1)]
    except Exception as problem:  # noqa: BLE001 - the library says in many ways that a file is damaged
        raise UnusableTable(
            f"{name} is no workbook (XLSX) that can be read ({type(problem).__name__}); nothing was taken. "
            "Save it again as XLSX or CSV and try once more."
        ) from None
    return _cut(rows, name, columns)


def _cut(rows: Sequence[Sequence[str]], name: str, columns: Sequence[str]) -> Table:
    needed = set(columns[:2])
    headings = [[cell.strip().lower() for cell in row] for row in rows[:_HEADING_WITHIN]]
    at = next((at for at, heading in enumerate(headings) if needed <= set(heading)), None)
    if at is None:
        raise UnusableTable(
            f"{name} lacks its heading; one of its first rows must name the columns: {', '.join(columns)}. "
            "Nothing was taken."
        )
    places = {headings[at].index(column): column for column in columns if column in headings[at]}
    found = [
        Cells(number, name, {column: row[place] for place, column in places.items() if place < len(row)})
        for number, row in enumerate(rows[at + 1 : MOST_ROWS], start=at + 2)
        if any(cell.strip() for cell in row)
    ]
    findings = []
    if len(rows) > MOST_ROWS:
        text = f"{name} has more than {MOST_ROWS:,} rows; those after are left out."
        findings.append(Finding("rows-left-out", name, text, Effect.LOST))
    return Table(name, tuple(found), tuple(findings))


def _text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)


def _refuse_what_is_too_large(content: bytes, name: str) -> None:
    """Refuse a file before it is unpacked.

    Raises:
        UnusableTable: It is no archive, or it would unpack to too much.
    """
    too_large = UnusableTable(
        f"{name} is too large for a table of leaks; nothing was taken. Save only its filled rows."
    )
    if len(content) > MOST_BYTES:
        raise too_large
    try:
        with zipfile.ZipFile(BytesIO(content)) as parts:
            infos = parts.infolist()
            if len(infos) > MOST_PARTS or sum(info.file_size for info in infos) > MOST_UNPACKED:
                raise too_large
            heads = [parts.open(info).read(4_096) for info in infos if info.filename.endswith((".xml", ".rels"))]
    except (zipfile.BadZipFile, OSError, ValueError, RuntimeError, NotImplementedError, EOFError, zlib.error):
        raise UnusableTable(
            f"{name} is no workbook (XLSX), or it is damaged or locked; nothing was taken. Save it as XLSX or CSV."
        ) from None
    if any(mark in head for head in heads for mark in _ENTITIES) or any(head.startswith(_WIDE) for head in heads):
        raise UnusableTable(f"{name} holds what no office program writes; nothing was taken. Save it again as XLSX.")
