"""What else differs between two jobs: joints, leaks and rules, by their references and in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from enum import StrEnum
from typing import Any, Final, TypeVar
from uuid import UUID

from leakmap.geometry.tolerance import TIE_M
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.repair.same_places import same_places

T = TypeVar("T", Joint, Leak)
_APART: Final = frozenset({"id", "ref", "sheet", "joint", "path", "point", "start_m"})
"""Fields that are compared in their own way, or are names."""

_PLACES: Final = frozenset({"from_m", "to_m", "worst_m"})


class Sort(StrEnum):
    """What a line of the list speaks of."""

    JOINT = "joint"
    LEAK = "leak"
    RULE = "rule"


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """A joint, leak or rule that differs.

    Attributes:
        name: Its reference, or the rule's words.
        what: "added", "gone", or what of it changed: "wetness", "course".
    """

    sort: Sort
    name: str
    what: str


def listed_changes(old: Job, new: Job) -> tuple[Listed, ...]:
    """Joints and leaks that came, went or changed, and rules that are not what they were."""
    return (
        *_items(Sort.JOINT, old.joints, new.joints, _joint_words),
        *_items(Sort.LEAK, old.leaks, new.leaks, lambda one, other: _leak_words(old, new, one, other)),
        *_rules(old, new),
    )


def _items(sort: Sort, old: Mapping[UUID, Any], new: Mapping[UUID, Any], differ: Any) -> Iterator[Listed]:  # noqa: ANN401 - joints or leaks
    for key, item in old.items():
        if key not in new:
            yield Listed(sort=sort, name=item.ref, what="gone")
        elif item is not new[key] and (words := ", ".join(differ(item, new[key]))):
            yield Listed(sort=sort, name=new[key].ref, what=words)
    yield from (Listed(sort=sort, name=item.ref, what="added") for key, item in new.items() if key not in old)


def _joint_words(one: Joint, other: Joint) -> Iterator[str]:
    if one.ref != other.ref:
        yield f"was {one.ref}"
    if (one.path, one.point) != (other.path, other.point):
        yield "course"
    yield from _fields(one, other, _APART)


def _leak_words(old: Job, new: Job, one: Leak, other: Leak) -> Iterator[str]:
    if one.ref != other.ref:
        yield f"was {one.ref}"
    if not _same_stretch(old, new, one, other):
        yield "place"
    yield from _fields(one, other, _APART | _PLACES)


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


def _fields(one: T, other: T, apart: frozenset[str]) -> Iterator[str]:
    for item in fields(one):
        if item.name not in apart and getattr(one, item.name) != getattr(other, item.name):
            yield item.name.removesuffix("_m").removesuffix("_l_min").replace("_", " ")


def _rules(old: Job, new: Job) -> Iterator[Listed]:
    for item in fields(old.rules):
        was, now = getattr(old.rules, item.name), getattr(new.rules, item.name)
        if was != now:
            yield Listed(sort=Sort.RULE, name=str(item.metadata["words"]), what=f"{_said(was)}, now {_said(now)}")


def _said(value: object) -> str:
    return " · ".join(map(str, value)) if isinstance(value, tuple) else "none" if value is None else str(value)
