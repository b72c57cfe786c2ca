"""Facts of a job as lines that anyone can read and change: its name, locale, owner, approver, and north of its levels.

They stand on one sheet with the rules of the job, and each change is a deed like any other.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final
from uuid import UUID

from leakmap.base.measures import Units
from leakmap.model.job import Job
from leakmap.work.declared import Line, change_rule, figure_of, rule_lines
from leakmap.work.edits.edit import Edit, refused
from leakmap.work.edits.rules import rename_job, set_approver, set_legal_owner, set_locale
from leakmap.work.edits.sheets import set_north

FACTS_HEADING: Final = "Facts of this job"
NOT_KNOWN: Final = "not known"
_LOCALE_WORDS: Final = (
    "How figures and days are written, on papers and in the window, such as de, fr-CH or en-US; empty: as 1234.50 and"
    " 02 Nov 2026."
)
_NORTH: Final = "north"
_DEGREES: Final = "°"
_DEEDS: Final = {
    "name": lambda job, text: rename_job(job, name=text),
    "locale": lambda job, text: set_locale(job, locale=text),
    "legal_owner": lambda job, text: set_legal_owner(job, name=text),
    "approver": lambda job, text: set_approver(job, name=text),
}


def job_lines(job: Job) -> tuple[Line, ...]:
    """The facts of a job, then its rules.

    >>> from leakmap.work.new_job import empty_job
    >>> [line.name for line in job_lines(empty_job("pit").job)][:4]
    ['name', 'locale', 'legal_owner', 'approver']
    """
    return (*fact_lines(job), *rule_lines(job.rules, job.units))


def fact_lines(job: Job) -> tuple[Line, ...]:
    """The facts of a job, and north of each of its levels."""
    facts = (
        ("name", "Name", "The job as every paper names it.", job.name, job.name),
        ("locale", "Locale", _LOCALE_WORDS, job.units.locale, ""),
        ("legal_owner", "Legal owner", "Who owns the papers before the law; title blocks name them (ISO 7200).", job.legal_owner, ""),
        ("approver", "Approved by", "Who approves the papers; title blocks name them (ISO 7200).", job.approver, ""),
    )  # fmt: skip
    found = [_line(*fact) for fact in facts]
    for sheet in job.sheets.values():
        text = NOT_KNOWN if sheet.north_deg is None else north_words(job.units, sheet.north_deg)
        words = "From straight up on the plan to true north, clockwise; papers draw the arrow where it is known."
        north = _line(f"{_NORTH}.{sheet.id}", f"True north on {sheet.name}", words, text, NOT_KNOWN)
        found.append(replace(north, figure=True))
    return tuple(found)


def change_line(job: Job, *, name: str, text: str) -> Edit:
    """The deed that puts one line of ``job_lines`` in force.

    Raises:
        BadValue: The text is no such value.
        EditRefused: It cannot be done or worked to.
    """
    field, _, sheet = name.partition(".")
    if field == _NORTH:
        return set_north(job, sheet=UUID(sheet), north_deg=_turn_deg(job.units, text))
    if field in _DEEDS:
        return _DEEDS[field](job, text)
    return change_rule(job, name=name, text=text)


def north_words(units: Units, north_deg: float) -> str:
    """The turn to true north in words.

    >>> north_words(Units.METRIC, 12.5)
    '12.5°'
    """
    return f"{units.plain(north_deg)}{_DEGREES}"


def _turn_deg(units: Units, text: str) -> float | None:
    words = text.strip()
    if words in {"", NOT_KNOWN}:
        return None
    turn = figure_of(words, _DEGREES, units)
    if not -360 < turn < 360:
        raise refused(f"“{words}” is no turn to north; type degrees from 0 to 360, clockwise from straight up.")
    return float(turn)


def _line(name: str, title: str, words: str, text: str, usual: str) -> Line:
    return Line(name=name, group=FACTS_HEADING, title=title, words=words, text=text, usual=usual)
