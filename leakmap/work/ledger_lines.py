"""Rows of the ledger as values: what a row holds, whatever it stands for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Final
from uuid import UUID

from leakmap.base.rounding import ZERO
from leakmap.model.words import Kind, Wetness
from leakmap.work.check_list import Where

Value = str | Decimal | date | Wetness
"""What a cell holds."""

Rank = tuple[tuple[int, Decimal, str], ...]
"""What a cell is sorted by, part by part: a figure, or a word."""

SPOT: Final = "spot"
"""What stands for the length of a leak that has none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One row.

    Attributes:
        where: What it stands for; None for a sum, or for what is not there yet.
        values: By name of column; what is missing is empty.
        sheet: The level that it lies on; None for sums and revisions.
        kind: Kind of a joint.
        upright: Whether it is a vertical joint.
        alarm: Names of columns whose words want a look.
        by_hand: What a person set instead of the rules, in words; empty when nothing.
        elsewhere: Where it is counted instead of here; empty when it counts here.
        tip: More words, for whoever points at it.
        ranks: By name of column: what it is sorted by, where that is not its value, such as the place that words say.
        draft: Whether it is the revision that is being made.
    """

    where: Where | None = None
    values: Mapping[str, Value] = field(default_factory=dict)
    sheet: UUID | None = None
    kind: Kind | None = None
    upright: bool = False
    alarm: frozenset[str] = frozenset()
    by_hand: str = ""
    elsewhere: str = ""
    tip: str = ""
    ranks: Mapping[str, Rank] = field(default_factory=dict)
    draft: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows, and the sums that close them: subtotals first, the total last."""

    lines: tuple[Line, ...]
    sums: tuple[Line, ...] = ()


def sum_of(lines: Iterable[Line], column: str) -> Decimal:
    """The sum of a column's figures; words among them count nothing."""
    return sum((value for line in lines if isinstance(value := line.values.get(column), Decimal)), ZERO)
