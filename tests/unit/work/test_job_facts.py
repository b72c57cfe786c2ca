"""Facts of a job as lines of text."""

from __future__ import annotations

from dataclasses import replace

import pytest

from leakmap.base.errors import BadValue, EditRefused
from leakmap.base.measures import System, Units
from leakmap.model.sheet import Source
from leakmap.work.edits.paper import quarter_turned
from leakmap.work.edits.rules import set_locale, set_units
from leakmap.work.edits.sheets import set_north
from leakmap.work.job_facts import change_line, fact_lines, job_lines
from leakmap.work.new_job import empty_job
from leakmap.work.settings import DEFAULTS, Settings
from tests.helpers.paper_job import paper_job
from tests.helpers.small_jobs import one_sheet

JOB = paper_job()
SHEET = next(iter(JOB.sheets))


@pytest.mark.parametrize("locale", ["", "de", "en-US", "ru"])
def test_every_line_of_a_job_reads_itself_in_every_locale(locale: str) -> None:
    """Typing what a line says changes nothing, facts and rules alike, with figures written as the locale does."""
    job = set_north(set_locale(JOB, locale=locale).job, sheet=SHEET, north_deg=12.5).job
    for line in job_lines(job):
        assert not change_line(job, name=line.name, text=line.text).changed, line.name


@pytest.mark.parametrize(
    ("name", "text", "kept"),
    [
        ("name", " Tern Quay ", "Tern Quay"),
        ("locale", "de_at", "de-AT"),
        ("locale", "", ""),
        ("legal_owner", "The harbour trust", "The harbour trust"),
        ("approver", "B. Heron", "B. Heron"),
        (f"north.{SHEET}", "12,5°", 12.5),
        (f"north.{SHEET}", "-90", 270.0),
        (f"north.{SHEET}", "not known", None),
    ],
)
def test_a_fact_is_changed_by_text(name: str, text: str, kept: object) -> None:
    """What is typed into a line of facts is one deed on that fact."""
    job = change_line(JOB, name=name, text=text).job
    held = {
        "name": job.name,
        "locale": job.units.locale,
        "legal_owner": job.legal_owner,
        "approver": job.approver,
        f"north.{SHEET}": job.sheets[SHEET].north_deg,
    }
    assert held[name] == kept


@pytest.mark.parametrize(
    ("name", "text"),
    [("name", " "), ("locale", "zz"), (f"north.{SHEET}", "up"), (f"north.{SHEET}", "400")],
)
def test_what_no_job_can_have_is_refused_in_a_sentence(name: str, text: str) -> None:
    """A wrong fact changes nothing and says what to type."""
    with pytest.raises((BadValue, EditRefused), match=r"\.$"):
        change_line(JOB, name=name, text=text)


def test_units_and_locale_are_apart() -> None:
    """Other units keep the locale, another locale keeps the units, and each goes back alone."""
    job = set_units(set_locale(JOB, locale="fr").job, units=Units.IMPERIAL).job
    assert job.units == Units(System.IMPERIAL, "fr")
    assert set_locale(set_units(job, units=Units.METRIC).job, locale="").job == JOB


def test_north_turns_with_the_plan() -> None:
    """A plan that is turned to the left by a quarter has its north a quarter to the left as well."""
    drawn, sheet = one_sheet(source=Source(name="b1.jpg", sha256="1" * 64, pixel=1.0))
    job = set_north(drawn, sheet=sheet, north_deg=30.0).job
    assert quarter_turned(job, sheet=sheet).job.sheets[sheet].north_deg == 300.0


def test_a_new_job_starts_with_the_facts_of_the_settings() -> None:
    """Locale, owner and approver of the settings are copied into a new job."""
    settings = replace(DEFAULTS, locale="el", legal_owner="The harbour trust", approver="B. Heron")
    job = empty_job("pit", settings=settings).job
    assert [line.text for line in fact_lines(job)] == ["pit", "el", "The harbour trust", "B. Heron"]


def test_a_setting_of_no_locale_is_refused() -> None:
    """The setting takes a locale as it is kept, and says what it takes instead of another."""
    assert Settings().with_value("locale", "pt_br").locale == "pt-BR"
    with pytest.raises(BadValue, match="no locale"):
        Settings().with_value("locale", "zz")
