"""Painting the lanes of a joint laid out: its leaks, its zones, its branches, and their names."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QLineF, QPointF, QRectF
from PySide6.QtGui import QPainter, QPen

from leakmap.desk.faces import text
from leakmap.desk.larger import scaled
from leakmap.desk.tape.ink import paint_by_hand, paint_cut, paint_relief, paint_run, paint_wet, say, width
from leakmap.desk.tape.naming import BESIDE_PX, has_line_below, leak_words
from leakmap.desk.tape.shown import LEADER_PX, BranchShown, Shown, Words
from leakmap.desk.theme import tokens
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tokens import CAPTION_TYPE, Sizes, colour
from leakmap.model.words import Wetness
from leakmap.repair.junctions import repairable
from leakmap.repair.tape_ticks import Rank, ticks

_DOT_PX: Final = 4.0
_ACROSS_PX: Final = 10.0
_NARROW_PX, _APART_PX = 1.3, 5.7  # 0.62 and 2.7 of the 2.1 px that are half a millimetre
_BRANCH_TICKS: Final = {Rank.FINE: 0.0, Rank.HALF: 3.0, Rank.WHOLE: 5.5}


def paint_leaks(painter: QPainter, shown: Shown) -> None:
    """The joint as a line, with its leaks."""
    paint_wet(painter, _wets(shown), shown.lanes.leak, shown.reel.ends)


def _wets(shown: Shown) -> list[tuple[float, float, Wetness]]:
    if not shown.has_leaks:
        return []
    return [
        (low, high, wet.leak.wetness)
        for wet in shown.layout.row.leaks
        for low, high in shown.spans_of_leak(wet)
        if shown.seen(low, high)
    ]


def paint_zones(painter: QPainter, shown: Shown, seen: tuple[float, float]) -> None:
    """Bands of the zones with their relief points, cuts, and ends set by hand."""
    if not shown.has_zones:
        return
    row, band, x_of = shown.layout.row, shown.lanes.zone, shown.reel.x
    for run in row.runs:
        if shown.seen(*shown.span_of_run(run)):
            paint_run(painter, run, x_of, band, seen)
    for x in (x_of(relief.at_m) for _, relief in row.reliefs):
        if shown.seen(x, x):
            paint_relief(painter, x, band)
    for x in map(x_of, row.cuts):
        if shown.seen(x, x):
            paint_cut(painter, x, band)
    for mark in row.by_hand:
        paint_by_hand(painter, mark, shown.job.units.shown(mark.overrun_m), x_of(mark.end.at_m), band)


def paint_branches(painter: QPainter, shown: Shown, seen: tuple[float, float], sizes: Sizes) -> None:
    """Junctions with their branches: a dot, a stem, the branch's own part of the zone, its ticks and its name."""
    for branch in shown.branches:
        _paint_branch(painter, shown, branch, seen)
        if branch.words is not None:
            paint_words(painter, branch.words, sizes, tokens().ink)


def _paint_branch(painter: QPainter, shown: Shown, branch: BranchShown, seen: tuple[float, float]) -> None:
    x, (left, top, right, bottom), reel = branch.x, branch.box, shown.reel
    middle, ink = (top + bottom) / 2, colour(tokens().ink)
    row = branch.branch.row
    if right > left:
        for run in row.runs:
            paint_run(painter, run, lambda at_m: branch.x_of(at_m, reel), (top, bottom), seen)
    painter.setPen(QPen(ink, 1.8))
    painter.drawLine(QLineF(x, shown.lanes.body[1], x, middle))
    line = _line_of(branch)
    if right > left:
        wets = [
            (branch.x_of(a, reel), branch.x_of(b, reel), wet.leak.wetness) for wet in row.leaks for a, b in wet.spans
        ]
        paint_wet(painter, wets, middle, line)
        _paint_ticks(painter, shown, branch)
        for _, relief in row.reliefs:
            paint_relief(painter, branch.x_of(relief.at_m, reel), (top, bottom))
    elif line[1] > line[0]:
        painter.drawLine(QLineF(line[0], middle, line[1], middle))
    if branch.branch.movement and not repairable(branch.branch.joint):
        _paint_movement(painter, shown, x)
        return
    painter.setPen(QPen(ink, 0.0))
    painter.setBrush(ink)
    painter.drawEllipse(QPointF(x, shown.lanes.body[1]), _DOT_PX, _DOT_PX)


def _paint_movement(painter: QPainter, shown: Shown, x: float) -> None:
    """The double line of a movement joint across the one laid out, the gap between left open."""
    top, bottom = shown.lanes.leak - _ACROSS_PX, shown.lanes.body[1] + _ACROSS_PX / 2
    painter.fillRect(QRectF(x - _APART_PX / 2, top, _APART_PX, bottom - top), colour(tokens().panel))
    painter.setPen(QPen(colour(tokens().ink), _NARROW_PX))
    for side in (x - _APART_PX / 2, x + _APART_PX / 2):
        painter.drawLine(QLineF(side, top, side, bottom))


def _line_of(branch: BranchShown) -> tuple[float, float]:
    """Where the line of a branch starts and stops: from its stem through its own part to its name."""
    left, _, right, _ = branch.box
    low, high = min(left, branch.x), max(right, branch.x)
    if branch.words is None:
        return low, high
    return (low, high + LEADER_PX) if branch.words.x >= high else (low - LEADER_PX, high)


def _paint_ticks(painter: QPainter, shown: Shown, branch: BranchShown) -> None:
    """Ticks of a branch under its own part, at its own chainages."""
    joint, (low, high) = branch.branch.joint, branch.branch.part
    painter.setPen(QPen(colour(tokens().ink), 1.0))
    for tick in ticks(joint, low, high, shown.reel.px_per_m, shown.job.units):
        long, x = _BRANCH_TICKS[tick.rank], round(branch.x_of(tick.at_m, shown.reel)) + 0.5
        if long:
            painter.drawLine(QLineF(x, branch.box[3] + 1.0, x, branch.box[3] + 1.0 + long))


def paint_names(painter: QPainter, shown: Shown, sizes: Sizes) -> None:
    """Names of leaks or zones, or lengths between bends."""
    token = tokens().repair if shown.has_zones else tokens().water if shown.stage is Stage.LEAKS else tokens().ink2
    for words in shown.names:
        paint_words(painter, words, sizes, token)


def paint_marked_name(painter: QPainter, shown: Shown, thing: Thing, sizes: Sizes, *, pointed: bool) -> None:
    """The name of a picked or pointed-at thing on the marker; one that had no room too, in the stead of those it covers."""
    words = next((words for words in shown.names if words.thing == thing), None) or squeezed(shown, thing)
    if words is None:
        return
    under = _under(words)
    for other in covered(shown, words):
        painter.fillRect(_under(other), colour(tokens().panel))
    painter.fillRect(under, colour(tokens().panel))
    painter.fillRect(under, colour(tokens().mark, tokens().pointed_alpha if pointed else tokens().picked_alpha))
    paint_words(painter, words, sizes, tokens().on_mark if pointed else tokens().ink)


def covered(shown: Shown, words: Words) -> list[Words]:
    """Words that a marked name covers, in part or whole."""
    branches = (branch.words for branch in shown.branches)
    others = (other for other in (*shown.names, *branches) if other is not None and other.thing != words.thing)
    return [other for other in others if _under(other).intersects(_under(words))]


def _under(words: Words) -> QRectF:
    """The ground under words."""
    return QRectF(words.x - 3.0, words.y - scaled(10.0), words.wide + 6.0, scaled(36.0 if words.below else 20.0))


def squeezed(shown: Shown, thing: Thing) -> Words | None:
    """A name that found no room, under or after its thing all the same."""
    if thing.sort is Sort.JOINT:
        return _name_of_branch(shown, thing)
    spans = [span for span in shown.spans_of(thing) if shown.seen(*span)]
    if not spans:
        return None
    low, high = spans[0]
    reel, lanes = shown.reel, shown.lanes
    if thing.sort is Sort.LEAK and shown.stage is Stage.LEAKS:
        leak = next(wet.leak for wet in shown.layout.row.leaks if wet.leak.id == thing.key)
        below = leak_words(shown.job, leak) if has_line_below(lanes) else ""
        wide = max(shown.measure(leak.ref, True), shown.measure(below, False))
        x = min(max((low + high - wide) / 2, reel.left - 14.0), reel.right + 14.0 - wide)
        return Words(strong=leak.ref, x=x, y=lanes.name, wide=wide, below=below, thing=thing)
    if thing.sort is Sort.ZONE:
        run = next(run for run in shown.layout.row.runs if run.zone.number == thing.key)
        plain = f"  {shown.job.units.with_unit(run.length_m)}"
        wide = shown.measure(run.zone.ref, True) + shown.measure(plain, False)
        x = min(max(high + BESIDE_PX, reel.left - 14.0), reel.right + 14.0 - wide)
        return Words(strong=run.zone.ref, plain=plain, x=x, y=sum(lanes.zone) / 2, wide=wide, thing=thing)
    return None


def _name_of_branch(shown: Shown, thing: Thing) -> Words | None:
    """The name of a branch that is pointed at: where it stands, else beside its stem."""
    branch = next((one for one in shown.branches if one.branch.joint.id == thing.key), None)
    if branch is None or branch.words is not None:
        return branch.words if branch is not None else None
    ref = branch.branch.joint.ref
    wide = shown.measure(ref, True)
    x = min(branch.x + 8.0, shown.reel.right + 14.0 - wide)
    return Words(strong=ref, x=x, y=shown.lanes.branch + shown.lanes.branch_high / 2, wide=wide, thing=thing)


def paint_words(painter: QPainter, words: Words, sizes: Sizes, token: str) -> None:
    """Words, the strong part first, a second line below its middle."""
    ink, strong = colour(token), text(sizes.tape_type, strong=True)
    if words.below:
        below = text(CAPTION_TYPE)
        for line, font, y in ((words.strong, strong, words.y), (words.below, below, words.y + scaled(17.0))):
            say(painter, line, QPointF(words.x + (words.wide - width(line, font)) / 2, y), font, ink)
        return
    say(painter, words.strong, QPointF(words.x, words.y), strong, ink)
    after = words.x + (width(words.strong, strong) if words.strong else 0.0)
    say(painter, words.plain, QPointF(after, words.y), text(sizes.tape_type), ink)
