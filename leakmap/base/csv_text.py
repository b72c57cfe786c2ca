"""Tables as text for machines (CSV): nothing is rounded, nothing is guarded against spreadsheets."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal


def table_text(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table as text: commas, a heading, every line ended by CR LF (RFC 4180).

    >>> table_text(("ref", "note"), [("L-1", "slow; warm")]).splitlines()
    ['ref,note', 'L-1,"slow; warm"']
    """
    return "".join(",".join(map(_quoted, row)) + "\r\n" for row in (columns, *rows))


def number_text(value: float | Decimal | None) -> str:
    """A number so that reading gives the same number again; None is an empty cell.

    >>> number_text(4.0), number_text(0.1), number_text(Decimal("2.500")), number_text(None)
    ('4', '0.1', '2.500', '')
    """
    if value is None:
        return ""
    return str(value) if isinstance(value, Decimal) else repr(float(value)).removesuffix(".0")


def _quoted(cell: str) -> str:
    if cell.strip() == cell and not any(mark in cell for mark in ',;"\r\n'):
        return cell
    return '"' + cell.replace('"', '""') + '"'
