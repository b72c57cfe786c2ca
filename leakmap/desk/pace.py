"""How far long work is, in words: what is done, and after two seconds how long the rest will take."""

from __future__ import annotations

import time
from collections.abc import Callable
from math import ceil
from typing import Final

SILENT_S: Final = 2.0
"""No estimate before the work has run for so long."""

_LEAST_SHARE: Final = 0.03
_MINUTES_FROM_S: Final = 90


class Pace:
    """Watches the share of the work that is done; it never goes back.

    Args:
        clock: Seconds that only rise.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._begun = clock()
        self._share = 0.0

    def thousandths(self, share: float) -> int:
        """The share, 0 to 1, as thousandths, never less than before."""
        self._share = max(self._share, min(share, 1.0))
        return int(1000 * self._share)

    def words(self, done: str) -> str:
        """What is done and, once it can be told, how long the rest takes."""
        taken = self._clock() - self._begun
        if taken < SILENT_S or self._share < _LEAST_SHARE:
            return done
        return f"{done}, {_left(taken * (1 - self._share) / self._share)}"


def _left(seconds: float) -> str:
    """Time in round words.

    >>> _left(7.2), _left(0.4), _left(130)
    ('about 8 seconds left', 'about 1 second left', 'about 3 minutes left')
    """
    if seconds > _MINUTES_FROM_S:
        return f"about {ceil(seconds / 60)} minutes left"
    whole = max(ceil(seconds), 1)
    return f"about {whole} second{'s' if whole > 1 else ''} left"
