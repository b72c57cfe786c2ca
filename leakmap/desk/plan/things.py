"""Everything drawn on one level, thing by thing, so that a change only makes what it touches.

A thing is made anew when something that it is made from has changed: its own values, the joint it lies
on, the zoom. Nothing here knows of a window.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import chain
from typing import Any, Final, TypeAlias
from uuid import UUID

import shapely
from shapely.geometry.base import BaseGeometry

from leakmap.desk.plan.detail import Detail
from leakmap.desk.state import Sort, Thing
from leakmap.geometry.path import Box, Point
from leakmap.issue.marks.course import Course, course_of, polygons
from leakmap.issue.marks.leaks import leak_path, sleeve, strokes
from leakmap.issue.marks.lines import joint_lines
from leakmap.issue.marks.plan import blind_lines, cut_bars, meeting_points, shown_pieces, staffs_on, zone_anchors
from leakmap.issue.marks.primitives import Area, Coat, Disc, Hatch, Label, Line, Polygon, Primitive, on_site
from leakmap.issue.marks.signs import (
    LOZENGE_HALF_HEIGHT_MM,
    LOZENGE_HALF_WIDTH_MM,
    STAFF_WIDER_MM,
    STAFF_WIDTH_MM,
    Staff,
    Way,
    lozenge,
    relief_sign,
)
from leakmap.issue.marks.zones import ShownPiece, band_marks, outline_of, regions
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.repair.results import Repairs, Why, Zone

Key: TypeAlias = tuple[str, Hashable]
"""Word for the sort of a thing, and its id."""

_BAR_CLEAR_MM: Final = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """One thing as drawn.

    Attributes:
        thing: What is picked by it; None for signs that cannot be picked.
        coats: Primitives with the coat they are painted in.
        box: Round all of it, metres.
        marker: Lines and polygons that the marker goes along when it is picked or pointed at.
        anchors: Points that its reference may stand beside, best first.
        words: Its reference.
        solid: Boxes that labels never cover: groups of strokes, rings, lozenges.
    """

    thing: Thing | None
    coats: tuple[tuple[Coat, tuple[Primitive, ...]], ...]
    box: Box
    marker: tuple[tuple[Point, ...], ...] = ()
    band: tuple[Polygon, ...] = ()
    anchors: tuple[Point, ...] = ()
    words: str = ""
    solid: tuple[Box, ...] = ()


@dataclass(slots=True)
class _Shaped:
    """Outline of a zone in plan, or on one staff, and what each piece takes of it.

    Attributes:
        staff: The vertical joint whose staff it lies on; None for the plan.
    """

    staff: UUID | None
    outline: BaseGeometry
    pieces: list[ShownPiece]
    parts: list[tuple[ShownPiece, BaseGeometry]]


@dataclass(slots=True)
class _Made:
    """A thing and what it was made from."""

    source: tuple[Any, ...]
    drawn: Drawn


@dataclass(slots=True)
class Level:
    """What is drawn on one level; filled step by step.

    Attributes:
        drawn: Finished things by key; may hold things of another zoom until they are made anew.
        staffs: Staffs that are shown beside vertical joints: of those that are wet, repaired or raised.
        places: The place of every vertical joint's staff, so that none moves when another comes or goes.
    """

    staffs: dict[UUID, Staff] = field(default_factory=dict)
    places: dict[UUID, Staff] = field(default_factory=dict)
    _placed: tuple[Any, ...] = ()
    _made: dict[Key, _Made] = field(default_factory=dict)
    shaped: dict[int, tuple[tuple[Any, ...], list[_Shaped]]] = field(default_factory=dict)
    _todo: dict[Key, tuple[tuple[Any, ...], Callable[[], Drawn]]] = field(default_factory=dict)

    @property
    def drawn(self) -> Iterator[tuple[Key, Drawn]]:
        """Everything that can be shown now."""
        return ((key, made.drawn) for key, made in self._made.items())

    def ready(self, box: Box | None = None) -> bool:
        """Whether all that lies in a box of the site is made; None: all of it."""
        return not self._due(box)

    def _due(self, box: Box | None) -> list[Key]:
        if box is None:
            return list(self._todo)
        return [key for key in self._todo if key not in self._made or overlap(self._made[key].drawn.box, box)]

    def of(self, thing: Thing) -> Drawn | None:
        """A thing as drawn; None when it is not on the level."""
        made = self._made.get((str(thing.sort), thing.key))
        return made.drawn if made is not None else None

    def plan(
        self, job: Job, repairs: Repairs, sheet: UUID, detail: Detail, raised: frozenset[UUID] = frozenset()
    ) -> bool:
        """Find out what must be made for this job at this zoom; whether anything differs.

        Args:
            job: The job.
            repairs: Its work-out.
            sheet: The level.
            detail: The zoom.
            raised: Vertical joints of which the staff shows though they are dry.
        """
        self._set_staffs(job, repairs, sheet, detail.scale, raised)
        wanted = dict(_Sources(job, repairs, sheet, detail, self).all())
        gone = self._made.keys() - wanted.keys()
        for key in gone:
            del self._made[key]
        self._todo = {
            key: entry for key, entry in wanted.items() if key not in self._made or self._made[key].source != entry[0]
        }
        return bool(gone or self._todo)

    def _set_staffs(self, job: Job, repairs: Repairs, sheet: UUID, scale: float, raised: frozenset[UUID]) -> None:
        placed = (job.joints, sheet, scale)
        if len(self._placed) != len(placed) or self._placed[0] is not job.joints or self._placed[1:] != placed[1:]:
            self._placed, self.places = placed, _staff_places(job, sheet, scale)
        if not self.places:
            self.staffs = {}
            return
        wet = {leak.joint for leak in job.leaks.values()}
        repaired = {piece.joint for zone in repairs.zones for piece in zone.pieces}
        self.staffs = {key: staff for key, staff in self.places.items() if key in raised | wet | repaired}

    def make(self, go_on: Callable[[], bool], box: Box | None = None) -> bool:
        """Make what is due in a box of the site while ``go_on`` says so; whether all of it is made."""
        due = self._due(box)
        for key in due:
            if not go_on():
                return False
            source, maker = self._todo.pop(key)
            self._made[key] = _Made(source, maker())
        return True


class _Sources:
    """What each thing of a level is made from, and how."""

    def __init__(self, job: Job, repairs: Repairs, sheet: UUID, detail: Detail, level: Level) -> None:
        self.job, self.repairs, self.sheet, self.detail = job, repairs, sheet, detail
        self.scale = detail.scale
        self.level = level
        self._tree: shapely.STRtree | None = None
        self.joints = {key: joint for key, joint in job.joints.items() if joint.sheet == sheet}
        self.courses: dict[UUID, Course] = {}
        for key, joint in self.joints.items():
            course = course_of(joint, self.scale)
            if course is not None:
                self.courses[key] = course
        self.staffs = level.staffs
        self.rings: dict[UUID, tuple[Point, ...]] = {}
        for relief in chain.from_iterable(zone.relief for zone in repairs.zones):
            line = self._line(relief.joint)
            if line is not None:
                self.rings[relief.joint] = (*self.rings.get(relief.joint, ()), line.point_at(relief.at_m))

    def _line(self, joint: UUID) -> Course | None:
        if joint in self.staffs:
            return Course(self.staffs[joint].path, self.staffs[joint].share)
        return self.courses.get(joint)

    def all(self) -> Iterator[tuple[Key, tuple[tuple[Any, ...], Callable[[], Drawn]]]]:
        """Every thing: key, what it is made from, and its maker."""
        yield from self._joints()
        yield from self._leaks()
        yield from self._zones()
        yield from self._uprights()
        for cut in self.job.cuts.values():
            course = self._line(cut.joint)
            if course is not None:
                on_staff = on_site(STAFF_WIDTH_MM / 2 + STAFF_WIDER_MM, self.scale)
                half = on_staff if cut.joint in self.staffs else self._half_m
                half += on_site(_BAR_CLEAR_MM, self.scale)
                yield ("cut", cut.id), ((cut, half, course), partial(_cut, course, cut.at_m, half))

    @property
    def _half_m(self) -> float:
        return max(self.job.rules.band_m, self.detail.least_band_m) / 2

    def _joints(self) -> Iterator[tuple[Key, tuple[tuple[Any, ...], Callable[[], Drawn]]]]:
        for key, course in self.courses.items():
            joint = self.joints[key]
            yield (
                (str(Sort.JOINT), key),
                ((joint, self.scale), partial(_joint, joint, course, self.scale)),
            )

    def _leaks(self) -> Iterator[tuple[Key, tuple[tuple[Any, ...], Callable[[], Drawn]]]]:
        for leak in sorted(self.job.leaks.values(), key=lambda item: item.wetness):
            course = self._line(leak.joint)
            if course is None:
                continue
            rings = self.rings.get(leak.joint, ())
            source = (leak, course, rings, self.detail)
            yield (
                (str(Sort.LEAK), leak.id),
                (source, partial(_leak, leak, course, rings, self.detail)),
            )

    def _zones(self) -> Iterator[tuple[Key, tuple[tuple[Any, ...], Callable[[], Drawn]]]]:
        for zone in self.repairs.zones:
            if self.sheet not in zone.sheets:
                continue
            pieces = [piece for piece in zone.pieces if piece.why is not Why.BLIND and piece.from_m != piece.to_m]
            courses = tuple(self._line(piece.joint) for piece in pieces)
            if not any(courses):
                continue
            source = (zone, courses, self.job.rules, self.detail)
            yield (str(Sort.ZONE), zone.number), (source, partial(self._zone, zone))

    def _zone(self, zone: Zone) -> Drawn:
        coats: list[tuple[Coat, tuple[Primitive, ...]]] = []
        shaped = self._shaped(zone)
        for shape in shaped:
            parts = shape.parts if self.detail.hatches else [part for part in shape.parts if part[0].wet]
            marks = band_marks(
                zone.ref, shape.outline, shape.pieces, self.scale, provisional=zone.provisional, parts=parts
            )
            lowest = Coat.TINT if shape.staff is None else Coat.BAND  # a staff's tint goes over its frame
            coats += [(max(mark.coat, lowest), mark.primitives) for mark in marks]
        signs, solid = self._reliefs(zone)
        return Drawn(
            thing=Thing(Sort.ZONE, zone.number),
            coats=(*coats, *signs),
            box=_round(shapely.union_all([shape.outline for shape in shaped]).bounds, on_site(8.0, self.scale)),
            band=tuple(polygon for shape in shaped for polygon in polygons(shape.outline)),
            anchors=_zone_anchors({shape.staff: shape.pieces for shape in shaped}),
            words=f"{zone.ref} provisional" if zone.provisional else zone.ref,
            solid=solid,
        )

    def _shaped(self, zone: Zone) -> list[_Shaped]:
        """Shapes of a zone: those of the zoom before, where nothing of them depends on the zoom."""
        band_m, half = self.job.rules.band_m, self._half_m
        shown = shown_pieces(zone, self.job.rules, self.courses, self.staffs, half_m=half, scale=self.scale)
        source = (zone, half, *(piece.course for pieces in shown.values() for piece in pieces))
        held = self.level.shaped.get(zone.number)
        if held is not None and held[0] == source:
            return held[1]
        bands = [band for band in zone.bands if band.sheet == self.sheet] if band_m >= 2 * half else []
        found = []
        for key, pieces in shown.items():
            outline = outline_of(pieces, bands if key is None else ())
            found.append(_Shaped(key, outline, pieces, regions(outline, pieces)))
        self.level.shaped[zone.number] = (source, found)
        return found

    def _reliefs(self, zone: Zone) -> tuple[list[tuple[Coat, tuple[Primitive, ...]]], tuple[Box, ...]]:
        signs: list[tuple[Coat, tuple[Primitive, ...]]] = []
        solid: list[Box] = []
        for relief in zone.relief:
            line = self._line(relief.joint)
            if line is None:
                continue
            at, (dx, dy) = line.point_at(relief.at_m), line.direction_at(relief.at_m)
            sign = relief_sign(at, self._free_side(at, (-dy, dx)), self.scale)
            signs.append((Coat.RELIEF, sign))
            solid += [box_of(part) for part in sign]
        return signs, tuple(solid)

    def _free_side(self, at: Point, across: Point) -> Point:
        """The side of a joint at which the stem of a relief point crosses no other joint; else the left."""
        start, reach = on_site(0.2, self.scale), on_site(5.0, self.scale)
        stems = [
            shapely.LineString([_off(at, across, side * start), _off(at, across, side * reach)]) for side in (1, -1)
        ]
        crossed = [len(self._joint_tree.query(stem, predicate="intersects")) for stem in stems]
        side = 1 if crossed[0] <= crossed[1] else -1
        return side * across[0], side * across[1]

    @property
    def _joint_tree(self) -> shapely.STRtree:
        if self._tree is None:
            self._tree = shapely.STRtree([shapely.LineString(course.path.corners) for course in self.courses.values()])
        return self._tree

    def _uprights(self) -> Iterator[tuple[Key, tuple[tuple[Any, ...], Callable[[], Drawn]]]]:
        for at, ups, downs in meeting_points(self.job, self.sheet):
            first = (ups or downs)[0]
            staff = self.staffs.get(first.id)
            lines = tuple(
                f"{joint.ref}  {joint.rise_m:.2f}" + ("" if joint in ups else f" from {self.job.sheet_of(joint).name}")
                for joint in (*ups, *downs)
            )
            place = self.level.places.get(first.id)
            source = (tuple(ups), tuple(downs), staff, place, lines, self.detail)
            way = Way.THROUGH if ups and downs else Way.UP if ups else Way.DOWN
            yield (
                (str(Sort.JOINT), first.id),
                (source, partial(_upright, first, at, way, staff=staff, place=place, lines=lines, scale=self.scale)),
            )
            for other in (*ups, *downs)[1:]:
                beside = self.staffs.get(other.id), self.level.places.get(other.id)
                yield (str(Sort.JOINT), other.id), ((other, beside), partial(_second, other, at, *beside))


def _joint(joint: Joint, course: Course, scale: float) -> Drawn:
    lines: tuple[Primitive, ...] = joint_lines(joint.kind, course, scale)
    for hidden in joint.blind:
        lines = (*lines, *blind_lines(course, hidden.from_m, hidden.to_m, scale))
    path = course.path
    shares = (0.5, 0.3, 0.7, 0.15, 0.85)
    return Drawn(
        thing=Thing(Sort.JOINT, joint.id),
        coats=((Coat.JOINT, lines),),
        box=_round(path.box, on_site(3.0, scale)),
        marker=(path.corners,),
        anchors=tuple(path.point_at(path.length_m * share) for share in shares),
        words=joint.ref,
    )


def _leak(leak: Leak, course: Course, rings: tuple[Point, ...], detail: Detail) -> Drawn:
    scale, most = detail.scale, detail.most_groups
    path = leak_path(course, leak.from_m, leak.to_m, scale)
    clear = tuple(at for at in rings if _meets(path.box, at, on_site(8.0, scale)))
    groups = strokes(path, leak.wetness, scale, clear, most=most)
    coats: list[tuple[Coat, tuple[Primitive, ...]]] = [(Coat.STROKE, groups)]
    if detail.sleeves or not groups:
        coats.insert(0, (Coat.SLEEVE, sleeve(path, leak.wetness, scale, clear, most=most)))
    return Drawn(
        thing=Thing(Sort.LEAK, leak.id),
        coats=tuple(coats),
        box=_round(path.box, on_site(3.0, scale)),
        marker=(path.corners,),
        anchors=(path.point_at(path.length_m / 2), path.point_at(path.length_m * 0.15)),
        words=leak.ref,
        solid=tuple(box_of(stroke) for stroke in groups),
    )


def _upright(
    joint: Joint,
    at: Point,
    way: Way,
    *,
    staff: Staff | None,
    place: Staff | None,
    lines: tuple[str, ...],
    scale: float,
) -> Drawn:
    wide, high = on_site(LOZENGE_HALF_WIDTH_MM, scale), on_site(LOZENGE_HALF_HEIGHT_MM, scale)
    box = (at[0] - wide, at[1] - high, at[0] + wide, at[1] + high)
    second = _second(joint, at, staff, place)
    return replace(
        second,
        coats=(*second.coats, (Coat.VERTICAL, lozenge(at, way, scale))),
        box=_joined(second.box, _round(box, on_site(1.0, scale))),
        marker=(((at[0], box[1]), (at[0], box[3])), *second.marker[1:]),
        anchors=(at,),
        words="\n".join(lines),
        solid=(box, *second.solid),
    )


def _second(joint: Joint, at: Point, staff: Staff | None, place: Staff | None) -> Drawn:
    """A vertical joint without its sign, such as one at a place that another one's sign already marks.

    No reference stands where its staff may come to stand.
    """
    frame = None if staff is None else staff.frame()
    return Drawn(
        thing=Thing(Sort.JOINT, joint.id),
        coats=() if frame is None else ((Coat.BAND, (frame,)),),
        box=(*at, *at) if frame is None else _joined((*at, *at), box_of(frame)),
        marker=((at, at),) if staff is None else ((at, at), staff.path.corners),
        solid=() if place is None else (box_of(place.frame()),),
    )


def _cut(course: Course, at_m: float, half_m: float) -> Drawn:
    bars = cut_bars(course, at_m, half_m)
    box = box_of(bars[0])
    return Drawn(thing=None, coats=((Coat.STROKE, bars),), box=box, solid=(box,))


def _zone_anchors(shown: Mapping[UUID | None, list[ShownPiece]]) -> tuple[Point, ...]:
    """Points beside its longest pieces in plan, then beside those on staffs."""
    on_staffs = [point for key, pieces in shown.items() if key is not None for point in zone_anchors(pieces)]
    return (*zone_anchors(shown.get(None, []))[:6], *on_staffs[:4])


def _staff_places(job: Job, sheet: UUID, scale: float) -> dict[UUID, Staff]:
    """Where staffs stand or would stand; within the box round the joints in plan, where there is room."""
    joints = [joint for joint in job.joints.values() if joint.sheet == sheet]
    if not any(joint.vertical for joint in joints):
        return {}
    inside = _round_all(course.path.box for joint in joints if (course := course_of(joint, scale)) is not None)
    return staffs_on(job, sheet, scale, within=inside)


def box_of(part: Primitive) -> Box:
    """Box round a primitive, without the width of its pen."""
    if isinstance(part, Disc):
        (x, y), r = part.centre, part.radius_m
        return x - r, y - r, x + r, y + r
    if isinstance(part, Label):
        return part.at[0], part.at[1], part.at[0] + part.width_m, part.at[1] + part.cap_height_m
    points: tuple[Point, ...]
    if isinstance(part, Line):
        points = part.points
    else:
        assert isinstance(part, Area | Hatch)
        points = tuple(point for polygon in part.polygons for point in polygon[0])
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _round(box: Box | tuple[float, ...], by_m: float) -> Box:
    return box[0] - by_m, box[1] - by_m, box[2] + by_m, box[3] + by_m


def _round_all(boxes: Iterable[Box]) -> Box | None:
    columns = list(zip(*boxes, strict=True))
    return (min(columns[0]), min(columns[1]), max(columns[2]), max(columns[3])) if columns else None


def _joined(one: Box, other: Box) -> Box:
    return min(one[0], other[0]), min(one[1], other[1]), max(one[2], other[2]), max(one[3], other[3])


def _meets(box: Box, at: Point, reach_m: float) -> bool:
    return box[0] - reach_m <= at[0] <= box[2] + reach_m and box[1] - reach_m <= at[1] <= box[3] + reach_m


def _off(at: Point, way: Point, by_m: float) -> Point:
    return at[0] + way[0] * by_m, at[1] + way[1] * by_m


def overlap(one: Box, other: Box) -> bool:
    """Whether two boxes meet."""
    return one[0] <= other[2] and other[0] <= one[2] and one[1] <= other[3] and other[1] <= one[3]
