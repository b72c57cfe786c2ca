"""What is declared once, as lines that anyone can read and change: settings of a person, rules of a job.

A line is text both ways, so that one sheet in the window and one command in a shell serve whatever is declared.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from typing import Any, Final

from leakmap.base.errors import BadValue
from leakmap.base.length_text import metres_of
from leakmap.base.locales import ungrouped
from leakmap.base.measures import Units
from leakmap.base.rounding import decimal_of
from leakmap.base.sentences import capital
from leakmap.base.trade_words import in_trade_words
from leakmap.issue.schedule_pdf.paper import SHEET_NAMES
from leakmap.model.job import Job
from leakmap.model.rules import Rules
from leakmap.model.words import Wetness
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.rules import set_rule
from leakmap.work.settings import DECLARED, USUAL_PAPER, Form, Settings

RULES_HEADING: Final = "Rules of this job"
USUAL_BACK: Final = "Default"
"""What the way back to the usual value is called, unless that is no value at all."""

NO_STEP: Final = "none"
"""Stands for no rounding step."""

_OVERRUN: Final = "overrun_m"
_MOST_M: Final = 1_000_000
_EXAMPLE: Final = Decimal("0.30")
_USUAL: Final = Rules()


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One thing that is declared, as it stands.

    Attributes:
        name: What it is changed by.
        group: The heading that it stands under.
        title: What it is called.
        words: One sentence: what it does, or where its usual value comes from.
        text: What it is now.
        usual: What it is where nobody chose.
        choices: What it may be; empty: whatever is typed.
        folder: Whether it is a folder.
        steps: What one press up and down makes of it; empty where it has no steps.
        figure: Whether a figure is typed, not words.
        back: What the way back to the usual value is called.
    """

    name: str
    group: str
    title: str
    words: str
    text: str
    usual: str
    choices: tuple[str, ...] = ()
    folder: bool = False
    steps: tuple[str, str] | tuple[()] = ()
    figure: bool = False
    back: str = USUAL_BACK


def setting_lines(settings: Settings) -> tuple[Line, ...]:
    """The settings of a person, in the order in which they are declared."""
    found = []
    for each in DECLARED:
        value = getattr(settings, each.name)
        steps: tuple[str, str] | tuple[()] = ()
        if each.form is Form.NUMBER:
            low, high = each.limits
            steps = (each.text_of(min(value + each.step, high)), each.text_of(max(value - each.step, low)))
        found.append(
            Line(
                name=each.name,
                group=each.group.value,
                title=each.title,
                words=each.words,
                text=each.text_of(value),
                usual=each.text_of(each.default),
                choices=each.choices,
                folder=each.form is Form.FOLDER,
                steps=steps,
                figure=each.form is Form.NUMBER,
            )
        )
    return tuple(found)


def rule_lines(rules: Rules, units: Units = Units.METRIC) -> tuple[Line, ...]:
    """The rules of a job, each with where its usual figure comes from; the six overruns are a line each.

    In an imperial job a length that is no whole number of eighths of an inch stands in metres, for that is worked to.

    >>> [line.text for line in rule_lines(Rules())[:2]], rule_lines(Rules())[-1].choices[:2]
    (['0.30 m', '0.30 m'], ('A0', 'A1'))
    """
    found = []
    for name, item in Rules.__dataclass_fields__.items():
        told = item.metadata
        if name == _OVERRUN:
            found += [_overrun_line(rules, units, wetness, told) for wetness in Wetness]
            continue
        value = getattr(rules, name)
        found.append(
            Line(
                name=name,
                group=RULES_HEADING,
                title=capital(in_trade_words(units, told["words"])),
                words=f"{capital(told['origin'])}.{_near(value, told['unit'], units)}",
                text=_text(value, told["unit"], units),
                usual=_text(_usual(name, units), told["unit"], units),
                choices=_choices(name, value, units),
                figure=not isinstance(getattr(_USUAL, name), str),
            )
        )
    return tuple(found)


def change_rule(job: Job, *, name: str, text: str) -> Edit:
    """The deed that puts one line of ``rule_lines`` in force.

    Raises:
        BadValue: The text is no such value.
        EditRefused: It cannot be worked to.
    """
    field, _, at = name.partition(".")
    if at:
        overruns = list(job.rules.overrun_m)
        overruns[int(at)] = float(_metres(text, job.units))
        return set_rule(job, name=field, value=tuple(overruns))
    unit = Rules.__dataclass_fields__[field].metadata["unit"]
    return set_rule(job, name=field, value=_value(field, text.strip(), unit, job.units))


def _overrun_line(rules: Rules, units: Units, wetness: Wetness, told: Any) -> Line:  # noqa: ANN401 - metadata of a field
    return Line(
        name=f"{_OVERRUN}.{int(wetness)}",
        group=RULES_HEADING,
        title=f"Overrun, {wetness.name.lower()}",
        words=f"{capital(told['origin'])}.{_near(rules.overrun_m[wetness], told['unit'], units)}",
        text=_text(rules.overrun_m[wetness], told["unit"], units),
        usual=_text(_USUAL.overrun_m[wetness], told["unit"], units),
        figure=True,
    )


def _value(name: str, text: str, unit: str, units: Units) -> object:
    usual = getattr(_USUAL, name)
    if isinstance(usual, StrEnum):
        called = {word: each for each in type(usual) for word in (each.value, in_trade_words(units, each.value))}
        if text not in called:
            raise BadValue(f"“{text}” is none of: {', '.join(_choices(name, usual, units))}.")
        return called[text]
    if name == "largest_paper" and text not in SHEET_NAMES:
        raise BadValue(f"“{text}” is none of: {', '.join(SHEET_NAMES)}.")
    if isinstance(usual, str):
        return text
    if name == "chargeable_step_m" and text == NO_STEP:
        return None
    number = _metres(text, units) if unit == "m" else figure_of(text, unit, units)
    if isinstance(usual, int):
        if number != number.to_integral_value():
            raise BadValue(f"“{text}” is not whole; type a whole number of {unit}.")
        return int(number)
    return number if isinstance(usual, Decimal) else float(number)


def figure_of(text: str, unit: str, units: Units, *, longest: int = 12) -> Decimal:
    """The figure that a text says, with or without its unit, of so many signs at most.

    Raises:
        BadValue: It says none, or one that no one could mean.
    """
    plain = ungrouped(text, units.locale).strip().removesuffix(unit).strip().replace(",", ".").replace("−", "-")
    try:
        number = Decimal(plain)
    except InvalidOperation as bad:
        raise BadValue(f"“{text}” is no figure; type one such as {units.entered(_EXAMPLE)}.") from bad
    if not number.is_finite() or len(plain) > longest:
        example = units.entered(_EXAMPLE)
        raise BadValue(f"“{text[:20]}” is no figure that can be worked to; type one such as {example}.")
    return number


def _metres(text: str, units: Units) -> Decimal:
    length = metres_of(text, units)
    if abs(length) >= _MOST_M:
        raise BadValue(f"“{text[:20]}” is no length that can be worked to; type a shorter one.")
    return decimal_of(length)


def _usual(name: str, units: Units) -> object:
    """The usual value of a rule; rounding steps and the largest paper are those of the units."""
    of_units = {
        "measuring_step_m": units.step_m,
        "chargeable_step_m": units.charge_step_m,
        "largest_paper": USUAL_PAPER[units.system],
    }
    return of_units.get(name, getattr(_USUAL, name))


def _text(value: Any, unit: str, units: Units) -> str:  # noqa: ANN401 - a rule may be of any of its types
    if value is None:
        return NO_STEP
    if isinstance(value, float | Decimal):
        if unit == "m" and not units.metric and Decimal(str(value)) % units.step_m == 0:
            return units.measured(value)
        exact = (Decimal(repr(value)) if isinstance(value, float) else value).normalize()
        places = max(2, -int(exact.as_tuple().exponent))
        return f"{units.entered(exact.quantize(Decimal(1).scaleb(-places)))} {unit}".rstrip()
    words = f"{value} {unit}".rstrip()
    return in_trade_words(units, words) if isinstance(value, StrEnum) else words


def _near(value: Any, unit: str, units: Units) -> str:  # noqa: ANN401 - as above
    r"""What a length that stands in metres comes near in feet and inches; empty where nothing is to be said.

    >>> _near(0.037, "m", Units.IMPERIAL), _near(0.037, "m", Units.METRIC), _near(0.3048, "m", Units.IMPERIAL)
    (' Comes near 1 1/2".', '', '')
    """
    if units.metric or unit != "m" or not value or Decimal(str(value)) % units.step_m == 0:
        return ""
    return f" Comes near {units.measured(value)}."


def _choices(name: str, value: object, units: Units) -> tuple[str, ...]:
    if name == "largest_paper":
        return SHEET_NAMES
    return tuple(in_trade_words(units, each.value) for each in type(value)) if isinstance(value, StrEnum) else ()
