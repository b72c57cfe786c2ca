"""Jobs and work-outs made by hand for tests of the papers: they need a work-out, not the engine.

Figures of ``zone`` follow the default rules on straight floor joints: lengths are those of its pieces,
areas and volumes are length times the figures of the rules, so that totals can be checked.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from uuid import UUID, uuid5

from shapely import unary_union

from leakmap.base.findings import Finding
from leakmap.base.rounding import ZERO, rounded, rounded_up
from leakmap.issue.marks.course import course_of, polygons, strip
from leakmap.model.job import Job
from leakmap.model.words import Face, Method, Wetness
from leakmap.repair.results import (
    AnotherMethod,
    Band,
    BlindPart,
    End,
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

_SPACE = UUID("6f3d2c1e-7a7b-4b8e-9a55-0d9c6f1f2a10")
MILLI = Decimal("0.001")


def made_id(name: str) -> UUID:
    """The same id for the same name, in every run."""
    return uuid5(_SPACE, name)


def piece(job: Job, joint: str, ends: tuple[float, float], why: Why, leak: str = "") -> Piece:
    """A piece of a joint by its reference; a leak gives the wetness."""
    found = next(item for item in job.leaks.values() if item.ref == leak) if leak else None
    return Piece(
        joint=joint_id(job, joint),
        from_m=ends[0],
        to_m=ends[1],
        why=why,
        wetness=found.wetness if found and why is Why.LEAK else None,
        leaks=(found.id,) if found else (),
    )


def joint_id(job: Job, ref: str) -> UUID:
    """Id of a joint by its reference."""
    return next(joint.id for joint in job.joints.values() if joint.ref == ref)


def zone(job: Job, number: int, pieces: Iterable[Piece], **changes: object) -> Zone:
    """A zone of pieces, one printed row for each run of pieces on a joint; ``changes`` replace fields."""
    parts = tuple(pieces)
    dug = [part for part in parts if part.why is not Why.BLIND]
    rows = _rows(dug)
    length = sum((row.length_m for row in rows), ZERO)
    wet = any(part.wetness for part in parts)
    made = Zone(
        number=number,
        ref=f"Z-{number:02d}",
        issued=True,
        sheets=tuple(dict.fromkeys(job.joints[part.joint].sheet for part in parts)),
        pieces=parts,
        stretches=tuple(_stretch(part) for part in dug),
        rows=rows,
        blind=tuple(
            BlindPart(
                joint=part.joint,
                from_m=_step(part.from_m),
                to_m=_step(part.to_m),
                what="pump plinth",
                cleared_by="the owner",
            )
            for part in parts
            if part.why is Why.BLIND
        ),
        ends=(),
        relief=(),
        order=tuple(
            FillStep(step=step, joint=row.joint, from_m=row.from_m, to_m=row.to_m)
            for step, row in enumerate(rows, start=1)
        ),
        bands=_bands(job, dug),
        method=Method.SLOT_PLUG if wet else Method.SLOT,
        provisional=not wet,
        why_provisional="" if wet else "It holds only suspects.",
        holds=(),
        head_kpa=None,
        length_m=length,
        chargeable_m=rounded_up(length, Decimal("0.10")),
        wet_m=sum((_length(part) for part in parts if part.wetness), ZERO),
        bridged_m=sum((_length(part) for part in parts if part.why is Why.BRIDGE), ZERO),
        blind_m=sum((_length(part) for part in parts if part.why is Why.BLIND), ZERO),
        coat1_m2=rounded(length * Decimal("0.362"), MILLI),
        coat2_m2=rounded(length * Decimal("0.325"), MILLI),
        wash_m2=rounded(length * Decimal("0.325"), MILLI),
        slot_l=rounded(length * Decimal("0.925"), MILLI),
        plug_l=rounded(length * Decimal("0.4625"), MILLI) if wet else ZERO,
        drypack_l=rounded(length * Decimal("0.4625"), MILLI),
    )
    return replace(made, **changes)  # type: ignore[arg-type]


def _step(value: float) -> Decimal:
    return rounded(value, MILLI)


def _length(part: Piece) -> Decimal:
    return _step(part.to_m) - _step(part.from_m)


def _stretch(part: Piece) -> Stretch:
    return Stretch(
        joint=part.joint,
        from_m=_step(part.from_m),
        to_m=_step(part.to_m),
        depth_mm=Decimal(37),
        plugged=True,
        why=part.why,
        wetness=part.wetness,
        leaks=part.leaks,
    )


def _rows(parts: list[Piece]) -> tuple[Row, ...]:
    rows: list[Row] = []
    for part in parts:
        start, end = _step(part.from_m), _step(part.to_m)
        if rows and rows[-1].joint == part.joint and rows[-1].to_m == start:
            rows[-1] = replace(rows[-1], to_m=end)
        else:
            plugged = any(other.wetness for other in parts)
            rows.append(Row(joint=part.joint, from_m=start, to_m=end, depth_mm=Decimal(37), plugged=plugged))
    return tuple(rows)


def _bands(job: Job, parts: list[Piece]) -> tuple[Band, ...]:
    half = job.rules.band_m / 2
    found = []
    for sheet in job.sheets:
        shapes = []
        for part in parts:
            joint = job.joints[part.joint]
            course = course_of(joint, 1.0)
            if joint.sheet == sheet and course is not None and not course.collar:
                shapes.append(strip(course.part(part.from_m, part.to_m), half))
        if shapes:
            found.append(Band(sheet=sheet, face=Face.FLOOR, rings=polygons(unary_union(shapes, grid_size=1e-6))))
    return tuple(found)


def relief(job: Job, joint: str, at_m: float, wetness: Wetness) -> Relief:
    """A relief point of a run or a jet."""
    depth, hole = (Decimal(100), 0.0187) if wetness is Wetness.JET else (Decimal(75), 0.0123)
    return Relief(joint=joint_id(job, joint), at_m=at_m, depth_mm=depth, hole_l=hole, wetness=wetness, by_hand=False)


def end(job: Job, joint: str, at_m: float, why: str) -> End:
    """An end of a zone."""
    return End(joint=joint_id(job, joint), at_m=at_m, up=True, why=why, owner=None)


def another(job: Job, leak: str, why: str) -> AnotherMethod:
    """A leak that is not repaired here."""
    found = next(item for item in job.leaks.values() if item.ref == leak)
    return AnotherMethod(leak=found.id, joint=found.joint, length_m=_step(found.to_m - found.from_m), why=why)


def repairs_of(
    job: Job,
    zones: Iterable[Zone],
    *,
    another_method: Iterable[AnotherMethod] = (),
    watched: Iterable[UUID] = (),
    findings: Iterable[Finding] = (),
) -> Repairs:
    """A work-out whose totals are the sums of its zones."""
    all_zones = tuple(zones)

    def total(name: str) -> Decimal:
        return sum((getattr(item, name) for item in all_zones), ZERO)

    totals = Totals(
        joint_m=sum((rounded(joint.length_m, MILLI) for joint in job.joints.values()), ZERO),
        wet_m=total("wet_m"),
        repair_m=total("length_m"),
        provisional_m=sum((item.length_m for item in all_zones if item.provisional), ZERO),
        saved_m=Decimal("1.230"),
        bridged_m=total("bridged_m"),
        blind_m=total("blind_m"),
        chargeable_m=total("chargeable_m"),
        coat1_m2=total("coat1_m2"),
        coat2_m2=total("coat2_m2"),
        wash_m2=total("wash_m2"),
        slot_l=total("slot_l"),
        plug_l=total("plug_l"),
        drypack_l=total("drypack_l"),
    )
    return Repairs(
        zones=all_zones,
        another_method=tuple(another_method),
        watched=tuple(watched),
        findings=tuple(findings),
        totals=totals,
    )
