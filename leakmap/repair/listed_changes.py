"""What else differs between two jobs: their own facts, joints, leaks, rules, materials and rates, fact by fact, each with its values before and now.

Values are what the job holds, so that every writer says them in its own way: metres, words of the trade, what a person
typed. Chainages are printed ones, each in the job that it belongs to.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields
from datetime import date
from decimal import Decimal
from enum import StrEnum
from functools import partial
from typing import Any, Final, NamedTuple, TypeAlias
from uuid import UUID

from leakmap.base.money import with_minor_unit
from leakmap.base.rounding import rounded
from leakmap.geometry.tolerance import TIE_M
from leakmap.model.job import Job
from leakmap.model.joint import Joint, Signed
from leakmap.model.leak import Leak
from leakmap.model.materials import MATERIAL_WORDS, Material, Materials
from leakmap.model.printed import chainage_m
from leakmap.model.rates import RATE_WORDS, Rates
from leakmap.model.words import Wetness
from leakmap.repair.same_places import same_places


class Hidden(NamedTuple):
    """A blind stretch by its printed chainages."""

    from_m: Decimal
    to_m: Decimal
    what: str
    cleared_by: str


@dataclass(frozen=True, slots=True)
class Stood:
    """Where a leak that came or went is or was, by printed chainages, and how wet."""

    joint: str
    from_m: Decimal
    to_m: Decimal
    wetness: Wetness


@dataclass(frozen=True, slots=True)
class Asked:
    """A rate, in its currency and for its length: EUR/m, or EUR."""

    rate: Decimal
    unit: str


Value: TypeAlias = str | bool | int | float | Decimal | date | Signed | Stood | Asked | tuple[Hidden, ...] | None
"""What a fact was or is; None: there was none, or nobody said."""

_APART: Final = frozenset({"id", "ref", "sheet", "joint", "path", "point", "start_m", "from_m", "to_m", "worst_m"})
"""Fields that are compared in their own way, or are names."""

_ENDS: Final = (("from", "from_m"), ("to", "to_m"), ("worst point", "worst_m"))
_METRES: Final = "m"
_FLOW: Final = "L/min"
DEGREES: Final = "°"


class Sort(StrEnum):
    """What a line of the list speaks of."""

    JOB = "job"
    LEVEL = "level"
    JOINT = "joint"
    LEAK = "leak"
    RULE = "rule"
    MATERIAL = "material"
    RATE = "rate"


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """One fact of a job, level, joint, leak, rule, material or rate that differs.

    Attributes:
        name: Its reference or name now, or the words of the rule, material or rate.
        what: "added", "gone", or the fact: "wetness", "kind"; of a rule or rate "value".
        before: What it was; None besides where only the fact that it differs can be told. Of a leak that is gone
            where it stood, and of an added one, in ``after``, where it stands.
        after: What it is now.
        unit: "m", "L/min" or "°" where values are figures of it, "days", the unit of a material's figure; empty for all else.
    """

    sort: Sort
    name: str
    what: str
    before: Value = None
    after: Value = None
    unit: str = ""


_Fact: TypeAlias = tuple[str, Value, Value, str]
"""What differs, before, after and unit."""


def _nowhere(_item: object) -> None:
    """A joint stands where the plan shows it."""


def listed_changes(old: Job, new: Job) -> tuple[Listed, ...]:
    """Facts of the job and its levels, joints and leaks that came, went or changed, rules, materials and rates that differ."""
    return (
        *_job_facts(old, new),
        *_level_facts(old, new),
        *_items(Sort.JOINT, old.joints, new.joints, lambda one, other: _joint_facts(old, new, one, other)),
        *_items(
            Sort.LEAK,
            old.leaks,
            new.leaks,
            lambda one, other: _leak_facts(old, new, one, other),
            (partial(_stood, old), partial(_stood, new)),
        ),
        *_rules(old, new),
        *_materials(old.materials, new.materials),
        *_rates(old.rates, new.rates),
    )


def _job_facts(old: Job, new: Job) -> Iterator[Listed]:
    for what, was, now in (
        ("name", old.name, new.name),
        ("legal owner", old.legal_owner, new.legal_owner),
        ("approver", old.approver, new.approver),
        ("units", old.units.system.value, new.units.system.value),
        ("locale", old.units.locale, new.units.locale),
        ("what fills the slot", old.materials.filling, new.materials.filling),
    ):
        if was != now:
            yield Listed(sort=Sort.JOB, name=new.name, what=what, before=_given(was), after=_given(now))


def _level_facts(old: Job, new: Job) -> Iterator[Listed]:
    """What changed of levels that there were: their names, and where their north lies."""
    for key, was in old.sheets.items():
        now = new.sheets.get(key, was)
        if was.name != now.name:
            yield Listed(sort=Sort.LEVEL, name=now.name, what="name", before=was.name, after=now.name)
        if was.north_deg != now.north_deg:
            north = was.north_deg, now.north_deg
            yield Listed(
                sort=Sort.LEVEL, name=now.name, what="true north", before=north[0], after=north[1], unit=DEGREES
            )


def _materials(old: Materials, new: Materials) -> Iterator[Listed]:
    """Figures of the material table, and their origins, that differ."""
    for name, words in MATERIAL_WORDS.items():
        for item in fields(Material):
            was, now = (getattr(getattr(table, name), item.name) for table in (old, new))
            what, unit = str(item.metadata["words"]), str(item.metadata["unit"])
            if was.value != now.value:
                yield Listed(sort=Sort.MATERIAL, name=words, what=what, before=was.value, after=now.value, unit=unit)
            if was.origin != now.origin:
                origins = _given(was.origin), _given(now.origin)
                yield Listed(
                    sort=Sort.MATERIAL, name=words, what=f"{what}, origin", before=origins[0], after=origins[1]
                )


def _rates(old: Rates, new: Rates) -> Iterator[Listed]:
    """Rates that differ, in their figures or in what those are in."""
    for name, words in RATE_WORDS.items():
        was, now = (_asked(rates, name) for rates in (old, new))
        if was != now:
            yield Listed(sort=Sort.RATE, name=words, what="value", before=was, after=now)


def _asked(rates: Rates, name: str) -> Asked | None:
    rate = rates.of(name)
    return None if rate is None else Asked(with_minor_unit(rate, rates.currency), rates.unit_of(name))


def _items(
    sort: Sort,
    old: Mapping[UUID, Any],
    new: Mapping[UUID, Any],
    differ: Callable[[Any, Any], Iterator[_Fact]],
    stood: tuple[Callable[[Any], Value], Callable[[Any], Value]] = (_nowhere, _nowhere),
) -> Iterator[Listed]:
    """Joints or leaks; ``stood`` says where one that is gone was, and where an added one is."""
    for key, item in old.items():
        if key not in new:
            yield Listed(sort=sort, name=item.ref, what="gone", before=stood[0](item))
        elif item is not new[key] and item != new[key]:
            for what, before, after, unit in differ(item, new[key]):
                yield Listed(sort=sort, name=new[key].ref, what=what, before=before, after=after, unit=unit)
    for key, item in new.items():
        if key not in old:
            yield Listed(sort=sort, name=item.ref, what="added", after=stood[1](item))


def _stood(job: Job, leak: Leak) -> Stood:
    joint = job.joints[leak.joint]
    return Stood(joint.ref, chainage_m(job, joint, leak.from_m), chainage_m(job, joint, leak.to_m), leak.wetness)


def _joint_facts(old: Job, new: Job, one: Joint, other: Joint) -> Iterator[_Fact]:
    yield from _reference(one, other)
    if (one.path, one.point) != (other.path, other.point):
        before, after = (rounded(each.length_m, job.rules.measuring_step_m) for each, job in ((one, old), (other, new)))
        yield ("length", before, after, _METRES) if before != after else ("course", None, None, "")
    for name, was, now in _fields(one, other):
        if name == "head_sheet":
            yield "head", _level(old, was), _level(new, now), ""
        elif name == "blind":
            yield name, _hidden(old, one), _hidden(new, other), ""
        else:
            yield _plain(name, was, now)


def _level(job: Job, sheet: UUID | None) -> str | None:
    return None if sheet is None or sheet not in job.sheets else job.sheets[sheet].name


def _hidden(job: Job, joint: Joint) -> tuple[Hidden, ...]:
    return tuple(
        Hidden(chainage_m(job, joint, each.from_m), chainage_m(job, joint, each.to_m), each.what, each.cleared_by)
        for each in joint.blind
    )


def _leak_facts(old: Job, new: Job, one: Leak, other: Leak) -> Iterator[_Fact]:
    yield from _reference(one, other)
    if not _same_stretch(old, new, one, other):
        yield from tuple(_place(old, new, one, other)) or (("place", None, None, ""),)
    for name, was, now in _fields(one, other):
        if name == "photos":
            yield name, len(was), len(now), ""
        elif name == "flow_l_min":
            yield "flow", was, now, _FLOW
        else:
            yield _plain(name, was, now)


def _plain(name: str, was: Any, now: Any) -> _Fact:  # noqa: ANN401 - a value of any type
    """A fact as its field holds it, whose name tells whether it is in metres."""
    return name.removesuffix("_m").replace("_", " "), was, now, _METRES if name.endswith("_m") else ""


def _reference(one: Joint | Leak, other: Joint | Leak) -> Iterator[_Fact]:
    if one.ref != other.ref:
        yield "reference", one.ref, other.ref, ""


def _place(old: Job, new: Job, one: Leak, other: Leak) -> Iterator[_Fact]:
    """The joint that a leak lies on and its chainages, as far as they read otherwise now."""
    joints = old.joints[one.joint], new.joints[other.joint]
    if joints[0].ref != joints[1].ref:
        yield "joint", joints[0].ref, joints[1].ref, ""
    for words, name in _ENDS:
        raw = getattr(one, name), getattr(other, name)
        before, after = (
            None if at is None else chainage_m(job, joint, at)
            for job, joint, at in zip((old, new), joints, raw, strict=True)
        )
        if before != after:
            yield words, before, after, _METRES
    lengths = _long_m(old, one), _long_m(new, other)
    if lengths[0] != lengths[1]:
        yield "length", *lengths, _METRES


def _long_m(job: Job, leak: Leak) -> Decimal:
    """How long a leak is between its printed chainages; on a closed joint it may pass the start."""
    joint = job.joints[leak.joint]
    ends = [chainage_m(job, joint, at) for at in (leak.from_m, leak.to_m)]
    whole = rounded(joint.length_m, job.rules.measuring_step_m) if leak.from_m > leak.to_m else Decimal(0)
    return ends[1] - ends[0] + whole


def _same_stretch(old: Job, new: Job, one: Leak, other: Leak) -> bool:
    """Whether both ends lie on the same places of the structure."""
    laid = same_places(old, new, old.joints[one.joint])
    for was, now in ((one.from_m, other.from_m), (one.to_m, other.to_m), (one.worst_m, other.worst_m)):
        if was is None or now is None:
            if was is not now:
                return False
        elif not any(
            each.joint == other.joint
            and each.from_m - TIE_M <= was <= each.to_m + TIE_M
            and abs(each.at(was) - now) <= TIE_M
            for each in laid
        ):
            return False
    return True


def _fields(one: Joint | Leak, other: Joint | Leak) -> Iterator[tuple[str, Any, Any]]:
    """Names and values of other fields that differ; an empty text is none."""
    for item in fields(one):
        was, now = (getattr(each, item.name) for each in (one, other))
        if item.name not in _APART and was != now:
            yield item.name, _given(was), _given(now)


def _given(value: Any) -> Any:  # noqa: ANN401 - a value of any type
    return None if value == "" else value


def _rules(old: Job, new: Job) -> Iterator[Listed]:
    for item in fields(old.rules):
        was, now = getattr(old.rules, item.name), getattr(new.rules, item.name)
        words, unit = str(item.metadata["words"]), str(item.metadata["unit"])
        if isinstance(was, tuple):
            for wetness, before, after in zip(Wetness, was, now, strict=True):
                if before != after:
                    name = f"overrun, {wetness.word}"
                    yield Listed(sort=Sort.RULE, name=name, what="value", before=before, after=after, unit=unit)
        elif was != now:
            yield Listed(sort=Sort.RULE, name=words, what="value", before=_given(was), after=_given(now), unit=unit)
