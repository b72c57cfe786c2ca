"""References that look like ours, and the numbers that they use up."""

from __future__ import annotations

import re
from typing import Final

from leakmap.model.job import Numbers
from leakmap.model.words import Series

_OURS: Final = re.compile(r"([JVLZ])-([0-9]{1,9})")
_COUNTER: Final = {Series.JOINT: "joint", Series.VERTICAL: "vertical", Series.LEAK: "leak", Series.ZONE: "zone"}


def number_of(ref: str) -> tuple[Series, int] | None:
    """Series and number of a reference, in capitals or not; None where it does not look like one of ours.

    >>> number_of("J-05"), number_of("j-5"), number_of("stair")
    ((<Series.JOINT: 'J'>, 5), (<Series.JOINT: 'J'>, 5), None)
    """
    found = _OURS.fullmatch(ref.upper())
    return (Series(found[1]), int(found[2])) if found else None


def highest(numbers: Numbers, series: Series) -> int:
    """Highest number ever used in a series."""
    value: int = getattr(numbers, _COUNTER[series])
    return value


def lifted(numbers: Numbers, ref: str) -> Numbers:
    """Numbers that count a reference as used; unchanged where it is none of ours or lower.

    >>> lifted(Numbers(joint=3), "J-07").joint, lifted(Numbers(joint=3), "J-02").joint
    (7, 3)
    """
    found = number_of(ref)
    if found is None or found[1] <= highest(numbers, found[0]):
        return numbers
    counts = {name: getattr(numbers, name) for name in _COUNTER.values()}
    return Numbers(**{**counts, _COUNTER[found[0]]: found[1]})
