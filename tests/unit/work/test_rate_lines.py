"""The rates of a job as lines of text, and their deeds."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from leakmap.base.errors import BadValue, EditRefused
from leakmap.base.measures import Units
from leakmap.model.job import Job
from leakmap.model.rates import RATE_WORDS, Per, Rates
from leakmap.work.edits.rules import set_locale
from leakmap.work.new_job import empty_job
from leakmap.work.rate_lines import NOT_ENTERED, change_rate, rate_lines, rates_taken

JOB = empty_job("pit").job
RATES = Rates(
    currency="EUR", slot=Decimal("1234567.5"), slot_plug=Decimal("61.0125"), zone=Decimal(0), job=Decimal(450)
)


def texts(job: Job) -> dict[str, str]:
    """What each line says now."""
    return {line.name: line.text for line in rate_lines(job)}


@pytest.mark.parametrize("locale", ["", "de", "en-US", "fr-CH"])
@pytest.mark.parametrize("rates", [Rates(), RATES, replace(RATES, currency="JPY", per=Per.FOOT)])
def test_every_line_reads_itself(locale: str, rates: Rates) -> None:
    """Typing what a line says changes nothing, and every line has a sentence."""
    job = replace(set_locale(JOB, locale=locale).job, rates=rates)
    lines = rate_lines(job)
    assert [line.name for line in lines] == ["currency", "per", *RATE_WORDS]
    for line in lines:
        assert not change_rate(job, name=line.name, text=line.text).changed, line.name
        assert line.words.endswith(".")


def test_rates_are_shown_in_the_locale_and_typed_in_many_ways() -> None:
    """With the decimals of the currency or more; typed with or without currency, sign and length, with either mark."""
    job = replace(set_locale(JOB, locale="de").job, rates=RATES)
    assert [texts(job)[name] for name in ("slot", "slot_plug", "zone", "wall")] == [
        "1234567,50 EUR/m",
        "61,0125 EUR/m",
        "0,00 EUR",
        NOT_ENTERED,
    ]
    for words in ("71,5", "71.50", "71,50 EUR/m", "71,5 €/m", "€ 71,50", "EUR 71,5", " 71,50 ", "71,50 / metre"):
        assert change_rate(job, name="slot", text=words).job.rates.slot == Decimal("71.5"), words
    assert change_rate(job, name="slot", text="1.234,5").job.rates.slot == Decimal("1234.5")
    assert change_rate(job, name="slot", text="").job.rates.slot is None


def test_the_first_rate_brings_the_currency_of_the_locale() -> None:
    """It is told, and one step of undo; where no locale suggests one, the rate waits for a currency."""
    swiss = set_locale(JOB, locale="de-CH").job
    for text in ("48", "48 CHF/m"):
        edit = change_rate(swiss, name="slot", text=text)
        assert edit.job.rates == Rates(currency="CHF", slot=Decimal(48))
        assert edit.said == ("Rates are in CHF, as the locale of the job suggests.",)
    with pytest.raises(BadValue, match="is in EUR, and rates here are in CHF"):
        change_rate(swiss, name="slot", text="48 EUR")
    assert next(line.usual for line in rate_lines(swiss)) == "CHF"
    for text in ("48", "48 EUR/m"):
        with pytest.raises(EditRefused, match="needs a currency"):
            change_rate(JOB, name="slot", text=text)


def test_a_job_in_feet_has_rates_for_the_foot() -> None:
    """A new one has, and says meter and foot as the trade there does; both ways to say it are taken."""
    job = empty_job("pit", system=Units.IMPERIAL).job
    line = rate_lines(job)[1]
    assert (line.text, line.usual, line.choices) == ("foot", "foot", ("meter", "foot"))
    assert {change_rate(job, name="per", text=text).job.rates.per for text in ("meter", "metre")} == {Per.METRE}
    assert rate_lines(job)[2].title == "Groove, no plug"


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("slot", "-1"),
        ("slot", "many"),
        ("slot", "EUR"),
        ("slot", "5 USD"),
        ("slot", "5 EUR/ft"),
        ("slot", "5/foot"),
        ("slot", "5/5"),
        ("zone", "5/m"),
        ("slot", "1e99"),
        ("slot", "0.00001"),
        ("per", "mile"),
        ("currency", "gold"),
    ],
)
def test_what_nothing_can_be_asked_by_is_refused(name: str, text: str) -> None:
    """A sentence, and the job as it was."""
    with pytest.raises((BadValue, EditRefused), match=r"\.( Nothing was changed\.)?$"):
        change_rate(replace(JOB, rates=RATES), name=name, text=text)


def test_a_table_is_taken_as_one_step(tmp_path: Path) -> None:
    """What it says begins with what was taken; what was not follows, sentence by sentence."""
    path = tmp_path / "own.toml"
    path.write_text('currency = "EUR"\nslot = 48.5\nwall = -3\n', encoding="utf-8")
    edit = rates_taken(JOB, path)
    assert edit.job.rates == Rates(currency="EUR", slot=Decimal("48.5"))
    assert edit.said[0] == "1 rate of own.toml taken; rates are in EUR, for a metre."
    assert "wall is left out" in edit.said[1]
    path.write_text("zone = 3\n", encoding="utf-8")
    assert rates_taken(edit.job, path).said == ("1 rate of own.toml taken.",)
    path.write_text('currency = "CHF"\n', encoding="utf-8")
    said = "0 rates of own.toml taken; rates are in CHF, for a metre, and none was converted."
    assert rates_taken(edit.job, path).said == (said,)
    path.write_text("# nothing\n", encoding="utf-8")
    assert rates_taken(edit.job, path).said == ("own.toml changes nothing.",)
