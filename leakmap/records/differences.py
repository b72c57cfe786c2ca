"""What differs between two jobs, and the place of every item in its collection's order."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
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


def differences(before: Job, after: Job, places: Places, places_after: Places) -> list[Difference]:
    """Every item that differs in value or place, and the job's own fields as one."""
    found = [each for table in ITEM_TABLES for each in _in_collection(table, before, after, places, places_after)]
    own_before, own_after = own_fields(before), own_fields(after)
    own = codec_of(OwnFields)
    if own.encode(own_before) != own.encode(own_after):  # as written: equal decimals may show other places
        found.append(Difference(None, after.id, own_before, own_after))
    return found


def places_after(before: Job, after: Job, places: Places) -> dict[str, Mapping[UUID, int]]:
    """Places of the new job's items: known ones stay wherever the order allows it."""
    return {
        table.collection: places[table.collection]
        if getattr(after, table.collection) is getattr(before, table.collection)
        else places_in(list(getattr(after, table.collection)), places[table.collection])
        for table in ITEM_TABLES
    }


def places_in(keys: Sequence[UUID], known: Mapping[UUID, int]) -> dict[UUID, int]:
    """Rising places of some ids in their order; all are counted anew from 1 where known ones leave no room.

    >>> a, b, c = UUID(int=1), UUID(int=2), UUID(int=3)
    >>> list(places_in([a, b, c], {a: 1, c: 5}).values()), list(places_in([a, b, c], {a: 1, c: 2}).values())
    ([1, 2, 5], [1, 2, 3])
    """
    placed: dict[UUID, int] = {}
    waiting: list[UUID] = []
    last = 0
    for key in keys:
        place = known.get(key)
        if place is None:
            waiting.append(key)
            continue
        if place - last <= len(waiting):
            return {key: number for number, key in enumerate(keys, 1)}
        placed |= {new: last + step for step, new in enumerate(waiting, 1)}
        placed[key] = last = place
        waiting.clear()
    return placed | {new: last + step for step, new in enumerate(waiting, 1)}


def _in_collection(
    table: ItemTable, before: Job, after: Job, places: Places, places_after: Places
) -> Iterator[Difference]:
    old, new = getattr(before, table.collection), getattr(after, table.collection)
    if old is new:
        return
    old_places, new_places = places[table.collection], places_after[table.collection]
    for key, item in old.items():
        now = new.get(key)
        if (now is not item and now != item) or old_places[key] != new_places.get(key):
            yield Difference(table, key, item, now, old_places[key], new_places.get(key))
    for key, item in new.items():
        if key not in old:
            yield Difference(table, key, None, item, None, new_places[key])
