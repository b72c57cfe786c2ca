"""Which references a level bears at a zoom in a stage, and what they must keep clear of."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from math import hypot
from typing import TypeAlias
from uuid import UUID

import numpy as np

from leakmap.desk.plan.changed import CHANGE
from leakmap.desk.plan.detail import Detail, Show
from leakmap.desk.plan.drawn import BY_HAND, Drawn, Key
from leakmap.desk.plan.labels import ON_BAND, ON_JOINT, ON_SLEEVE, Board, Wish
from leakmap.desk.plan.taken import pieces
from leakmap.desk.plan.things import Level
from leakmap.desk.things import Sort
from leakmap.geometry.path import Box
from leakmap.issue.marks.primitives import Coat, Tone
from leakmap.model.job import Job
from leakmap.model.joint import Joint

WidthOf: TypeAlias = Callable[[str, float], float]
"""Width in pixels of words set in a size in pixels."""

CAP_SHARE = 0.700
LINE_SHARE = 1.2
LEAK_TYPE = 13.0
_UPRIGHT_CLEAR_PX = 7.0
_JOINT_CLEAR_PX = 6.0
_LEAK_CLEAR_PX = 9.0
_END_CLEAR_PX = 18.0  # past the handle
_SLEEVE_HALF_PX = 4.2
_HANDLE_HALF_PX = (4.0, 15.0)  # of the bar at an end that is picked, with some air: along the line, and across


@dataclass(frozen=True, slots=True, kw_only=True)
class Lettering:
    """How references are set: their size in pixels, and what measures them."""

    px: float
    width_of: WidthOf


def shows(key: Key, drawn: Drawn, show: Show) -> bool:
    """Whether a stage shows a thing."""
    sort, _ = key
    if sort == Sort.LEAK:
        return show.leaks
    if sort == Sort.ZONE:
        return show.zones
    return show.zones or drawn.thing is not None  # a cut parts zones


def take_thing(board: Board, key: Key, drawn: Drawn, detail: Detail) -> None:
    """Keep references off one thing."""
    pixel = 1 / detail.px_per_m
    for box in drawn.solid:
        board.take(box)
    for points in drawn.marker:
        leak = key[0] == Sort.LEAK
        half = _SLEEVE_HALF_PX * detail.size if leak else 2.0
        board.take_line(points, ON_SLEEVE if leak else ON_JOINT, half * pixel)
    for polygon in drawn.band:
        board.take_line(polygon[0], ON_BAND, pixel)


def wishes_of(level: Level, show: Show, detail: Detail, lettering: Lettering, box: Box | None = None) -> list[Wish]:
    """References that want a place, those that matter most first: zones, ends set by hand, vertical joints, joints, leaks.

    With a box of the site, only those of things that reach into it.
    """
    if not detail.references:
        return []
    found = [
        (_rank(key, drawn), wish_of(key, drawn, detail, lettering))
        for key, drawn in (level.drawn if box is None else level.meeting(box))
        if drawn.words and shows(key, drawn, show) and _named(key, drawn, show, detail)
    ]
    return [wish for _, wish in sorted(found, key=lambda entry: entry[0])]


def wish_of(key: Key, drawn: Drawn, detail: Detail, lettering: Lettering) -> Wish:
    """The wish of one thing."""
    sort, _ = key
    upright = _upright(key, drawn)
    px = LEAK_TYPE if sort in {Sort.LEAK, BY_HAND} else lettering.px
    lines = drawn.words.count("\n")
    clear, tone = 0.0, Tone.INK if sort == CHANGE else Tone.REPAIR
    if sort == Sort.LEAK:
        clear, tone = _LEAK_CLEAR_PX * detail.size, Tone.WATER
    elif sort == BY_HAND:
        clear = _END_CLEAR_PX
    elif sort == Sort.JOINT:
        clear, tone = (_UPRIGHT_CLEAR_PX * detail.size if upright else _JOINT_CLEAR_PX), Tone.INK
    return Wish(
        key=key,
        words=drawn.words,
        anchors=drawn.anchors,
        wide_px=lettering.width_of(drawn.words, px),
        high_px=px * (CAP_SHARE + LINE_SHARE * lines),
        clear_px=clear,
        tone=tone,
        shoulder=sort in {Sort.ZONE, CHANGE},
        own=tuple(_handles(drawn, detail.px_per_m)) if sort == Sort.LEAK else (),
    )


def off_its_line(wish: Wish, drawn: Drawn, px_per_m: float) -> Wish:
    """A wish that rather does not lie over the line of its own thing, as that of a joint which is being drawn."""
    lines = (((x * px_per_m, y * px_per_m) for x, y in points) for points in drawn.marker)
    boxes = (box for line in lines for a, b in pairwise(line) for box in pieces(a, b))
    half = _JOINT_CLEAR_PX / 2
    own = tuple(
        ((x0 - half) / px_per_m, (y0 - half) / px_per_m, (x1 + half) / px_per_m, (y1 + half) / px_per_m)
        for x0, y0, x1, y1 in boxes
    )
    return replace(wish, own=(*wish.own, *own))


def _handles(drawn: Drawn, px_per_m: float) -> Iterator[Box]:
    """Boxes of the site that the handles at both ends of a thing take."""
    for points in drawn.marker:
        for (x, y), (x1, y1) in ((points[0], points[1]), (points[-1], points[-2])):
            length = hypot(x1 - x, y1 - y) or 1.0
            dx, dy = abs(x1 - x) / length, abs(y1 - y) / length
            along, across = (px / px_per_m for px in _HANDLE_HALF_PX)
            wide, high = along * dx + across * dy, along * dy + across * dx
            yield x - wide, y - high, x + wide, y + high


def type_px(wish: Wish) -> float:
    """The size in which a wish was measured."""
    return wish.high_px / (CAP_SHARE + LINE_SHARE * wish.words.count("\n"))


def extent_of(job: Job, sheet: UUID) -> Box | None:
    """Box round the joints of a level; None where it has none."""
    here = (joint for joint in job.joints.values() if sheet in {joint.sheet, joint.head_sheet})
    return joined(_box_of(joint) for joint in here)


def _box_of(joint: Joint) -> Box:
    if joint.path is not None:
        return joint.path.box
    assert joint.point is not None
    x, y = joint.point
    return x, y, x, y


def joined(boxes: Iterable[Box | None]) -> Box | None:
    """Box round boxes; None where there is none."""
    there = np.array([box for box in boxes if box is not None], dtype=np.float64)
    if not len(there):
        return None
    low, high = there[:, :2].min(axis=0), there[:, 2:].max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _upright(key: Key, drawn: Drawn) -> bool:
    return key[0] == Sort.JOINT and any(coat is Coat.VERTICAL for coat, _ in drawn.coats)


def _named(key: Key, drawn: Drawn, show: Show, detail: Detail) -> bool:
    sort, _ = key
    if sort == Sort.LEAK:
        return detail.leak_references
    if sort == Sort.JOINT:
        return detail.text_at_verticals if _upright(key, drawn) else show.joint_names
    return sort in {Sort.ZONE, CHANGE, BY_HAND}


def _rank(key: Key, drawn: Drawn) -> int:
    if key[0] == Sort.JOINT:
        return 3 if _upright(key, drawn) else 4
    return {Sort.ZONE: 1, CHANGE: 1, BY_HAND: 2}.get(key[0], 5)
