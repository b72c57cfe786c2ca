"""What revisions came to when they were issued: read once from the schedule that each was sealed with, which never changes."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from leakmap.base.errors import LeakmapError
from leakmap.base.measures import Units
from leakmap.base.money import with_code

_PART: Final = '\n "price": '
"""How the part of prices begins in our JSON, at its outermost level: no text in JSON holds the end of a line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class IssuedSum:
    """What a revision came to.

    Attributes:
        total: Without tax, in minor units of the currency.
        not_priced: Sentences that say what is not in it.
    """

    currency: str
    total: Decimal
    not_priced: tuple[str, ...] = ()

    def words(self, units: Units, *, named: bool) -> str:
        r"""The sum, with the code of its currency where that is to be named; "from" where something is not in it.

        >>> found = IssuedSum(currency="EUR", total=Decimal("914.45"), not_priced=("1 zone is not priced.",))
        >>> found.words(Units.METRIC, named=True), found.words(Units.METRIC, named=False)
        ('from 914.45\xa0EUR', 'from 914.45')
        """
        figure = with_code(units.locale, self.total, self.currency) if named else units.number(self.total)
        return f"from {figure}" if self.not_priced else figure


def issued_sum(schedule: str) -> IssuedSum | None:
    """The sum that a schedule as issued (JSON) holds; None where it was issued without rates."""
    at = schedule.find(_PART)
    if at < 0:
        return None
    told, _ = json.JSONDecoder(parse_float=Decimal, parse_int=Decimal).raw_decode(schedule, at + len(_PART))
    return IssuedSum(currency=told["currency"], total=told["total"], not_priced=tuple(told["not_priced"]))


def issued_sums(hashes: Iterable[str], blob_of: Callable[[str], bytes]) -> Mapping[str, IssuedSum | None]:
    """The sums of schedules by their hashes; one that is damaged has none, and the check of the file says where.

    Args:
        hashes: SHA-256 of each schedule.
        blob_of: Gives its bytes; raises where it is missing or damaged.
    """
    found: dict[str, IssuedSum | None] = {}
    for sha256 in hashes:
        found[sha256] = None
        with suppress(LeakmapError):
            found[sha256] = issued_sum(blob_of(sha256).decode("utf-8"))
    return found
