"""The printed rows of the newer of two jobs, and what of each no old row has been found in yet."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from uuid import UUID

from leakmap.repair.compared import OldZone, Placed
from leakmap.repair.results import Zone


def placed_rows(zone: Zone | OldZone) -> Iterator[Placed]:
    """The printed rows of a zone, with its number."""
    for row in zone.rows:
        yield Placed(
            zone=zone.number,
            joint=row.joint,
            from_m=row.from_m,
            to_m=row.to_m,
            depth_mm=row.depth_mm,
            plugged=row.plugged,
        )


class FreeRows:
    """The printed rows of the new job, and what of each is not yet found to be kept, so that no metre is kept twice.

    Rows of a joint don't overlap, so those that reach into a stretch follow each other.
    """

    def __init__(self) -> None:
        self._rows: list[Placed] = []
        self._free: list[list[tuple[Decimal, Decimal]]] = []
        self._places: dict[UUID, list[int]] = defaultdict(list)
        self._on: dict[UUID, tuple[list[int], list[Decimal]]] = {}

    def take(self, zone: Zone) -> None:
        """Take the rows of a zone; of all of them before anything is asked."""
        for row in placed_rows(zone):
            self._places[row.joint].append(len(self._rows))
            self._rows.append(row)
            self._free.append([(row.from_m, row.to_m)])

    def _along(self, joint: UUID) -> tuple[list[int], list[Decimal]]:
        """Places of the rows of a joint by where they start, and their starts."""
        found = self._on.get(joint)
        if found is None:
            places = sorted(self._places.get(joint, ()), key=lambda place: self._rows[place].from_m)
            found = self._on[joint] = places, [self._rows[place].from_m for place in places]
        return found

    def free(self, joint: UUID, low: Decimal, high: Decimal) -> Iterator[tuple[Placed, list[tuple[Decimal, Decimal]]]]:
        """Rows that reach into a stretch, and what is free of each."""
        places, starts = self._along(joint)
        first = max(bisect_right(starts, low) - 1, 0)
        for place in places[first : bisect_left(starts, high)]:
            yield self._rows[place], self._free[place]

    def ends_near(self, joint: UUID, at: Decimal, within_m: Decimal) -> Iterator[Decimal]:
        """Ends of rows near a chainage."""
        for row, _ in self.free(joint, at - within_m, at + 2 * within_m):
            yield from (end for end in (row.from_m, row.to_m) if abs(end - at) <= within_m)

    def left(self) -> Iterator[Placed]:
        """What was found in no old row."""
        for row, free in zip(self._rows, self._free, strict=True):
            yield from (
                row if (start, stop) == (row.from_m, row.to_m) else replace(row, from_m=start, to_m=stop)
                for start, stop in free
            )


def take_stretch(free: list[tuple[Decimal, Decimal]], start: Decimal, stop: Decimal) -> None:
    """Take a stretch out of what is free of a row."""
    left = []
    for a, b in free:
        if b <= start or stop <= a:
            left.append((a, b))
        else:
            left += [pair for pair in ((a, start), (stop, b)) if pair[0] < pair[1]]
    free[:] = left
