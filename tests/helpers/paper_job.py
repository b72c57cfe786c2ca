"""An invented job for tests of the papers: every kind of joint, every wetness, two levels, hand-made zones."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from uuid import UUID

from leakmap.base.findings import Finding
from leakmap.geometry.path import Path, Point
from leakmap.issue.heading import Heading
from leakmap.model.job import Job, OtherItem, WaterLevel
from leakmap.model.joint import Blind, Joint
from leakmap.model.leak import Cut, Leak
from leakmap.model.sheet import KnownLength, Sheet, Source
from leakmap.model.words import Face, Kind, Method, Purpose, Side, Waterstop, Wetness
from leakmap.repair.results import Repairs, Why
from tests.helpers.hand_made import another, end, made_id, piece, relief, repairs_of, zone
from tests.helpers.small_jobs import photo

B1, B2 = made_id("B1"), made_id("B2")
DRAWING = "b2" * 32
B2_SOURCE = Source(name="tern_quay_b2.dxf", sha256=DRAWING)


def heading(purpose: Purpose | None = Purpose.WORK) -> Heading:
    """The heading of the second issue for work, or of the first for price."""
    name = {Purpose.WORK: "C02", Purpose.PRICE: "P01"}.get(purpose, "not issued")  # type: ignore[arg-type]
    return Heading(
        job_name="Tern Quay pumping station",
        revision=name,
        purpose=purpose,
        to_whom="crew 2" if purpose else "",
        by="site office" if purpose else "",
        at=datetime(2026, 11, 25, 9, 30, tzinfo=UTC),
        provisional=purpose is None,
    )


def sheets() -> dict[UUID, Sheet]:
    """Two levels: B2 with a drawing and a checked scale, B1 blank."""
    lengths = (
        KnownLength(start=(0.0, 0.0), end=(31.2, 0.0), length_m=31.2),
        KnownLength(start=(0.0, 0.0), end=(0.0, 21.6), length_m=21.6),
    )
    lower = Sheet(
        id=B2,
        name="B2",
        source=B2_SOURCE,
        floor_level_m=-7.8,
        storey_height_m=4.2,
        lengths=lengths,
    )
    upper = Sheet(id=B1, name="B1", floor_level_m=-3.6, storey_height_m=3.6)
    return {lower.id: lower, upper.id: upper}


def _line(ref: str, kind: Kind, *points: Point, sheet: UUID = B2, face: Face = Face.FLOOR, **more: object) -> Joint:
    closed = bool(more.pop("closed", False))
    path = Path(tuple(points), closed)
    return Joint(id=made_id(ref), ref=ref, sheet=sheet, kind=kind, face=face, path=path, **more)  # type: ignore[arg-type]


def joints() -> dict[UUID, Joint]:
    """Every kind of joint; J-01 is the wall-base round the inside, V-01 rises to B1."""
    found = [
        _line(
            "J-01", Kind.WALL_BASE, (0.2, 0.2), (31.0, 0.2), (31.0, 21.4), (0.2, 21.4),
            face=Face.CORNER, room_side=Side.LEFT, closed=True,
        ),
        _line("J-02", Kind.CONSTRUCTION, (6.8, 21.4), (6.8, 10.8), waterstop=Waterstop.AT_DEPTH, waterstop_depth_m=0.12),
        _line("J-03", Kind.CONTRACTION, (0.2, 10.8), (14.2, 10.8)),
        _line("J-04", Kind.MOVEMENT, (9.3, 10.8), (9.3, 0.2), clearance_m=0.15),
        _line("J-05", Kind.CONSTRUCTION, (14.2, 21.4), (14.2, 10.6), (15.7, 10.6), (15.7, 0.2), cover_m=0.045),
        _line("J-06", Kind.CONSTRUCTION, (15.7, 6.3), (22.0, 6.3), (22.0, 13.2)),
        _line("J-07", Kind.CRACK, (2.4, 7.6), (5.4, 2.2)),
        _line("J-08", Kind.CONSTRUCTION, (22.6, 4.4), (31.0, 4.4), start_m=12.5,
              blind=(Blind(from_m=4.0, to_m=5.5, what="pump plinth", cleared_by="the owner"),)),
        Joint(id=made_id("J-09"), ref="J-09", sheet=B2, kind=Kind.PIPE_COLLAR, face=Face.FLOOR, point=(28.2, 16.2),
              diameter_m=0.5),
        _line("J-10", Kind.CONSTRUCTION, (3.0, 3.0), (24.0, 17.0), sheet=B1),
        Joint(id=made_id("V-01"), ref="V-01", sheet=B2, kind=Kind.CONSTRUCTION, face=Face.WALL, point=(14.2, 21.4),
              rise_m=4.2, head_sheet=B1),
        Joint(id=made_id("V-02"), ref="V-02", sheet=B1, kind=Kind.CONSTRUCTION, face=Face.WALL, point=(14.2, 21.4),
              rise_m=3.6),
        Joint(id=made_id("V-03"), ref="V-03", sheet=B2, kind=Kind.CONSTRUCTION, face=Face.WALL, point=(31.0, 8.4),
              rise_m=4.2),
    ]  # fmt: skip
    return {joint.id: joint for joint in found}


def leaks() -> dict[UUID, Leak]:
    """Every wetness."""
    rows = [
        ("L-01", "J-02", 2.0, 3.4, Wetness.DAMP, {}),
        ("L-02", "J-02", 3.9, 4.6, Wetness.SEEP, {"note": "white crust, older than the coating"}),
        ("L-03", "J-05", 9.8, 11.4, Wetness.RUN, {"worst_m": 10.9, "flow_l_min": 1.5, "photos": (photo("a.jpg"),)}),
        ("L-04", "J-05", 17.0, 18.2, Wetness.DRIP, {"overrun_to_m": 0.6}),
        ("L-05", "J-06", 4.0, 6.4, Wetness.JET, {"worst_m": 5.0, "flow_l_min": 12.0}),
        ("L-06", "J-04", 3.0, 4.2, Wetness.DRIP, {}),
        ("L-07", "J-01", 40.0, 41.5, Wetness.SUSPECT, {"note": "stained under the old pipe"}),
        ("L-08", "J-07", 2.0, 3.5, Wetness.SEEP, {}),
        ("L-09", "V-01", 0.2, 1.3, Wetness.SEEP, {}),
        ("L-10", "J-08", 2.5, 3.8, Wetness.DRIP, {}),
        ("L-11", "J-09", 0.2, 0.5, Wetness.DAMP, {}),
        ("L-12", "J-10", 6.0, 8.5, Wetness.DRIP, {}),
        ("L-13", "J-01", 10.0, 12.6, Wetness.SEEP, {}),
        ("L-14", "J-01", 60.0, 60.0, Wetness.DAMP, {}),
    ]
    found = [
        Leak(id=made_id(ref), ref=ref, joint=made_id(on), from_m=a, to_m=b, wetness=wet, seen=date(2026, 11, 2), **more)
        for ref, on, a, b, wet, more in rows
    ]
    return {leak.id: leak for leak in found}


def paper_job() -> Job:
    """The job."""
    return Job(
        id=made_id("job"),
        name="Tern Quay pumping station",
        sheets=sheets(),
        joints=joints(),
        leaks=leaks(),
        cuts={made_id("cut"): Cut(id=made_id("cut"), joint=made_id("J-05"), at_m=19.4)},
        others={
            made_id("ties"): OtherItem(id=made_id("ties"), sheet=B2, what="tie holes", quantity=14, unit="no."),
            made_id("comb"): OtherItem(
                id=made_id("comb"), sheet=B2, what="honeycomb", quantity=0.6, unit="m²", note="north wall"
            ),
        },
        water=WaterLevel(level_m=-2.4, seen=date(2026, 11, 2), source="standpipe"),
    )


def paper_repairs(job: Job) -> Repairs:
    """Zones for the job by hand: wet, overrun, merged, bridged, blind, provisional, on a staff, on a ring."""
    leak, over, merged, bridge = Why.LEAK, Why.OVERRUN, Why.MERGED, Why.BRIDGE

    def p(joint: str, a: float, b: float, why: Why, leak_ref: str = ""):  # noqa: ANN202 - a short hand
        return piece(job, joint, (a, b), why, leak_ref)

    zones = [
        zone(job, 1, [p("J-01", 9.7, 10.0, over), p("J-01", 10.0, 12.6, leak, "L-13"), p("J-01", 12.6, 12.9, over)]),
        zone(
            job, 2,
            [p("J-02", 1.7, 2.0, over), p("J-02", 2.0, 3.4, leak, "L-01"), p("J-02", 3.4, 3.6, over),
             p("J-02", 3.6, 3.7, merged), p("J-02", 3.7, 3.9, over), p("J-02", 3.9, 4.6, leak, "L-02"),
             p("J-02", 4.6, 4.9, over)],
            holds=("Slot bottom within 50 mm of the waterstop: hold, ask the engineer.",), head_kpa=52.95,
        ),
        zone(
            job, 3,
            [p("J-05", 9.35, 9.8, over), p("J-05", 9.8, 11.4, leak, "L-03"), p("J-05", 11.4, 11.85, over)],
            relief=(relief(job, "J-05", 10.9, Wetness.RUN),), method=Method.DEEP_PLUG_RELIEF, head_kpa=52.95,
        ),
        zone(
            job, 4,
            [p("J-05", 16.6, 17.0, over), p("J-05", 17.0, 18.2, leak, "L-04"), p("J-05", 18.2, 18.8, over),
             p("J-05", 18.8, 19.4, bridge)],
            ends=(end(job, "J-05", 19.4, "cut"),),
        ),
        zone(
            job, 5,
            [p("J-06", 3.55, 4.0, over), p("J-06", 4.0, 6.4, leak, "L-05"), p("J-06", 6.4, 6.85, over)],
            relief=(relief(job, "J-06", 5.0, Wetness.JET),), method=Method.DEEP_PLUG_RELIEF,
            holds=("Slot 62 mm deep, cover to steel 45 mm: hold, ask the engineer.",),
        ),
        zone(job, 6, [p("J-01", 39.7, 40.0, over), p("J-01", 40.0, 41.5, leak, "L-07"), p("J-01", 41.5, 41.8, over)]),
        zone(
            job, 7, [p("J-07", 1.7, 2.0, over), p("J-07", 2.0, 3.5, leak, "L-08"), p("J-07", 3.5, 3.8, over)],
            provisional=True, why_provisional="J-07 is a crack that nobody has confirmed dormant.",
        ),
        zone(
            job, 8, [p("V-01", 0.0, 0.2, over), p("V-01", 0.2, 1.3, leak, "L-09"), p("V-01", 1.3, 1.6, over)],
            ends=(end(job, "V-01", 0.0, "joint end"),),
        ),
        zone(
            job, 9,
            [p("J-08", 2.1, 2.5, over), p("J-08", 2.5, 3.8, leak, "L-10"), p("J-08", 3.8, 4.0, over),
             p("J-08", 4.0, 4.2, Why.BLIND)],
            ends=(end(job, "J-08", 4.2, "blind"),),
        ),
        zone(job, 10, [p("J-09", 0.2, 0.5, leak, "L-11"), p("J-09", 0.5, 1.5707, over)]),
        zone(job, 11, [p("J-10", 5.6, 6.0, over), p("J-10", 6.0, 8.5, leak, "L-12"), p("J-10", 8.5, 8.9, over)]),
        zone(job, 12, [p("J-01", 59.7, 60.0, over), p("J-01", 60.0, 60.0, leak, "L-14"), p("J-01", 60.0, 60.3, over)],
             provisional=False, why_provisional="", method=Method.SLOT_PLUG),
    ]  # fmt: skip
    findings = [Finding("nearly-meet", "J-06 / J-08", "J-06 and J-08 nearly meet: 45 mm apart; join them or say why.")]
    why = "movement joint: rigid filling fails there"
    return repairs_of(job, zones, another_method=[another(job, "L-06", why)], findings=findings)


def renamed(job: Job, name: str) -> Job:
    """The same job under another name."""
    return replace(job, name=name)


MILLI = Decimal("0.001")
