"""Where places of one job lie in another that came from it: what a comparison of two revisions is made on.

Joints are split, combined, moved and drawn anew between two revisions. A place stays the same place where a joint
still runs over it, whatever that joint is called now; where a joint was moved as a whole, or its level got another
scale, its straight pieces are followed one by one. What neither finds is no longer there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from math import hypot
from uuid import UUID

from leakmap.geometry.path import Path, Point, path_of
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, MICRON_M, TIE_M, within
from leakmap.model.job import Job
from leakmap.model.joint import Joint, height_of


@dataclass(frozen=True, slots=True)
class Laid:
    """A stretch of an old joint, and where it lies in the new job.

    Attributes:
        from_m: Old chainage where it starts.
        to_m: Old chainage where it stops, greater than ``from_m``.
        joint: The joint that it lies on now.
        new_from_m: New chainage of its start.
        new_to_m: New chainage of its stop; smaller than ``new_from_m`` where the joint runs the other way.
    """

    from_m: float
    to_m: float
    joint: UUID
    new_from_m: float
    new_to_m: float

    def at(self, old_m: float) -> float:
        """New chainage of an old one on it."""
        share = (old_m - self.from_m) / (self.to_m - self.from_m)
        return self.new_from_m + share * (self.new_to_m - self.new_from_m)

    def back(self, new_m: float) -> float:
        """Old chainage of a new one on it."""
        share = (new_m - self.new_from_m) / (self.new_to_m - self.new_from_m)
        return self.from_m + share * (self.to_m - self.from_m)

    @property
    def true(self) -> bool:
        """Whether lengths on it are what they were."""
        return abs(abs(self.new_to_m - self.new_from_m) - (self.to_m - self.from_m)) <= MICRON_M


def same_places(old: Job, new: Job, joint: Joint) -> tuple[Laid, ...]:
    """Where a joint of an old job lies in a new one, in the order of its chainages; what is gone is left out.

    Args:
        old: The old job.
        new: The new one, made from it by deeds.
        joint: A joint of the old job.
    """
    now = new.joints.get(joint.id)
    if now is not None and _course(now) == _course(joint):
        return (Laid(0.0, joint.length_m, joint.id, 0.0, joint.length_m),)
    if joint.diameter_m is not None:
        same = now is not None and now.diameter_m is not None
        return (Laid(0.0, joint.length_m, joint.id, 0.0, now.length_m),) if same and now is not None else ()
    others = [each for each in new.joints.values() if _may_hold(old, new, joint, each)]
    if joint.vertical:
        return _upright(joint, ([now] if now is not None and now.vertical else []) + others)
    assert joint.path is not None
    return tuple(sorted(_on_lines(old, new, joint, now, others), key=lambda laid: laid.from_m))


def _course(joint: Joint) -> tuple[object, ...]:
    return joint.path, joint.point, joint.rise_m, joint.diameter_m, joint.vertical and joint.height_m


def _may_hold(old: Job, new: Job, joint: Joint, other: Joint) -> bool:
    """Whether a joint may have taken in a part of another: it is like it, and new or drawn otherwise than it was."""
    if other.id == joint.id or (other.sheet, other.vertical, other.face) != (joint.sheet, joint.vertical, joint.face):
        return False
    if other.diameter_m is not None:
        return False
    was = old.joints.get(other.id)
    if was is not None and _course(was) == _course(other):
        return False
    heights = (height_of(each, job.sheet_of(each).storey_height_m) for each, job in ((joint, old), (other, new)))
    return joint.vertical or within(abs(next(heights) - next(heights)), DRAWING_TOLERANCE_M)


def _upright(joint: Joint, others: Iterable[Joint]) -> tuple[Laid, ...]:
    """Parts of a vertical joint by their heights on joints that stand where it stood, its own successor anywhere."""
    free, found = [(joint.height_m, joint.height_m + joint.length_m)], []
    for other in others:
        if other.id != joint.id and not _stands_there(joint, other):
            continue
        left = []
        for low, high in free:
            start, stop = max(low, other.height_m), min(high, other.height_m + other.length_m)
            if stop - start <= MICRON_M:
                left.append((low, high))
                continue
            ends = (start - joint.height_m, stop - joint.height_m)
            found.append(Laid(*ends, other.id, start - other.height_m, stop - other.height_m))
            left += [part for part in ((low, start), (stop, high)) if part[1] - part[0] > MICRON_M]
        free = left
    return tuple(sorted(found, key=lambda laid: laid.from_m))


def _stands_there(joint: Joint, other: Joint) -> bool:
    assert joint.point is not None
    assert other.point is not None
    return within(hypot(joint.point[0] - other.point[0], joint.point[1] - other.point[1]), DRAWING_TOLERANCE_M)


def _on_lines(old: Job, new: Job, joint: Joint, now: Joint | None, others: list[Joint]) -> Iterator[Laid]:
    """A line on its own new course, then piece by piece where it was moved, then on other joints."""
    assert joint.path is not None
    path = joint.path
    seen = _carried_along(old, new, joint)
    free = list(zip(path.chainages, path.chainages[1:], strict=False))
    own = now.path if now is not None else None
    if now is not None and own is not None:
        found, free = _overlaid(path, seen, free, now)
        yield from found
        moved, free = _piece_by_piece(path, free, found, now.id, own)
        yield from moved
    for other in others:
        found, free = _overlaid(path, seen, free, other)
        yield from found


def _carried_along(old: Job, new: Job, joint: Joint) -> Path:
    """The old course where it would lie now: a scale that was set carries it with its drawing."""
    assert joint.path is not None
    was, now = old.sheets[joint.sheet], new.sheets.get(joint.sheet)
    if now is None or now.source is None or now.source != was.source or now.placement == was.placement:
        return joint.path
    points = [now.placement.to_site(was.placement.to_drawing(point)) for point in joint.path.points]
    moved = path_of(points, closed=joint.path.closed)
    return moved if len(moved.points) == len(joint.path.points) else joint.path


Free = list[tuple[float, float]]


def _overlaid(path: Path, seen: Path, free: Free, other: Joint) -> tuple[list[Laid], Free]:
    """What of the free stretches lies on another joint's line, and what is left of them."""
    assert other.path is not None
    found: list[Laid] = []
    for index, (a, b) in enumerate(pairwise(seen.corners)):
        for at, (c, d) in enumerate(pairwise(other.path.corners)):
            shares = _shared((a, b), (c, d))
            if shares is None:
                continue
            (s0, s1), (t0, t1) = shares
            whole = path.chainages[index], path.chainages[index + 1]
            there = other.path.chainages[at], other.path.chainages[at + 1]
            laid = Laid(_between(whole, s0), _between(whole, s1), other.id, _between(there, t0), _between(there, t1))
            parts, free = _taken(laid, free)
            found += parts
    return found, free


def _between(ends: tuple[float, float], share: float) -> float:
    return ends[1] if share == 1.0 else ends[0] + share * (ends[1] - ends[0])


def _taken(laid: Laid, free: Free) -> tuple[list[Laid], Free]:
    """The parts of a stretch that are still free, and what is left free."""
    parts, left = [], []
    for low, high in free:
        start, stop = max(low, laid.from_m), min(high, laid.to_m)
        if stop - start <= MICRON_M:
            left.append((low, high))
            continue
        parts.append(replace(laid, from_m=start, to_m=stop, new_from_m=laid.at(start), new_to_m=laid.at(stop)))
        left += [part for part in ((low, start), (stop, high)) if part[1] - part[0] > MICRON_M]
    return parts, left


def _shared(
    piece: tuple[Point, Point], other: tuple[Point, Point]
) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """What two straight pieces have in common, as shares of the first and of the second; None for nothing."""
    (ax, ay), (bx, by) = piece
    length = hypot(bx - ax, by - ay)
    ux, uy = (bx - ax) / length, (by - ay) / length
    along = [(x - ax) * ux + (y - ay) * uy for x, y in other]
    across = [(y - ay) * ux - (x - ax) * uy for x, y in other]
    low, high = max(0.0, min(along)), min(length, max(along))
    if high - low <= TIE_M or max(map(abs, across)) > TIE_M + abs(across[0] - across[1]):
        return None
    run = along[1] - along[0]
    ends = [(at - along[0]) / run for at in (low, high)]
    if any(abs(across[0] + share * (across[1] - across[0])) > TIE_M for share in ends):
        return None
    near = [
        round(share) if abs(share - round(share)) * length <= MICRON_M else share
        for share in (low / length, high / length)
    ]
    return (near[0], near[1]), (ends[0], ends[1])


def _piece_by_piece(path: Path, free: Free, found: list[Laid], key: UUID, now: Path) -> tuple[list[Laid], Free]:
    """Straight pieces that lie nowhere any more on the pieces in their places, where the joint was only moved or stretched."""
    if len(now.corners) != len(path.corners) or now.closed != path.closed:
        return [], free
    held = [sorted((laid.new_from_m, laid.new_to_m)) for laid in found]
    laid: list[Laid] = []
    left = []
    for low, high in free:
        index = path.piece_at(low)
        whole = (path.chainages[index], path.chainages[index + 1])
        start, stop = now.chainages[index], now.chainages[index + 1]
        clear = all(min(stop, b) - max(start, a) <= MICRON_M for a, b in held)
        if clear and abs(low - whole[0]) <= MICRON_M and abs(high - whole[1]) <= MICRON_M:
            laid.append(Laid(low, high, key, start, stop))
        else:
            left.append((low, high))
    return laid, left
