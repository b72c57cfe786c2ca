"""How changes since a revision are drawn on the plan: by the signs of the comparison on paper, over zones in mere outline."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from functools import partial
from typing import Final, TypeAlias
from uuid import UUID

from leakmap.desk.plan.bands import Lines
from leakmap.desk.plan.detail import Detail
from leakmap.desk.plan.drawn import Drawn, Key, box_of, box_round, widened
from leakmap.geometry.path import Point
from leakmap.issue.marks.changes import change_look
from leakmap.issue.marks.course import Course, course_of
from leakmap.issue.marks.primitives import Area, Coat, Pen, Primitive, Tone, on_site
from leakmap.issue.marks.signs import STAFF_WIDER_MM, STAFF_WIDTH_MM
from leakmap.model.rules import Rules
from leakmap.repair.compared import Change, Compared
from leakmap.work.changes_since import Changed, Changes, Group

CHANGE: Final = "change"
"""Word for the sort of these things among all that is drawn."""

_OUTLINE: Final = Pen(Tone.FAINT, 0.25)
_MARGIN_MM: Final = 8.0
Wanted: TypeAlias = Iterator[tuple[Key, tuple[object, ...], Callable[[Detail], Drawn]]]
Parts: TypeAlias = tuple[tuple[Compared, Course, bool], ...]
"""Stretches with the lines that they lie on, and whether that is a staff."""


class ChangedParts:
    """What changed on a level, with the lines that it lies on; of a zone of which nothing else did, the very same as before."""

    def __init__(self, sheet: UUID) -> None:
        self._sheet = sheet
        self._lines: Lines | None = None
        self._of: dict[int, tuple[Group, dict[Change, Parts]]] = {}

    def take(self, changes: Changes | None, lines: Lines) -> frozenset[int]:
        """Take what changed, and what joints are shown along; gives numbers of zones of which other things are told now."""
        held = self._of if lines is self._lines else {}
        self._lines, self._of = lines, {}
        for number, group in (changes.groups if changes is not None else {}).items():
            before = held.get(number)
            if before is None or before[0] is not group:
                parts = ((change, _parts(stretches, self._sheet, lines)) for change, stretches in group.items())
                before = group, {change: found for change, found in parts if found}
            self._of[number] = before
        both = held.keys() | self._of.keys()
        return frozenset(number for number in both if held.get(number) is not self._of.get(number))

    def of(self, number: int) -> Parts:
        """All that changed of a zone."""
        return tuple(part for parts in self._of[number][1].values() for part in parts) if number in self._of else ()

    def wanted(
        self, changes: Changes, *, rules: Rules, alive: frozenset[int], numbers: frozenset[int] | None = None
    ) -> Wanted:
        """A thing for each zone and change.

        Args:
            changes: What changed.
            rules: Rules of the job, for the width of bands.
            alive: Numbers of zones that there are: these bear their words themselves.
            numbers: Of these zones only; None: of all.
        """
        for number, (_, of) in self._of.items():
            if numbers is not None and number not in numbers:
                continue
            words = "" if number in alive else changes.words(number)
            for change, parts in of.items():
                source = (change, parts, rules, words)
                yield (CHANGE, (number, change)), source, partial(_drawn, change, parts, rules, words)
                words = ""


def with_changes(drawn: Drawn, parts: Parts, words: str) -> Drawn:
    """A zone in outline, with what changed of it in words beside the longest stretch that did.

    Args:
        drawn: The zone as it is drawn usually.
        parts: What changed of it on the level.
        words: What changed of it anywhere; empty for nothing.
    """
    outline = (Area(polygons=drawn.band, pen=_OUTLINE),)
    anchors = (*_middles(parts), *drawn.anchors) if parts else drawn.anchors
    return replace(drawn, coats=((Coat.TINT, outline),), anchors=anchors, words=words or drawn.words, solid=())


def _parts(stretches: Iterable[Changed], sheet: UUID, lines: Lines) -> Parts:
    found = []
    for each, joint in stretches:
        if joint.sheet != sheet:
            continue
        course = lines.of(joint.id) if joint.vertical or each.after is not None else course_of(joint, 1.0)
        if course is not None:
            found.append((each, course, joint.id in lines.on_staffs))
    return tuple(found)


def _drawn(change: Change, parts: Parts, rules: Rules, words: str, detail: Detail) -> Drawn:
    scale = detail.scale
    primitives: list[Primitive] = []
    for each, course, on_staff in parts:
        wide = on_site(STAFF_WIDTH_MM / 2 + STAFF_WIDER_MM, scale)
        half = wide if on_staff else max(rules.band_m, detail.least_band_m) / 2
        ends = float(each.shown.from_m), float(each.shown.to_m)
        primitives += change_look(course, ends, half, change, scale, otherwise=each.cut_otherwise)
    box = box_round(box_of(part) for part in primitives)
    assert box is not None
    return Drawn(
        thing=None,
        coats=((Coat.BAND, tuple(primitives)),),
        box=widened(box, on_site(_MARGIN_MM, scale)),
        anchors=_middles(parts),
        words=words,
    )


def _middles(parts: Parts) -> tuple[Point, ...]:
    """Points in the middle of the longest stretch, and at its quarters."""
    each, course, _ = max(parts, key=lambda part: part[0].shown.length_m)
    low, high = float(each.shown.from_m), float(each.shown.to_m)
    return tuple(course.point_at(low + share * (high - low)) for share in (0.5, 0.25, 0.75))
