"""Facts of a job, its levels, joints, leaks, rules, materials and rates before and now, as papers say them and as tables for programs hold them."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Final

from leakmap.base.csv_text import table_text
from leakmap.base.json_text import Json
from leakmap.base.measures import FLOW, Units
from leakmap.base.rounding import with_thousandths
from leakmap.base.trade_words import in_trade_words
from leakmap.issue.rule_words import value_words
from leakmap.model.joint import Signed
from leakmap.model.words import Wetness
from leakmap.repair.listed_changes import DEGREES, Asked, Hidden, Listed, Sort, Stood, Value

COLUMNS: Final = ("sort", "name", "what", "before", "after", "unit")
_WHOLE: Final = {
    "added": "added",
    "gone": "gone",
    "course": "drawn otherwise, as long as before",
    "place": "lies elsewhere with its joint",
}
"""What is told without values."""


_CAME_OR_WENT: Final = frozenset({"added", "gone"})


def name_words(units: Units, each: Listed) -> str:
    """What a line speaks of: a reference or name, or the words of a rule, material or rate."""
    return in_trade_words(units, each.name) if each.sort in (Sort.RULE, Sort.MATERIAL, Sort.RATE) else each.name


def fact_words(units: Units, each: Listed) -> tuple[str, str, str]:
    """What of it differs, what that was and what it is; without values the first says all."""
    if each.what in _WHOLE and each.before is None and each.after is None:
        return _WHOLE[each.what], "", ""
    if each.what in _CAME_OR_WENT:
        before, after = ("" if value is None else said(units, each, value) for value in (each.before, each.after))
        return each.what, before, after
    return in_trade_words(units, each.what), said(units, each, each.before), said(units, each, each.after)


def listed_words(units: Units, each: Listed) -> str:
    """A line of the list as one sentence without its stop: "leak L-03, wetness: 2 seep, now 3 drip"."""
    what, before, after = fact_words(units, each)
    values = f": {before}, now {after}" if before and after else f": {before}{after}" if before or after else ""
    return f"{each.sort.value} {name_words(units, each)}, {what}{values}"


def said(units: Units, each: Listed, value: Value) -> str:
    """One of the two values of a fact in the units of a job; what a person typed keeps its words."""
    if each.sort is Sort.RULE:
        return in_trade_words(units, value_words(units, value, each.unit))
    if value is None or isinstance(value, bool):
        return "none" if value is None else "yes" if value else "no"
    if isinstance(value, Asked):
        return f"{units.number(value.rate)} {value.unit}"
    if isinstance(value, float) and (each.sort is Sort.MATERIAL or each.unit == DEGREES):
        figure = units.number(Decimal(repr(value)).normalize())
        return f"{figure}{DEGREES}" if each.unit == DEGREES else f"{figure} {each.unit}".rstrip()
    if isinstance(value, float | Decimal):
        return FLOW[units].said(value) if each.unit == FLOW.metric.symbol else units.printed(value)
    return in_trade_words(units, str(value)) if isinstance(value, StrEnum) else _words(units, value)


def _words(units: Units, value: int | str | date | Signed | Stood | tuple[Hidden, ...]) -> str:
    match value:
        case Stood():
            ends = f"{units.measured(value.from_m)} to {units.measured(value.to_m)}"
            return f"{value.joint} {ends}, {int(value.wetness)} {value.wetness.word}"
        case Wetness():
            return f"{int(value)} {value.word}"
        case date():
            return units.day(value)
        case Signed():
            return f"{value.reason} ({value.name}, {units.day(value.on)})"
        case tuple():
            return "; ".join(_hidden(units, each) for each in value) or "none"
    return str(value)


def plain(value: Value) -> Json:
    """A value for programs: metric figures, words as the job holds them, days as ISO 8601 writes them."""
    match value:
        case Wetness():
            return int(value)
        case StrEnum():
            return value.value
        case date():
            return value.isoformat()
        case Signed() | Stood() | Asked():
            return _facts(value)
        case tuple():
            return [
                {
                    "from_m": with_thousandths(each.from_m),
                    "to_m": with_thousandths(each.to_m),
                    "what": each.what,
                    "cleared_by": each.cleared_by,
                }
                for each in value
            ]
    return with_thousandths(value) if isinstance(value, Decimal) else value


def _facts(value: Signed | Stood | Asked) -> dict[str, Json]:
    if isinstance(value, Signed):
        return {"name": value.name, "reason": value.reason, "on": value.on.isoformat()}
    if isinstance(value, Asked):
        return {"rate": value.rate, "unit": value.unit}
    return {
        "joint": value.joint,
        "from_m": with_thousandths(value.from_m),
        "to_m": with_thousandths(value.to_m),
        "wetness": int(value.wetness),
    }


def listed_json(each: Listed) -> dict[str, Json]:
    """A line of the list as JSON holds it."""
    return {
        "sort": each.sort.value,
        "name": each.name,
        "what": each.what,
        "before": plain(each.before),
        "after": plain(each.after),
        "unit": each.unit,
    }


def listed_csv(listed: tuple[Listed, ...]) -> str:
    """The list as CSV text; figures are metric, and blind stretches stand as ``from to what``."""
    return table_text(COLUMNS, (_cells(each) for each in listed))


def _cells(each: Listed) -> tuple[str, ...]:
    return each.sort.value, each.name, each.what, _cell(each.before), _cell(each.after), each.unit


def _cell(value: Value) -> str:
    if isinstance(value, tuple | Signed | Stood | Asked):
        return said(Units.METRIC, Listed(sort=Sort.JOINT, name="", what=""), value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    found = plain(value)
    return "" if found is None else str(found)


def _hidden(units: Units, each: Hidden) -> str:
    return f"{units.measured(each.from_m)} to {units.measured(each.to_m)} {each.what}"
