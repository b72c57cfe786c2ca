"""Words on a tape find room: beside their things, on the first row where they cover nothing, else nowhere."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

Span: TypeAlias = tuple[float, float]
"""From and to, px."""

STEM_PX: Final = 3.0
"""Left free beside a stem."""

GAP_PX: Final = 6.0
"""Left free between two things of a row."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """Something that wants room on a row, px along the tape.

    Attributes:
        start: Where it begins without its words.
        end: Where it stops; may equal ``start``.
        words_px: Width of its words, with what parts them from it.
        inside: Whether the words may stand within it.
        left_first: Whether its words rather stand to its left.
        stem: Where its stem comes down to its row through those above; None: it has none.
    """

    start: float
    end: float
    words_px: float
    inside: bool = False
    left_first: bool = False
    stem: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where something stands.

    Attributes:
        row: Number of its row, 0 first; None: there is no row for it.
        words_at: Left end of its words; None: they have no room.
    """

    row: int | None
    words_at: float | None = None


def placed(wishes: Sequence[Wish], rows: int, first: Iterable[int] = (), limits: Span | None = None) -> list[Place]:
    """Give everything a row and its words room; nothing covers another.

    Args:
        wishes: What wants room.
        rows: How many rows there are.
        first: Indices of wishes that choose before the others, in this order.
        limits: Words stay between these; None: anywhere.

    Returns:
        A place for each wish, in the order given.
    """
    taken: list[list[Span]] = [[] for _ in range(rows)]
    places: dict[int, Place] = {}
    for index in dict.fromkeys((*first, *range(len(wishes)))):
        places[index] = _place(wishes[index], taken, limits)
    return [places[index] for index in range(len(wishes))]


def words_beside(
    wishes: Sequence[Wish],
    first: Iterable[int] = (),
    limits: Span | None = None,
    signs: Sequence[Span] = (),
) -> list[float | None]:
    """Where the words of things that all lie on one row stand: right of each, left of it or within it; None: nowhere.

    Args:
        wishes: Things of one row; their places are given, so that they may touch each other.
        first: Indices of those whose words choose first.
        limits: Words stay between these; None: anywhere.
        signs: What stands on the things themselves; words within one keep off it, as near its middle as they can.
    """
    taken = [(wish.start, wish.end) for wish in wishes]
    found: list[float | None] = [None] * len(wishes)
    for index in dict.fromkeys((*first, *range(len(wishes)))):
        wish = wishes[index]
        others = [span for k, span in enumerate(taken) if k != index]
        for low, high in _sides(wish):
            if _inside(low, high, limits) and not _covers(others, low, high):
                found[index] = low
                taken.append((low, high))
                break
        else:
            found[index] = _within(wish, signs, limits) if wish.inside else None
    return found


def _within(wish: Wish, signs: Sequence[Span], limits: Span | None) -> float | None:
    """Where words stand within what is seen of their thing; None where they have no room there."""
    start, end = (wish.start, wish.end) if limits is None else (max(wish.start, limits[0]), min(wish.end, limits[1]))
    if end - start < wish.words_px:
        return None
    middle = (start + end - wish.words_px) / 2
    near = [(a, b) for a, b in signs if a <= end and b >= start]
    beside = [low for a, b in near for low in (b, a - wish.words_px)]
    for low in sorted((middle, *beside), key=lambda low: abs(low - middle)):
        high = low + wish.words_px
        if low >= start and high <= end and not any(low < b and a < high for a, b in near):
            return low
    return None


def _place(wish: Wish, taken: list[list[Span]], limits: Span | None) -> Place:
    for row, spans in enumerate(taken):
        for low, high in _sides(wish):
            whole = min(low, wish.start), max(high, wish.end)
            if _inside(low, high, limits) and not _covers(spans, *whole) and _comes_down(wish, taken[:row]):
                spans.append(whole)
                return Place(row=row, words_at=low)
    for row, spans in enumerate(taken):
        if not _covers(spans, wish.start, wish.end) and _comes_down(wish, taken[:row]):
            spans.append((wish.start, wish.end))
            return Place(row=row)
    return Place(row=None)


def _comes_down(wish: Wish, above: list[list[Span]]) -> bool:
    """Whether a stem can come down through the rows above, of which it then takes its place."""
    if wish.stem is None:
        return True
    if any(low - STEM_PX < wish.stem < high + STEM_PX for spans in above for low, high in spans):
        return False
    for spans in above:
        spans.append((wish.stem, wish.stem))
    return True


def _sides(wish: Wish) -> tuple[Span, Span]:
    """Where words stand to the right of a thing, and to its left; the better side first."""
    right, left = (wish.end, wish.end + wish.words_px), (wish.start - wish.words_px, wish.start)
    return (left, right) if wish.left_first else (right, left)


def _inside(low: float, high: float, limits: Span | None) -> bool:
    return limits is None or (low >= limits[0] and high <= limits[1])


def _covers(spans: list[Span], low: float, high: float) -> bool:
    return any(low < b + GAP_PX and a < high + GAP_PX for a, b in spans)
