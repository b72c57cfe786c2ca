"""How a long table goes on sheets of paper: cut between rows into columns, each under the head of its table."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

Span = tuple[float, float]
"""From and to, mm down from the upper edge of the notes."""


@dataclass(frozen=True, slots=True)
class TableRow:
    """A row that must not be cut.

    Attributes:
        span: Where it stands.
        head: Where the title and the heads of the columns of its table stand.
    """

    span: Span
    head: Span


@dataclass(frozen=True, slots=True)
class TableColumn:
    """What stands in one column of a sheet.

    Attributes:
        head: What is shown over it again; None where it begins with its own.
        span: What follows.
    """

    head: Span | None
    span: Span

    @property
    def height_mm(self) -> float:
        """Height on paper."""
        head = self.head[1] - self.head[0] if self.head is not None else 0.0
        return head + self.span[1] - self.span[0]


def table_columns(rows: Iterable[TableRow], high_mm: float) -> Iterator[TableColumn]:
    """Rows in columns of a height; a row that is higher than that stands alone.

    >>> long = [TableRow((10.0 * k, 10.0 * k + 10), (0.0, 10.0)) for k in range(1, 6)]
    >>> [(column.head, column.span) for column in table_columns(long, 40.0)]
    [(None, (0.0, 40.0)), ((0.0, 10.0), (40.0, 60.0))]
    """
    column: TableColumn | None = None
    for row in rows:
        longer = None if column is None else TableColumn(column.head, (column.span[0], row.span[1]))
        if longer is None or longer.height_mm > high_mm:
            if column is not None:
                yield column
            first = row.span[0] == row.head[1]
            column = TableColumn(None if first else row.head, (row.head[0] if first else row.span[0], row.span[1]))
        else:
            column = longer
    if column is not None:
        yield column
