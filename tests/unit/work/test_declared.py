"""What is declared once, as lines of text."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from leakmap.base.errors import BadValue, EditRefused
from leakmap.base.measures import Units
from leakmap.model.rules import PlugExtent, Rules
from leakmap.work.declared import change_rule, rule_lines, setting_lines
from leakmap.work.edits.rules import set_units
from leakmap.work.new_job import empty_job
from leakmap.work.settings import DECLARED, DEFAULTS
from tests.helpers.small_jobs import one_sheet


@pytest.mark.parametrize("units", Units.EACH)
def test_every_rule_has_a_line_that_reads_itself(units: Units) -> None:
    """Each rule stands there with its origin, and typing what it says changes nothing, in either system."""
    job = empty_job("pit", system=units).job
    lines = rule_lines(job.rules, units)
    assert {line.name.partition(".")[0] for line in lines} == set(Rules.__dataclass_fields__)
    assert len({line.name for line in lines}) == len(lines)
    for line in lines:
        assert line.text == line.usual
        assert line.words.endswith(".")
        assert not change_rule(job, name=line.name, text=line.text).changed


@pytest.mark.parametrize(
    ("name", "text", "field", "value"),
    [
        ("overrun_m.3", "0,55 m", "overrun_m", (0.30, 0.30, 0.30, 0.55, 0.45, 0.45)),
        ("bridge_m", "0.2", "bridge_m", 0.2),
        ("plug_extent", "wet stretches", "plug_extent", PlugExtent.WET),
        ("cure_days", "7 days", "cure_days", 7),
        ("chargeable_step_m", "none", "chargeable_step_m", None),
        ("chargeable_step_m", "0.25", "chargeable_step_m", Decimal("0.25")),
        ("water_contact", " after 7 days ", "water_contact", "after 7 days"),
        ("largest_paper", "A3", "largest_paper", "A3"),
        ("largest_paper", "ANSI E", "largest_paper", "ANSI E"),
    ],
)
def test_a_rule_is_changed_by_text(name: str, text: str, field: str, value: object) -> None:
    """What is typed into a line is one deed on that rule, and the line says it then."""
    job, _ = one_sheet()
    edit = change_rule(job, name=name, text=text)
    assert edit.job.rules == replace(job.rules, **{field: value})  # type: ignore[arg-type] # of the field's type
    after = {line.name: line for line in rule_lines(edit.job.rules)}[name]
    assert after.text != after.usual
    assert not change_rule(edit.job, name=name, text=after.text).changed
    assert change_rule(edit.job, name=name, text=after.usual).job.rules == job.rules


def test_a_rule_is_typed_in_feet_and_inches() -> None:
    """A foot of overrun in an imperial job is 0.3048 m and stands in feet; 0.30 m is no whole eighth and stays metres."""
    job = set_units(one_sheet()[0], units=Units.IMPERIAL).job
    edit = change_rule(job, name="overrun_m.0", text="1")
    texts = {line.name: line.text for line in rule_lines(edit.job.rules, Units.IMPERIAL)}
    assert edit.job.rules.overrun_m[0] == 0.3048
    assert (texts["overrun_m.0"], texts["overrun_m.1"], texts["measuring_step_m"]) == ("1' 0\"", "0.30 m", '1/8"')


def test_beside_metres_stands_what_they_come_near_and_words_are_those_of_the_us() -> None:
    """37 mm are 1.457 in, of which 1 1/2 is the nearest eighth; a foot and what is no length say nothing more.

    A slot is a groove there, in titles and in what can be chosen; either word chooses it.
    """
    job = set_units(one_sheet()[0], units=Units.IMPERIAL).job
    job = change_rule(job, name="overrun_m.0", text="1").job
    lines = {line.name: line for line in rule_lines(job.rules, Units.IMPERIAL)}
    assert (lines["slot_depth_m"].title, lines["slot_depth_m"].text) == ("Groove depth", "0.037 m")
    assert lines["slot_depth_m"].words.endswith('published source. Comes near 1 1/2".')
    assert lines["overrun_m.1"].words.endswith('Comes near 11 3/4".')
    assert not any(
        "near" in lines[name].words for name in ("overrun_m.0", "measuring_step_m", "cure_days", "plug_share")
    )
    assert not any("near" in line.words for line in rule_lines(job.rules))
    assert lines["plug_extent"].text == lines["plug_extent"].choices[0] == "whole groove"
    for words in ("whole groove", "whole slot"):
        other = change_rule(job, name="plug_extent", text=lines["plug_extent"].choices[1]).job
        assert change_rule(other, name="plug_extent", text=words).job.rules == job.rules


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("bridge_m", "wide"),
        ("bridge_m", "-1"),
        ("bridge_m", "nan"),
        ("bridge_m", "1e999999"),
        ("slot_width_m", "0"),
        ("overrun_m.0", ""),
        ("cure_days", "2.5"),
        ("plug_share", "2"),
        ("suspects", "ignore"),
        ("measuring_step_m", "0"),
    ],
)
def test_what_no_rule_can_be_is_refused(name: str, text: str) -> None:
    """Text that says no value that can be worked to is refused in a sentence."""
    job, _ = one_sheet()
    with pytest.raises((BadValue, EditRefused), match=r"\.$"):
        change_rule(job, name=name, text=text)


def test_every_setting_has_a_line() -> None:
    """Settings stand in the order of their declaration, and the steps of a number stay within its limits."""
    lines = setting_lines(DEFAULTS)
    assert [line.name for line in lines] == [setting.name for setting in DECLARED]
    steps = {line.name: line.steps for line in lines if line.steps}
    assert steps == {"text_percent": ("125 %", "100 %"), "snap_px": ("16 px", "12 px")}
