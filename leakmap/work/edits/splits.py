"""Deeds that split a joint in two and combine two joints.

Issued chainages stay: the second part of a split joint continues them, and what is combined keeps
those of the first joint. A closed joint is split at the chosen place *and* at its start, so that no
printed chainage moves; splitting it at its start only opens it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import hypot
from typing import Final
from uuid import UUID, uuid4

from leakmap.base.measures import Units
from leakmap.base.rounding import snapped
from leakmap.geometry.path import Path, Point, path_of
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, MICRON_M, within
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.printed import printed
from leakmap.model.words import Series, Side
from leakmap.work.carrying import Span, carried
from leakmap.work.edits.edit import Edit, deed, edited, joint_of, refused
from leakmap.work.edits.numbering import next_ref
from leakmap.work.edits.places import placed, to_step

LARGEST_GAP_M: Final = 1.0
"""Ends farther apart than this are not combined (our rule)."""

SAID_GAP_M: Final = 0.050
"""A wider gap that is closed by a straight piece is said (our rule)."""

_FACTS: Final = (
    "dormant",
    "repair_anyway",
    "clearance_m",
    "thickness_m",
    "cover_m",
    "waterstop",
    "waterstop_depth_m",
    "tendons",
    "seen_from",
    "repaired_from",
    "access",
)


@deed
def split_joint(job: Job, *, joint: UUID, at_m: float, new_id: Callable[[], UUID] = uuid4) -> Edit:
    """Split a joint at a chainage, which is snapped to 1 mm, or 1/8 inch.

    The second part gets the next reference and a start value that continues the chainages. A leak
    across the place is cut; both halves keep its wetness and both its overruns.

    Raises:
        EditRefused: The place lies within 10 mm of an end or a cut, or the joint is a pipe collar.
    """
    old = joint_of(job, joint)
    at = to_step(job, placed(job, old, at_m))
    if old.diameter_m is not None or old.kind == "pipe collar":
        raise refused(f"{old.ref} is a pipe collar, which is closed; it cannot be split.", where=old.ref)
    if old.closed and (at <= MICRON_M or at >= old.length_m - MICRON_M):
        return _opened(job, old)
    if within(min(at, old.length_m - at), DRAWING_TOLERANCE_M):
        raise refused(
            f"{printed(job, old, at)} lies within 10 mm of an end of {old.ref}; split it farther in.", where=old.ref
        )
    for cut in job.cuts.values():
        if cut.joint == joint and within(abs(cut.at_m - at), DRAWING_TOLERANCE_M):
            raise refused(
                f"There is a cut at {printed(job, old, cut.at_m)}; split {old.ref} farther from it.", where=old.ref
            )
    ref, numbers = next_ref(job.numbers, Series.VERTICAL if old.vertical else Series.JOINT)
    first, second = _halves(old, at, new_id(), ref)
    spans = (Span(0.0, at, first.id, 0.0, at), Span(at, old.length_m, second.id, 0.0, second.length_m))
    joints = {first.id: first, second.id: second}
    result = carried(job, joints=joints, spans={joint: spans}, numbers=numbers, new_id=new_id)
    said = (f"The part from {printed(job, old, at)} is now {ref}.", *result.said)
    words, made = f"split {old.ref}", (second.id, *result.made)
    return edited(job, result.changes, words=words, said=said, numbers=result.numbers, made=made)


@deed
def combine_joints(job: Job, *, first: UUID, second: UUID, new_id: Callable[[], UUID] = uuid4) -> Edit:
    """Make one joint of two on one sheet whose ends touch, or nearly.

    The first keeps its reference, direction and chainages. Where the second runs the other way, what
    lies on it is turned over and its overruns change sides. A gap is closed by a straight piece.

    Raises:
        EditRefused: They are of different kinds, faces, heights or sheets, closed, or too far apart.
    """
    one, two = joint_of(job, first), joint_of(job, second)
    _refuse_unlike(one, two)
    weld = _upright(job.units, one, two) if one.vertical else _in_line(job.units, one, two)
    new, said = _with_facts(_started(job, weld.joint, one, weld.before_m), one, two, turned=weld.turned)
    if weld.gap_m > SAID_GAP_M:
        said += (f"A gap of {job.units.said(weld.gap_m)} is now a straight piece of {one.ref}.",)
    if new.closed:
        said += (f"{one.ref} is now closed.",)
    joints = {first: new, second: None}
    spans = {first: (weld.first,), second: (weld.second,)}
    result = carried(job, joints=joints, spans=spans, numbers=job.numbers, new_id=new_id)
    said = (*said, *result.said)
    return edited(job, result.changes, words=f"combine {one.ref} and {two.ref}", said=said, numbers=result.numbers)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Weld:
    """Two joints made one: the joint, where each lies on it, what comes before the first, and the gap."""

    joint: Joint
    first: Span
    second: Span
    before_m: float
    gap_m: float
    turned: bool = False


def _opened(job: Job, old: Joint) -> Edit:
    """The edit that opens a closed joint at its start; no chainage changes."""
    assert old.path is not None
    new = replace(old, path=Path(old.path.corners), blind=())
    spans = (Span(0.0, old.length_m, new.id, 0.0, new.length_m),)
    result = carried(job, joints={new.id: new}, spans={new.id: spans}, numbers=job.numbers, new_id=uuid4)
    said = (f"{old.ref} is now open at its start.", *result.said)
    return edited(job, result.changes, words=f"open {old.ref}", said=said, numbers=result.numbers, made=result.made)


def _halves(old: Joint, at: float, key: UUID, ref: str) -> tuple[Joint, Joint]:
    start = float(snapped(old.start_m + at))
    if old.path is None:
        assert old.rise_m is not None
        return (
            replace(old, rise_m=at, head_sheet=None, blind=()),
            replace(old, id=key, ref=ref, height_m=old.height_m + at, rise_m=old.rise_m - at, start_m=start, blind=()),
        )
    path = old.path
    point = path.point_at(at)
    before = [corner for corner, c in zip(path.corners, path.chainages, strict=True) if c < at - MICRON_M]
    after = [corner for corner, c in zip(path.corners, path.chainages, strict=True) if c > at + MICRON_M]
    first = replace(old, path=path_of([*before, point]), blind=())
    return first, replace(old, id=key, ref=ref, path=path_of([point, *after]), start_m=start, blind=())


def _refuse_unlike(one: Joint, two: Joint) -> None:
    if one.id == two.id:
        raise refused("A joint cannot be combined with itself; pick two joints.", where=one.ref)
    for joint in (one, two):
        if joint.closed:
            raise refused(f"{joint.ref} is closed, so it has no end to combine.", where=joint.ref)
    for name in ("sheet", "kind", "face", "vertical"):
        if getattr(one, name) != getattr(two, name):
            what = {"sheet": "lie on different sheets", "vertical": "do not both stand upright"}.get(
                name, f"differ in {name}"
            )
            raise refused(f"{one.ref} and {two.ref} {what}; only like joints are combined.", where=one.ref)
    if not one.vertical and one.face == "wall" and not within(abs(one.height_m - two.height_m), DRAWING_TOLERANCE_M):
        raise refused(f"{one.ref} and {two.ref} lie at different heights; only like joints are combined.")


def _in_line(units: Units, one: Joint, two: Joint) -> _Weld:
    """Two lines joined at their nearest ends; on a tie, the first's end and the second's start."""
    assert one.path is not None
    assert two.path is not None
    a, b = one.path.points, two.path.points
    at_end, turned, here, there = _nearest_ends(one.path, two.path)
    gap = _apart(here, there)
    if gap > LARGEST_GAP_M:
        raise refused(f"The ends of {one.ref} and {two.ref} lie {units.said(gap)} apart; draw the piece between first.")
    gap = 0.0 if gap <= MICRON_M else gap
    other = b[::-1] if turned else b
    earlier, later = (a, other) if at_end else (other, a)
    first_from = 0.0 if at_end else two.length_m + gap
    second_from = one.length_m + gap if at_end else 0.0
    path = _welded(earlier, later, touching=gap == 0)
    return _Weld(
        joint=replace(one, path=path, blind=()),
        first=Span(0.0, one.length_m, one.id, first_from, first_from + one.length_m),
        second=_span(two, one.id, second_from, turned=turned),
        before_m=first_from,
        gap_m=gap,
        turned=turned,
    )


def touching_ends(one: Path, two: Path) -> tuple[Point, Point]:
    """The end of each of two open paths at which they are combined, the first's first."""
    return _nearest_ends(one, two)[2:]


def _nearest_ends(one: Path, two: Path) -> tuple[bool, bool, Point, Point]:
    """Whether it is the last end of the first, whether the second is turned over, and both ends."""
    a, b = one.points, two.points
    choices = [
        (True, False, a[-1], b[0]),
        (True, True, a[-1], b[-1]),
        (False, False, a[0], b[-1]),
        (False, True, a[0], b[0]),
    ]
    return min(choices, key=lambda choice: round(_apart(choice[2], choice[3]), 6))


def _span(joint: Joint, key: UUID, from_m: float, *, turned: bool) -> Span:
    ends = (from_m, from_m + joint.length_m)
    return Span(0.0, joint.length_m, key, *(ends[::-1] if turned else ends))


def _welded(earlier: tuple[Point, ...], later: tuple[Point, ...], *, touching: bool) -> Path:
    """One path of two; a weld on a straight piece leaves no bend, and ends that touch close it."""
    points = [*earlier, *(later[1:] if touching else later)]
    place = len(earlier) - 1
    if touching and _straight(*points[place - 1 : place + 2]):
        del points[place]
    if len(points) > 3 and within(_apart(points[0], points[-1]), MICRON_M):
        return Path(tuple(points[:-1]), closed=True)
    closed = len(points) > 2 and within(_apart(points[0], points[-1]), DRAWING_TOLERANCE_M)
    return Path(tuple(points), closed=closed)


def _straight(a: Point, b: Point, c: Point) -> bool:
    """Whether b lies within 1 µm of the line from a to c and between them."""
    length = _apart(a, c)
    if length <= MICRON_M:
        return False
    off = abs((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])) / length
    along = ((b[0] - a[0]) * (c[0] - a[0]) + (b[1] - a[1]) * (c[1] - a[1])) / length
    return off <= MICRON_M and 0 < along < length


def _upright(units: Units, one: Joint, two: Joint) -> _Weld:
    """Two vertical joints, one over the other; chainage from the lower foot."""
    assert one.point is not None
    assert two.point is not None
    if not within(_apart(one.point, two.point), DRAWING_TOLERANCE_M):
        raise refused(f"{one.ref} and {two.ref} do not stand over each other.", where=one.ref)
    lower, upper = sorted((one, two), key=lambda joint: joint.height_m)
    gap = upper.height_m - lower.height_m - lower.length_m
    if not -DRAWING_TOLERANCE_M <= gap <= LARGEST_GAP_M:
        what = "lie beside each other" if gap < 0 else f"lie {units.said(gap)} apart"
        raise refused(f"{one.ref} and {two.ref} {what}; only ends that meet are combined.", where=one.ref)
    rise = upper.height_m + upper.length_m - lower.height_m
    starts = {lower.id: 0.0, upper.id: rise - upper.length_m}
    return _Weld(
        joint=replace(one, height_m=lower.height_m, rise_m=rise, head_sheet=upper.head_sheet, blind=()),
        first=_span(one, one.id, starts[one.id], turned=False),
        second=_span(two, one.id, starts[two.id], turned=False),
        before_m=starts[one.id],
        gap_m=max(gap, 0.0),
    )


def _started(job: Job, new: Joint, one: Joint, before_m: float) -> Joint:
    """The joint with the first's printed chainages; before the first issue none is below 0."""
    start = float(snapped(one.start_m - before_m))
    return replace(new, start_m=start if job.revisions or before_m == 0 else max(start, 0.0))


def _with_facts(new: Joint, one: Joint, two: Joint, *, turned: bool) -> tuple[Joint, tuple[str, ...]]:
    """The joint with the first's facts, and a sentence where the second's differ."""
    side = _other(two.room_side) if turned else two.room_side
    new = replace(new, room_side=one.room_side or side)
    differ = [name for name in _FACTS if getattr(one, name) != getattr(two, name)]
    if side is not None and one.room_side not in {None, side}:
        differ.append("room_side")
    if not differ:
        return new, ()
    words = ", ".join(name.removesuffix("_m").replace("_", " ") for name in differ)
    return new, (f"{two.ref} differed from {one.ref} in {words}; {one.ref} was taken.",)


def _other(side: Side | None) -> Side | None:
    return None if side is None else Side.RIGHT if side is Side.LEFT else Side.LEFT


def _apart(a: Point, b: Point) -> float:
    return hypot(a[0] - b[0], a[1] - b[1])
