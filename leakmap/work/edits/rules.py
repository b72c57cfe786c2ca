"""Deeds on the job as a whole: its rules, units, name and water level."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date

from leakmap.base.locales import locale_named
from leakmap.base.measures import Units
from leakmap.base.trade_words import in_trade_words
from leakmap.model.job import Job, WaterLevel
from leakmap.model.rates import usual_per
from leakmap.model.rules import Rules
from leakmap.work.edits.edit import Edit, deed, edited, refused


@deed
def set_rules(job: Job, *, rules: Rules) -> Edit:
    """Put other rules in force."""
    names = [
        item.metadata["words"] for item in fields(rules) if getattr(rules, item.name) != getattr(job.rules, item.name)
    ]
    words = f"change rule: {names[0]}" if len(names) == 1 else "change rules"
    return edited(job, words=words, rules=rules)


@deed
def set_rule(job: Job, *, name: str, value: object) -> Edit:
    """Change one rule, by the name of its field.

    Raises:
        EditRefused: There is no such rule, or the value cannot be worked to.
    """
    kinds = {item.name: item for item in fields(job.rules)}
    if name not in kinds:
        raise refused(f"There is no rule {name}.", where=name)
    try:
        rules = replace(job.rules, **{name: value})  # type: ignore[arg-type]
    except TypeError as wrong:
        raise refused(f"{value!r} is no value for the rule: {kinds[name].metadata['words']}.", where=name) from wrong
    return set_rules(job, rules=rules)


@deed
def set_units(job: Job, *, units: Units) -> Edit:
    """Read the job in the system of other units; lengths are rounded to what that shows, and charged by its usual step.

    Its locale stays, and so do rates and the length that they are for, once one is entered.
    """
    units = replace(job.units, system=units.system)
    if units == job.units:
        return edited(job, words="change units")
    charge_m = None if job.rules.chargeable_step_m is None else units.charge_step_m
    rules = replace(job.rules, measuring_step_m=units.step_m, chargeable_step_m=charge_m)
    said = [f"Lengths are now measured to {units.step_words}."]
    if charge_m is not None:
        said.append(
            f"A zone's chargeable length is now rounded up to {units.said(charge_m)}; the rules can change that."
        )
    rates, per = job.rates, usual_per(units)
    if not rates.known:
        rates = replace(rates, per=per)
    elif rates.per is not per:
        said.append(in_trade_words(units, f"Rates stay as they were entered, for a {rates.per.value}."))
    return edited(job, words="change units", said=said, units=units, rules=rules, rates=rates)


@deed
def set_locale(job: Job, *, locale: str) -> Edit:
    """Write figures and days as in a locale, such as de-AT; empty: as nowhere in particular.

    Raises:
        EditRefused: There is no such locale, or papers lack its letters.
    """
    return edited(job, words="change the locale", units=replace(job.units, locale=locale_named(locale)))


@deed
def set_legal_owner(job: Job, *, name: str) -> Edit:
    """Say who owns the papers of the job before the law (ISO 7200); empty: not said."""
    return edited(job, words="set the legal owner", legal_owner=name.strip())


@deed
def set_approver(job: Job, *, name: str) -> Edit:
    """Say who approves the papers of the job (ISO 7200); empty: not said."""
    return edited(job, words="set who approves", approver=name.strip())


@deed
def rename_job(job: Job, *, name: str) -> Edit:
    """Rename the job.

    Raises:
        EditRefused: The name is empty.
    """
    return edited(job, words="rename the job", name=name.strip())


@deed
def set_water_level(job: Job, *, level_m: float | None, seen: date | None = None, source: str = "") -> Edit:
    """Set the level of the water outside over the job's datum, with its day and source; None: not known."""
    water = None if level_m is None else WaterLevel(level_m=level_m, seen=seen, source=source.strip())
    return edited(job, words="set the water level", water=water)
