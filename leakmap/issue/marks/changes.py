"""What changed between two revisions, as marks on a level: told apart by outline, hatch and words, never by colour.

What is opened now has a solid outline: crossed lines fill what is new, single lines what a zone grew by. What is not
opened any more has a dashed one: bars stand across what a zone lost, and crosses where a whole zone is gone. A zone's
stretch that stays is outlined thin and empty, with a heavy line along it where its slot is cut otherwise.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from itertools import count, takewhile
from typing import Final
from uuid import UUID

from leakmap.geometry.path import Box, Point
from leakmap.issue.marks.course import Course, course_of, hatch_lines, heading_deg, polygons, strip
from leakmap.issue.marks.labels import Occupied, Wanted, WidthOf, placed, width_guess_mm
from leakmap.issue.marks.lines import joint_lines
from leakmap.issue.marks.primitives import Area, Coat, Hatch, Line, Mark, Pen, Primitive, Tone, What, on_site
from leakmap.issue.marks.signs import STAFF_WIDER_MM, STAFF_WIDTH_MM, Staff, Way, lozenge
from leakmap.issue.marks.staff_places import staffs_beside, take_joints
from leakmap.issue.marks.zones import half_band_m
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.repair.compared import Change, Compared, joint_of_stretch
from leakmap.repair.results import zone_ref
from leakmap.repair.sides import Differences

_THERE: Final = Pen(Tone.INK, 0.5)
_WAS: Final = Pen(Tone.INK, 0.5, (1.8, 1.2))
_KEPT: Final = Pen(Tone.FAINT, 0.18)
_THIN: Final = Pen(Tone.INK, 0.18)
_SIGN: Final = Pen(Tone.INK, 0.35)
_OTHERWISE: Final = Pen(Tone.INK, 1.0)
_HATCH_MM: Final = 1.3
_SIGNS_MM: Final = 3.0
_TURNS: Final = {Change.ADDED: (45.0, 135.0), Change.LONGER: (45.0,)}
_NAME_MM: Final = 2.5
_SMALL_MM: Final = 1.8
_WORDS: Final = {Change.ADDED: "new", Change.KEPT: "cut otherwise"}


def change_marks(
    found: Differences,
    sheet: UUID,
    *,
    scale: float,
    width_of: WidthOf = width_guess_mm,
    within: Box | None = None,
    avoid: Iterable[tuple[Box, float]] = (),
) -> tuple[Mark, ...]:
    """Joints of a level, what of them is opened in either revision, and words for each change.

    Args:
        found: The comparison.
        sheet: Id of the level.
        scale: Denominator of the plot scale.
        width_of: Width of words on paper, in mm.
        within: Box on the site plane that labels stay in.
        avoid: Boxes that labels keep off, with their weights.
    """
    board = _Board(found, sheet, scale, Occupied(scale, within))
    for box, weight in avoid:
        board.occupied.add(box, weight)
    marks = [*board.joint_marks(), *board.stretch_marks()]
    marks += board.labels(width_of)
    return tuple(sorted(marks, key=lambda mark: mark.coat))


class _Board:
    """One level while its changes are drawn."""

    def __init__(self, found: Differences, sheet: UUID, scale: float, occupied: Occupied) -> None:
        self.found, self.scale, self.occupied = found, scale, occupied
        self.joints = [joint for joint in found.new.job.joints.values() if joint.sheet == sheet]
        self.stretches = [each for each in found.found.stretches if self._joint(each).sheet == sheet]
        gone = {self._joint(each).id: self._joint(each) for each in self.stretches if each.after is None}
        every = {joint.id: joint for joint in self.joints} | gone
        self.courses = {joint.id: course for joint in every.values() if (course := course_of(joint, scale)) is not None}
        take_joints(every.values(), self.courses, scale, occupied)
        touched = {self._joint(each).id for each in self.stretches}
        upright = [joint for joint in every.values() if joint.vertical and joint.id in touched]
        self.staffs: dict[UUID, Staff] = staffs_beside(upright, scale, occupied)

    def _joint(self, each: Compared) -> Joint:
        return joint_of_stretch(self.found.old.job, self.found.new.job, each)[1]

    def _course(self, each: Compared) -> Course | None:
        """Where a stretch is shown; what is gone lies on the joint as it was."""
        joint = self._joint(each)
        if joint.id in self.staffs:
            return Course(self.staffs[joint.id].path, self.staffs[joint.id].share)
        return course_of(joint, self.scale)

    def _half_m(self, each: Compared) -> float:
        if self._joint(each).id in self.staffs:
            return on_site(STAFF_WIDTH_MM / 2 + STAFF_WIDER_MM, self.scale)
        return half_band_m(self.found.new.job.rules.band_m, self.scale)

    def joint_marks(self) -> Iterator[Mark]:
        """Joints as they are now, and staffs of vertical ones."""
        for joint in self.joints:
            what = What.VERTICAL if joint.vertical else What.JOINT
            if joint.id in self.courses:
                lines: tuple[Primitive, ...] = joint_lines(joint.kind, self.courses[joint.id], self.scale)
            else:
                assert joint.point is not None
                lines = lozenge(joint.point, Way.UP, self.scale)
            yield Mark(what=what, ref=joint.ref, item=joint.id, coat=Coat.JOINT, primitives=lines)
        for key, staff in self.staffs.items():
            yield Mark(what=What.VERTICAL, ref="", item=key, coat=Coat.TINT, primitives=(staff.frame(),))

    def stretch_marks(self) -> Iterator[Mark]:
        """What is opened in either revision."""
        for each in self.stretches:
            course = self._course(each)
            if course is None:
                continue
            ends, half = (float(each.shown.from_m), float(each.shown.to_m)), self._half_m(each)
            look = change_look(course, ends, half, each.change, self.scale, otherwise=each.cut_otherwise)
            self.occupied.add_line(course.part(*ends), 5.0, half)
            yield Mark(
                what=What.ZONE,
                ref=zone_ref(each.shown.zone),
                item=None,
                coat=Coat.BAND,
                primitives=look,
                part=each.change.value,
            )

    def labels(self, width_of: WidthOf) -> Iterator[Mark]:
        """One label for each zone and change, at the longest stretch of it; then the joints' names."""
        groups: dict[tuple[int, Change], list[Compared]] = defaultdict(list)
        for each in self.stretches:
            if each.change is not Change.KEPT or each.cut_otherwise:
                groups[each.shown.zone, each.change].append(each)
        units = self.found.new.job.units
        for (number, change), parts in groups.items():
            metres = units.printed(sum((part.shown.length_m for part in parts), start=parts[0].shown.length_m * 0))
            words = f"{zone_ref(number)} {_WORDS.get(change, change.value)}, {metres}"
            anchors = self._anchors(max(parts, key=lambda part: part.shown.length_m))
            if anchors:
                yield self._label(zone_ref(number), words, anchors, _NAME_MM, width_of, shoulder=True)
        for joint in self.joints:
            if joint.id in self.courses:
                path = self.courses[joint.id].path
                anchors = tuple(path.point_at(path.length_m * share) for share in (0.5, 0.2, 0.8))
                yield self._label(joint.ref, joint.ref, anchors, _SMALL_MM, width_of)

    def _anchors(self, each: Compared) -> tuple[Point, ...]:
        """Points on both edges of a stretch, at its middle."""
        course, half = self._course(each), self._half_m(each)
        if course is None:
            return ()
        middle = (float(each.shown.from_m) + float(each.shown.to_m)) / 2
        (x, y), (dx, dy) = course.point_at(middle), course.direction_at(middle)
        return tuple((x - side * dy * half, y + side * dx * half) for side in (1, -1))

    def _label(
        self,
        ref: str,
        words: str,
        anchors: tuple[Point, ...],
        cap_mm: float,
        width_of: WidthOf,
        *,
        shoulder: bool = False,
    ) -> Mark:
        wanted = Wanted(
            words=words,
            anchors=anchors,
            cap_mm=cap_mm,
            clear_mm=4.0 if shoulder else 1.5,
            tone=Tone.INK,
            shoulder=shoulder,
        )
        label = placed(wanted, self.occupied, width_of)
        assert label is not None
        return Mark(
            what=What.ZONE if shoulder else What.JOINT, ref=ref, item=None, coat=Coat.LABEL, primitives=(label,)
        )


def change_look(
    course: Course, ends: tuple[float, float], half_m: float, change: Change, scale: float, *, otherwise: bool = False
) -> tuple[Primitive, ...]:
    """How a stretch is drawn that changed, or stayed.

    Args:
        course: Where its joint is shown.
        ends: Chainages.
        half_m: Half of the width that it is shown with.
        change: What became of it.
        scale: Plot scale.
        otherwise: Whether it stays but its slot is another.
    """
    points = course.part(*ends)
    area = strip(points, half_m)
    shape = polygons(area)
    if change is Change.KEPT:
        edge = Area(polygons=shape, pen=_KEPT)
        return (edge, Line(points=points, pen=_OTHERWISE)) if otherwise else (edge,)
    outline = Area(polygons=shape, pen=_THERE if change in _TURNS else _WAS)
    if change not in _TURNS:
        return (outline, *_signs(course, ends, half_m, scale, crossed=change is Change.GONE))
    gap = on_site(_HATCH_MM, scale)
    turns = [(heading_deg(points) + turn) % 180 for turn in _TURNS[change]]
    hatches = (
        Hatch(polygons=shape, lines=hatch_lines(area, turn, gap), turn_deg=turn, gap_m=gap, pen=_THIN) for turn in turns
    )
    return (*hatches, outline)


def _signs(course: Course, ends: tuple[float, float], half_m: float, scale: float, *, crossed: bool) -> Iterator[Line]:
    """Bars or crosses along a stretch, one at least, evenly spaced."""
    pitch = on_site(_SIGNS_MM, scale) / course.share
    number = max(int((ends[1] - ends[0]) / pitch), 1)
    step = (ends[1] - ends[0]) / number
    for at in takewhile(lambda at: at < ends[1], (ends[0] + step * (turn + 0.5) for turn in count())):
        (x, y), (dx, dy) = course.point_at(at), course.direction_at(at)
        for slant in (0.7, -0.7) if crossed else (0.0,):
            ax, ay = half_m * (slant * dx - dy), half_m * (slant * dy + dx)
            yield Line(points=((x - ax, y - ay), (x + ax, y + ay)), pen=_SIGN)


def changed_sheets(found: Differences) -> tuple[UUID, ...]:
    """Levels of the later job on which a stretch changed, in its order."""
    jobs: tuple[Job, Job] = found.old.job, found.new.job
    changed = {joint_of_stretch(*jobs, each)[1].sheet for each in found.found.changes}
    return tuple(sheet for sheet in found.new.job.sheets if sheet in changed)
