"""A job: one contract on one structure, an immutable value.

Everything that is computed is a pure function of a job; everything that changes one makes a new one
(``leakmap.work.edits``).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from datetime import date
from types import MappingProxyType
from typing import Any
from uuid import UUID

from leakmap.base.errors import BadValue
from leakmap.base.measures import Units
from leakmap.base.numbers import finite, not_negative
from leakmap.model.grid import Grid
from leakmap.model.joint import Joint
from leakmap.model.leak import Cut, IssuedStretch, Leak, Parted, ReliefPoint
from leakmap.model.materials import Materials
from leakmap.model.rates import Rates
from leakmap.model.revision import Revision
from leakmap.model.rules import Rules
from leakmap.model.sheet import Sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterLevel:
    """Level of the water outside, over the job's datum, with its day and source."""

    level_m: float
    seen: date | None = None
    source: str = ""

    def __post_init__(self) -> None:
        """Refuse a level that is not finite.

        Raises:
            BadValue: As said.
        """
        finite(self.level_m, "water level")


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherItem:
    """What is counted and listed under another method: tie holes (number), honeycomb (m²)."""

    id: UUID
    sheet: UUID
    what: str
    quantity: float
    unit: str
    note: str = ""

    def __post_init__(self) -> None:
        """Refuse a quantity that is negative or not finite.

        Raises:
            BadValue: As said.
        """
        not_negative(self.quantity, f"quantity of {self.what}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbers:
    """Highest number ever used in each series; none is used twice."""

    joint: int = 0
    vertical: int = 0
    leak: int = 0
    zone: int = 0


def _items() -> Any:  # noqa: ANN401 - a field stands for a value of any type
    return field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One contract on one structure.

    Attributes:
        sheets: By id, in the order in which people list them, lowest level last or first as they like.
        joints: By id, in the order drawn.
        leaks: By id, in the order marked.
        issued: Stretches of zones as last issued, carried by edits; empty before the first issue.
        revisions: By id, oldest first.
        numbers: Highest numbers used.
        grid: Axes by which places are said; None before they are set.
        units: In what people read it, and written as where; its figures are metric in either system.
        materials: Its own copy of the material table; nothing is known in an empty one.
        rates: What its contractor asks; none is entered in a new job.
        legal_owner: Who owns its papers before the law (ISO 7200); empty: not said.
        approver: Who approves its papers (ISO 7200); empty: not said.
    """

    id: UUID
    name: str
    rules: Rules = Rules()
    sheets: Mapping[UUID, Sheet] = _items()
    joints: Mapping[UUID, Joint] = _items()
    leaks: Mapping[UUID, Leak] = _items()
    cuts: Mapping[UUID, Cut] = _items()
    reliefs: Mapping[UUID, ReliefPoint] = _items()
    parted: Mapping[UUID, Parted] = _items()
    others: Mapping[UUID, OtherItem] = _items()
    issued: Mapping[UUID, IssuedStretch] = _items()
    revisions: Mapping[UUID, Revision] = _items()
    numbers: Numbers = Numbers()
    water: WaterLevel | None = None
    grid: Grid | None = None
    units: Units = Units.METRIC
    materials: Materials = Materials()
    rates: Rates = Rates()
    legal_owner: str = ""
    approver: str = ""

    def __post_init__(self) -> None:
        """Close every mapping against change.

        Raises:
            BadValue: The name is empty, or lengths would be rounded to what its units cannot show.
        """
        if not self.name.strip():
            raise BadValue("A job needs a name.")
        for step_m in (self.rules.measuring_step_m, self.rules.chargeable_step_m):
            if step_m is not None and step_m % self.units.step_m:
                raise BadValue(
                    f"A rounding step must be a multiple of {self.units.step_words}, the least that is shown."
                )
        for item in fields(self):
            value = getattr(self, item.name)
            if isinstance(value, Mapping) and not isinstance(value, MappingProxyType):
                object.__setattr__(self, item.name, MappingProxyType(dict(value)))

    def __reduce__(self) -> tuple[Callable[[dict[str, Any]], Job], tuple[dict[str, Any]]]:
        """Pass between processes as plain mappings: closed ones cannot."""
        values = {item.name: getattr(self, item.name) for item in fields(self)}
        plain = {name: dict(value) if isinstance(value, Mapping) else value for name, value in values.items()}
        return _job_of, (plain,)

    @property
    def last_revision(self) -> Revision | None:
        """What was issued last; None before the first issue."""
        return [*self.revisions.values()][-1] if self.revisions else None

    def sheet_of(self, joint: Joint) -> Sheet:
        """The sheet that a joint is drawn on."""
        return self.sheets[joint.sheet]


def _job_of(values: dict[str, Any]) -> Job:
    return Job(**values)
