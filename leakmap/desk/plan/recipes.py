"""What each thing of a level is made from besides the zoom, so that an edit makes only what it touched.

A recipe that is the very same as before stands for a thing that is drawn as before at the same zoom.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from functools import partial
from operator import attrgetter
from typing import Any, Final, NamedTuple
from uuid import UUID

from leakmap.base.differing import Heaps
from leakmap.desk.plan.bands import Bands, Lines
from leakmap.desk.plan.basis import Basis, Differing, differing_marks
from leakmap.desk.plan.changed import CHANGE, ChangedParts, Parts, with_changes
from leakmap.desk.plan.detail import Detail
from leakmap.desk.plan.drawn import BY_HAND, Drawn, Key
from leakmap.desk.plan.makers import cut_drawn, end_drawn, joint_drawn, leak_drawn, second_drawn, upright_drawn
from leakmap.desk.things import Sort
from leakmap.geometry.path import Point
from leakmap.issue.marks.course import Course, course_of
from leakmap.issue.marks.plan import meeting_points
from leakmap.issue.marks.primitives import on_site
from leakmap.issue.marks.signs import STAFF_WIDER_MM, STAFF_WIDTH_MM, Staff, Way
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Cut, Leak
from leakmap.model.rules import Rules
from leakmap.repair.results import Repairs, Why, Zone
from leakmap.repair.tape_layout import by_hand
from leakmap.work.changes_since import Changes

_BAR_CLEAR_MM: Final = 1.0
_BESIDE_ZONES: Final = frozenset({CHANGE, BY_HAND})
_BY_CHANGES: Final = frozenset({str(Sort.ZONE), *_BESIDE_ZONES})
"""Sorts of things that are drawn otherwise where changes are told."""


@dataclass(slots=True, eq=False)
class Recipe:
    """One thing: the values that it is made from, and how it is made at a zoom."""

    of: tuple[Any, ...]
    drawn_at: Callable[[Detail], Drawn]


@dataclass(slots=True)
class _Along:
    """What a zone lies along: the lines of its pieces, and places of its relief points with their joints."""

    zone: Zone
    courses: tuple[Course | None, ...]
    rings: tuple[tuple[UUID, Point], ...]


_Wanted = Iterator[tuple[Key, tuple[Any, ...], Callable[[Detail], Drawn]]]


class Renewed(NamedTuple):
    """Recipes of a level, and what of them is otherwise than before.

    Attributes:
        every: The recipe of every thing.
        come: Those that are others than before.
        gone: Things that are no longer there.
    """

    every: Mapping[Key, Recipe]
    come: Mapping[Key, Recipe]
    gone: AbstractSet[Key]


class Recipes:
    """The recipes of one level; after a deed, and when more is known of changes, only those of what that touched are made."""

    def __init__(self, sheet: UUID) -> None:
        self._sheet = sheet
        self._bands = Bands(sheet)
        self._parts = ChangedParts(sheet)
        self._lines = Lines({}, {}, {})
        self._basis: Basis | None = None
        self._places: Mapping[UUID, Staff] = {}
        self._changes: Changes | None = None
        self._held_along: dict[int, _Along] = {}
        self._ringed: dict[UUID, tuple[Point, ...]] = {}
        self._leaks_on: Heaps[Leak, UUID] = Heaps(attrgetter("joint"))
        self._held: dict[Key, Recipe] = {}

    def renewed(
        self,
        job: Job,
        repairs: Repairs,
        scale: float,
        staffs: dict[UUID, Staff],
        places: dict[UUID, Staff],
        *,
        changes: Changes | None = None,
    ) -> Renewed:
        """The recipe of every thing; recipes of what has not changed are the very same as before.

        Args:
            job: The job.
            repairs: Its work-out.
            scale: Plot scale, which staffs and rings of pipe collars have their size from.
            staffs: Staffs that show.
            places: Where every vertical joint's staff stands or would stand.
            changes: What changed since a revision, in the stead of zones as usual; None: those.
        """
        before, lines = self._basis, self._lines_of(job, scale, staffs)
        now = self._basis = Basis(job, repairs, lines, places, changes)
        if before is not None and changes is before.changes and now.same_but_changes(before):
            return Renewed(self._held, {}, frozenset())
        if lines is not self._lines:
            self._held_along = {}
        self._lines, self._places, self._changes = lines, places, changes
        self._bands.take(lines)
        told = self._parts.take(changes, lines)
        rings = self._ringed
        if before is not None and now.same_but_marks(before):
            differs = differing_marks(before, now, told)
            if differs.reliefs:
                self._ringed = self._rings(repairs)
            return self._patched(self._touched(now, differs, rings), self._left(before, differs))
        if before is not None and now.same_but_changes(before):
            left = {key for key in self._held if key[0] in _BY_CHANGES}
            return self._patched(self._by_changes(job, repairs), left)
        self._ringed = self._rings(repairs)
        held, found = self._held, {}
        for key, of, drawn_at in self._wanted(job, repairs):
            found[key] = _kept(held.get(key), of, drawn_at)
        self._held = found
        come = {key: recipe for key, recipe in found.items() if held.get(key) is not recipe}
        return Renewed(found, come, held.keys() - found.keys())

    def _patched(self, wanted: _Wanted, left: set[Key]) -> Renewed:
        """The recipes with some wanted anew, and without those of ``left`` that are not."""
        held, found, come = self._held, dict(self._held), {}
        for key, of, drawn_at in wanted:
            left.discard(key)
            before = held.get(key)
            recipe = _kept(before, of, drawn_at)
            if recipe is not before:
                found[key] = come[key] = recipe
        gone = {key for key in left if key in held}
        for key in gone:
            del found[key]
        self._held = found
        return Renewed(found, come, gone)

    def _touched(self, now: Basis, differs: Differing, rings: Mapping[UUID, tuple[Point, ...]]) -> _Wanted:
        """What must be looked at anew where only marks differ.

        Args:
            now: What recipes are made from now.
            differs: What of it differs.
            rings: Places of relief points before, by joint.
        """
        job, repairs, numbers = now.job, now.repairs, differs.numbers
        both = rings.keys() | self._ringed.keys()
        turned = [joint for joint in both if rings.get(joint) != self._ringed.get(joint)]
        on = self._leaks_on.of(job.leaks) if turned else {}
        beside = (leak for joint in turned for leak in on.get(joint, {}).values())
        yield from self._leaks((*differs.come, *beside))
        if differs.cuts:
            yield from self._cuts(job)
        zones = [zone for zone in repairs.zones if zone.number in numbers] if numbers else []
        yield from self._zones(job, zones)
        yield from self._beside_zones(job, repairs, zones, numbers)

    def _left(self, before: Basis, differs: Differing) -> set[Key]:
        """What was there of all that differs."""
        numbers = differs.numbers
        left: set[Key] = {(str(Sort.LEAK), leak.id) for leak in differs.gone}
        left |= {(str(Sort.ZONE), number) for number in numbers}
        if differs.cuts:
            left |= {("cut", cut) for cut in before.job.cuts}
        if numbers:
            left |= {key for key in self._held if key[0] in _BESIDE_ZONES and key[1][0] in numbers}  # type: ignore[index] # their keys begin with a zone's number
        return left

    def _lines_of(self, job: Job, scale: float, staffs: dict[UUID, Staff]) -> Lines:
        """Where joints are shown: the very same as before, as long as nothing of it has changed."""
        before = self._lines
        courses = before.courses
        collars = any(course.collar for course in courses.values())
        if self._basis is None or job.joints is not self._basis.job.joints or collars:
            here = ((key, course_of(joint, scale)) for key, joint in job.joints.items() if joint.sheet == self._sheet)
            found = {key: course for key, course in here if course is not None}
            courses = courses if found == courses else {key: _same(courses.get(key), new) for key, new in found.items()}
        if courses is before.courses and staffs == before.staffs:
            return before
        return Lines(courses, staffs, {key: Course(staff.path, staff.share) for key, staff in staffs.items()})

    def _wanted(self, job: Job, repairs: Repairs) -> _Wanted:
        yield from self._joints(job)
        yield from self._leaks(sorted(job.leaks.values(), key=lambda leak: leak.wetness))
        yield from self._by_changes(job, repairs)
        yield from self._uprights(job)
        yield from self._cuts(job)

    def _cuts(self, job: Job) -> _Wanted:
        for cut in job.cuts.values():
            course = self._lines.of(cut.joint)
            if course is not None:
                on_staff = cut.joint in self._lines.on_staffs
                yield ("cut", cut.id), (cut, course, job.rules), partial(_cut, cut, course, job.rules, on_staff)

    def _by_changes(self, job: Job, repairs: Repairs) -> _Wanted:
        """What is drawn otherwise where changes are told."""
        yield from self._zones(job, repairs.zones)
        yield from self._beside_zones(job, repairs, repairs.zones)

    def _beside_zones(
        self, job: Job, repairs: Repairs, zones: Iterable[Zone], numbers: frozenset[int] | None = None
    ) -> _Wanted:
        """What is told beside some zones, or beside all: of ends set by hand, in their stead of changes."""
        changes = self._changes
        if changes is None:
            yield from self._ends(job, zones)
        else:
            alive = frozenset(zone.number for zone in repairs.zones if self._sheet in zone.sheets)
            yield from self._parts.wanted(changes, rules=job.rules, alive=alive, numbers=numbers)

    def _along(self, zone: Zone) -> _Along:
        """What a zone lies along; that of a zone that has not changed is not looked for again."""
        held = self._held_along.get(zone.number)
        if held is None or held.zone is not zone:
            pieces = (piece for piece in zone.pieces if piece.why is not Why.BLIND and piece.from_m != piece.to_m)
            courses = tuple(self._lines.of(piece.joint) for piece in pieces)
            lines = ((relief, self._lines.of(relief.joint)) for relief in zone.relief)
            rings = tuple((relief.joint, line.point_at(relief.at_m)) for relief, line in lines if line is not None)
            held = self._held_along[zone.number] = _Along(zone, courses, rings)
        return held

    def _rings(self, repairs: Repairs) -> dict[UUID, tuple[Point, ...]]:
        """Places of relief points, by joint."""
        found: dict[UUID, tuple[Point, ...]] = {}
        for zone in repairs.zones:
            if zone.relief:
                for joint, at in self._along(zone).rings:
                    found[joint] = (*found.get(joint, ()), at)
        return found

    def _joints(self, job: Job) -> _Wanted:
        for key, course in self._lines.courses.items():
            joint = job.joints[key]
            yield (str(Sort.JOINT), key), (joint, course), partial(_scaled, partial(joint_drawn, joint, course))

    def _leaks(self, leaks: Iterable[Leak]) -> _Wanted:
        sort, rings = str(Sort.LEAK), self._ringed
        for leak in leaks:
            course = self._lines.of(leak.joint)
            if course is not None:
                near = rings.get(leak.joint, ())
                yield (sort, leak.id), (leak, course, near), partial(leak_drawn, leak, course, near)

    def _zones(self, job: Job, zones: Iterable[Zone]) -> _Wanted:
        sort, rules = str(Sort.ZONE), job.rules
        for zone in zones:
            courses = self._along(zone).courses if self._sheet in zone.sheets else ()
            if not any(courses):
                continue
            if self._changes is None:
                yield (sort, zone.number), (zone, courses, rules), partial(self._zone, zone, rules)
                continue
            words = self._changes.said.get(zone.number, "")
            parts = self._parts.of(zone.number)
            maker = partial(self._changed, zone, rules, parts, words)
            yield (sort, zone.number), (zone, courses, rules, parts, words), maker

    def _ends(self, job: Job, zones: Iterable[Zone]) -> _Wanted:
        """Ends of zones that a person set, with their overruns."""
        owners = {
            leak.id for leak in job.leaks.values() if leak.overrun_from_m is not None or leak.overrun_to_m is not None
        }
        if not owners:
            return
        for zone in zones:
            for joint in {end.joint for end in zone.ends if end.owner in owners}:
                course = self._lines.of(joint)
                if course is not None:
                    for number, mark in enumerate(by_hand(job, zone, joint)):
                        words = f"{job.units.shown(mark.overrun_m)} by hand"
                        maker = partial(_end, course, mark.end.at_m, words)
                        yield (BY_HAND, (zone.number, joint, number)), (course, mark, words), maker

    def _zone(self, zone: Zone, rules: Rules, detail: Detail) -> Drawn:
        return self._bands.drawn(zone, rules, detail)

    def _changed(self, zone: Zone, rules: Rules, parts: Parts, words: str, detail: Detail) -> Drawn:
        return with_changes(self._bands.drawn(zone, rules, detail), parts, words)

    def _uprights(self, job: Job) -> _Wanted:
        for at, ups, downs in meeting_points(job, self._sheet):
            first = (ups or downs)[0]
            lines = tuple(
                f"{joint.ref}  {job.units.shown(joint.rise_m or 0.0)}"
                + ("" if joint in ups else f" from {job.sheet_of(joint).name}")
                for joint in (*ups, *downs)
            )
            staff, place = self._beside(first.id)
            way = Way.THROUGH if ups and downs else Way.UP if ups else Way.DOWN
            of = (tuple(ups), tuple(downs), staff, place, lines)
            maker = partial(upright_drawn, first, at, way, staff=staff, place=place, lines=lines)
            yield (str(Sort.JOINT), first.id), of, partial(_scaled, maker)
            for other in (*ups, *downs)[1:]:
                beside = self._beside(other.id)
                yield (str(Sort.JOINT), other.id), (other, beside), partial(_second, other, at, *beside)

    def _beside(self, joint: UUID) -> tuple[Staff | None, Staff | None]:
        return self._lines.staffs.get(joint), self._places.get(joint)


def _kept(before: Recipe | None, of: tuple[Any, ...], drawn_at: Callable[[Detail], Drawn]) -> Recipe:
    """The recipe as before, if it is made from the same; else another."""
    return before if before is not None and before.of == of else Recipe(of, drawn_at)


def _same(before: Course | None, new: Course) -> Course:
    return before if before == new and before is not None else new


def _scaled(maker: Callable[..., Drawn], detail: Detail) -> Drawn:
    """What is made from the plot scale of a zoom."""
    return maker(scale=detail.scale)


def _second(joint: Joint, at: Point, staff: Staff | None, place: Staff | None, _detail: Detail) -> Drawn:
    return second_drawn(joint, at, staff, place)


def _cut(cut: Cut, course: Course, rules: Rules, on_staff: bool, detail: Detail) -> Drawn:  # noqa: FBT001 - of one caller
    wide = on_site(STAFF_WIDTH_MM / 2 + STAFF_WIDER_MM, detail.scale)
    half = wide if on_staff else max(rules.band_m, detail.least_band_m) / 2
    return cut_drawn(course, cut.at_m, half + on_site(_BAR_CLEAR_MM, detail.scale), detail.scale)


def _end(course: Course, at_m: float, words: str, _detail: Detail) -> Drawn:
    return end_drawn(course, at_m, words)
