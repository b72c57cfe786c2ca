"""The sample job: Tern Quay, an invented pumping station with two levels below ground.

It holds every kind of joint and every wetness, a zone round a junction, a closed joint, vertical joints
from B2 to B1, a movement joint with a leak, a bridged gap, a cut, blind stretches and suspects.
Everything in it is invented. Positions are metres of the site plane; grid point A/6 is its origin.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from typing import Any, Final
from uuid import UUID, uuid4

from leakmap.geometry.path import Point
from leakmap.geometry.placement import Placement
from leakmap.model.grid import Grid, axes_with_bays
from leakmap.model.job import Job
from leakmap.model.materials import Figure, Materials
from leakmap.model.rates import Rates
from leakmap.model.sheet import KnownLength, Source
from leakmap.model.words import Face, Kind, Side, Waterstop, Wetness
from leakmap.records.tables.material_table import planning_materials
from leakmap.work.edits.blinds import add_blind
from leakmap.work.edits.facts import set_clearance, set_cover, set_waterstop
from leakmap.work.edits.grid import set_grid
from leakmap.work.edits.joints import draw_collar, draw_joint, draw_vertical_joint
from leakmap.work.edits.leaks import add_leak
from leakmap.work.edits.marks import add_cut
from leakmap.work.edits.others import add_honeycomb, add_tie_holes
from leakmap.work.edits.rules import set_water_level
from leakmap.work.edits.scales import add_known_length
from leakmap.work.edits.sheets import add_sheet
from leakmap.work.job_names import SAMPLE_NAME

DRAWINGS: Final = {"B2": "tern_quay_b2.dxf", "B1": "tern_quay_b1.dxf"}
"""Sheet name to file name in ``sample_plans``."""

INSPECTED: Final = date(2026, 11, 2)
SEEN_AGAIN: Final = date(2026, 11, 9)

_LEVELS: Final = {"B2": (-7.80, 4.20), "B1": (-3.60, 3.60)}
_RATES: Final = Rates(
    currency="EUR",
    slot=Decimal(50),
    slot_plug=Decimal(60),
    deep_plug=Decimal(80),
    deep_plug_relief=Decimal(100),
    wall=Decimal("2.50"),
    soffit=Decimal("7.50"),
    corner=Decimal("2.50"),
    vertical=Decimal(5),
    relief_point=Decimal(40),
    zone=Decimal(25),
    job=Decimal(500),
)
"""Made up for this sample in round figures: they say nothing of what such work costs anywhere."""

_INVENTED: Final = "invented for this sample; enter it from the data sheet"
_MM: Final = 0.001
_GRID: Final = Grid(
    origin=(0.0, 21.6),
    letters=axes_with_bays("ABCDEF", (6.0, 6.0, 7.2, 6.0, 6.0)),
    numbers=axes_with_bays("123456", (4.2, 4.2, 4.8, 4.2, 4.2), towards_deg=-90.0),
)


@dataclass(frozen=True, slots=True)
class _Line:
    """A joint to draw as a line."""

    ref: str
    sheet: str
    kind: Kind
    points: tuple[Point, ...]
    facts: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Collar:
    """A pipe collar to draw in the floor."""

    ref: str
    sheet: str
    point: Point
    diameter_m: float


@dataclass(frozen=True, slots=True)
class _Upright:
    """A vertical joint to draw; its head is on B1 where it reaches there."""

    ref: str
    kind: Kind
    point: Point
    rise_m: float
    to_b1: bool


@dataclass(frozen=True, slots=True)
class _Wet:
    """A leak to mark."""

    ref: str
    joint: str
    from_m: float
    to_m: float
    wetness: Wetness
    facts: Mapping[str, Any] = field(default_factory=dict)


_ROOM_RIGHT: Final = {"room_side": Side.RIGHT}
_ROOM_LEFT: Final = {"room_side": Side.LEFT}

_JOINTS: Final = (
    _Line("J-01", "B2", Kind.WALL_BASE, ((0.2, 21.4), (19.0, 21.4)), _ROOM_RIGHT),
    _Line("J-02", "B2", Kind.WALL_BASE, ((0.2, 21.4), (0.2, 0.2)), _ROOM_LEFT),
    _Line("J-03", "B2", Kind.WALL_BASE, ((0.2, 0.2), (31.0, 0.2)), _ROOM_LEFT),
    _Line("J-04", "B2", Kind.WALL_BASE, ((31.0, 0.2), (31.0, 13.0)), _ROOM_LEFT),
    _Line("J-05", "B2", Kind.CONSTRUCTION, ((14.4, 21.4), (14.4, 10.8), (15.9, 10.6), (15.9, 0.2))),
    _Line("J-06", "B2", Kind.CONSTRUCTION, ((0.2, 10.8), (14.4, 10.8))),
    _Line("J-07", "B2", Kind.CONTRACTION, ((7.2, 21.4), (7.2, 10.8)), {"dormant": True}),
    _Line("J-08", "B2", Kind.MOVEMENT, ((9.6, 10.8), (9.6, 0.2))),
    _Line("J-09", "B2", Kind.CONSTRUCTION, ((15.9, 6.3), (22.2, 6.3))),
    _Line("J-10", "B2", Kind.CONSTRUCTION, ((22.2, 13.0), (22.2, 0.2))),
    _Line("J-11", "B2", Kind.WALL_BASE, ((19.4, 21.4), (19.4, 13.4), (25.05, 13.4)), _ROOM_LEFT),
    _Line("J-12", "B2", Kind.CRACK, ((2.6, 7.6), (2.9, 6.6), (3.5, 6.0), (3.9, 5.0), (4.6, 4.0), (5.4, 2.6))),
    _Collar("J-13", "B2", (28.2, 16.2), 0.5),
    _Line("J-14", "B2", Kind.CONSTRUCTION, ((9.7, 16.6), (11.8, 16.6), (11.8, 14.5), (9.7, 14.5)), {"closed": True}),
    _Line("J-15", "B2", Kind.CONSTRUCTION, ((0.2, 10.8), (7.2, 10.8)), {"face": Face.SOFFIT}),
    _Line("J-16", "B2", Kind.CONSTRUCTION, ((0.2, 21.4), (0.2, 9.0)), {"face": Face.WALL, "height_m": 2.1}),
    _Line("J-17", "B1", Kind.WALL_BASE, ((0.2, 21.4), (0.2, 0.2)), _ROOM_LEFT),
    _Line("J-18", "B1", Kind.WALL_BASE, ((0.2, 21.4), (19.0, 21.4)), _ROOM_RIGHT),
    _Line("J-19", "B1", Kind.CONSTRUCTION, ((14.4, 21.4), (14.4, 0.2))),
    _Line("J-20", "B1", Kind.WALL_BASE, ((0.2, 0.2), (31.0, 0.2)), _ROOM_LEFT),
    _Line("J-21", "B1", Kind.WALL_BASE, ((31.0, 0.2), (31.0, 13.0)), _ROOM_LEFT),
)

_UPRIGHTS: Final = (
    _Upright("V-01", Kind.CONSTRUCTION, (16.8, 21.4), 4.20, to_b1=True),
    _Upright("V-02", Kind.CONSTRUCTION, (31.0, 6.6), 4.20, to_b1=True),
    _Upright("V-03", Kind.CONSTRUCTION, (0.2, 9.0), 4.20, to_b1=True),
    _Upright("V-04", Kind.CONTRACTION, (12.9, 0.2), 3.60, to_b1=False),
    _Upright("V-05", Kind.CONSTRUCTION, (19.4, 15.0), 4.20, to_b1=False),
)

_AGAIN: Final = {"seen": SEEN_AGAIN}

_LEAKS: Final = (
    _Wet("L-01", "J-01", 2.80, 4.00, Wetness.DAMP),
    _Wet("L-02", "J-01", 10.40, 11.80, Wetness.SEEP),
    _Wet("L-03", "J-05", 1.80, 3.40, Wetness.SEEP),
    _Wet("L-04", "J-05", 4.00, 4.90, Wetness.DRIP, {"note": "drops from the joint's east lip"}),
    _Wet("L-05", "J-05", 10.20, 10.55, Wetness.RUN, {"flow_l_min": 1.4}),
    _Wet("L-06", "J-05", 16.00, 17.00, Wetness.RUN, {"flow_l_min": 2.2, "worst_m": 16.3}),
    _Wet("L-07", "J-09", 0.20, 0.90, Wetness.DRIP),
    _Wet("L-08", "J-02", 5.20, 6.80, Wetness.DRIP),
    _Wet("L-09", "J-02", 7.70, 8.40, Wetness.SEEP, _AGAIN),
    _Wet("L-10", "J-06", 3.60, 4.80, Wetness.SEEP),
    _Wet("L-11", "J-10", 4.60, 6.40, Wetness.JET, {"flow_l_min": 9.0, "worst_m": 5.6}),
    _Wet("L-12", "J-03", 7.20, 9.20, Wetness.DAMP),
    _Wet("L-13", "J-08", 3.00, 4.40, Wetness.SEEP),
    _Wet("L-14", "J-03", 20.00, 21.00, Wetness.SEEP),
    _Wet("L-15", "J-03", 21.40, 22.20, Wetness.DAMP, _AGAIN),
    _Wet("L-16", "J-03", 25.60, 27.20, Wetness.RUN),
    _Wet("L-17", "J-12", 1.30, 4.20, Wetness.DRIP),
    _Wet("L-18", "V-02", 0.20, 1.30, Wetness.DRIP),
    _Wet("L-19", "V-03", 0.00, 0.45, Wetness.SEEP),
    _Wet("L-20", "J-11", 9.60, 11.20, Wetness.RUN, {"flow_l_min": 0.8}),
    _Wet("L-21", "J-05", 20.00, 21.20, Wetness.SUSPECT, {"note": "old white staining, reported wet last winter"}),
    _Wet("L-22", "J-13", 0.40, 0.40, Wetness.DRIP),
    _Wet("L-23", "J-14", 7.90, 0.60, Wetness.SEEP),
    _Wet("L-24", "J-07", 2.00, 3.00, Wetness.DAMP),
    _Wet("L-25", "J-15", 1.20, 2.20, Wetness.DRIP),
    _Wet("L-26", "J-16", 3.00, 4.00, Wetness.DAMP),
    _Wet("L-27", "J-04", 3.60, 4.60, Wetness.SEEP),
    _Wet("L-28", "V-01", 3.70, 4.00, Wetness.SEEP),
    _Wet("L-29", "J-17", 6.00, 7.20, Wetness.SEEP),
    _Wet("L-30", "J-17", 14.00, 15.40, Wetness.DAMP),
    _Wet("L-31", "J-19", 9.00, 10.20, Wetness.DRIP),
    _Wet("L-32", "J-19", 15.00, 15.00, Wetness.DAMP),
    _Wet("L-33", "J-20", 4.00, 5.20, Wetness.SUSPECT),
    _Wet("L-34", "J-21", 3.00, 3.90, Wetness.SEEP),
)


def sample_job(*, sources: Mapping[str, Source], new_id: Callable[[], UUID] = uuid4) -> Job:
    """The sample job, worked on but not yet issued.

    Args:
        sources: Drawing of each sheet by sheet name, as in ``DRAWINGS``.
        new_id: Gives the ids.
    """
    job = Job(id=new_id(), name=SAMPLE_NAME, materials=_materials(), rates=_RATES)
    job = _with_levels(job, sources, new_id)
    job = set_grid(job, grid=_GRID).job
    sheets = {sheet.name: sheet.id for sheet in job.sheets.values()}
    job = _with_joints(job, sheets, new_id)
    joints = {joint.ref: joint.id for joint in job.joints.values()}
    job = _with_facts(job, joints)
    for wet in _LEAKS:
        facts = {"seen": INSPECTED, **wet.facts}
        job = add_leak(
            job,
            joint=joints[wet.joint],
            from_m=wet.from_m,
            to_m=wet.to_m,
            wetness=wet.wetness,
            ref=wet.ref,
            new_id=new_id,
            **facts,
        ).job
    job = add_cut(job, joint=joints["J-03"], at_m=21.2, new_id=new_id).job
    job = add_tie_holes(job, sheet=sheets["B1"], number=6, note="weeping, west wall", new_id=new_id).job
    job = add_honeycomb(job, sheet=sheets["B2"], area_m2=0.4, note="below V-04, seen dry", new_id=new_id).job
    return set_water_level(job, level_m=-2.40, seen=INSPECTED, source="standpipe at the north wall").job


def _materials() -> Materials:
    """The planning table, with what only a data sheet says, invented."""
    found = planning_materials()
    for name in ("plugging_mortar", "slurry_coat", "dry_pack"):
        found = found.with_material(name, replace(getattr(found, name), bag_kg=Figure(value=25.0, origin=_INVENTED)))
    coat = replace(found.slurry_coat, coverage_kg_per_m2=Figure(value=0.8, origin=_INVENTED))
    return found.with_material("slurry_coat", coat)


def _with_levels(job: Job, sources: Mapping[str, Source], new_id: Callable[[], UUID]) -> Job:
    """Both sheets, each with one known length each way along the grid."""
    for name, (level_m, storey_m) in _LEVELS.items():
        edit = add_sheet(
            job,
            name=name,
            source=sources[name],
            placement=Placement(x_m_per_unit=_MM, y_m_per_unit=_MM),
            floor_level_m=level_m,
            storey_height_m=storey_m,
            new_id=new_id,
        )
        job, sheet = edit.job, edit.made[0]
        for end, length_m in (((31200.0, 0.0), 31.2), ((0.0, 21600.0), 21.6)):
            known = KnownLength(start=(0.0, 0.0), end=end, length_m=length_m)
            job = add_known_length(job, sheet=sheet, known=known).job
    return job


def _with_joints(job: Job, sheets: Mapping[str, UUID], new_id: Callable[[], UUID]) -> Job:
    for joint in _JOINTS:
        home = sheets[joint.sheet]
        if isinstance(joint, _Collar):
            job = draw_collar(
                job,
                sheet=home,
                point=joint.point,
                diameter_m=joint.diameter_m,
                face=Face.FLOOR,
                ref=joint.ref,
                new_id=new_id,
            ).job
        else:
            job = draw_joint(
                job, sheet=home, kind=joint.kind, points=joint.points, ref=joint.ref, new_id=new_id, **joint.facts
            ).job
    for upright in _UPRIGHTS:
        job = draw_vertical_joint(
            job,
            sheet=sheets["B2"],
            kind=upright.kind,
            point=upright.point,
            rise_m=upright.rise_m,
            head_sheet=sheets["B1"] if upright.to_b1 else None,
            ref=upright.ref,
            new_id=new_id,
        ).job
    return job


def _with_facts(job: Job, joints: Mapping[str, UUID]) -> Job:
    """Clearance of the movement joint, what is hidden, and what is known of steel and waterstops."""
    job = set_clearance(job, joint=joints["J-08"], clearance_m=0.10).job
    job = add_blind(
        job,
        joint=joints["J-04"],
        from_m=4.70,
        to_m=5.60,
        what="plinth of the control panel",
        cleared_by="the pump contractor",
    ).job
    job = set_cover(job, joint=joints["J-10"], cover_m=0.060).job
    return set_waterstop(job, joint=joints["J-11"], waterstop=Waterstop.AT_DEPTH, depth_m=0.150).job
