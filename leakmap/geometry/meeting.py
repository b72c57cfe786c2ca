"""Where courses meet in plan: crossings, ends and bends upon another, shared stretches.

Two courses meet only on one level and at the same height, within the drawing tolerance δ. They meet

- where they cross (a course may cross itself);
- where an end of one lies within δ of the other, with its foot there;
- where a bend of one lies within δ of the other without a crossing beside it;
- at both ends of a stretch that they share: where their pieces run along each other within δ, at
  most 1 in 20 out of parallel, for more than 2 δ. Between its ends a shared stretch has no meeting.

Courses nearly meet where an end lies farther than δ but at most 100 mm from another course.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final, NamedTuple

import numpy as np
import shapely

from leakmap.geometry.pieces import (
    OWN_LOOP_M,
    BoolArray,
    Course,
    FloatArray,
    Foot,
    IntArray,
    Pieces,
    Points,
    corner_points,
    feet,
    pieces_of,
    round_distance,
)
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, MICRON_M, NEARLY_MEET_M, within

_PARALLEL: Final = 1e-9  # sine below which two pieces are parallel, and crossings are none
_ALONG_EACH_OTHER: Final = 0.05  # sine up to which two pieces within δ run along each other
_LEAST_SHARED_M: Final = 2 * DRAWING_TOLERANCE_M
_SLACK_M: Final = DRAWING_TOLERANCE_M + MICRON_M


class Meeting(NamedTuple):
    """One place on two courses, or two places of one course."""

    one: int
    at_m: float
    other: int
    other_at_m: float


class Shared(NamedTuple):
    """A stretch that two courses share.

    Attributes:
        other_from_m: Chainage on the other course at ``from_m``.
        other_to_m: Chainage on the other course at ``to_m``.
        along: Whether the chainage of the other course rises with that of the one.
    """

    one: int
    from_m: float
    to_m: float
    other: int
    other_from_m: float
    other_to_m: float
    along: bool


class Near(NamedTuple):
    """An end that nearly meets another course."""

    one: int
    at_m: float
    other: int
    other_at_m: float
    gap_m: float


@dataclass(frozen=True, slots=True)
class Meetings:
    """How courses meet.

    Attributes:
        places: Every meeting, sorted, each once; those of an end and a crossing beside it are two.
        shared: Stretches that two courses share.
        near: Ends that nearly meet another course.
    """

    places: tuple[Meeting, ...]
    shared: tuple[Shared, ...]
    near: tuple[Near, ...]


def meetings(courses: Sequence[Course], fresh: Sequence[bool] | None = None) -> Meetings:
    """Where courses meet, share a stretch, or nearly meet.

    Args:
        courses: The courses.
        fresh: Whether each is one of those of which a meeting must have one; None: any.

    >>> from leakmap.geometry.path import Path
    >>> cross = [Course(Path(((0, 0), (4, 0))), 0, 0.0), Course(Path(((1, -1), (1, 2))), 0, 0.0)]
    >>> meetings(cross).places
    (Meeting(one=0, at_m=1.0, other=1, other_at_m=1.0),)
    >>> meetings([]).places
    ()
    """
    pieces = pieces_of(courses)
    asked = None if fresh is None else np.array(fresh, dtype=np.bool_)
    one, other = _neighbours(pieces, asked)
    shared = _shared(pieces, one, other)
    overlaps = _Overlaps(pieces, shared)
    crossings = [hit for hit in _crossings(pieces, one, other) if not overlaps.hold(hit.place)]
    beside = {(hit.piece, hit.other_piece) for hit in crossings}
    ends, bends = corner_points(courses, ends=True), corner_points(courses, ends=False)
    end_feet = feet(pieces, ends, NEARLY_MEET_M, asked)
    found = {hit.place for hit in crossings}
    found.update(_place(ends, foot) for foot in end_feet if within(foot.gap_m, DRAWING_TOLERANCE_M))
    for foot in feet(pieces, bends, DRAWING_TOLERANCE_M, asked):
        place = _place(bends, foot)
        bend = int(bends.course[foot.point]), float(bends.chainage[foot.point])
        if not overlaps.hold(place) and not _crosses_beside(pieces, bend, foot, beside):
            found.add(place)
    found.update(_ends_of_shared(pieces, shared))
    near = (Near(*_place(ends, foot), foot.gap_m) for foot in end_feet if not within(foot.gap_m, DRAWING_TOLERANCE_M))
    return Meetings(tuple(_distinct(found)), tuple(shared), tuple(sorted(near)))


def _distinct(places: Iterable[Meeting]) -> Iterator[Meeting]:
    """Meetings sorted, without those that tell the same place again to a micrometre."""
    told: dict[tuple[int, int], list[Meeting]] = {}
    for place in sorted(places):
        before = told.setdefault((place.one, place.other), [])
        if not any(
            abs(place.at_m - other.at_m) <= MICRON_M and abs(place.other_at_m - other.other_at_m) <= MICRON_M
            for other in before
        ):
            before.append(place)
            yield place


class _Hit(NamedTuple):
    """A crossing of two pieces."""

    piece: int
    other_piece: int
    place: Meeting


def _neighbours(pieces: Pieces, fresh: BoolArray | None) -> tuple[IntArray, IntArray]:
    """Pairs of pieces on one level and height whose boxes come within δ, each pair once."""
    if not len(pieces.course):
        return np.empty(0, np.int64), np.empty(0, np.int64)
    low, high = np.minimum(pieces.start, pieces.end) - _SLACK_M, np.maximum(pieces.start, pieces.end) + _SLACK_M
    one, other = pieces.tree.query(shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1]))
    a, b = pieces.course[one], pieces.course[other]
    kept = (one < other) & (pieces.level[a] == pieces.level[b])
    kept &= np.abs(pieces.height[a] - pieces.height[b]) <= _SLACK_M
    if fresh is not None:
        kept &= fresh[a] | fresh[b]
    return one[kept], other[kept]


def _crossings(pieces: Pieces, one: IntArray, other: IntArray) -> Iterator[_Hit]:
    """Crossings of pairs of pieces that are not parallel and do not follow each other."""
    turn = _cross(pieces.step[one], pieces.step[other])
    slanted = np.abs(turn) > _PARALLEL * pieces.length[one] * pieces.length[other]
    one, other, turn = one[slanted], other[slanted], turn[slanted]
    away = pieces.start[other] - pieces.start[one]
    t, u = _cross(away, pieces.step[other]) / turn, _cross(away, pieces.step[one]) / turn
    hit = (t >= 0) & (t <= 1) & (u >= 0) & (u <= 1)
    at = pieces.chainage[one] + t * pieces.length[one]
    other_at = pieces.chainage[other] + u * pieces.length[other]
    hit &= ~_same_place(pieces, one, other, at, other_at)
    for i, j, a, b in zip(
        one[hit].tolist(), other[hit].tolist(), at[hit].tolist(), other_at[hit].tolist(), strict=True
    ):
        yield _Hit(i, j, _ordered(int(pieces.course[i]), a, int(pieces.course[j]), b))


def _same_place(pieces: Pieces, one: IntArray, other: IntArray, at: FloatArray, other_at: FloatArray) -> BoolArray:
    """Whether two chainages are those of one course without a loop between."""
    course = pieces.course[one]
    along = round_distance(at, other_at, pieces.total[course], pieces.closed[course])
    return np.asarray((course == pieces.course[other]) & ~(along > OWN_LOOP_M), dtype=np.bool_)


def _shared(pieces: Pieces, one: IntArray, other: IntArray) -> list[Shared]:
    """Stretches along which two courses run within δ, longest possible."""
    u, v = pieces.step[one] / pieces.length[one, None], pieces.step[other] / pieces.length[other, None]
    away = pieces.start[other] - pieces.start[one]
    first = (away * u).sum(axis=1)
    last = first + (pieces.step[other] * u).sum(axis=1)
    low = np.maximum(np.minimum(first, last), 0.0)
    high = np.minimum(np.maximum(first, last), pieces.length[one])
    kept = (np.abs(_cross(u, v)) <= _ALONG_EACH_OTHER) & (high - low > MICRON_M)
    kept &= np.abs(_cross(low[:, None] * u - away, v)) <= _SLACK_M
    kept &= np.abs(_cross(high[:, None] * u - away, v)) <= _SLACK_M
    other_low = np.clip(((low[:, None] * u - away) * v).sum(axis=1), 0.0, pieces.length[other])
    other_high = np.clip(((high[:, None] * u - away) * v).sum(axis=1), 0.0, pieces.length[other])
    columns = (
        pieces.course[one],
        pieces.chainage[one] + low,
        pieces.chainage[one] + high,
        pieces.course[other],
        pieces.chainage[other] + other_low,
        pieces.chainage[other] + other_high,
        (u * v).sum(axis=1) > 0,
    )
    kept &= ~_same_place(pieces, one, other, columns[1], columns[4])
    kept &= ~_same_place(pieces, one, other, columns[2], columns[5])
    parts = [Shared(*row) for row in zip(*(column[kept].tolist() for column in columns), strict=True)]
    chains = _chained(pieces, parts)
    return [part for part in chains if part.to_m - part.from_m > _LEAST_SHARED_M]


def _chained(pieces: Pieces, parts: Iterable[Shared]) -> list[Shared]:
    """Parts that follow one another on both courses, joined."""
    chains: list[Shared] = []
    for _, group in groupby(sorted(parts, key=_pair_and_sense), _pair_and_sense):
        open_chains: list[Shared] = []
        for part in sorted(group):
            for index, chain in enumerate(open_chains):
                if part.from_m <= chain.to_m + _SLACK_M and _follows(pieces, chain, part):
                    open_chains[index] = chain._replace(to_m=part.to_m, other_to_m=part.other_to_m)
                    break
            else:
                open_chains.append(part)
        chains += open_chains
    return sorted(chains)


def _pair_and_sense(part: Shared) -> tuple[int, int, bool]:
    return part.one, part.other, part.along


def _follows(pieces: Pieces, chain: Shared, part: Shared) -> bool:
    return _apart(pieces, part.other, chain.other_to_m, part.other_from_m) <= 2 * _SLACK_M


def _apart(pieces: Pieces, course: int, one_m: float, other_m: float) -> float:
    straight, total = abs(one_m - other_m), float(pieces.total[course])
    return min(straight % total, -straight % total) if pieces.closed[course] else straight


def _ends_of_shared(pieces: Pieces, shared: Sequence[Shared]) -> Iterator[Meeting]:
    """Meetings at both ends of each shared stretch; none where it only passes the start of a closed course."""
    for part in shared:
        for at_m, other_m in ((part.from_m, part.other_from_m), (part.to_m, part.other_to_m)):
            if not _goes_on(pieces, shared, part, at_m, other_m):
                yield _ordered(part.one, at_m, part.other, other_m)


def _goes_on(pieces: Pieces, shared: Sequence[Shared], part: Shared, at_m: float, other_m: float) -> bool:
    """Whether a shared stretch that stops at the start of a closed course starts again there."""
    if not pieces.closed[part.one]:
        return False
    at_start, sense = at_m == part.from_m, _pair_and_sense(part)
    for mate in shared:
        if _pair_and_sense(mate) == sense:
            mate_m, mate_other_m = (mate.to_m, mate.other_to_m) if at_start else (mate.from_m, mate.other_from_m)
            if abs(mate_m - at_m) >= pieces.total[part.one] - _SLACK_M and (
                _apart(pieces, part.other, mate_other_m, other_m) <= 2 * _SLACK_M
            ):
                return True
    return False


class _Overlaps:
    """Tells whether a meeting lies on a stretch that its two courses share."""

    def __init__(self, pieces: Pieces, shared: Iterable[Shared]) -> None:
        self._pieces = pieces
        self._of: dict[tuple[int, int], list[Shared]] = {}
        for part in shared:
            self._of.setdefault((part.one, part.other), []).append(part)

    def hold(self, place: Meeting) -> bool:
        """Whether it lies on such a stretch."""
        return any(
            part.from_m - _SLACK_M <= place.at_m <= part.to_m + _SLACK_M
            and self._on_other(part, place.at_m, place.other_at_m)
            for part in self._of.get((place.one, place.other), ())
        )

    def _on_other(self, part: Shared, at_m: float, other_m: float) -> bool:
        """Whether a chainage of the other course is where the stretch has it, within 3 δ."""
        sense = 1 if part.along else -1
        return (
            _apart(self._pieces, part.other, part.other_from_m + sense * (at_m - part.from_m), other_m) <= 3 * _SLACK_M
        )


def _crosses_beside(pieces: Pieces, bend: tuple[int, float], foot: Foot, beside: set[tuple[int, int]]) -> bool:
    """Whether a piece at a bend crosses the very piece that holds its foot: then all between is within δ anyhow."""
    course, at_m = bend
    low, high = np.searchsorted(pieces.course, (course, course + 1))
    after = low + int(np.searchsorted(pieces.chainage[low:high], at_m - MICRON_M))
    own = {min(after, high - 1), after - 1 if after > low else high - 1}
    return any((min(piece, foot.piece), max(piece, foot.piece)) in beside for piece in own)


def _place(points: Points, foot: Foot) -> Meeting:
    """The meeting of a corner with the course that it lies on."""
    return _ordered(int(points.course[foot.point]), float(points.chainage[foot.point]), foot.course, foot.at_m)


def _ordered(one: int, at_m: float, other: int, other_at_m: float) -> Meeting:
    return Meeting(*min((one, at_m, other, other_at_m), (other, other_at_m, one, at_m)))


def _cross(one: FloatArray, other: FloatArray) -> FloatArray:
    return np.asarray(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0], dtype=np.float64)
