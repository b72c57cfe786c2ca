"""The scale that a page says it was printed at, taken at its word until lengths are measured on it.

A print may have another scale than its original (ISO 5455, 2.1 note), and pages are
resized on their way, so a placement from here is a first guess: the sheet stays unchecked
(``leakmap.model.sheet.scale_is_checked``) until two known lengths agree with it.
"""

from __future__ import annotations

import re
from typing import Final

from leakmap.base.errors import BadValue
from leakmap.geometry.placement import Placement

M_PER_MM: Final = 0.001

_WORDS: Final = re.compile(r"\s*(?:1\s*[:/]\s*)?(\d+(?:[.,]\d+)?)\s*")
_LARGEST: Final = 100_000
_SMALLEST: Final = 0.01


def typed_scale(words: str) -> float:
    """The n of a typed 1:n.

    Raises:
        BadValue: It is no scale from 100:1 to 1:100,000.

    >>> typed_scale("1:50"), typed_scale(" 1 / 100"), typed_scale("200"), typed_scale("1:2,5")
    (50.0, 100.0, 200.0, 2.5)
    """
    found = _WORDS.fullmatch(words)
    n = float(found[1].replace(",", ".")) if found else 0.0
    if not _SMALLEST <= n <= _LARGEST:
        raise BadValue(f'"{words.strip()}" is no scale of a plan; give it as 1:50.')
    return n


def m_per_unit(n: float) -> float:
    """Metres of one drawing unit, a millimetre on paper, at 1:n.

    >>> m_per_unit(50)
    0.05
    """
    return n * M_PER_MM


def printed_placement(n: float) -> Placement:
    """Where a page at 1:n lies in the site plane: its lower left corner at 0, 0, upright.

    Raises:
        BadValue: n is not greater than zero.

    >>> printed_placement(100).to_site((841, 594))
    (84.10000000000001, 59.400000000000006)
    """
    return Placement(x_m_per_unit=m_per_unit(n), y_m_per_unit=m_per_unit(n))
