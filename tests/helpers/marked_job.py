"""A small invented job with repairs set by hand, and a drawing to mark, for tests of papers.

The plan is 24 m by 15 m. Figures of the repairs are consistent with each other, but the rules of the
repair did not make them: papers are tested apart from the work-out.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime
from decimal import Decimal
from uuid import UUID, uuid5

import ezdxf
import ezdxf.document

from leakmap.geometry.path import Path, Point
from leakmap.geometry.placement import Placement
from leakmap.issue.heading import Heading
from leakmap.issue.marked_dxf.document import bytes_of, fixed_metadata
from leakmap.issue.marks.course import polygons, strip
from leakmap.model.job import Job
from leakmap.model.joint import Blind, Joint, plan_path
from leakmap.model.leak import Cut, Leak
from leakmap.model.sheet import Sheet, Source
from leakmap.model.words import Face, Kind, Method, Purpose, Wetness
from leakmap.repair.results import (
    AnotherMethod,
    Band,
    FillStep,
    Piece,
    Relief,
    Repairs,
    Row,
    Stretch,
    Totals,
    Why,
    Zone,
)

_ROOT = UUID("6f6c1f6e-0000-4000-8000-000000000000")
STEP = Decimal("0.001")
HEADING = Heading(
    job_name="Tern Quay",
    revision="C02",
    purpose=Purpose.WORK,
    to_whom="crew 2",
    by="R. Vale",
    at=datetime(2026, 11, 25, 9, 30, tzinfo=UTC),
)


def key(name: str) -> UUID:
    """The same id for the same name."""
    return uuid5(_ROOT, name)


def _line(ref: str, kind: Kind, points: Sequence[Point], *, closed: bool = False, **more: object) -> Joint:
    face = Face.CORNER if kind is Kind.WALL_BASE else Face.FLOOR
    path = Path(tuple(points), closed)
    return Joint(id=key(ref), ref=ref, sheet=key("B2"), kind=kind, face=face, path=path, **more)


def joints() -> tuple[Joint, ...]:
    """Joints of every kind on level B2."""
    return (
        _line("J-01", Kind.WALL_BASE, [(0.3, 0.3), (23.7, 0.3), (23.7, 14.7), (0.3, 14.7)], closed=True),
        _line("J-02", Kind.CONSTRUCTION, [(0.3, 7.5), (12.0, 7.5), (12.0, 14.7)]),
        _line("J-03", Kind.CONTRACTION, [(6.0, 7.5), (6.0, 14.7)], dormant=True),
        _line("J-04", Kind.MOVEMENT, [(16.0, 0.3), (16.0, 14.7)]),
        _line("J-05", Kind.CRACK, [(2.0, 2.0), (4.5, 4.0), (5.0, 6.5)]),
        _line("J-06", Kind.CONSTRUCTION, [(16.0, 9.0), (23.7, 9.0)], blind=(Blind(from_m=4.0, to_m=5.5, what="pump plinth", cleared_by="R. Vale"),)),
        Joint(
            id=key("J-07"), ref="J-07", sheet=key("B2"), kind=Kind.PIPE_COLLAR, face=Face.FLOOR,
            point=(20.0, 5.0), diameter_m=0.4,
        ),
        Joint(
            id=key("V-01"), ref="V-01", sheet=key("B2"), kind=Kind.CONSTRUCTION, face=Face.WALL,
            point=(23.7, 9.0), rise_m=4.2, head_sheet=key("B1"),
        ),
        Joint(id=key("V-02"), ref="V-02", sheet=key("B2"), kind=Kind.CONSTRUCTION, face=Face.WALL,
              point=(0.3, 7.5), rise_m=3.6),
    )  # fmt: skip


def leaks() -> tuple[Leak, ...]:
    """Leaks of every wetness."""
    rows = (
        ("L-01", "J-02", 1.0, 2.8, Wetness.DRIP),
        ("L-02", "J-02", 3.6, 4.6, Wetness.SEEP),
        ("L-03", "J-02", 11.0, 12.4, Wetness.JET),
        ("L-04", "J-01", 4.0, 6.0, Wetness.RUN),
        ("L-05", "J-03", 3.0, 5.0, Wetness.SUSPECT),
        ("L-06", "J-04", 5.0, 7.0, Wetness.DRIP),
        ("L-07", "J-05", 1.5, 3.5, Wetness.DAMP),
        ("L-08", "J-06", 1.0, 3.0, Wetness.SEEP),
        ("L-09", "J-07", 0.2, 0.9, Wetness.DRIP),
        ("L-10", "V-01", 0.2, 1.3, Wetness.RUN),
        ("L-11", "J-06", 6.0, 6.0, Wetness.DAMP),
    )
    return tuple(
        Leak(id=key(ref), ref=ref, joint=key(joint), from_m=start, to_m=end, wetness=wetness, seen=date(2026, 11, 2))
        for ref, joint, start, end, wetness in rows
    )


def job_on(
    sheets: Iterable[Sheet], *, name: str = "Tern Quay", with_joints: Iterable[Joint] | None = None,
    with_leaks: Iterable[Leak] | None = None,
) -> Job:  # fmt: skip
    """The job on given sheets."""
    return Job(
        id=key("job"),
        name=name,
        sheets={sheet.id: sheet for sheet in sheets},
        joints={joint.id: joint for joint in (joints() if with_joints is None else with_joints)},
        leaks={leak.id: leak for leak in (leaks() if with_leaks is None else with_leaks)},
        cuts={key("cut"): Cut(id=key("cut"), joint=key("J-02"), at_m=4.85)},
    )


def sheet_b2(source: bytes | None = None, placement: Placement | None = None) -> Sheet:
    """Level B2, on a drawing or blank."""
    held = None if source is None else Source(name="quay b2.dxf", sha256=hashlib.sha256(source).hexdigest())
    return Sheet(id=key("B2"), name="B2", placement=placement or Placement(), source=held)


def sheet_b1() -> Sheet:
    """Level B1, blank."""
    return Sheet(id=key("B1"), name="B1")


def pieces() -> dict[int, tuple[tuple[str, float, float, Why, Wetness | None], ...]]:
    """Pieces of each zone by number."""
    wet, over, merged, bridge = Why.LEAK, Why.OVERRUN, Why.MERGED, Why.BRIDGE
    return {
        1: (
            ("J-02", 0.6, 1.0, over, None),
            ("J-02", 1.0, 2.8, wet, Wetness.DRIP),
            ("J-02", 2.8, 3.3, merged, None),
            ("J-02", 3.3, 3.6, bridge, None),
            ("J-02", 3.6, 4.6, wet, Wetness.SEEP),
            ("J-02", 4.6, 4.9, over, None),
        ),
        2: (
            ("J-02", 10.55, 11.0, over, None),
            ("J-02", 11.0, 12.4, wet, Wetness.JET),
            ("J-02", 12.4, 12.85, over, None),
        ),
        3: (
            ("J-01", 3.55, 4.0, over, None),
            ("J-01", 4.0, 6.0, wet, Wetness.RUN),
            ("J-01", 6.0, 6.45, over, None),
        ),
        4: (
            ("J-03", 2.7, 3.0, over, None),
            ("J-03", 3.0, 5.0, wet, Wetness.SUSPECT),
            ("J-03", 5.0, 5.3, over, None),
        ),
        5: (("J-05", 1.2, 1.5, over, None), ("J-05", 1.5, 3.5, wet, Wetness.DAMP), ("J-05", 3.5, 3.8, over, None)),
        6: (("J-06", 0.7, 1.0, over, None), ("J-06", 1.0, 3.0, wet, Wetness.SEEP), ("J-06", 3.0, 3.3, over, None)),
        7: (("J-07", 0.0, 1.2566, wet, Wetness.DRIP),),
        8: (("V-01", 0.0, 0.2, over, None), ("V-01", 0.2, 1.3, wet, Wetness.RUN), ("V-01", 1.3, 1.75, over, None)),
    }  # fmt: skip


def _relief(joint: str, at_m: float, wetness: Wetness) -> Relief:
    return Relief(
        joint=key(joint), at_m=at_m, depth_mm=Decimal(75), hole_l=0.0123, wetness=wetness, by_hand=False
    )  # fmt: skip


RELIEFS = {
    2: (_relief("J-02", 11.7, Wetness.JET),),
    3: (_relief("J-01", 5.0, Wetness.RUN),),
    8: (_relief("V-01", 0.2, Wetness.RUN),),
}


def _zone(number: int, held: Sequence[tuple[str, float, float, Why, Wetness | None]]) -> Zone:
    by_id = {joint.id: joint for joint in joints()}
    made = tuple(
        Piece(joint=key(ref), from_m=start, to_m=end, why=why, wetness=wetness, leaks=())
        for ref, start, end, why, wetness in held
    )
    joint = by_id[made[0].joint]
    low, high = (Decimal(str(value)).quantize(STEP) for value in (made[0].from_m, made[-1].to_m))
    row = Row(joint=joint.id, from_m=low, to_m=high, depth_mm=Decimal(37), plugged=True)
    stretch = Stretch(
        joint=joint.id, from_m=low, to_m=high, depth_mm=Decimal(37), plugged=True, why=Why.LEAK, wetness=None, leaks=()
    )
    path = plan_path(joint)
    bands = ()
    if path is not None and joint.diameter_m is None:
        ring = polygons(strip(path.part(made[0].from_m, made[-1].to_m), 0.1625))
        bands = (Band(sheet=joint.sheet, face=joint.face, rings=ring),)
    suspect = number == 4
    return Zone(
        number=number, ref=f"Z-{number:02d}", issued=True, sheets=(joint.sheet,), pieces=made, stretches=(stretch,),
        rows=(row,), blind=(), ends=(), relief=RELIEFS.get(number, ()),
        order=(FillStep(step=1, joint=joint.id, from_m=low, to_m=high),), bands=bands, method=Method.SLOT_PLUG,
        provisional=suspect, why_provisional="It holds only suspects." if suspect else "", holds=(), head_kpa=None,
        length_m=row.length_m, chargeable_m=row.length_m.quantize(Decimal("0.1")), wet_m=row.length_m,
        bridged_m=Decimal(0), blind_m=Decimal(0), coat1_m2=Decimal(1), coat2_m2=Decimal(1), wash_m2=Decimal(1),
        slot_l=Decimal(1), plug_l=Decimal("0.5"), drypack_l=Decimal("0.5"),
    )  # fmt: skip


def repairs() -> Repairs:
    """Zones of every look, and a leak that needs another method."""
    zones = tuple(_zone(number, held) for number, held in pieces().items())
    length = sum((zone.length_m for zone in zones), Decimal(0))
    zero = Decimal(0)
    totals = Totals(
        joint_m=length, wet_m=length, repair_m=length, provisional_m=zones[3].length_m, saved_m=zero, bridged_m=zero,
        blind_m=zero, chargeable_m=sum((zone.chargeable_m for zone in zones), zero), coat1_m2=zero, coat2_m2=zero,
        wash_m2=zero, slot_l=zero, plug_l=zero, drypack_l=zero,
    )  # fmt: skip
    other = AnotherMethod(
        leak=key("L-06"),
        joint=key("J-04"),
        length_m=Decimal("2.000"),
        why="A movement joint moves; rigid filling fails.",
    )
    return Repairs(zones=zones, another_method=(other,), watched=(), findings=(), totals=totals)


def plan_bytes(
    *, unit: float = 1000.0, origin: Point = (0.0, 0.0), version: str = "R2010", binary: bool = False
) -> bytes:
    """An invented plan: walls, columns, grid, arcs, a block, texts.

    Args:
        unit: Drawing units of a metre.
        origin: Drawing point of the plan's corner.
        version: Of the format.
        binary: Whether it is the binary form.
    """
    stream = io.BytesIO()
    with fixed_metadata():
        doc = ezdxf.new(version, setup=True)
        doc.header["$INSUNITS"] = {1000.0: 4, 1.0: 6}.get(unit, 0)
        _draw(doc, unit, origin)
        if not binary:
            return bytes_of(doc)
        doc.write(stream, fmt="bin")
    return stream.getvalue()


def _draw(doc: ezdxf.document.Drawing, unit: float, origin: Point) -> None:
    space = doc.modelspace()
    for name, colour in (("WALL", 8), ("GRID", 9), ("ROOM", 8)):
        doc.layers.add(name, color=colour)

    def at(x: float, y: float) -> Point:
        return origin[0] + x * unit, origin[1] + y * unit

    for x0, y0, x1, y1 in ((0, 0, 24, 15), (0.3, 0.3, 23.7, 14.7)):
        corners = [at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1)]
        space.add_polyline2d(corners, close=True, dxfattribs={"layer": "WALL"})
    block = doc.blocks.new("COLUMN")
    block.add_polyline2d([(-0.2, -0.2), (0.2, -0.2), (0.2, 0.2), (-0.2, 0.2)], close=True)
    for number, x in enumerate((0, 6, 12, 18, 24)):
        space.add_line(at(x, -1), at(x, 16), dxfattribs={"layer": "GRID"})
        space.add_circle(at(x, 16.4), 0.4 * unit, dxfattribs={"layer": "GRID"})
        letter = space.add_text("ABCDE"[number], height=0.3 * unit, dxfattribs={"layer": "GRID"})
        letter.set_placement(at(x - 0.12, 16.25))
        space.add_blockref("COLUMN", at(x, 5), dxfattribs={"xscale": unit, "yscale": -unit, "layer": "WALL"})
    space.add_arc(at(6, 0.3), 0.9 * unit, 0, 90, dxfattribs={"layer": "WALL"})
    if doc.dxfversion > "AC1009":
        space.add_ellipse(at(20, 12), (1.2 * unit, 0), 0.5, dxfattribs={"layer": "WALL"})
        space.add_lwpolyline([at(1, 1), (*at(3, 1), 0, 0, 0.5), at(3, 3)], dxfattribs={"layer": "WALL"})
    for words, x, y in (("DRY WELL", 2, 11), ("WET WELL", 18.5, 12.5), ("VALVE CHAMBER", 8.5, 4), ("СКЛАД", 13, 5)):
        space.add_text(words, height=0.25 * unit, dxfattribs={"layer": "ROOM"}).set_placement(at(x, y))
