"""Deeds on the job as a whole."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date
from decimal import Decimal

import pytest

from leakmap.base.errors import EditRefused
from leakmap.base.measures import Units
from leakmap.model.rules import Rules
from leakmap.work.edits.rules import rename_job, set_rule, set_rules, set_units, set_water_level
from tests.helpers.small_jobs import one_sheet, rows


def test_one_rule_is_changed() -> None:
    """A rule is changed by its name, and the step says which in the words of the rule."""
    job, _ = one_sheet()
    edit = set_rule(job, name="bridge_m", value=0.5)
    assert edit.job.rules == replace(job.rules, bridge_m=0.5)
    assert edit.words == "change rule: longest sound gap that is taken into a zone"
    assert rows(edit) == {"job"}


@pytest.mark.parametrize("name", [item.name for item in fields(Rules)])
def test_every_rule_can_be_set(name: str) -> None:
    """Every rule takes its own value and then nothing changes."""
    job, _ = one_sheet()
    assert not set_rule(job, name=name, value=getattr(job.rules, name)).changed


def test_several_rules_are_changed() -> None:
    """Rules put in force together are one step."""
    job, _ = one_sheet()
    edit = set_rules(job, rules=Rules(bridge_m=0.2, cure_days=2))
    assert edit.words == "change rules"
    assert edit.job.rules.cure_days == 2


@pytest.mark.parametrize(
    ("name", "value", "sentence"),
    [
        ("slot_colour", 1, "There is no rule slot_colour"),
        ("bridge_m", -0.1, "must not be negative"),
        ("slot_depth_m", 0.0, "must be greater than zero"),
        ("overrun_m", (0.3,), "six overruns"),
        ("bridge_m", "wide", "'wide' is no value for the rule: longest sound gap"),
    ],
)
def test_impossible_rule_is_refused(name: str, value: object, sentence: str) -> None:
    """A rule that is none, or a value that cannot be worked to, is refused."""
    job, _ = one_sheet()
    with pytest.raises(EditRefused, match=sentence):
        set_rule(job, name=name, value=value)


def test_job_is_renamed() -> None:
    """A job has a name."""
    job, _ = one_sheet()
    edit = rename_job(job, name=" Tern Quay ")
    assert (edit.job.name, edit.words) == ("Tern Quay", "rename the job")
    with pytest.raises(EditRefused, match="A job needs a name"):
        rename_job(job, name=" ")


def test_water_level_is_set() -> None:
    """The water level has its day and source; None: not known."""
    job, _ = one_sheet()
    edit = set_water_level(job, level_m=-1.25, seen=date(2024, 5, 2), source="standpipe 3 ")
    assert (edit.job.water.level_m, edit.job.water.seen, edit.job.water.source) == (
        -1.25,
        date(2024, 5, 2),
        "standpipe 3",
    )
    assert edit.words == "set the water level"
    assert set_water_level(edit.job, level_m=None).job == job
    with pytest.raises(EditRefused, match="water level is not a finite number"):
        set_water_level(job, level_m=float("nan"))


def test_units_take_their_rounding_along_and_back() -> None:
    """Feet and inches are measured to 1/8 inch and charged by the foot; metres to 1 mm and by 0.10 m again."""
    job = one_sheet()[0]
    edit = set_units(job, units=Units.IMPERIAL)
    assert (edit.job.units, edit.job.rules.measuring_step_m) == (Units.IMPERIAL, Decimal("0.003175"))
    assert edit.job.rules.chargeable_step_m == Decimal("0.3048")
    assert edit.said == (
        "Lengths are now measured to 1/8 inch.",
        "A zone's chargeable length is now rounded up to 1' 0\"; the rules can change that.",
    )
    assert set_units(edit.job, units=Units.METRIC).job == job
    assert not set_units(job, units=Units.METRIC).changed


def test_no_chargeable_step_stays_none() -> None:
    """Who charges what was measured does so in any units."""
    job = set_rule(one_sheet()[0], name="chargeable_step_m", value=None).job
    assert set_units(job, units=Units.IMPERIAL).job.rules.chargeable_step_m is None


def test_a_step_that_is_not_shown_is_refused() -> None:
    """Rows rounded to a millimetre would not add up in eighths of an inch."""
    job = set_units(one_sheet()[0], units=Units.IMPERIAL).job
    with pytest.raises(EditRefused, match=r"A rounding step must be a multiple of 1/8 inch, the least that is shown\."):
        set_rule(job, name="measuring_step_m", value=Decimal("0.001"))
