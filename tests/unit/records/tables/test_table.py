"""Cutting tables into cells, and single cells into values."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leakmap.base.csv_text import number_text, table_text
from leakmap.base.errors import BadValue, UnusableTable
from leakmap.model.words import Kind
from leakmap.records.tables.table import Cells, Table, read_table


def read(content: str | bytes) -> Table:
    """A table of the columns a, b and c, of which a must be there."""
    raw = content.encode() if isinstance(content, str) else content
    return read_table(raw, "t.csv", columns=("a", "b", "c"), needed=[("a",)])


def cells(**values: str) -> Cells:
    """A row of cells."""
    return Cells(7, "leaks.csv", values)


@pytest.mark.parametrize(
    "content",
    [
        "a,b\n1,two\n",
        "a;b\r\n1;two\r\n",
        "\ufeffa,b\n1,two",
        " A , B \n1, two\n",
        'a,b\n"1","two"\n\n',
        "a,b\r1,two\r",
    ],
)
def test_dialects(content: str) -> None:
    """Comma or semicolon, byte order mark, any line end, capitals and spaces in the heading mean the same table."""
    (row,) = read(content).rows
    assert (row.text("a"), row.text("b"), row.text("c")) == ("1", "two", "")


def test_rows_are_numbered_as_in_a_spreadsheet() -> None:
    """The heading is row 1, and an empty row is counted and not kept."""
    assert [row.row for row in read("a\n1\n\n,\n2\n").rows] == [2, 5]


@pytest.mark.parametrize("content", ["", "\n", ",,\n1,2,3", "b,c\n1,2\n", "a,a\n1,2\n", 'a\n"open\n'])
def test_no_table(content: str) -> None:
    """What has no heading, lacks a column, has one twice or breaks off in a quote is refused in one sentence."""
    with pytest.raises(UnusableTable, match=r"^t\.csv .*\.$"):
        read(content)


@pytest.mark.parametrize("raw", [b"a\n\xe9\n", "a\n1\n".encode("utf-16"), b"a\n\0\n", b"\x89PNG\r\n\x1a\n\0"])
def test_other_encodings_are_refused(raw: bytes) -> None:
    """Anything but UTF-8 text is refused with what to do."""
    with pytest.raises(UnusableTable, match="UTF-8"):
        read(raw)


def test_unknown_columns_and_long_rows_are_findings() -> None:
    """A column without meaning and a row with more cells than the heading are said, and the rest is kept."""
    table = read("a,colour\n1,red\n1,5,2\n3,blue\n")
    assert [row.text("a") for row in table.rows] == ["1", "3"]
    assert [finding.code for finding in table.findings] == ["unknown-column", "row-left-out"]
    assert "row 3 of t.csv" in table.findings[1].text.lower()
    assert "decimal comma" in table.findings[1].text


def test_a_long_cell_is_read() -> None:
    """A joint of many thousand points fits into a cell."""
    assert len(read(f'a\n"{"1 2, " * 60_000}"\n').rows[0].text("a")) > 131_072


@given(st.lists(st.lists(st.text(st.characters(codec="utf-8", exclude_characters="\0")), min_size=2, max_size=2)))
def test_written_cells_are_read_to_the_letter(rows: list[list[str]]) -> None:
    """Spaces, quotes, line ends, delimiters and any script survive writing and reading."""
    text = table_text(("a", "b"), rows)
    kept = [row for row in rows if any(cell.strip() for cell in row)]
    assert [[row.text("a"), row.text("b")] for row in read(text).rows] == kept


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_written_numbers_are_read_exactly(value: float) -> None:
    """Every float comes back to the last bit."""
    assert cells(n=number_text(value)).number("n") == value


@pytest.mark.parametrize("text", ["nan", "inf", "-inf", "1e999", "1_000", "0x1f", "1 000", "٣", "four", "1.2.3", "--1"])
def test_what_is_no_number(text: str) -> None:
    """Anything but a plain finite decimal number is refused by column and value."""
    with pytest.raises(BadValue, match=r"n is .* not a number"):
        cells(n=text).exact("n")


def test_a_decimal_comma_is_refused_with_the_point() -> None:
    """The sentence shows how to write the number."""
    with pytest.raises(BadValue, match=r'n is "-1,25", with a decimal comma; write -1\.25\.'):
        cells(n="-1,25").number("n")


def test_cells_become_values() -> None:
    """Numbers, words, days and yes or no are read; empty means none."""
    row = cells(n=" 2.50 ", k=" Wall-Base ", d="2026-11-25", y="Yes")
    assert row.exact("n") == Decimal("2.50")
    assert row.word("k", Kind) is Kind.WALL_BASE
    assert row.day("d") == date(2026, 11, 25)
    assert row.yes("y")
    assert (row.exact("x"), row.number("x"), row.word("x", Kind), row.day("x"), row.yes("x")) == (
        None,
        None,
        None,
        None,
        False,
    )


def test_bad_cells_say_what_is_allowed() -> None:
    """A word outside its list, a day that is none and a half yes are refused with what to write."""
    row = cells(k="kitchen", d="25.11.2026", y="perhaps", e=" ")
    with pytest.raises(BadValue, match="one of: construction, contraction"):
        row.word("k", Kind)
    with pytest.raises(BadValue, match="2026-11-25"):
        row.day("d")
    with pytest.raises(BadValue, match="yes or no"):
        row.yes("y")
    with pytest.raises(BadValue, match="e is empty"):
        row.named("e")
