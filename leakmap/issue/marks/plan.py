"""All marks of one sheet at one plot scale, in paint order, labels placed."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping
from dataclasses import replace
from itertools import product
from types import MappingProxyType
from typing import Final
from uuid import UUID

import shapely

from leakmap.geometry.path import Box, Point
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M
from leakmap.issue.marks.course import Course, course_of, strip
from leakmap.issue.marks.labels import HARD, Occupied, Wanted, WidthOf, placed, width_guess_mm
from leakmap.issue.marks.leaks import leak_path, sleeve, strokes
from leakmap.issue.marks.lines import ARROW_MM, joint_lines, start_arrow
from leakmap.issue.marks.primitives import (
    Coat,
    Label,
    Line,
    Mark,
    Pen,
    Primitive,
    Tone,
    What,
    on_site,
)
from leakmap.issue.marks.seen import seen_anchors
from leakmap.issue.marks.signs import (
    LOZENGE_HALF_HEIGHT_MM,
    LOZENGE_HALF_WIDTH_MM,
    RING_MM,
    STAFF_WIDER_MM,
    STAFF_WIDTH_MM,
    STEM_MM,
    Staff,
    Way,
    lozenge,
    relief_sign,
)
from leakmap.issue.marks.staff_places import staffs_beside, take_joints
from leakmap.issue.marks.zones import ShownPiece, band_marks, half_band_m, outline_of
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.rules import Rules
from leakmap.repair.results import Relief, Repairs, Why, Zone

REFERENCE_MM = 3.5
NAME_MM = 2.5
SMALL_MM = 1.8
_BLIND_PEN = Pen(Tone.FAINT, 0.35, (1.2, 0.8))
_BLIND_HALF_MM = 1.6
_ON_BAND, _ON_SLEEVE = 5.0, 8.0  # weights of what labels avoid where they can
_CUT_PEN = Pen(Tone.REPAIR, 0.7)
_NAME_AT_MM = 4.0
_START_OFF_MM = (2.0, 3.2, 4.6)
_START_ON_MM = (0.0, 2.0, 4.0)

Marks = tuple[Mark, ...]
ALL: Final[frozenset[What]] = frozenset(What)


def marks_on(
    job: Job,
    repairs: Repairs,
    sheet: UUID,
    *,
    scale: float,
    width_of: WidthOf = width_guess_mm,
    within: Box | None = None,
    avoid: Iterable[tuple[Box, float]] = (),
    all_named: bool = True,
    named: Container[What] = ALL,
    spare: bool = False,
    points: Mapping[str, Point] = MappingProxyType({}),
) -> Marks:
    """Everything that is drawn on a sheet for its joints, leaks and zones.

    Args:
        job: The job.
        repairs: Its work-out.
        sheet: Id of the sheet.
        scale: Denominator of the plot scale: 100 for 1:100.
        width_of: Width of words on paper, in mm.
        within: Box on the site plane that labels stay in.
        avoid: Boxes, such as those of the drawing's texts, with their weights: labels keep off them
            where they can, and off those of weight ``HARD`` as long as any place is left.
        all_named: Whether a leak that finds no free place for its reference gets it all the same.
        named: What gets a reference; where too many would stand on a plan, some things or all get none.
        spare: Whether only references stand there for which a free place is left, whatever they name.
        points: Points to tape from by name, named after all else.
    """
    board = _Board(job, repairs, sheet, scale=scale, width_of=width_of, occupied=Occupied(scale, within))
    board.all_named = all_named
    for box, weight in avoid:
        board.occupied.add(box, weight)
    found = [
        *_staff_frames(board),
        *_bands(board),
        *_sleeves(board),
        *_lines(board),
        *_verticals(board),
        *_reliefs(board),
        *_cuts(board),
    ]
    for name, at in points.items():
        board.want(5, What.POINT, name, None, Wanted(
            words=name, anchors=(at,), cap_mm=SMALL_MM, clear_mm=0.5, tone=Tone.FAINT,
        ))  # fmt: skip
    board.wanted = [entry for entry in board.wanted if entry[1] in named]
    if spare:
        board.wanted = [
            (order, what, ref, item, replace(wanted, needed=False)) for order, what, ref, item, wanted in board.wanted
        ]
    found += _labels(board)
    return tuple(sorted(found, key=lambda mark: mark.coat))


class _Board:
    """What is known of one sheet while its marks are made."""

    def __init__(
        self, job: Job, repairs: Repairs, sheet: UUID, *, scale: float, width_of: WidthOf, occupied: Occupied
    ) -> None:
        self.job, self.repairs, self.sheet, self.scale = job, repairs, sheet, scale
        self.width_of, self.occupied = width_of, occupied
        self.joints = [joint for joint in job.joints.values() if joint.sheet == sheet]
        self.courses = {joint.id: course for joint in self.joints if (course := course_of(joint, scale)) is not None}
        self.leaks = [leak for leak in job.leaks.values() if job.joints[leak.joint].sheet == sheet]
        self.zones = [zone for zone in repairs.zones if sheet in zone.sheets]
        self.reliefs = [
            (zone, relief) for zone in self.zones for relief in zone.relief if job.joints[relief.joint].sheet == sheet
        ]
        self.wanted: list[tuple[int, What, str, UUID | None, Wanted]] = []
        self.staffs: dict[UUID, Staff] = {}
        self.all_named = True
        take_joints(self.joints, self.courses, scale, occupied)
        self._set_staffs()

    def size(self, mm: float) -> float:
        """Metres of the site plane for millimetres on paper."""
        return on_site(mm, self.scale)

    def box(self, at: Point, half_width_mm: float, half_height_mm: float) -> Box:
        """A box on paper round a point."""
        w, h = self.size(half_width_mm), self.size(half_height_mm)
        return at[0] - w, at[1] - h, at[0] + w, at[1] + h

    def _set_staffs(self) -> None:
        """Staffs of vertical joints that are wet or repaired."""
        marked = {leak.joint for leak in self.leaks} | {piece.joint for zone in self.zones for piece in zone.pieces}
        wanted = (joint for joint in self.joints if joint.vertical and joint.id in marked)
        self.staffs = staffs_beside(wanted, self.scale, self.occupied)

    def shown(self, zone: Zone) -> dict[UUID | None, list[ShownPiece]]:
        """Pieces of a zone as shown: under None those in plan, under a vertical joint's id those on its staff."""
        half = half_band_m(self.job.rules.band_m, self.scale)
        return shown_pieces(zone, self.job.rules, self.courses, self.staffs, half_m=half, scale=self.scale)

    def want(
        self,
        order: int,
        what: What,
        ref: str,
        item: UUID | None,
        wanted: Wanted,
        *,
        along: Iterable[Iterable[Point]] = (),
    ) -> None:
        """Ask for a label; lower orders are placed first.

        Where a part of the sheet is shown, it points at what is seen of its thing, and there is none for what is not
        seen at all. ``along`` are the lines of the thing.
        """
        anchors = seen_anchors(self.occupied.within, wanted.anchors, along)
        if anchors:
            self.wanted.append((order, what, ref, item, replace(wanted, anchors=anchors)))


def shown_pieces(
    zone: Zone,
    rules: Rules,
    courses: Mapping[UUID, Course],
    staffs: Mapping[UUID, Staff],
    *,
    half_m: float,
    scale: float,
) -> dict[UUID | None, list[ShownPiece]]:
    """Pieces of a zone as shown: under None those in plan, under a vertical joint's id those on its staff.

    Args:
        zone: The zone.
        rules: The job's rules.
        courses: Where joints are shown.
        staffs: Where vertical joints are shown.
        half_m: Half of the width that bands are shown with.
        scale: Plot scale.
    """
    outside = max(rules.slot_width_m + rules.coat_margin_m, half_m)
    found: dict[UUID | None, list[ShownPiece]] = {}
    for piece in zone.pieces:
        if piece.why is Why.BLIND or piece.from_m == piece.to_m:
            continue
        if piece.joint in courses:
            course = courses[piece.joint]
            found.setdefault(None, []).append(ShownPiece(piece, course, outside if course.collar else half_m))
        elif piece.joint in staffs:
            staff = staffs[piece.joint]
            wide = on_site(STAFF_WIDTH_MM / 2 + STAFF_WIDER_MM, scale)
            shown = ShownPiece(piece, Course(staff.path, staff.share), wide)
            found.setdefault(piece.joint, []).append(shown)
    return found


def _bands(board: _Board) -> list[Mark]:
    found: list[Mark] = []
    true_scale = board.job.rules.band_m >= 2 * half_band_m(board.job.rules.band_m, board.scale)
    for zone in board.zones:
        shown = board.shown(zone)
        bands = [band for band in zone.bands if band.sheet == board.sheet] if true_scale else []
        anchors: list[Point] = []
        for key in sorted(shown, key=str):
            outline = outline_of(shown[key], bands if key is None else ())
            marks = band_marks(zone.ref, outline, shown[key], board.scale, provisional=zone.provisional)
            found += marks if key is None else [replace(mark, coat=max(mark.coat, Coat.BAND)) for mark in marks]
            if key is None:
                for piece in shown[key]:
                    board.occupied.add_line(piece.points, _ON_BAND, piece.half_m)
            if key is None or None not in shown:
                anchors += zone_anchors(shown[key])
            else:
                board.want(2, What.ZONE, zone.ref, key, Wanted(
                    words=zone.ref, anchors=tuple(zone_anchors(shown[key])), cap_mm=NAME_MM, clear_mm=1.2,
                    tone=Tone.REPAIR,
                ))  # fmt: skip
        if anchors:
            words = f"{zone.ref} provisional" if zone.provisional else zone.ref
            board.want(1, What.ZONE, zone.ref, None, Wanted(
                words=words, anchors=tuple(anchors[:6]), cap_mm=REFERENCE_MM, clear_mm=5.5, tone=Tone.REPAIR,
                shoulder=True,
            ), along=[piece.points for pieces in shown.values() for piece in pieces])  # fmt: skip
    return found


def zone_anchors(shown: list[ShownPiece]) -> list[Point]:
    """Points on a zone's edge that its reference may point at: beside the middles of its longest pieces."""
    longest = sorted(shown, key=lambda item: item.piece.from_m - item.piece.to_m)
    found: list[Point] = []
    for item in longest[:3]:
        middle = (item.piece.from_m + item.piece.to_m) / 2
        (x, y), (dx, dy) = item.course.point_at(middle), item.course.direction_at(middle)
        sides = (1,) if item.course.collar else (1, -1)
        found += [(x - side * dy * item.half_m, y + side * dx * item.half_m) for side in sides]
    return found


def _sleeves(board: _Board) -> list[Mark]:
    found: list[Mark] = []
    rings: dict[UUID, list[Point]] = {}
    for _, relief in board.reliefs:
        rings.setdefault(relief.joint, []).append(_relief_at(board, relief))
    for leak in sorted(board.leaks, key=lambda item: item.wetness):
        course = _course_or_staff(board, leak.joint)
        if course is None:
            continue
        path = leak_path(course, leak.from_m, leak.to_m, board.scale)
        clear = rings.get(leak.joint, ())
        groups = strokes(path, leak.wetness, board.scale, clear)
        found.append(_leak_mark(leak, Coat.SLEEVE, sleeve(path, leak.wetness, board.scale, clear)))
        found.append(_leak_mark(leak, Coat.STROKE, groups))
        board.occupied.add_line(path.corners, _ON_SLEEVE, board.size(1.05))
        for stroke in groups:
            assert isinstance(stroke, Line)
            board.occupied.add_line(stroke.points, HARD, board.size(0.2))
        middle = path.point_at(path.length_m / 2)
        board.want(4, What.LEAK, leak.ref, leak.id, Wanted(
            words=leak.ref, anchors=(middle, path.point_at(path.length_m * 0.15)), cap_mm=SMALL_MM,
            clear_mm=2.2, tone=Tone.WATER, needed=board.all_named,
        ), along=[path.corners])  # fmt: skip
    return found


def _leak_mark(leak: Leak, coat: Coat, primitives: tuple[Primitive, ...]) -> Mark:
    return Mark(what=What.LEAK, ref=leak.ref, item=leak.id, coat=coat, primitives=primitives, part=leak.wetness.word)


def _course_or_staff(board: _Board, joint: UUID) -> Course | None:
    if joint in board.staffs:
        return Course(board.staffs[joint].path, board.staffs[joint].share)
    return board.courses.get(joint)


def _lines(board: _Board) -> list[Mark]:
    found: list[Mark] = []
    for joint in board.joints:
        course = board.courses.get(joint.id)
        if course is None:
            continue
        kind = str(joint.kind)
        lines = joint_lines(joint.kind, course, board.scale)
        found.append(_joint_mark(joint, Coat.JOINT, lines, kind))
        found += [_blind_mark(board, joint, course, hidden.from_m, hidden.to_m) for hidden in joint.blind]
        found.append(_start_mark(board, joint, course))
        near, far = board.size(_NAME_AT_MM + ARROW_MM), course.path.length_m / 2
        anchors = tuple(course.path.point_at(at) for at in (min(near, far), far, course.path.length_m * 0.75))
        board.want(3, What.JOINT, joint.ref, joint.id, Wanted(
            words=joint.ref, anchors=anchors, cap_mm=NAME_MM, clear_mm=1.8, tone=Tone.INK,
        ), along=[course.path.corners])  # fmt: skip
    return found


def _joint_mark(joint: Joint, coat: Coat, primitives: tuple[Primitive, ...], part: str) -> Mark:
    what = What.VERTICAL if joint.vertical else What.JOINT
    return Mark(what=what, ref=joint.ref, item=joint.id, coat=coat, primitives=primitives, part=part)


def _blind_mark(board: _Board, joint: Joint, course: Course, from_m: float, to_m: float) -> Mark:
    lines = blind_lines(course, from_m, to_m, board.scale)
    return Mark(what=What.BLIND, ref=joint.ref, item=joint.id, coat=Coat.JOINT, primitives=lines)


def blind_lines(course: Course, from_m: float, to_m: float, scale: float) -> tuple[Line, ...]:
    """The dashed frame round a hidden stretch of a joint."""
    shape = strip(course.part(from_m, to_m), on_site(_BLIND_HALF_MM, scale))
    rings = shapely.get_parts(shapely.boundary(shape)).tolist()
    return tuple(Line(points=tuple((float(x), float(y)) for x, y in ring.coords), pen=_BLIND_PEN) for ring in rings)


def _start_mark(board: _Board, joint: Joint, course: Course) -> Mark:
    """The 0 and the arrow at a joint's start, on the side and at the distance that cover least."""
    path, length = course.path, min(board.size(ARROW_MM), course.path.length_m * 0.8)
    (x, y), (dx, dy) = path.point_at(0.0), path.direction_at(0.0)
    nought = board.size(SMALL_MM)
    width = board.size(board.width_of("0", SMALL_MM))
    choices = []
    for off_mm, on_mm, side in product(_START_OFF_MM, _START_ON_MM, (1, -1)):
        off, on = board.size(off_mm) * side, board.size(on_mm)
        foot = (x - dy * off + dx * on, y + dx * off + dy * on)
        start = (foot[0] + dx * nought, foot[1] + dy * nought)
        tip = (start[0] + dx * length, start[1] + dy * length)
        box = (foot[0] - width, foot[1] - nought * 0.7, foot[0] + width, foot[1] + nought * 0.7)
        cost = board.occupied.cost(box) + board.occupied.cost_of_line((start, tip)) + (off_mm + on_mm) / 4
        choices.append((cost, foot, start, tip, box))
    _, foot, start, tip, box = min(choices)
    board.occupied.add(box, HARD)
    board.occupied.add_line((start, tip), HARD, board.size(0.5))
    zero = Label(
        words="0", at=(foot[0] - width / 2, foot[1] - nought / 2), cap_height_m=nought, width_m=width, tone=Tone.INK
    )
    return _joint_mark(joint, Coat.LABEL, (*start_arrow(start, (dx, dy), length, board.scale), zero), "start")


def _verticals(board: _Board) -> list[Mark]:
    found: list[Mark] = []
    for at, ups, downs in meeting_points(board.job, board.sheet):
        way = Way.THROUGH if ups and downs else Way.UP if ups else Way.DOWN
        first = (ups or downs)[0]
        found.append(_joint_mark(first, Coat.VERTICAL, lozenge(at, way, board.scale), way.value))
        board.occupied.add(board.box(at, LOZENGE_HALF_WIDTH_MM, LOZENGE_HALF_HEIGHT_MM), HARD)
        for joint in (*ups, *downs):
            below = "" if joint in ups else f" from {board.job.sheet_of(joint).name}"
            board.want(2, What.VERTICAL, joint.ref, joint.id, Wanted(
                words=f"{joint.ref}  {board.job.units.shown(joint.rise_m or 0.0)}{below}", anchors=(at,), cap_mm=NAME_MM, clear_mm=2.8,
                tone=Tone.INK,
            ))  # fmt: skip
    return found


def _staff_frames(board: _Board) -> list[Mark]:
    joints = board.job.joints
    return [_joint_mark(joints[joint], Coat.BAND, (staff.frame(),), "staff") for joint, staff in board.staffs.items()]


def meeting_points(job: Job, sheet: UUID) -> list[tuple[Point, list[Joint], list[Joint]]]:
    """Points of vertical joints on the sheet with what rises from and what comes up to each."""
    found: list[tuple[Point, list[Joint], list[Joint]]] = []
    for joint in job.joints.values():
        if not joint.vertical or sheet not in {joint.sheet, joint.head_sheet}:
            continue
        assert joint.point is not None
        place = next((entry for entry in found if _near(entry[0], joint.point)), None)
        if place is None:
            place = (joint.point, [], [])
            found.append(place)
        _, ups, downs = place
        (ups if joint.sheet == sheet else downs).append(joint)
    return found


def _near(a: Point, b: Point) -> bool:
    return abs(a[0] - b[0]) <= DRAWING_TOLERANCE_M and abs(a[1] - b[1]) <= DRAWING_TOLERANCE_M


def _relief_at(board: _Board, relief: Relief) -> Point:
    course = _course_or_staff(board, relief.joint)
    assert course is not None
    return course.point_at(relief.at_m)


def _reliefs(board: _Board) -> list[Mark]:
    found: list[Mark] = []
    for zone, relief in board.reliefs:
        course = _course_or_staff(board, relief.joint)
        if course is None:
            continue
        at, (dx, dy) = course.point_at(relief.at_m), course.direction_at(relief.at_m)
        reach = board.size(STEM_MM)
        sides = [(-dy, dx), (dy, -dx)]
        ends = [(at, (at[0] + ax * reach, at[1] + ay * reach)) for ax, ay in sides]
        side = min((0, 1), key=lambda index: board.occupied.cost_of_line(ends[index]))
        signs = relief_sign(at, sides[side], board.scale)
        board.occupied.add(board.box(at, RING_MM + 0.3, RING_MM + 0.3), HARD)
        board.occupied.add_line(ends[side], HARD, board.size(0.6))
        found.append(Mark(what=What.RELIEF, ref=zone.ref, item=relief.joint, coat=Coat.RELIEF, primitives=signs))
    return found


def _cuts(board: _Board) -> list[Mark]:
    """A cut is a bar across the band, with a gap of paper on each side of it."""
    found: list[Mark] = []
    half = half_band_m(board.job.rules.band_m, board.scale) + board.size(1.0)
    for cut in board.job.cuts.values():
        course = board.courses.get(cut.joint)
        if course is None:
            continue
        bars = cut_bars(course, cut.at_m, half)
        board.occupied.add_line(bars[0].points, HARD, board.size(0.4))
        ref = board.job.joints[cut.joint].ref
        found.append(Mark(what=What.CUT, ref=ref, item=cut.id, coat=Coat.STROKE, primitives=bars))
    return found


def cut_bars(course: Course, at_m: float, half_m: float) -> tuple[Line, Line]:
    """The bar of a cut, and the paper under it."""
    (x, y), (dx, dy) = course.point_at(at_m), course.direction_at(at_m)
    ends = ((x + dy * half_m, y - dx * half_m), (x - dy * half_m, y + dx * half_m))
    return Line(points=ends, pen=Pen(Tone.PAPER, 1.4)), Line(points=ends, pen=_CUT_PEN)


def _labels(board: _Board) -> list[Mark]:
    found: list[Mark] = []
    for _, what, ref, item, wanted in sorted(board.wanted, key=lambda entry: entry[0]):
        label = placed(wanted, board.occupied, board.width_of)
        if label is None:
            continue
        found.append(Mark(what=what, ref=ref, item=item, coat=Coat.LABEL, primitives=(label,), part="reference"))
    return found


def unplaced_leaks(job: Job, sheet: UUID, marks: Marks) -> list[str]:
    """References of leaks that found no place on the plan; the tables list them."""
    named = {mark.item for mark in marks if mark.what is What.LEAK and mark.coat is Coat.LABEL}
    return [leak.ref for leak in job.leaks.values() if job.joints[leak.joint].sheet == sheet and leak.id not in named]
