"""Copies of tables for programs that say in themselves that they are superseded, and can be read as before.

A program that knows nothing of it reads the same figures; one that looks finds it. A CSV table gets a last column,
``superseded``, with the words in every row, so that it stays one table with one heading. JSON gets ``superseded`` as its
first key. A workbook gets a first sheet, in front when it is opened, and the words at the head of every printed page; all
cells stay as they are, formulas with their values too.
"""

from __future__ import annotations

import csv
import re
import zipfile
from io import BytesIO, StringIO
from typing import Final
from xml.sax.saxutils import escape, quoteattr, unescape

from leakmap.base.csv_text import table_text
from leakmap.base.json_text import json_text
from leakmap.model.revision import Revision

COLUMN: Final = "superseded"
"""The last column of a CSV table, and the first key of JSON."""

_SHEET: Final = "xl/worksheets/superseded.xml"
_TYPE: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"
_RELATION: Final = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet"
_MAIN: Final = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_ID: Final = "rIdSuperseded"
_LONGEST_HEADER: Final = 255  # of a whole header (a limit of the file format, from memory)
_HEADER: Final = re.compile(r"<oddHeader>(.*?)</oddHeader>", re.DOTALL)
_RIGHT: Final = re.compile(r"(?<!&amp;)&amp;R")  # where the right part of a header begins; && is a mere &
_SHEETS: Final = re.compile(r"(<sheets>)")
_NUMBERS: Final = re.compile(r'sheetId="(\d+)"')
_LOCAL: Final = re.compile(r'localSheetId="(\d+)"')
_VIEW: Final = re.compile(r"<workbookView\b([^>]*?)/>")
_PLACES: Final = re.compile(r' (?:activeTab|firstSheet)="\d+"')


def superseded_csv(content: bytes, words: str) -> bytes:
    r"""A table with the words in a last column.

    >>> superseded_csv(b"ref,note\r\nL-01,wet\r\n", "C01 is old").decode().splitlines()
    ['ref,note,superseded', 'L-01,wet,C01 is old']
    """
    heading, *rows = csv.reader(StringIO(content.decode("utf-8"), newline=""))
    return table_text((*heading, COLUMN), ((*row, words) for row in rows)).encode("utf-8")


def superseded_json(content: bytes, old: Revision, by: Revision) -> bytes:
    """An object with its first key saying what took its place; all else stays to the letter."""
    text = content.decode("utf-8")
    assert text.startswith("{")
    told = json_text({"revision": old.name, "by": by.name, "on": by.at.date().isoformat()})
    return f'{{\n "{COLUMN}": {told},{text[1:]}'.encode()


def superseded_xlsx(content: bytes, old: Revision, by: Revision, words: str) -> bytes:
    """A workbook with a sheet before all others, shown first, and the words at the head of every page."""
    out = BytesIO()
    name = f"{old.name} superseded by {by.name}"
    with zipfile.ZipFile(BytesIO(content)) as parts, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as copy:
        for info in parts.infolist():
            text = _part(info.filename, parts.read(info).decode("utf-8"), name, words)
            copy.writestr(zipfile.ZipInfo(info.filename, info.date_time), text, zipfile.ZIP_DEFLATED)
        first = zipfile.ZipInfo(_SHEET, parts.infolist()[0].date_time)
        copy.writestr(first, _notice(name, words), zipfile.ZIP_DEFLATED)
    return out.getvalue()


def _part(file: str, text: str, name: str, words: str) -> str:
    """One part of a workbook as the copy holds it."""
    if file == "[Content_Types].xml":
        return text.replace("</Types>", f'<Override PartName="/{_SHEET}" ContentType="{_TYPE}"/></Types>')
    if file == "xl/_rels/workbook.xml.rels":
        target = _SHEET.removeprefix("xl/")
        entry = f'<Relationship Id="{_ID}" Type="{_RELATION}" Target="{target}"/>'
        return text.replace("</Relationships>", f"{entry}</Relationships>")
    if file == "xl/workbook.xml":
        return _book(text, name)
    if file.startswith("xl/worksheets/") and file.endswith(".xml"):
        return _HEADER.sub(lambda found: _headed(found[1], words), text.replace(' tabSelected="1"', ""))
    return text


def _book(text: str, name: str) -> str:
    """The list of sheets with the new one first; names that belong to one sheet count on by one."""
    number = max(map(int, _NUMBERS.findall(text))) + 1
    sheet = f'<sheet name={quoteattr(name)} sheetId="{number}" r:id="{_ID}"/>'
    text = _LOCAL.sub(lambda found: f'localSheetId="{int(found[1]) + 1}"', _SHEETS.sub(rf"\1{sheet}", text, count=1))
    return _VIEW.sub(lambda found: f"<workbookView{_PLACES.sub('', found[1])}/>", text)


def _headed(header: str, words: str) -> str:
    """A header with the words in a line below, unless that makes it longer than a header may be: then they stand alone."""
    said = f"&amp;C\n{escape(words)}"
    right = _RIGHT.search(header)
    at = len(header) if right is None else right.start()
    longer = f"{header[:at]}{said}{header[at:]}"
    return f"<oddHeader>{longer if len(unescape(longer)) <= _LONGEST_HEADER else said}</oddHeader>"


def _notice(name: str, words: str) -> str:
    said = "".join(
        f'<row r="{at}"><c r="A{at}" t="inlineStr"><is><t>{escape(line)}</t></is></c></row>'
        for at, line in enumerate((name, words), start=1)
    )
    return (
        f'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n<worksheet xmlns="{_MAIN}">'
        '<sheetViews><sheetView tabSelected="1" workbookViewId="0"/></sheetViews>'
        f'<sheetFormatPr defaultRowHeight="15"/><cols><col min="1" max="1" width="90" customWidth="1"/></cols>'
        f"<sheetData>{said}</sheetData></worksheet>"
    )
