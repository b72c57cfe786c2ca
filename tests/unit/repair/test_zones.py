"""Quantities of zones worked by hand, from a cover written down.

Widths and depths: common practice, no published source. Each example shows its arithmetic.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from math import cos, pi, sin
from typing import Any

import pytest

from leakmap.model.joint import Blind, Joint
from leakmap.model.rules import Rules, Suspects
from leakmap.model.words import Face, Kind, Method, Side, Waterstop, Wetness
from leakmap.repair.parts import Part
from leakmap.repair.results import Repairs, Why, Zone
from leakmap.repair.work_out import worked_out
from tests.helpers.covers import Meeting, covered_by_hand, part, piece
from tests.helpers.jobs import collar, job_of, joint_id, leak, leak_id, line, sheet, sheet_id, upright

TEN = line((0, 0), (10, 0))


def metre(wetness: int, *, joint: Joint = TEN, rules: Rules | None = None, **facts: Any) -> Zone:  # noqa: ANN401 - any field of a leak
    """A zone of exactly one metre of one joint, without overruns: 2 to 3 m."""
    job = job_of([joint], [leak(1, 2, 3, wetness, **facts)], rules=rules)
    cover = covered_by_hand(job, part(piece(1, 2.0, 3.0, wetness=Wetness(wetness))))
    (zone,) = worked_out(job, cover).zones
    return zone


def plain(*parts: Part, joints: list[Joint], meetings: Sequence[Meeting] = (), **facts: Any) -> Repairs:  # noqa: ANN401 - any field of a job
    """Repairs of a seep on the first joint with the cover given."""
    apart = facts.pop("apart", ())
    job = job_of(joints, facts.pop("leaks", [leak(1, 0, 1, 2)]), **facts)
    return worked_out(job, covered_by_hand(job, *parts, meetings=meetings, apart=apart))


@pytest.mark.parametrize(
    ("wetness", "coat1", "why"),
    [
        (2, "0.362", "0.325 + 2 · 0.0185"),
        (0, "0.399", "0.325 + 2 · 0.037"),
        (4, "0.375", "0.325 + 2 · 0.025"),
        (5, "0.387", "0.325 + 2 · 0.031"),
    ],
)
def test_the_coats_of_a_metre(wetness: int, coat1: str, why: str) -> None:
    """Coat 1 lines the open slot above the plug: coat 2 and twice the exposed depth; coat 2 is 0.325 m²/m."""
    zone = metre(wetness)
    assert zone.coat1_m2 == Decimal(coat1), why
    assert (zone.coat2_m2, zone.wash_m2) == (Decimal("0.325"), Decimal("0.325"))


def test_the_litres_of_a_metre() -> None:
    """25 × 37 mm: 0.925 L, half of it plug, in tenths of a millilitre rounded half up: 0.4625 to 0.463.

    The dry-pack rounds too (0.463): each quantity is rounded once, so the two need not add up to the slot.
    """
    zone = metre(2)
    assert (zone.slot_l, zone.plug_l, zone.drypack_l) == (Decimal("0.925"), Decimal("0.463"), Decimal("0.463"))
    dry = metre(0)
    assert (dry.slot_l, dry.plug_l, dry.drypack_l) == (Decimal("0.925"), Decimal("0.000"), Decimal("0.925"))


def test_inch_sizes_are_another_volume() -> None:
    """1 × 1.5 inch is 25.4 × 38.1 mm: 0.96774 L/m, not 0.925 (16 CFR 500.19: 1 in = 25.4 mm exactly)."""
    zone = metre(2, rules=Rules(slot_width_m=0.0254, slot_depth_m=0.0381))
    assert zone.slot_l == Decimal("0.968")
    assert zone.rows[0].depth_mm == Decimal("38.1")


def test_the_litres_of_a_jet() -> None:
    """25 × 62 mm: 1.55 L, plug 0.775 and the relief hole π/4 · 0.25² · 0.38 = 0.0187: 0.794 L; dry-pack 0.775."""
    zone = metre(5)
    assert (zone.slot_l, zone.plug_l, zone.drypack_l) == (Decimal("1.550"), Decimal("0.794"), Decimal("0.775"))
    assert zone.method is Method.DEEP_PLUG_RELIEF


@pytest.mark.parametrize(
    ("wetness", "override", "method"),
    [
        (0, None, Method.SLOT),
        (3, None, Method.SLOT_PLUG),
        (4, None, Method.DEEP_PLUG_RELIEF),
        (4, Method.DEEP_PLUG, Method.DEEP_PLUG),
        (4, Method.SLOT, Method.SLOT),
        (2, Method.DEEP_PLUG_RELIEF, Method.DEEP_PLUG_RELIEF),
    ],
)
def test_the_method_of_a_zone(wetness: int, override: Method | None, method: Method) -> None:
    """By wetness, or as set by hand."""
    assert metre(wetness, method=override).method is method


def test_washing_has_its_own_margin() -> None:
    """0.2 m beyond the slot on each side: 0.425 m² washed on a metre, 0.325 m² coated."""
    zone = metre(2, rules=Rules(wash_m=0.2))
    assert (zone.coat2_m2, zone.wash_m2) == (Decimal("0.325"), Decimal("0.425"))


def test_composed_example() -> None:
    """Leak 3.00 m, 0.50 m past each end: 4.00 m; slot 25 × 40 mm: 4.000 L; band 0.300 m: 1.20 m².

    Our numbers. Two coats at 1.5 lb/yd² = 0.81374 kg/m² (by the exact pound and yard): 1.953 kg.
    """
    rules = Rules(slot_depth_m=0.040, coat_margin_m=0.1375)
    pieces = [piece(1, 2.5, 3, Why.OVERRUN), piece(1, 3, 6, wetness=Wetness.SEEP), piece(1, 6, 6.5, Why.OVERRUN)]
    (zone,) = plain(part(*pieces), joints=[TEN], leaks=[leak(1, 3, 6)], rules=rules).zones
    assert (zone.length_m, zone.slot_l, zone.coat2_m2) == (Decimal("4.000"), Decimal("4.000"), Decimal("1.200"))
    assert 2 * float(zone.coat2_m2) * 1.5 * 0.45359237 / 0.9144**2 == pytest.approx(1.953, abs=5e-4)
    assert (zone.wet_m, zone.chargeable_m, len(zone.rows)) == (Decimal("3.000"), Decimal("4.00"), 1)


def test_a_deep_stretch_parts_the_rows() -> None:
    """Run 1.0 to 1.2 m in a seep 0 to 3 m: rows 0 to 0.95, 0.95 to 1.25 deep, 1.25 to 3.3; hole at 1.1 m."""
    pieces = [
        piece(1, 0, 1, leaks=(1,), wetness=Wetness.SEEP),
        piece(1, 1, 1.2, leaks=(1, 2), wetness=Wetness.RUN),
        piece(1, 1.2, 3, leaks=(1,), wetness=Wetness.SEEP),
        piece(1, 3, 3.3, Why.OVERRUN, leaks=(1,)),
    ]
    (zone,) = plain(part(*pieces), joints=[TEN], leaks=[leak(1, 0, 3, 2), leak(1, 1.0, 1.2, 4)]).zones
    assert [(str(row.from_m), str(row.to_m), int(row.depth_mm)) for row in zone.rows] == [
        ("0.000", "0.950", 37),
        ("0.950", "1.250", 50),
        ("1.250", "3.300", 37),
    ]
    assert zone.slot_l == Decimal("3.150")  # 0.925 · 3.0 + 1.25 · 0.3 = 2.775 + 0.375
    assert zone.plug_l == Decimal("1.587")  # 1.575 + 0.0123 of the hole below a slot of 50 mm
    assert zone.coat1_m2 == Decimal("1.199")  # 0.325 · 3.3 + 2 · (0.0185 · 3.0 + 0.025 · 0.3) = 1.0725 + 0.126
    assert sum((row.length_m for row in zone.rows), Decimal(0)) == zone.length_m == Decimal("3.300")


def test_each_stretch_is_rounded_once_and_sums_are_of_rounded_rows() -> None:
    """Step 10 mm (Standard Method of Measurement, A.3): 0 to 1.005 is 0 to 1.01 m; the zone sums its rows.

    1.005 to 2.3249 m on the other side of a hidden 0.1 m: 1.11 to 2.32 m is 1.21 m. In all 2.22 m.
    """
    rules = Rules(measuring_step_m=Decimal("0.01"))
    joint = line((0, 0), (10, 0), blind=(Blind(from_m=1.005, to_m=1.105, what="a tank", cleared_by="the client"),))
    pieces = [
        piece(1, 0, 1.005, wetness=Wetness.SEEP),
        piece(1, 1.005, 1.105, Why.BLIND),
        piece(1, 1.105, 2.3249, Why.OVERRUN),
    ]
    (zone,) = plain(part(*pieces), joints=[joint], rules=rules).zones
    assert [row.length_m for row in zone.rows] == [Decimal("1.01"), Decimal("1.21")]
    assert (zone.length_m, zone.chargeable_m) == (Decimal("2.22"), Decimal("2.30"))
    (hidden,) = zone.blind
    assert (hidden.what, hidden.cleared_by, zone.blind_m) == ("a tank", "the client", Decimal("0.10"))


def test_hidden_pieces_carry_nothing() -> None:
    """1 m hidden between two of 1 m: 2 m of slot and coat, 1 m listed; the relief point moves to the slot's edge."""
    joint = line((0, 0), (10, 0), blind=(Blind(from_m=1, to_m=2, what="plant"),))
    pieces = [piece(1, 0, 1, Why.OVERRUN), piece(1, 1, 2, Why.BLIND, wetness=Wetness.RUN), piece(1, 2, 3, Why.OVERRUN)]
    made = plain(part(*pieces), joints=[joint], leaks=[leak(1, 1, 2, 4)])
    (zone,) = made.zones
    assert (zone.length_m, zone.blind_m, zone.coat2_m2) == (Decimal("2.000"), Decimal("1.000"), Decimal("0.650"))
    assert [point.at_m for point in zone.relief] == [1.0]
    assert len(zone.rows) == 2


def test_a_relief_point_of_a_hidden_run_is_said() -> None:
    """A run hidden with room to spare gets no relief point, and a finding that says so."""
    joint = line((0, 0), (10, 0), blind=(Blind(from_m=0.5, to_m=2.5, what="plant"),))
    pieces = [piece(1, 0.2, 0.5, Why.OVERRUN), piece(1, 0.5, 2.5, Why.BLIND, wetness=Wetness.RUN)]
    made = plain(part(*pieces), joints=[joint], leaks=[leak(1, 1, 2, 4)])
    assert made.zones[0].relief == ()
    assert [finding.code for finding in made.findings] == ["relief-hidden"]


def test_the_clearance_of_a_movement_joint_is_listed_as_such() -> None:
    """A blind piece that no blind stretch explains is a clearance; one that is half explained is parted."""
    joint = line((0, 0), (10, 0), blind=(Blind(from_m=1, to_m=1.5, what="a slab"),))
    (zone,) = plain(part(piece(1, 0, 1), piece(1, 1, 1.6, Why.BLIND)), joints=[joint]).zones
    assert [(item.what, str(item.to_m - item.from_m)) for item in zone.blind] == [
        ("a slab", "0.500"),
        ("clearance of a movement joint", "0.100"),
    ]


def test_a_spot_splits_no_row() -> None:
    """A spot in the middle of an overrun leaves one row."""
    pieces = [piece(1, 0, 1, Why.OVERRUN), piece(1, 1, 1, wetness=Wetness.SEEP), piece(1, 1, 2, Why.OVERRUN)]
    (zone,) = plain(part(*pieces), joints=[TEN], leaks=[leak(1, 1)]).zones
    assert [(row.from_m, row.to_m) for row in zone.rows] == [(Decimal("0.000"), Decimal("2.000"))]
    assert zone.wet_m == Decimal("0.000")


def test_bridged_metres_stand_on_their_own() -> None:
    """0.3 m of bridge between two leaks are measured, and said."""
    pieces = [
        piece(1, 0, 1, wetness=Wetness.SEEP),
        piece(1, 1, 1.3, Why.BRIDGE, leaks=()),
        piece(1, 1.3, 2, leaks=(2,), wetness=Wetness.SEEP),
    ]
    made = plain(part(*pieces), joints=[TEN], leaks=[leak(1, 0, 1), leak(1, 1.3, 2)])
    (zone,) = made.zones
    assert (zone.length_m, zone.bridged_m, zone.wet_m) == (Decimal("2.000"), Decimal("0.300"), Decimal("1.700"))
    assert made.totals.bridged_m == Decimal("0.300")


def test_a_pipe_collar_is_the_ring_outside_the_pipe() -> None:
    """Diameter 0.2 m: π(0.275² − 0.1²) = 0.206 m², in a floor and through a wall alike; 0.628 m long."""
    for facts in ({}, {"face": Face.WALL, "height_m": 1.0}):
        pipe = collar((5, 5), 0.2, **facts)
        (zone,) = plain(part(piece(1, 0, pi * 0.2, wetness=Wetness.SEEP)), joints=[pipe], leaks=[leak(1, 0, 0.3)]).zones
        assert (zone.coat2_m2, zone.length_m) == (Decimal("0.206"), Decimal("0.628"))
        assert zone.coat1_m2 == Decimal("0.229")  # 0.20617 + 2 · 0.0185 · 0.628 = 0.20617 + 0.02324
        assert zone.slot_l == Decimal("0.581")  # 0.925 · 0.628


def test_a_corner_of_four_walls() -> None:
    """A room of 4 × 3 m, its wall base covered whole: walls 14 · 0.1625, floor the frame inside 14 · 0.1625 − 4 · 0.1625².

    With the room on the other side the floor half lies outside, mitred: 14 · 0.1625 + 4 · 0.1625². Unknown: 14 · 0.325.
    """
    areas = {}
    for side in (Side.LEFT, Side.RIGHT, None):
        base = line((0, 0), (4, 0), (4, 3), (0, 3), closed=True, kind=Kind.WALL_BASE, face=Face.CORNER, room_side=side)
        (zone,) = plain(part(piece(1, 0, 14, wetness=Wetness.SEEP)), joints=[base]).zones
        areas[side] = zone.coat2_m2
    assert areas == {Side.LEFT: Decimal("4.444"), Side.RIGHT: Decimal("4.656"), None: Decimal("4.550")}


def test_room_sides_turn_over_where_joints_run_against_each_other() -> None:
    """Two wall bases drawn away from one corner, the room inside: left of one, right of the other.

    Their floor halves overlap in the inner corner: 2 · 0.1625 − 0.1625², and 2 · 0.1625 on the walls. Outside
    the corner (the wall stands into the room) they are mitred: + 0.1625².
    """
    facts = {"kind": Kind.WALL_BASE, "face": Face.CORNER}
    for inside, expected in ((True, "0.624"), (False, "0.676")):
        side, other = (Side.LEFT, Side.RIGHT) if inside else (Side.RIGHT, Side.LEFT)
        east = line((0, 0), (5, 0), room_side=side, **facts)
        north = line((0, 0), (0, 5), room_side=other, **facts)
        towards = line((0, 5), (0, 0), room_side=side, **facts)
        cases = [([east, north], 0.0), ([north, east], 0.0), ([east, towards], 4.0)]
        for joints, from_m in cases:
            pieces = [piece(1, 0, 1), piece(2, from_m, from_m + 1)]
            node = [(1, 0.0), (2, 5.0 if from_m else 0.0)]
            (zone,) = plain(part(*pieces), joints=joints, meetings=[node]).zones
            assert zone.coat2_m2 == Decimal(expected)


def test_a_sharp_corner_of_a_room_keeps_its_floor_half_inside() -> None:
    """Walls at 60°, 1 m of each: floor halves 2 · 0.1625 less the mitre 0.1625² / tan 30°; walls 2 · 0.1625.

    0.65 − 0.045737 = 0.604 m². Drawn as one joint it is the same, and with a stub too short for the mitre
    (0.1 m of the second wall, mitre 0.28 m long) nothing of the floor half lies behind that wall.
    """
    facts = {"kind": Kind.WALL_BASE, "face": Face.CORNER}
    far = (5 * cos(pi / 3), 5 * sin(pi / 3))
    two = [line((0, 0), (5, 0), room_side=Side.LEFT, **facts), line((0, 0), far, room_side=Side.RIGHT, **facts)]
    one = [line((5, 0), (0, 0), far, room_side=Side.RIGHT, **facts)]
    node = [(1, 0.0), (2, 0.0)]
    (apart,) = plain(part(piece(1, 0, 1), piece(2, 0, 1)), joints=two, meetings=[node]).zones
    (whole,) = plain(part(piece(1, 4, 6)), joints=one).zones
    assert apart.coat2_m2 == whole.coat2_m2 == Decimal("0.604")
    (stub,) = plain(part(piece(1, 0, 1), piece(2, 0, 0.1)), joints=two, meetings=[node]).zones
    (bent,) = plain(part(piece(1, 4, 5.1)), joints=one).zones
    assert stub.coat2_m2 == bent.coat2_m2


def test_an_elbow_of_two_joints_is_mitred() -> None:
    """Two joints that end at one node, 1 m on each: exactly 2 · 0.325 m², the square corner outside included."""
    joints = [line((0, 0), (5, 0)), line((0, 0), (0, 5))]
    (zone,) = plain(part(piece(1, 0, 1), piece(2, 0, 1)), joints=joints, meetings=[[(1, 0.0), (2, 0.0)]]).zones
    assert zone.coat2_m2 == Decimal("0.650")


def test_three_joints_that_end_at_one_node() -> None:
    """Arms at 120° meet along their bisectors: 3 · (0.325 − 0.1625² / tan 60°) = 0.975 − 0.045737 m²."""
    joints = [line((0, 0), (5 * cos(turn), 5 * sin(turn))) for turn in (0, 2 * pi / 3, 4 * pi / 3)]
    node = [(1, 0.0), (2, 0.0), (3, 0.0)]
    (zone,) = plain(part(piece(1, 0, 1), piece(2, 0, 1), piece(3, 0, 1)), joints=joints, meetings=[node]).zones
    assert zone.coat2_m2 == Decimal("0.929")


def test_an_oblique_tee_has_its_mitre_where_the_through_joint_stops_short() -> None:
    """A joint at 45° onto another that is covered on one side of the node only: the elbow is mitred, 2 · 0.325 m².

    Where the through joint is covered for 1 m on the far side too, the wedge lies in its band: the branch then
    adds its own metre less what lies on the through band, 0.1625 · (0.1625 / sin 45° + ...) by the parallelogram:
    half a crossing strip, 0.325² / sin 45° / 2.
    """
    joints = [TEN, line((5, 0), (5 + 3 * cos(pi / 4), 3 * sin(pi / 4)))]
    node = [(1, 5.0), (2, 0.0)]
    (elbow,) = plain(part(piece(1, 4, 5), piece(2, 0, 1)), joints=joints, meetings=[node]).zones
    assert elbow.coat2_m2 == Decimal("0.650")
    (tee,) = plain(part(piece(1, 4, 6), piece(2, 0, 1)), joints=joints, meetings=[node]).zones
    assert float(tee.coat2_m2) == pytest.approx(0.975 - 0.325**2 / sin(pi / 4) / 2, abs=6e-4)


def test_a_wedge_is_drawn_where_the_straight_arm_is_too_short_to_cover_it() -> None:
    """The through joint covered 50 mm past the node, the wedge 67 mm long (0.1625 · tan 22.5°): still 2 · 0.325 m².

    The 50 mm lie inside the mitred elbow.
    """
    joints = [TEN, line((5, 0), (5 + 3 * cos(pi / 4), 3 * sin(pi / 4)))]
    cover = part(piece(1, 4, 5.05), piece(2, 0, 1))
    (zone,) = plain(cover, joints=joints, meetings=[[(1, 5.0), (2, 0.0)]]).zones
    assert zone.coat2_m2 == Decimal("0.650")


def test_what_rounds_to_nothing_is_no_stretch() -> None:
    """0.2 mm of seep between two overruns is wet, but prints as nothing: one row, one stretch on each side."""
    pieces = [piece(1, 0, 1.0001, Why.OVERRUN), piece(1, 1.0001, 1.0003, wetness=Wetness.SEEP), piece(1, 1.0003, 2)]
    (zone,) = plain(part(*pieces), joints=[TEN]).zones
    assert [item.length_m for item in zone.stretches] == [Decimal("1.000"), Decimal("1.000")]
    assert len(zone.rows) == 1


def test_a_tee_and_a_cross_count_the_shared_square_once() -> None:
    """Tee: 3 · 0.325 − 0.1625 · 0.325; cross: 4 · 0.325 − 0.325²."""
    joints = [TEN, line((5, 0), (5, 5))]
    tee = plain(part(piece(1, 4, 6), piece(2, 0, 1)), joints=joints, meetings=[[(1, 5.0), (2, 0.0)]])
    assert tee.zones[0].coat2_m2 == Decimal("0.922")  # 0.975 − 0.0528125
    joints = [TEN, line((5, -5), (5, 5))]
    cross = plain(part(piece(1, 4, 6), piece(2, 4, 6)), joints=joints, meetings=[[(1, 5.0), (2, 5.0)]])
    assert cross.zones[0].coat2_m2 == Decimal("1.194")  # 1.3 − 0.105625
    assert cross.zones[0].slot_l == Decimal("3.700")  # nothing deducted at junctions: 4 · 0.925


def test_bands_on_one_floor_join_their_parts() -> None:
    """Two joints 0.2 m apart share 0.125 · 1 m² of coat and are one zone; 0.4 m apart they are two.

    Lengths stay, the shared area counts once: 2 · 0.325 − 0.125 = 0.525 m².
    """
    for apart_m, expected in ((0.2, ["0.525"]), (0.4, ["0.325", "0.325"])):
        joints = [TEN, line((0, apart_m), (10, apart_m))]
        made = plain(part(piece(1, 1, 2)), part(piece(2, 1, 2), whole=1), joints=joints)
        assert [str(zone.coat2_m2) for zone in made.zones] == expected
        assert made.totals.repair_m == Decimal("2.000")


def test_a_soffit_never_joins_the_floor_below() -> None:
    """The same line on floor and soffit: two zones, each with its whole area."""
    joints = [TEN, line((0, 0), (10, 0), face=Face.SOFFIT)]
    made = plain(part(piece(1, 1, 2)), part(piece(2, 1, 2), whole=1), joints=joints)
    assert [zone.coat2_m2 for zone in made.zones] == [Decimal("0.325"), Decimal("0.325")]


def test_walls_and_unknown_corners_join_nobody() -> None:
    """A lift joint over a floor joint, and a corner whose room side nobody knows, stay zones of their own."""
    for facts in ({"face": Face.WALL, "height_m": 1.0}, {"face": Face.CORNER, "kind": Kind.WALL_BASE}):
        joints = [TEN, line((0, 0.1), (10, 0.1), **facts)]
        made = plain(part(piece(1, 1, 2)), part(piece(2, 1, 2), whole=1), joints=joints)
        assert [zone.coat2_m2 for zone in made.zones] == [Decimal("0.325"), Decimal("0.325")]


def test_a_known_room_side_brings_the_floor_half_in() -> None:
    """A wall base 0.25 m beside a floor joint: its floor half (0.1625) and the band share 0.075 m² towards the room."""
    for side, zones in ((Side.RIGHT, ["0.575"]), (Side.LEFT, ["0.325", "0.325"])):
        base = line((0, 0.25), (10, 0.25), face=Face.CORNER, kind=Kind.WALL_BASE, room_side=side)
        made = plain(part(piece(1, 1, 2)), part(piece(2, 1, 2), whole=1), joints=[TEN, base])
        assert [str(zone.coat2_m2) for zone in made.zones] == zones


def test_what_a_cut_parts_stays_parted_and_shared_area_counts_in_the_lower_reference() -> None:
    """A parted cross: two zones; the square of 0.325² is Z-01's, Z-02 has 0.65 − 0.105625."""
    joints = [TEN, line((5, -5), (5, 5))]
    made = plain(part(piece(1, 4, 6)), part(piece(2, 4, 6), whole=1), joints=joints, apart={(0, 1)})
    assert [zone.coat2_m2 for zone in made.zones] == [Decimal("0.650"), Decimal("0.544")]


def test_vertical_joints_are_length_times_width() -> None:
    """1 m up and 1 m of floor at its foot: 0.325 + 0.325 m²; nothing of it lies in the floor's band."""
    joints = [TEN, upright((5, 0), 3.0)]
    (zone,) = plain(part(piece(1, 4.5, 5.5), piece(2, 0, 1)), joints=joints, meetings=[[(1, 5.0), (2, 0.0)]]).zones
    assert zone.coat2_m2 == Decimal("0.650")
    assert [band.face for band in zone.bands] == [Face.FLOOR]


def test_bands_for_drawing() -> None:
    """A zone's band on its floor is a closed ring in site metres; a wall joint's shows its width."""
    joints = [TEN, line((0, 5), (10, 5), face=Face.WALL, height_m=1.0)]
    made = plain(part(piece(1, 1, 2)), part(piece(2, 1, 2), whole=1), joints=joints)
    (floor,), (wall,) = (zone.bands for zone in made.zones)
    assert (floor.face, wall.face) == (Face.FLOOR, Face.WALL)
    ((ring,),) = floor.rings
    assert ring[0] == ring[-1]
    xs, ys = zip(*ring, strict=True)
    assert (min(xs), max(xs), min(ys), max(ys)) == pytest.approx((1, 2, -0.1625, 0.1625))


def test_totals_are_sums_of_zones() -> None:
    """Chargeable: 1.05 to 1.10 and 2.0 m; provisional: the zone of suspects; saved and joints beside."""
    job = job_of([TEN, line((0, 5), (3, 5))], [leak(1, 0, 1.05, 2), leak(2, 0, 2, 0)])
    cover = covered_by_hand(
        job,
        part(piece(1, 0, 1.05, wetness=Wetness.SEEP)),
        part(piece(2, 0, 2, leaks=(2,), wetness=Wetness.SUSPECT), whole=1),
        own_cover_m=3.5,
        cover_m=3.05,
    )
    totals = worked_out(job, cover).totals
    assert (totals.joint_m, totals.wet_m, totals.repair_m) == (Decimal("13.000"), Decimal("1.050"), Decimal("3.050"))
    assert (totals.provisional_m, totals.saved_m) == (Decimal("2.000"), Decimal("0.450"))
    assert totals.chargeable_m == Decimal("3.10")


def test_zones_are_listed_by_number_with_their_sheets() -> None:
    """A zone on two sheets names both, in the job's order."""
    joints = [line((0, 0), (5, 0), on=2), upright((0, 0), 3.0, on=1, head=2)]
    made = plain(
        part(piece(2, 2, 3), piece(1, 0, 1)), joints=joints, sheets=[sheet(1), sheet(2)], meetings=[[(1, 0), (2, 3)]]
    )
    assert made.zones[0].sheets == (sheet_id(1), sheet_id(2))
    assert made.zones[0].ref == "Z-01"


def test_another_method_and_watched() -> None:
    """Given to another method by hand, and suspects that are only watched, are listed and not repaired."""
    leaks = [leak(1, 1, 2.5, 3, method=Method.ANOTHER), leak(1, 4, 5, 0)]
    job = job_of([TEN], leaks, rules=Rules(suspects=Suspects.WATCH))
    made = worked_out(job, covered_by_hand(job))
    assert [(item.leak, item.length_m) for item in made.another_method] == [(leak_id(1), Decimal("1.500"))]
    assert made.watched == (leak_id(2),)
    assert made.zones == ()
    assert made.totals.wet_m == Decimal("1.500")


def test_holds_reach_the_zone() -> None:
    """A waterstop at 80 mm under a slot of 37 mm is 43 mm away: a hold."""
    zone = metre(2, joint=line((0, 0), (10, 0), waterstop=Waterstop.AT_DEPTH, waterstop_depth_m=0.080))
    assert len(zone.holds) == 1
    assert joint_id(1) == zone.rows[0].joint
