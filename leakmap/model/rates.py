"""The rates of a job: what its contractor asks for a length, a relief point, a zone and the job as a whole.

The program ships no rate and invents none. A rate is kept exactly as it was entered, for a metre or for a foot; whoever
reads the job in other units changes none.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from decimal import Decimal
from enum import StrEnum
from types import MappingProxyType
from typing import Any, Final

from leakmap.base.errors import BadValue
from leakmap.base.measures import FOOT_M, Units
from leakmap.model.joint import Joint
from leakmap.model.words import Face, Method

MOST: Final = Decimal(10) ** 9
"""Every rate is less; no currency needs more for a job, and sums stay exact in an office program."""

MOST_DECIMALS: Final = 4
"""Decimals of a rate at most; amounts have those of their currency."""

_CODE: Final = re.compile(r"[A-Z]{3}")


class Per(StrEnum):
    """The length that a rate is asked for."""

    METRE = "metre"
    FOOT = "foot"

    @property
    def symbol(self) -> str:
        """What stands behind a quantity."""
        return "m" if self is Per.METRE else "ft"

    @property
    def metres(self) -> Decimal:
        """Its length, exactly."""
        return Decimal(1) if self is Per.METRE else FOOT_M


class Taken(StrEnum):
    """What a rate is taken by."""

    CHARGEABLE = "chargeable length"  # of a zone, by its heaviest method
    MEASURED = "measured length"  # of a zone on one face
    RELIEF_POINT = "relief point"
    ZONE = "zone"
    JOB = "job"

    @property
    def is_length(self) -> bool:
        """Whether it is a length, in metres or feet; else a number."""
        return self in {Taken.CHARGEABLE, Taken.MEASURED}


def _rate(taken: Taken, words: str) -> Any:  # noqa: ANN401 - a field stands for a value of any type
    return field(default=None, metadata={"taken": taken, "words": words})


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates:
    """The rates of a job, None where none was entered. Each rate's metadata hold what it is taken by, and its words.

    Attributes:
        currency: Code of three letters (ISO 4217); empty while nobody chose one, and no rate is entered.
        per: The length that rates of a length are asked for.
    """

    currency: str = ""
    per: Per = Per.METRE
    slot: Decimal | None = _rate(Taken.CHARGEABLE, Method.SLOT.value)
    slot_plug: Decimal | None = _rate(Taken.CHARGEABLE, Method.SLOT_PLUG.value)
    deep_plug: Decimal | None = _rate(Taken.CHARGEABLE, Method.DEEP_PLUG.value)
    deep_plug_relief: Decimal | None = _rate(Taken.CHARGEABLE, Method.DEEP_PLUG_RELIEF.value)
    wall: Decimal | None = _rate(Taken.MEASURED, "addition on a wall")
    soffit: Decimal | None = _rate(Taken.MEASURED, "addition on a soffit")
    corner: Decimal | None = _rate(Taken.MEASURED, "addition in a corner")
    vertical: Decimal | None = _rate(Taken.MEASURED, "addition on a vertical joint")
    relief_point: Decimal | None = _rate(Taken.RELIEF_POINT, "relief point")
    zone: Decimal | None = _rate(Taken.ZONE, "setting up at a zone")
    job: Decimal | None = _rate(Taken.JOB, "moving in and out")

    def __post_init__(self) -> None:
        """Refuse rates that nothing can be asked by; write each in one way, so that equal ones are kept alike.

        Raises:
            BadValue: A rate is negative, not a number, too large or too fine, or has no currency; or that is no code.
        """
        if self.currency and not _CODE.fullmatch(self.currency):
            raise BadValue(f"“{self.currency[:20]}” is no code of a currency; give three letters, such as EUR.")
        for name, words in RATE_WORDS.items():
            value = getattr(self, name)
            if value is not None:
                object.__setattr__(self, name, _checked(value, words))
        if self.known and not self.currency:
            raise BadValue("A rate needs a currency; choose that first.")

    @property
    def known(self) -> bool:
        """Whether any rate is entered."""
        return any(getattr(self, name) is not None for name in RATE_WORDS)

    def of(self, name: str) -> Decimal | None:
        """The rate of a name of ``RATE_WORDS``."""
        found: Decimal | None = getattr(self, name)
        return found

    def unit_of(self, name: str) -> str:
        """What a rate is in: EUR/m, or EUR."""
        return f"{self.currency}/{self.per.symbol}" if TAKEN[name].is_length else self.currency

    def with_rate(self, name: str, value: Decimal | None) -> Rates:
        """With another rate under a name of ``RATE_WORDS``."""
        return replace(self, **{name: value})  # type: ignore[arg-type] # a name of RATE_WORDS


RATE_WORDS: Final[Mapping[str, str]] = MappingProxyType(
    {item.name: item.metadata["words"] for item in fields(Rates) if item.metadata}
)
"""What each rate is for, by its field in ``Rates``, in the order in which they are listed."""

TAKEN: Final[Mapping[str, Taken]] = MappingProxyType(
    {item.name: item.metadata["taken"] for item in fields(Rates) if item.metadata}
)
"""What each rate is taken by."""

METHOD_RATES: Final[Mapping[Method, str]] = MappingProxyType(
    {method: method.name.lower() for method in Method if method is not Method.ANOTHER}
)
"""The rate of each method; another method has none."""


def usual_per(units: Units) -> Per:
    """The length that rates are for where nobody chose: that of the units."""
    return Per.METRE if units.metric else Per.FOOT


def addition_of(joint: Joint) -> str:
    """The rate that is added for a length of a joint, by its name; empty on a floor."""
    if joint.vertical:
        return "vertical"
    return "" if joint.face is Face.FLOOR else joint.face.value


def _checked(value: Decimal, words: str) -> Decimal:
    if not value.is_finite() or value < 0 or value >= MOST:
        raise BadValue(f"The rate for {words} must be a figure from 0 to less than {MOST:f}.")
    fine = value.quantize(Decimal(1).scaleb(-MOST_DECIMALS))
    if fine != value:
        raise BadValue(f"The rate for {words} has more than {MOST_DECIMALS} decimals; give a rounder one.")
    whole = fine.to_integral_value()
    return (whole if whole == fine else fine.normalize()) + 0  # no nought below zero
