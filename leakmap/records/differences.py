"""What differs between two jobs, and the place of every item in its collection's order.

Jobs share the items that an edit left alone, so identity decides first: an edit of one leak among ten
thousand is found without comparing or hashing the others.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from operator import is_
from typing import Any
from uuid import UUID

from leakmap.model.job import Job
from leakmap.records.codec import codec_of
from leakmap.records.layout import ITEM_TABLES, ItemTable, OwnFields
from leakmap.records.rows import own_fields

Places = Mapping[str, Mapping[UUID, int]]
"""Place of every item by collection and id, from 1, rising in the collection's order."""


@dataclass(frozen=True, slots=True)
class Difference:
    """An item that differs; None stands where it is not in the job.

    Attributes:
        table: Its table; None for the job's own fields.
        key: Its id.
        before: The item in the old job.
        after: The item in the new job.
        place_before: Its place in the old job.
        place_after: Its place in the new job.
    """

    table: ItemTable | None
    key: UUID
    before: Any
    after: Any
    place_before: int | None = None
    place_after: int | None = None


def differences(before: Job, after: Job, places: Places) -> tuple[list[Difference], Places]:
    """Every item that differs in value or place, the job's own fields as one, and the new job's places.

    Args:
        before: The old job.
        after: The new job.
        places: Places of the old job's items.
    """
    found: list[Difference] = []
    now: dict[str, Mapping[UUID, int]] = {}
    for table in ITEM_TABLES:
        old, new = getattr(before, table.collection), getattr(after, table.collection)
        known = now[table.collection] = places[table.collection]
        if old is not new:
            each, now[table.collection] = _in_table(table, old, new, known)
            found.extend(each)
    own, own_before, own_after = codec_of(OwnFields), own_fields(before), own_fields(after)
    if own.encode(own_before) != own.encode(own_after):  # as written: equal decimals may show other places
        found.append(Difference(None, after.id, own_before, own_after))
    return found, now


def places_in(keys: Iterable[UUID], known: Mapping[UUID, int], *, low: int, high: int | None) -> dict[UUID, int] | None:
    """Rising places of some ids between two others; known ones stay; None where there is no room.

    >>> a, b, c = UUID(int=1), UUID(int=2), UUID(int=3)
    >>> list(places_in([a, b, c], {a: 4, c: 8}, low=3, high=None).values())
    [4, 5, 8]
    >>> places_in([a, b, c], {a: 4, c: 5}, low=3, high=None)
    """
    placed: dict[UUID, int] = {}
    waiting: list[UUID] = []
    last = low
    for key in keys:
        place = known.get(key)
        if place is None:
            waiting.append(key)
            continue
        if place - last <= len(waiting):
            return None
        placed |= {new: last + step for step, new in enumerate(waiting, 1)}
        placed[key] = last = place
        waiting.clear()
    if high is not None and high - last <= len(waiting):
        return None
    return placed | {new: last + step for step, new in enumerate(waiting, 1)}


def _in_table(
    table: ItemTable, old: Mapping[UUID, Any], new: Mapping[UUID, Any], known: Mapping[UUID, int]
) -> tuple[Iterator[Difference], Mapping[UUID, int]]:
    """What differs in one collection, and the places of its new items."""
    old_keys, new_keys = list(old), list(new)
    start, end = _span(old_keys, new_keys)
    gone, come = old_keys[start : len(old) - end], new_keys[start : len(new) - end]
    placed = _places(old_keys, gone, come, start, known)
    if placed is None:  # no room: all are counted anew, so all may differ
        placed = {key: number for number, key in enumerate(new, 1)}
        keys = [*old_keys, *(key for key in come if key not in old)]
    else:
        keys = [*_other_items(old_keys, old, new, slice(start)), *gone, *(key for key in come if key not in old)]
        keys += _other_items(old_keys, old, new, slice(len(old) - end, None), slice(len(new) - end, None))
    return _different(table, keys, old, new, known, placed), placed


def _different(  # noqa: PLR0917 - two jobs, each with items and places
    table: ItemTable,
    keys: Iterable[UUID],
    old: Mapping[UUID, Any],
    new: Mapping[UUID, Any],
    known: Mapping[UUID, int],
    placed: Mapping[UUID, int],
) -> Iterator[Difference]:
    for key in keys:
        item, now, place, place_now = old.get(key), new.get(key), known.get(key), placed.get(key)
        if place != place_now or (now is not item and now != item):
            yield Difference(table, key, item, now, place, place_now)


def _other_items(
    keys: Sequence[UUID], old: Mapping[UUID, Any], new: Mapping[UUID, Any], part: slice, part_new: slice | None = None
) -> list[UUID]:
    """Ids in a part that is alike in both, of which the items are not the same objects."""
    same = map(is_, list(old.values())[part], list(new.values())[part_new or part])
    return [key for key, is_same in zip(keys[part], same, strict=True) if not is_same]


def _places(
    old: Sequence[UUID], gone: Sequence[UUID], come: Sequence[UUID], start: int, known: Mapping[UUID, int]
) -> Mapping[UUID, int] | None:
    """Places of the new items where those outside a span keep theirs; None where there is no room."""
    if not gone and not come:
        return known
    low = known[old[start - 1]] if start else 0
    high = known[old[start + len(gone)]] if start + len(gone) < len(old) else None
    fitting = places_in(come, known, low=low, high=high)
    if fitting is None:
        return None
    placed = dict(known)
    for key in gone:
        del placed[key]
    return placed | fitting


def _span(old: Sequence[UUID], new: Sequence[UUID]) -> tuple[int, int]:
    """How many ids are the same at the start and, of the rest, at the end."""
    start = _alike(old, new)
    return start, _alike(old[start:][::-1], new[start:][::-1])


def _alike(one: Sequence[UUID], other: Sequence[UUID]) -> int:
    """How many ids are the same objects from the start on."""
    same = list(map(is_, one, other))
    return same.index(False) if False in same else len(same)
