"""Names of files and layouts that nothing else has."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import chain, count


def free_name(wanted: str, taken: Iterable[str], ending: str = "") -> str:
    """A name that is not taken, small and capital letters being one: as wanted, else with 2, 3 and so on behind it.

    >>> free_name("B2", ["b2", "B2 2"]), free_name("B2", ["b2.dxf"], ".dxf"), free_name("B2", [])
    ('B2 3', 'B2 2.dxf', 'B2')
    """
    used = {name.casefold() for name in taken}
    tries = (f"{wanted}{more}{ending}" for more in chain(("",), (f" {number}" for number in count(2))))
    return next(tried for tried in tries if tried.casefold() not in used)
