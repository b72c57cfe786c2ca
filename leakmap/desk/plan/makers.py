"""How joints, leaks, vertical joints and cuts are drawn: each from its own values and the zoom, and from nothing else."""

from __future__ import annotations

from dataclasses import replace

from leakmap.desk.plan.detail import Detail
from leakmap.desk.plan.drawn import Drawn, both, box_of, box_round, reaches, widened
from leakmap.desk.things import Sort, Thing
from leakmap.geometry.path import Point
from leakmap.issue.marks.course import Course
from leakmap.issue.marks.leaks import leak_path, sleeve, strokes
from leakmap.issue.marks.lines import joint_lines
from leakmap.issue.marks.plan import blind_lines, cut_bars
from leakmap.issue.marks.primitives import Coat, Primitive, on_site
from leakmap.issue.marks.signs import LOZENGE_HALF_HEIGHT_MM, LOZENGE_HALF_WIDTH_MM, Staff, Way, lozenge
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak


def joint_drawn(joint: Joint, course: Course, scale: float) -> Drawn:
    """A joint's line, with what is hidden of it."""
    lines: tuple[Primitive, ...] = joint_lines(joint.kind, course, scale)
    for hidden in joint.blind:
        lines = (*lines, *blind_lines(course, hidden.from_m, hidden.to_m, scale))
    path = course.path
    shares = (0.5, 0.3, 0.7, 0.15, 0.85)
    return Drawn(
        thing=Thing(Sort.JOINT, joint.id),
        coats=((Coat.JOINT, lines),),
        box=widened(path.box, on_site(3.0, scale)),
        marker=(path.corners,),
        anchors=tuple(path.point_at(path.length_m * share) for share in shares),
        words=joint.ref,
    )


def leak_drawn(leak: Leak, course: Course, rings: tuple[Point, ...], detail: Detail) -> Drawn:
    """A leak's sleeve and strokes; ``rings`` are places of relief points on its joint, which its strokes keep off."""
    scale, most = detail.scale, detail.most_groups
    path = leak_path(course, leak.from_m, leak.to_m, scale)
    clear = tuple(at for at in rings if reaches(path.box, at, on_site(8.0, scale)))
    groups = strokes(path, leak.wetness, scale, clear, most=most)
    coats: list[tuple[Coat, tuple[Primitive, ...]]] = [(Coat.STROKE, groups)]
    if detail.sleeves or not groups:
        coats.insert(0, (Coat.SLEEVE, sleeve(path, leak.wetness, scale, clear, most=most)))
    return Drawn(
        thing=Thing(Sort.LEAK, leak.id),
        coats=tuple(coats),
        box=widened(path.box, on_site(3.0, scale)),
        marker=(path.corners,),
        anchors=(path.point_at(path.length_m / 2), path.point_at(path.length_m * 0.15)),
        words=leak.ref,
        solid=tuple(box_of(stroke) for stroke in groups),
    )


def upright_drawn(
    joint: Joint,
    at: Point,
    way: Way,
    *,
    staff: Staff | None,
    place: Staff | None,
    lines: tuple[str, ...],
    scale: float,
) -> Drawn:
    """A vertical joint's sign with its staff.

    Args:
        joint: The joint.
        at: Where it stands.
        way: Where it goes from this level.
        staff: Its staff where that shows.
        place: Where its staff stands or would stand.
        lines: What is written beside it.
        scale: Plot scale.
    """
    wide, high = on_site(LOZENGE_HALF_WIDTH_MM, scale), on_site(LOZENGE_HALF_HEIGHT_MM, scale)
    box = (at[0] - wide, at[1] - high, at[0] + wide, at[1] + high)
    second = second_drawn(joint, at, staff, place)
    return replace(
        second,
        coats=(*second.coats, (Coat.VERTICAL, lozenge(at, way, scale))),
        box=both(second.box, widened(box, on_site(1.0, scale))),
        marker=(((at[0], box[1]), (at[0], box[3])), *second.marker[1:]),
        anchors=(at,),
        words="\n".join(lines),
        solid=(box, *second.solid),
    )


def second_drawn(joint: Joint, at: Point, staff: Staff | None, place: Staff | None) -> Drawn:
    """A vertical joint without its sign, such as one at a place that another one's sign already marks.

    No reference stands where its staff may come to stand.
    """
    frame = None if staff is None else staff.frame()
    return Drawn(
        thing=Thing(Sort.JOINT, joint.id),
        coats=() if frame is None else ((Coat.BAND, (frame,)),),
        box=(*at, *at)
        if staff is None or frame is None
        else widened(both((*at, *at), box_of(frame)), on_site(1.0, staff.scale)),
        marker=((at, at),) if staff is None else ((at, at), staff.path.corners),
        solid=() if place is None else (box_of(place.frame()),),
    )


def cut_drawn(course: Course, at_m: float, half_m: float, scale: float) -> Drawn:
    """The bars where zones are kept apart."""
    bars = cut_bars(course, at_m, half_m)
    box = box_of(bars[0])
    round_ = widened(box_round(map(box_of, bars)) or box, on_site(1.0, scale))
    return Drawn(thing=None, coats=((Coat.STROKE, bars),), box=round_, solid=(box,))


def end_drawn(course: Course, at_m: float, words: str) -> Drawn:
    """What is written at an end of a zone that a person set; nothing else of it is drawn."""
    at = course.point_at(at_m)
    return Drawn(thing=None, coats=(), box=(*at, *at), anchors=(at,), words=words)
