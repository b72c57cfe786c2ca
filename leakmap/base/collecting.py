"""When Python looks for cycles of dead values.

Python looks through all that is alive whenever much was made, to find dead values that hold each
other. Values of ours hold none: what makes very many at once is a third faster without the search.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def collecting_later() -> Iterator[None]:
    """Put the search off until this is left; inside another one, or where it is off, nothing happens.

    >>> with collecting_later():
    ...     gc.isenabled()
    False
    >>> gc.isenabled()
    True
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
