"""What follows item by item from a collection, kept up to date by the items that are other values than before.

Values never change, so whatever is the very same item as before gives what it gave. That is found by identity, which
takes a fraction of asking each item; each stands in a collection once, and those that stay keep their order.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Iterable, Mapping
from decimal import Decimal
from itertools import compress, count
from operator import is_not
from typing import Any, Generic, TypeAlias, TypeVar

T = TypeVar("T")
K = TypeVar("K", bound=Hashable)
V = TypeVar("V", int, Decimal)

Items: TypeAlias = Collection[T] | Mapping[Any, T]
"""Items, or a mapping of which the values are the items."""


def differing(before: Items[T], after: Items[T]) -> tuple[list[T], list[T]]:
    """Items that went and items that came, each in its order.

    >>> one, two, three = ["one"], ["two"], ["three"]
    >>> differing((one, two), (two, three))
    ([['one']], [['three']])
    >>> differing({1: one, 2: two}, {2: two})
    ([['one']], [])
    >>> differing((one, two), (two, one))
    ([], [])
    """
    if before is after:
        return [], []
    olds, news = _unlike([*_each(before)], [*_each(after)])
    held, there = set(map(id, olds)), set(map(id, news))
    gone, come = held - there, there - held
    return (
        [item for item in olds if id(item) in gone] if gone else [],
        [item for item in news if id(item) in come] if come else [],
    )


class Tally(Generic[T, K, V]):
    """Sums of what items give.

    Args:
        parts_of: What an item gives to which sums; follows from the item alone.

    >>> lengths = Tally(lambda word: ((len(word), 1),))
    >>> lengths.of(("joint", "leak")), lengths.of(("joint", "cover")), lengths.of(())
    ({5: 1, 4: 1}, {5: 2}, {})
    """

    def __init__(self, parts_of: Callable[[T], Iterable[tuple[K, V]]]) -> None:
        self._parts_of: Callable[[T], Iterable[tuple[K, V]]] = parts_of
        self._items: Items[T] = ()
        self._sums: dict[K, tuple[V, int]] = {}  # with how many parts are in each

    def of(self, items: Items[T]) -> dict[K, V]:
        """The sums over some items; those to which none gives are left out."""
        gone, come = differing(self._items, items)
        sums, self._items = self._sums, items
        for item in come:
            for key, value in self._parts_of(item):
                held = sums.get(key)
                sums[key] = (value, 1) if held is None else (held[0] + value, held[1] + 1)
        for item in gone:
            for key, value in self._parts_of(item):
                total, parts = sums[key]
                sums[key] = (total - value, parts - 1)
        self._sums = {key: each for key, each in sums.items() if each[1]}
        return {key: total for key, (total, _) in self._sums.items()}


def counting(key_of: Callable[[T], K]) -> Tally[T, K, int]:
    """Counts items by a key.

    >>> counting(len).of(("joint", "leak", "zones"))
    {5: 2, 4: 1}
    """
    return Tally(lambda item: ((key_of(item), 1),))


class Heaps(Generic[T, K]):
    """Items in heaps by a key; a heap of which no item changed is the very same as before.

    Args:
        key_of: The key of an item; follows from the item alone.

    >>> heaps = Heaps(len)
    >>> {key: [*heap.values()] for key, heap in heaps.of(("joint", "leak", "zones")).items()}
    {5: ['joint', 'zones'], 4: ['leak']}
    """

    def __init__(self, key_of: Callable[[T], K]) -> None:
        self._key_of = key_of
        self._items: Items[T] = ()
        self._heaps: dict[K, dict[int, T]] = {}

    def of(self, items: Items[T]) -> Mapping[K, Mapping[int, T]]:
        """The heaps of some items, each by identity, in the order of the items; empty ones are left out."""
        gone, come = differing(self._items, items)
        self._items = items
        found, fresh = dict(self._heaps), {}
        for item in (*gone, *come):
            key = self._key_of(item)
            if key not in fresh:
                found[key] = fresh[key] = dict(found.get(key, {}))
        for item in gone:
            del fresh[self._key_of(item)][id(item)]
        for item in come:
            fresh[self._key_of(item)][id(item)] = item
        places = dict(zip(map(id, _each(items)), count())) if come else {}
        for key, heap in fresh.items():
            if not heap:
                del found[key]
            elif come:
                found[key] = dict(sorted(heap.items(), key=lambda each: places[each[0]]))
        self._heaps = found
        return found


def _unlike(olds: list[T], news: list[T]) -> tuple[list[T], list[T]]:
    """Both without what they begin and end with alike; the rest may still hold items of both."""
    shorter = min(len(olds), len(news))
    first = next(compress(count(), map(is_not, olds, news)), shorter)
    olds, news = olds[first:], news[first:]
    last = next(compress(count(), map(is_not, reversed(olds), reversed(news))), shorter - first)
    return olds[: len(olds) - last], news[: len(news) - last]


def _each(items: Items[T]) -> Collection[T]:
    return items.values() if isinstance(items, Mapping) else items
