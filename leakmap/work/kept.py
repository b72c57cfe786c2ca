"""What is made from values that stay the same from one deed to the next, kept by identity."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Any, TypeVar

T = TypeVar("T")


class Kept:
    """Makes things once, and again only when a value that they are made from is another one.

    Nothing is let go of but by ``forget``; keys are those of one job.

    >>> kept, made = Kept(), []
    >>> value = ("a value",)
    >>> [kept.of("key", (value,), lambda: made.append(1) or len(made)) for _ in range(3)]
    [1, 1, 1]
    """

    def __init__(self) -> None:
        self._held: dict[Hashable, tuple[tuple[Any, ...], Any]] = {}

    def of(self, key: Hashable, values: tuple[Any, ...], make: Callable[[], T]) -> T:
        """What was made for a key, if it was made from the very same values; else what ``make`` gives."""
        held = self._held.get(key)
        if (
            held is not None
            and len(held[0]) == len(values)
            and all(a is b for a, b in zip(held[0], values, strict=True))
        ):
            found: T = held[1]
            return found
        made = make()
        self._held[key] = (values, made)
        return made

    def forget(self) -> None:
        """Another job."""
        self._held = {}
