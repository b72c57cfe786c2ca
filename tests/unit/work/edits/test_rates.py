"""Deeds on the rates of a job."""

from __future__ import annotations

from decimal import Decimal

import pytest

from leakmap.base.errors import EditRefused
from leakmap.model.rates import Per, Rates
from leakmap.work.edits.rates import set_currency, set_rate, set_rates_per, take_rates
from tests.helpers.small_jobs import one_sheet

JOB = one_sheet()[0]
PRICED = take_rates(JOB, rates=Rates(currency="EUR", slot=Decimal("48.5"))).job


def test_a_rate_is_set_and_taken_away() -> None:
    """The job's own row differs, and nothing else; without a rate it is the job of before."""
    edit = set_rate(PRICED, name="slot_plug", value=Decimal("61.55"))
    assert edit.job.rates.slot_plug == Decimal("61.55")
    assert edit.changed == {("job", JOB.id)}
    assert edit.words == "set rate: slot + plug"
    assert set_rate(edit.job, name="slot_plug", value=None).job == PRICED
    assert not set_rate(PRICED, name="slot", value=Decimal("48.50")).changed


def test_currency_and_length_convert_nothing() -> None:
    """Figures stay as they were entered, and the edit says so; where there are none it need not."""
    for edit in (set_currency(PRICED, currency="usd"), set_rates_per(PRICED, per=Per.FOOT)):
        assert edit.job.rates.slot == Decimal("48.5")
        assert edit.said == ("Rates stay as they were entered; none was converted.",)
    assert set_currency(PRICED, currency="usd").job.rates.currency == "USD"
    assert set_currency(JOB, currency="CHF").said == ()


def test_a_currency_that_made_way_stays_until_another_is_chosen() -> None:
    """A job of before keeps its rates in it, to the decimals that it had; typed anew in another job it is refused."""
    old = take_rates(JOB, rates=Rates(currency="HRK", slot=Decimal(1))).job
    assert not set_currency(old, currency="hrk ").changed
    assert set_currency(old, currency="EUR").job.rates.currency == "EUR"
    with pytest.raises(EditRefused, match="no currency in use"):
        set_currency(JOB, currency="HRK")


def test_what_nothing_can_be_asked_by_is_refused() -> None:
    """One sentence, and that nothing was changed."""
    for deed in (
        lambda: set_rate(PRICED, name="colour", value=Decimal(1)),
        lambda: set_rate(PRICED, name="slot", value=Decimal(-1)),
        lambda: set_rate(JOB, name="slot", value=Decimal(1)),
        lambda: set_currency(PRICED, currency="gold"),
        lambda: set_currency(PRICED, currency=" "),
    ):
        with pytest.raises(EditRefused, match=r"Nothing was changed\.$"):
            deed()
