"""Crowded places: where a plan cannot say everything, a detail at a larger scale says it.

A place is crowded where the reference of a leak found no place on the plan, or where a zone is so short on paper that
its parts cannot be told apart. Places close to each other share a detail. All measures are ours.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import count, product
from typing import Final

from leakmap.geometry.boxes import meet, size_of, widened
from leakmap.geometry.path import Box
from leakmap.issue.plan_set.paper import Paper
from leakmap.issue.schedule_pdf.paper import scales_up_to
from leakmap.model.grid import LETTERS

SHORT_MM: Final = 5.0
"""A zone shorter than this on paper is drawn again in a detail."""

AROUND_MM: Final = 8.0
"""What a detail shows round a crowded place, on the paper of the plan."""

_LARGER: Final = (5.0, 4.0, 2.5, 2.0)
_GAP_MM: Final = 12.0
_LABEL_MM: Final = 12.0
_EDGE_MM: Final = 8.0
_LEAST_MM: Final = 60.0


@dataclass(frozen=True, slots=True)
class Detail:
    """A crowded place drawn again.

    Attributes:
        letter: Its name, such as A or AB.
        box: What it shows, metres of the site plane.
        scale: Denominator of its scale.
        page: Number of the sheet of details that it stands on, 0 first.
        at_mm: Its frame on that sheet: left, bottom, right, top.
    """

    letter: str
    box: Box
    scale: int
    page: int
    at_mm: Box


def letters() -> Iterator[str]:
    """Names of details: A, B and on without I and O, then AA, AB.

    >>> from itertools import islice
    >>> list(islice(letters(), 26))[-3:]
    ['Z', 'AA', 'AB']
    """
    for length in count(1):
        yield from ("".join(each) for each in product(LETTERS, repeat=length))


def clusters(places: Iterable[Box], around_m: float) -> list[Box]:
    """Boxes round places that lie close together, each widened; none of them meet.

    Args:
        places: Boxes of crowded places.
        around_m: What is added on each side.
    """
    found = [widened(place, around_m) for place in places]
    done: list[Box] = []
    while found:
        box = found.pop()
        near = [other for other in found + done if meet(box, other)]
        if not near:
            done.append(box)
            continue
        found, done = ([other for other in boxes if other not in near] for boxes in (found, done))
        xs0, ys0, xs1, ys1 = zip(box, *near, strict=True)
        found.append((min(xs0), min(ys0), max(xs1), max(ys1)))
    return sorted(done, key=lambda box: (-box[3], box[0]))


def details(places: Iterable[Box], paper: Paper, scale: int, names: Iterator[str]) -> list[Detail]:
    """Details of crowded places, put on sheets row by row.

    Args:
        places: Boxes of crowded places, metres of the site plane.
        paper: Of the sheets that take them.
        scale: Of the plan.
        names: Gives their letters.
    """
    left, bottom, right, top = paper.field_mm
    room = right - left - 2 * _EDGE_MM, top - bottom - 2 * _EDGE_MM - _LABEL_MM
    shown = []
    for cluster in clusters(places, AROUND_MM * scale / 1000):
        for box in _small_enough(cluster, scale, room):
            larger = _larger(box, scale, room)
            least = _LEAST_MM * larger / 1000
            shown.append((_at_least(box, least), larger))
    return list(_packed(shown, paper, names))


def _small_enough(box: Box, scale: int, room: Sequence[float]) -> Iterator[Box]:
    """The box, halved across its longer way until a detail twice as large fits."""
    width, height = size_of(box)
    if fits_at(box, scale / _LARGER[-1], room):
        yield box
        return
    lap = AROUND_MM * scale / 1000
    x0, y0, x1, y1 = box
    if width / room[0] >= height / room[1]:
        middle = (x0 + x1) / 2
        halves = (x0, y0, middle + lap, y1), (middle - lap, y0, x1, y1)
    else:
        middle = (y0 + y1) / 2
        halves = (x0, middle - lap, x1, y1), (x0, y0, x1, middle + lap)
    for half in halves:
        yield from _small_enough(half, scale, room)


def fits_at(box: Box, scale: float, room_mm: Sequence[float]) -> bool:
    """Whether a box fits into a room on paper at a scale."""
    return all(side * 1000 / scale <= each for side, each in zip(size_of(box), room_mm, strict=True))


def _larger(box: Box, scale: int, room: Sequence[float]) -> int:
    """The largest scale of ISO 5455 that is 2 to 5 times larger and takes no more than half of the room either way."""
    standard = scales_up_to(scale)
    fair = [round(scale / times) for times in _LARGER if scale / times in standard]
    half = [side / 2 for side in room]
    return next((each for each in fair if fits_at(box, each, half)), fair[-1])


def _at_least(box: Box, least: float) -> Box:
    """The box, or one round it that is so wide and high."""
    wide, high = (max(least - side, 0.0) / 2 for side in size_of(box))
    return widened(box, wide, high)


def _packed(shown: Sequence[tuple[Box, int]], paper: Paper, names: Iterator[str]) -> Iterator[Detail]:
    """Rows from the top of the field, from left to right; a new sheet where a row finds no room."""
    left, bottom, right, top = paper.field_mm
    page, x, y, low = 0, left + _EDGE_MM, top - _EDGE_MM, top - _EDGE_MM
    for box, scale in shown:
        width, height = (side * 1000 / scale for side in size_of(box))
        width, height = min(width, right - left - 2 * _EDGE_MM), min(height, top - bottom - 2 * _EDGE_MM - _LABEL_MM)
        if x + width > right - _EDGE_MM + 1e-6:
            x, y = left + _EDGE_MM, low - _GAP_MM
        if y - height - _LABEL_MM < bottom + _EDGE_MM - 1e-6:
            page, x, y = page + 1, left + _EDGE_MM, top - _EDGE_MM
            low = y
        yield Detail(next(names), box, scale, page, (x, y - height, x + width, y))
        low = min(low, y - height - _LABEL_MM)
        x += width + _GAP_MM
