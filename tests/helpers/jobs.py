"""Small jobs for tests, built by plain constructors.

Joints and leaks are numbered in the order given: the first joint is J-01 with id ``joint_id(1)``, the
first leak L-01 with id ``leak_id(1)``. Everything lies on sheet B1, id ``sheet_id(1)``, unless said
otherwise. Unknown facts are passed on to the model, so any field of a joint or leak can be given.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any
from uuid import UUID

from leakmap.geometry.path import Path, Point
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Cut, Leak, Parted
from leakmap.model.rules import Rules
from leakmap.model.sheet import Sheet
from leakmap.model.words import Face, Kind, Wetness

JOB = UUID(int=1)


def sheet_id(number: int) -> UUID:
    """Id of the n-th sheet, 1 first."""
    return UUID(int=0x1000_0000 + number)


def joint_id(number: int) -> UUID:
    """Id of the n-th joint, 1 first."""
    return UUID(int=0x2000_0000 + number)


def leak_id(number: int) -> UUID:
    """Id of the n-th leak, 1 first."""
    return UUID(int=0x3000_0000 + number)


def cut_id(number: int) -> UUID:
    """Id of the n-th cut, 1 first."""
    return UUID(int=0x4000_0000 + number)


def parted_id(number: int) -> UUID:
    """Id of the n-th parted junction, 1 first."""
    return UUID(int=0x5000_0000 + number)


def sheet(number: int = 1, **facts: Any) -> Sheet:  # noqa: ANN401 - any field of a sheet
    """A blank sheet: B1, B2 and so on."""
    return Sheet(id=sheet_id(number), name=facts.pop("name", f"B{number}"), **facts)


def line(*points: Point, closed: bool = False, on: int = 1, **facts: Any) -> Joint:  # noqa: ANN401 - any field of a joint
    """A construction joint in the floor along a line, unless said otherwise; its number comes from its job."""
    return _joint(path=Path(points, closed), sheet=sheet_id(on), **facts)


def upright(point: Point, rise_m: float, *, on: int = 1, head: int | None = None, **facts: Any) -> Joint:  # noqa: ANN401 - any field of a joint
    """A vertical joint; ``head`` is the number of the sheet where its head is met."""
    head_sheet = None if head is None else sheet_id(head)
    facts = {"face": Face.WALL, **facts}
    return _joint(point=point, rise_m=rise_m, sheet=sheet_id(on), head_sheet=head_sheet, **facts)


def collar(point: Point, diameter_m: float, *, on: int = 1, **facts: Any) -> Joint:  # noqa: ANN401 - any field of a joint
    """A pipe collar drawn as a point: a ring in the floor unless its face is said."""
    facts = {"kind": Kind.PIPE_COLLAR, **facts}
    return _joint(point=point, diameter_m=diameter_m, sheet=sheet_id(on), **facts)


def leak(on: int, from_m: float, to_m: float | None = None, wetness: int = 2, **facts: Any) -> Leak:  # noqa: ANN401 - any field of a leak
    """A leak on the n-th joint; a spot when it has no end; its number comes from its job."""
    return Leak(
        id=leak_id(0),
        ref="L-00",
        joint=joint_id(on),
        from_m=from_m,
        to_m=from_m if to_m is None else to_m,
        wetness=Wetness(wetness),
        **facts,
    )


def cut(on: int, at_m: float) -> Cut:
    """A cut on the n-th joint; its number comes from its job."""
    return Cut(id=cut_id(0), joint=joint_id(on), at_m=at_m)


def parted(on: int, at_m: float, other: int, other_at_m: float) -> Parted:
    """A parted junction of two joints by number; its own number comes from its job."""
    return Parted(id=parted_id(0), joint=joint_id(on), at_m=at_m, other=joint_id(other), other_at_m=other_at_m)


def job_of(
    joints: Sequence[Joint],
    leaks: Sequence[Leak] = (),
    *,
    cuts: Iterable[Cut] = (),
    parted: Iterable[Parted] = (),
    sheets: Sequence[Sheet] = (),
    rules: Rules | None = None,
    **facts: Any,  # noqa: ANN401 - any field of a job
) -> Job:
    """A job of these joints and leaks, numbered in the order given.

    Sheets that joints name are made where they are not given.
    """
    named = {joint.sheet for joint in joints} | {joint.head_sheet for joint in joints if joint.head_sheet}
    sheets = sheets or [sheet(identity.int - sheet_id(0).int) for identity in sorted(named, key=lambda item: item.int)]
    numbered = [replace(item, id=joint_id(n), ref=_ref(item, n)) for n, item in enumerate(joints, 1)]
    marked = [replace(item, id=leak_id(n), ref=f"L-{n:02d}") for n, item in enumerate(leaks, 1)]
    return Job(
        id=JOB,
        name="Test job",
        rules=rules or Rules(),
        sheets={item.id: item for item in sheets},
        joints={item.id: item for item in numbered},
        leaks={item.id: item for item in marked},
        cuts={cut_id(n): replace(item, id=cut_id(n)) for n, item in enumerate(cuts, 1)},
        parted={parted_id(n): replace(item, id=parted_id(n)) for n, item in enumerate(parted, 1)},
        **facts,
    )


def _ref(item: Joint, number: int) -> str:
    return f"{'V' if item.vertical else 'J'}-{number:02d}"


def _joint(**facts: Any) -> Joint:  # noqa: ANN401 - any field of a joint
    return Joint(**{"id": joint_id(0), "ref": "J-00", "kind": Kind.CONSTRUCTION, "face": Face.FLOOR, **facts})
