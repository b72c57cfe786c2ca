"""Random edits that a job accepts, for properties of anything that follows edits.

``random_edits(job, chance, count)`` gives edits, each made on the job of the one before. All
randomness comes from ``chance`` (a `random.Random`), ids included, so equal seeds give equal jobs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from datetime import date
from random import Random
from typing import TypeVar
from uuid import UUID

from leakmap.base.errors import EditRefused
from leakmap.geometry.placement import Placement
from leakmap.model.job import Job
from leakmap.model.joint import Joint, Signed
from leakmap.model.leak import IssuedStretch
from leakmap.model.sheet import KnownLength, Source
from leakmap.model.words import Face, Kind, Method, Side, Waterstop, Wetness
from leakmap.work.edits import bends, blinds, facts, grid, joints, leaks, marks, others, rules, scales, sheets, splits
from leakmap.work.edits.edit import Edit

T = TypeVar("T")
Deed = Callable[[Job, Random], Edit]
_TRIES = 200


def seeded(seed: int) -> Random:
    """Chance that follows from a seed."""
    return Random(seed)  # noqa: S311 - repeatable chance is what a test needs


def fresh_ids(chance: Random) -> Callable[[], UUID]:
    """Ids that follow from the seed."""
    return lambda: UUID(int=chance.getrandbits(128), version=4)


def empty_job(chance: Random) -> Job:
    """A job with two sheets, the upper one on a drawing in millimetres."""
    job = Job(id=fresh_ids(chance)(), name="Heron Wharf")
    new_id = fresh_ids(chance)
    job = sheets.add_sheet(job, name="B2", floor_level_m=-6.0, new_id=new_id).job
    source = Source(name="b1.dxf", sha256="0" * 64)
    placement = Placement(x_m_per_unit=0.001, y_m_per_unit=0.001)
    return sheets.add_sheet(job, name="B1", source=source, placement=placement, floor_level_m=-3.0, new_id=new_id).job


def random_job(chance: Random, count: int = 30) -> Job:
    """A job after some random edits on two sheets."""
    job = empty_job(chance)
    for edit in random_edits(job, chance, count):
        job = edit.job
    return job


def random_edits(job: Job, chance: Random, count: int) -> Iterator[Edit]:
    """Edits that the job accepts, each made on the job of the one before."""
    for _ in range(count):
        edit = random_edit(job, chance)
        job = edit.job
        yield edit


def random_edit(job: Job, chance: Random) -> Edit:
    """An edit that the job accepts and that changes something."""
    for _ in range(_TRIES):
        try:
            edit = chance.choice(DEEDS)(job, chance)
        except (EditRefused, NothingThere):
            continue
        if edit.changed:
            return edit
    return sheets.add_sheet(job, name=f"sheet {chance.getrandbits(64)}", new_id=fresh_ids(chance))


def with_issued(job: Job, chance: Random) -> Job:
    """The job with a stretch of a zone on every joint, as an issue leaves them; its revisions stay empty."""
    issued = {}
    for number, joint in enumerate(job.joints.values(), 1):
        start, stop = sorted(round(chance.uniform(0, joint.length_m), 3) for _ in range(2))
        item = IssuedStretch(
            id=fresh_ids(chance)(), zone=number, joint=joint.id, from_m=start, to_m=min(stop, joint.length_m)
        )
        issued[item.id] = item
    return replace(job, issued=issued, numbers=replace(job.numbers, zone=len(issued)))


class NothingThere(Exception):
    """A deed was drawn for which the job holds nothing."""


def _one(items: Mapping[UUID, T], chance: Random) -> T:
    if not items:
        raise NothingThere
    return chance.choice(list(items.values()))


def _drawn(job: Job, chance: Random) -> UUID:
    return _one({key: sheet for key, sheet in job.sheets.items() if sheet.source}, chance).id


def _line(job: Job, chance: Random) -> Joint:
    lines = {key: joint for key, joint in job.joints.items() if joint.path is not None}
    return _one(lines, chance)


def _upright(job: Job, chance: Random) -> Joint:
    return _one({key: joint for key, joint in job.joints.items() if joint.vertical}, chance)


def _point(chance: Random) -> tuple[float, float]:
    return chance.randrange(25) / 2, chance.randrange(17) / 2


def _place(joint: Joint, chance: Random) -> float:
    return min(round(chance.uniform(0, joint.length_m), 1), joint.length_m)


def _stretch(joint: Joint, chance: Random) -> tuple[float, float]:
    start, stop = _place(joint, chance), _place(joint, chance)
    return (start, stop) if joint.closed else (min(start, stop), max(start, stop))


def _bend(joint: Joint, chance: Random) -> int:
    assert joint.path is not None
    return chance.randrange(len(joint.path.points))


def _draw(job: Job, chance: Random) -> Edit:
    kind = chance.choice([kind for kind in Kind if kind is not Kind.PIPE_COLLAR])
    points = [_point(chance) for _ in range(chance.randrange(2, 5))]
    return joints.draw_joint(
        job,
        sheet=_one(job.sheets, chance).id,
        kind=kind,
        points=points,
        closed=len(points) > 2 and chance.random() < 0.25,
        face=chance.choice([None, None, *Face]),
        height_m=chance.choice([0.0, 0.0, 1.2]),
        room_side=chance.choice([None, *Side]),
        new_id=fresh_ids(chance),
    )


def _stand(job: Job, chance: Random) -> Edit:
    return joints.draw_vertical_joint(
        job,
        sheet=_one(job.sheets, chance).id,
        kind=Kind.CONSTRUCTION,
        point=_point(chance),
        rise_m=chance.choice([None, 1.5, 2.8]),
        direction=chance.choice(list(joints.Direction)),
        new_id=fresh_ids(chance),
    )


def _through(job: Job, chance: Random) -> Edit:
    return joints.draw_through_joint(
        job, sheet=_one(job.sheets, chance).id, kind=Kind.CRACK, point=_point(chance), new_id=fresh_ids(chance)
    )


def _collar(job: Job, chance: Random) -> Edit:
    return joints.draw_collar(
        job,
        sheet=_one(job.sheets, chance).id,
        point=_point(chance),
        diameter_m=chance.choice([0.2, 0.8]),
        face=chance.choice([None, Face.FLOOR]),
        new_id=fresh_ids(chance),
    )


def _leak(job: Job, chance: Random) -> Edit:
    joint = _one(job.joints, chance)
    start, stop = _stretch(joint, chance)
    return leaks.add_leak(
        job,
        joint=joint.id,
        from_m=start,
        to_m=chance.choice([start, stop, stop, stop]),
        wetness=chance.choice(list(Wetness)),
        worst_m=chance.choice([None, start]),
        flow_l_min=chance.choice([None, 1.5]),
        overrun_from_m=chance.choice([None, None, 0.1, 0.6]),
        seen=date(2024, 3, chance.randrange(1, 29)),
        new_id=fresh_ids(chance),
    )


def _move_ends(job: Job, chance: Random) -> Edit:
    leak = _one(job.leaks, chance)
    start, stop = _stretch(job.joints[leak.joint], chance)
    return leaks.move_leak_ends(
        job, leak=leak.id, from_m=chance.choice([None, start]), to_m=chance.choice([None, stop])
    )


def _shift_leak(job: Job, chance: Random) -> Edit:
    leak = _one(job.leaks, chance)
    return leaks.shift_leak(job, leak=leak.id, by_m=chance.choice([-0.1, 0.01, 0.1, 3.0]))


def _shift_joint(job: Job, chance: Random) -> Edit:
    joint = _one(job.joints, chance)
    return bends.shift_joint(job, joint=joint.id, across_m=chance.choice([0.01, -0.1]), up_m=chance.choice([0.0, 0.1]))


def _worst(job: Job, chance: Random) -> Edit:
    leak = _one(job.leaks, chance)
    return leaks.set_worst_point(job, leak=leak.id, worst_m=chance.choice([None, leak.from_m, leak.to_m]))


def _overrun(job: Job, chance: Random) -> Edit:
    return leaks.set_overrun(
        job,
        leak=_one(job.leaks, chance).id,
        end=chance.choice(list(leaks.LeakEnd)),
        overrun_m=chance.choice([None, 0.0, 0.2, 0.75]),
    )


def _move(job: Job, chance: Random) -> Edit:
    joint = _line(job, chance)
    return bends.move_bend(job, joint=joint.id, bend=_bend(joint, chance), to=_point(chance))


def _combine(job: Job, chance: Random) -> Edit:
    pairs = [(a, b) for a in job.joints.values() for b in job.joints.values() if a is not b and _like(a, b)]
    if not pairs:
        raise NothingThere
    first, second = chance.choice(pairs)
    return splits.combine_joints(job, first=first.id, second=second.id, new_id=fresh_ids(chance))


def _like(one: Joint, two: Joint) -> bool:
    if (one.sheet, one.kind, one.face, one.closed, two.closed) != (two.sheet, two.kind, two.face, False, False):
        return False
    if one.path is None or two.path is None:
        return one.point == two.point
    return bool({one.path.points[0], one.path.points[-1]} & {two.path.points[0], two.path.points[-1]})


def _split(job: Job, chance: Random) -> Edit:
    joint = _one(job.joints, chance)
    return splits.split_joint(job, joint=joint.id, at_m=_place(joint, chance), new_id=fresh_ids(chance))


def _place_sheet(job: Job, chance: Random) -> Edit:
    placement = Placement(
        x_m_per_unit=chance.choice([0.001, 0.002]), y_m_per_unit=0.001, turn_deg=chance.choice([0.0, 30.0])
    )
    return scales.place_sheet(job, sheet=_drawn(job, chance), placement=placement)


def _known(job: Job, chance: Random) -> Edit:
    end = (1000.0 * chance.randrange(1, 5), 1000.0 * chance.randrange(5))
    known = KnownLength(start=(0.0, 0.0), end=end, length_m=chance.choice([2.0, 3.0]))
    return scales.add_known_length(job, sheet=_drawn(job, chance), known=known)


def _blind(job: Job, chance: Random) -> Edit:
    joint = _one(job.joints, chance)
    start, stop = _stretch(joint, chance)
    return blinds.add_blind(job, joint=joint.id, from_m=start, to_m=stop, what="a tank")


def _uncover(job: Job, chance: Random) -> Edit:
    joint = _one({key: joint for key, joint in job.joints.items() if joint.blind}, chance)
    return blinds.remove_blind(job, joint=joint.id, blind=joint.blind[0])


def _cut(job: Job, chance: Random) -> Edit:
    joint = _one(job.joints, chance)
    return marks.add_cut(job, joint=joint.id, at_m=_place(joint, chance), new_id=fresh_ids(chance))


def _relief(job: Job, chance: Random) -> Edit:
    leak = _one(job.leaks, chance)
    deed = chance.choice([marks.set_relief_point, marks.drop_relief_point])
    return deed(job, joint=leak.joint, at_m=leak.from_m, new_id=fresh_ids(chance))


def _part(job: Job, chance: Random) -> Edit:
    lines = [joint for joint in job.joints.values() if joint.path is not None]
    meetings = [
        (one, at_m, two, found[0])
        for one in lines
        for two in lines
        if one is not two and one.sheet == two.sheet
        for at_m in (0.0, one.length_m)
        if (found := two.path.nearest(one.path.point_at(at_m)))[1] == 0  # type: ignore[union-attr]
    ]
    if not meetings:
        raise NothingThere
    one, at_m, two, other_at_m = chance.choice(meetings)
    return marks.part_junction(
        job, joint=one.id, at_m=at_m, other=two.id, other_at_m=other_at_m, new_id=fresh_ids(chance)
    )


def _sign(job: Job, chance: Random) -> Edit:
    signed = Signed(name="A. Rook", reason="agreed on site", on=date(2024, 5, 2))
    return facts.set_repair_anyway(job, joint=_one(job.joints, chance).id, signed=signed)


MARKING: tuple[Deed, ...] = (
    _leak,
    _move_ends,
    _worst,
    _overrun,
    _cut,
    _relief,
    lambda job, chance: leaks.remove_leak(job, leak=_one(job.leaks, chance).id),
    lambda job, chance: leaks.set_wetness(job, leak=_one(job.leaks, chance).id, wetness=chance.choice(list(Wetness))),
    lambda job, chance: leaks.set_method(job, leak=_one(job.leaks, chance).id, method=chance.choice([None, *Method])),
    lambda job, chance: marks.remove_cut(job, cut=_one(job.cuts, chance).id),
    lambda job, chance: marks.give_relief_back(job, relief=_one(job.reliefs, chance).id),
)
"""Deeds that change nothing but what is marked on joints."""

JOINTS: tuple[Deed, ...] = (
    _draw,
    _stand,
    _through,
    _collar,
    _move,
    _move,
    _combine,
    _split,
    _blind,
    _uncover,
    _part,
    _sign,
    lambda job, chance: bends.add_bend(job, joint=_line(job, chance).id, after=chance.randrange(3), at=_point(chance)),
    lambda job, chance: bends.remove_bend(job, joint=_line(job, chance).id, bend=chance.randrange(4)),
    lambda job, chance: joints.remove_joint(job, joint=_one(job.joints, chance).id),
    lambda job, chance: joints.rename_joint(job, joint=_one(job.joints, chance).id, ref=f"north {chance.random()}"),
    lambda job, chance: facts.set_kind(job, joint=_one(job.joints, chance).id, kind=chance.choice(list(Kind))),
    lambda job, chance: facts.set_face(job, joint=_one(job.joints, chance).id, face=chance.choice(list(Face))),
    lambda job, chance: facts.set_height(job, joint=_one(job.joints, chance).id, height_m=chance.choice([0.0, 0.9])),
    lambda job, chance: facts.set_rise(job, joint=_upright(job, chance).id, rise_m=chance.choice([0.8, 2.0, 3.0])),
    lambda job, chance: facts.move_point(job, joint=_one(job.joints, chance).id, to=_point(chance)),
    lambda job, chance: facts.set_clearance(
        job, joint=_one(job.joints, chance).id, clearance_m=chance.choice([0.1, 0.9])
    ),
    lambda job, chance: marks.rejoin_junction(job, parted=_one(job.parted, chance).id),
)
"""Deeds that change joints, or how they meet."""

DEEDS: tuple[Deed, ...] = (
    _draw,
    _draw,
    _draw,
    _stand,
    _through,
    _collar,
    _leak,
    _leak,
    _leak,
    _leak,
    _move_ends,
    _worst,
    _overrun,
    _move,
    _move,
    _combine,
    _split,
    _split,
    _place_sheet,
    _known,
    _blind,
    _uncover,
    _cut,
    _cut,
    _relief,
    _part,
    _sign,
    _shift_leak,
    _shift_joint,
    lambda job, chance: bends.add_bend(job, joint=_line(job, chance).id, after=chance.randrange(3), at=_point(chance)),
    lambda job, chance: bends.remove_bend(job, joint=_line(job, chance).id, bend=chance.randrange(4)),
    lambda job, chance: joints.remove_joint(job, joint=_one(job.joints, chance).id),
    lambda job, chance: joints.rename_joint(job, joint=_one(job.joints, chance).id, ref=f"north {chance.random()}"),
    lambda job, chance: facts.set_kind(job, joint=_one(job.joints, chance).id, kind=chance.choice(list(Kind))),
    lambda job, chance: facts.set_face(job, joint=_one(job.joints, chance).id, face=chance.choice(list(Face))),
    lambda job, chance: facts.set_room_side(
        job, joint=_one(job.joints, chance).id, room_side=chance.choice(list(Side))
    ),
    lambda job, chance: facts.set_height(job, joint=_one(job.joints, chance).id, height_m=chance.choice([0.0, 0.9])),
    lambda job, chance: facts.set_rise(job, joint=_upright(job, chance).id, rise_m=chance.choice([0.8, 2.0, 3.0])),
    lambda job, chance: facts.set_diameter(
        job, joint=_one(job.joints, chance).id, diameter_m=chance.choice([0.3, 0.5])
    ),
    lambda job, chance: facts.move_point(job, joint=_one(job.joints, chance).id, to=_point(chance)),
    lambda job, chance: facts.set_head_sheet(job, joint=_upright(job, chance).id, head_sheet=None),
    lambda job, chance: facts.set_dormant(job, joint=_one(job.joints, chance).id, dormant=chance.random() < 0.5),
    lambda job, chance: facts.set_clearance(job, joint=_one(job.joints, chance).id, clearance_m=0.1),
    lambda job, chance: facts.set_cover(job, joint=_one(job.joints, chance).id, cover_m=chance.choice([None, 0.05])),
    lambda job, chance: facts.set_waterstop(job, joint=_one(job.joints, chance).id, waterstop=Waterstop.NONE),
    lambda job, chance: leaks.remove_leak(job, leak=_one(job.leaks, chance).id),
    lambda job, chance: leaks.set_wetness(job, leak=_one(job.leaks, chance).id, wetness=chance.choice(list(Wetness))),
    lambda job, chance: leaks.set_method(job, leak=_one(job.leaks, chance).id, method=chance.choice([None, *Method])),
    lambda job, chance: leaks.add_leak_all_round(
        job, joint=_one(job.joints, chance).id, wetness=Wetness.SEEP, new_id=fresh_ids(chance)
    ),
    lambda job, chance: marks.remove_cut(job, cut=_one(job.cuts, chance).id),
    lambda job, chance: marks.give_relief_back(job, relief=_one(job.reliefs, chance).id),
    lambda job, chance: marks.rejoin_junction(job, parted=_one(job.parted, chance).id),
    lambda job, chance: rules.set_rule(job, name="bridge_m", value=chance.choice([0.2, 0.3, 0.5])),
    lambda job, chance: rules.set_water_level(job, level_m=chance.choice([None, -1.5])),
    lambda job, chance: grid.set_axis(
        job, family="letters", name=chance.choice("ABC"), at_m=float(chance.randrange(9))
    ),
    lambda job, chance: grid.set_axis(
        job, family="numbers", name=chance.choice("123"), at_m=float(chance.randrange(9))
    ),
    lambda job, chance: grid.remove_axis(job, name=chance.choice("AB12")),
    lambda job, chance: sheets.set_storey_height(job, sheet=_one(job.sheets, chance).id, storey_height_m=2.9),
    lambda job, chance: sheets.show_layer(job, sheet=_one(job.sheets, chance).id, layer="walls", shown=False),
    lambda job, chance: others.add_tie_holes(
        job, sheet=_one(job.sheets, chance).id, number=chance.randrange(1, 9), new_id=fresh_ids(chance)
    ),
    lambda job, chance: others.remove_other(job, other=_one(job.others, chance).id),
)
