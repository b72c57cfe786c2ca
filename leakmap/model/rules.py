"""The rules of the repair: every figure a setting of the job, declared once with its origin.

"practice" is common practice with no published source; "ours" is a rule that we made.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from decimal import Decimal
from enum import StrEnum
from typing import Any, Final

from leakmap.base.errors import BadValue
from leakmap.base.numbers import not_negative, positive
from leakmap.model.words import Wetness

PRACTICE: Final = "common practice, no published source"
OURS: Final = "our rule"
MEASURED_NET: Final = "net measurement, each length rounded half up (Standard Method of Measurement, A.3)"


class PlugExtent(StrEnum):
    """How far plugging mortar goes in a slot that is connected to a wet stretch."""

    SLOT = "whole slot"
    WET = "wet stretches"


class Suspects(StrEnum):
    """What is done with suspect stretches."""

    REPAIR = "repair"
    WATCH = "watch"


def _rule(default: Any, *, unit: str, origin: str, words: str) -> Any:  # noqa: ANN401 - a field stands for a value of any type
    return field(default=default, metadata={"unit": unit, "origin": origin, "words": words})


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """Rules of one job; lengths in metres. Each field's metadata hold unit, origin and words."""

    overrun_m: tuple[float, float, float, float, float, float] = _rule(
        (0.30, 0.30, 0.30, 0.40, 0.45, 0.45),
        unit="m",
        origin=PRACTICE,
        words="overrun for suspect, damp, seep, drip, run, jet",
    )
    least_overrun_m: float = _rule(0.30, unit="m", origin=PRACTICE, words="overruns below this are flagged")
    bridge_m: float = _rule(0.30, unit="m", origin=OURS, words="longest sound gap that is taken into a zone")
    suspects: Suspects = _rule(Suspects.REPAIR, unit="", origin=OURS, words="what is done with suspect stretches")
    slot_width_m: float = _rule(0.025, unit="m", origin=PRACTICE, words="slot width")
    slot_depth_m: float = _rule(0.037, unit="m", origin=PRACTICE, words="slot depth")
    run_depth_m: float = _rule(0.050, unit="m", origin=PRACTICE, words="slot depth at a run")
    jet_depth_m: float = _rule(0.062, unit="m", origin=PRACTICE, words="slot depth at a jet")
    deep_length_m: float = _rule(0.30, unit="m", origin=OURS, words="least length of a deep stretch")
    run_relief_depth_m: float = _rule(0.075, unit="m", origin=PRACTICE, words="depth of a relief point at a run")
    jet_relief_depth_m: float = _rule(0.100, unit="m", origin=PRACTICE, words="depth of a relief point at a jet")
    plug_share: float = _rule(0.5, unit="", origin=PRACTICE, words="share of the local depth that is plug")
    plug_extent: PlugExtent = _rule(PlugExtent.SLOT, unit="", origin=PRACTICE, words="how far the plug goes")
    plug_beyond_m: float = _rule(
        0.0, unit="m", origin=OURS, words="plug beyond wet stretches, where it is limited to them"
    )
    coat_margin_m: float = _rule(0.150, unit="m", origin=PRACTICE, words="coat on each side of the slot")
    wash_m: float = _rule(0.150, unit="m", origin=PRACTICE, words="washed on each side of the slot")
    collar_whole_m: float = _rule(2.0, unit="m", origin=OURS, words="pipe collars up to this perimeter are done whole")
    near_waterstop_m: float = _rule(0.050, unit="m", origin=OURS, words="a slot this near a waterstop is a hold")
    measuring_step_m: Decimal = _rule(Decimal("0.001"), unit="m", origin=MEASURED_NET, words="measuring step")
    chargeable_step_m: Decimal | None = _rule(
        Decimal("0.10"), unit="m", origin=OURS, words="step that a zone's chargeable length is rounded up to"
    )
    waste_share: float = _rule(
        0.0, unit="", origin=OURS, words="waste, a factor of its own, never in a measured length"
    )
    cure_days: int = _rule(3, unit="days", origin=PRACTICE, words="kept moist")
    water_contact: str = _rule(
        "", unit="", origin="the data sheet", words="earliest water contact, from the data sheet"
    )
    largest_paper: str = _rule("A1", unit="", origin=OURS, words="largest paper that the office prints")

    def __post_init__(self) -> None:
        """Refuse rules that cannot be worked to.

        Raises:
            BadValue: A length is negative, zero where it must not be, or not a number.
        """
        if len(self.overrun_m) != len(Wetness):
            raise BadValue("There must be six overruns, one for each wetness.")
        for value in (*self.overrun_m, self.least_overrun_m, self.bridge_m, self.plug_beyond_m, self.waste_share):
            not_negative(value, "rule")
        for item in fields(self):
            if item.name.endswith("_depth_m") or item.name == "slot_width_m":
                positive(getattr(self, item.name), item.metadata["words"])
        for value in (self.coat_margin_m, self.wash_m, self.collar_whole_m, self.near_waterstop_m, self.deep_length_m):
            not_negative(value, "rule")
        if not 0 <= self.plug_share <= 1:
            raise BadValue("The plug's share of the depth must lie between 0 and 1.")
        if self.measuring_step_m <= 0 or (self.chargeable_step_m is not None and self.chargeable_step_m <= 0):
            raise BadValue("A rounding step must be greater than zero.")

    @property
    def band_m(self) -> float:
        """Width of the second coat: the slot and a margin on each side."""
        return self.slot_width_m + 2 * self.coat_margin_m
