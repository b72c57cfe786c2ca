"""What a job costs by its rates, worked by hand."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.base.measures import Units
from leakmap.model.job import Job
from leakmap.model.joint import Blind
from leakmap.model.rates import RATE_WORDS, Per, Rates
from leakmap.model.rules import Rules
from leakmap.model.words import Method
from leakmap.repair.price import Prices, not_priced_words, price_of, priced, quantity_of
from leakmap.repair.work_out import repairs
from leakmap.work.edits.rules import set_units
from tests.helpers.jobs import job_of, leak, line
from tests.helpers.priced_job import EUR, priced_job


def prices_of(job: Job) -> Prices:
    """Its prices."""
    return priced(job, repairs(job))


def test_each_line_is_quantity_by_rate() -> None:
    """Worked by hand.

    Seep 2 to 4 m with 0.30 each side: 2.600 m × 61.55 = 160.03. Run 3 to 5 with 0.45: 2.900 m × 96.40 = 279.56, corner
    2.900 × 4.25 = 12.325 → 12.33 half up, one relief point 35.00. Damp 1 to 1.5: 1.100 × 61.55 = 67.705 → 67.71,
    vertical 1.100 × 7.10 = 7.81. Suspect 5 to 6: 1.600 × 48 = 76.80, provisional. Each zone 12.50 more, the job 450.00.
    """
    prices = prices_of(priced_job())
    lines = [
        [(line.rate_name, line.unit, str(line.quantity), str(line.amount)) for line in z.lines] for z in prices.zones
    ]
    setting_up = ("zone", "each", "1", "12.50")
    assert lines == [
        [("slot_plug", "m", "2.600", "160.03"), setting_up],
        [
            ("deep_plug_relief", "m", "2.900", "279.56"),
            ("corner", "m", "2.900", "12.33"),
            ("relief_point", "each", "1", "35.00"),
            setting_up,
        ],
        [("slot_plug", "m", "1.100", "67.71"), ("vertical", "m", "1.100", "7.81"), setting_up],
        [("slot", "m", "1.600", "76.80"), setting_up],
    ]
    assert [str(zone.price) for zone in prices.zones] == ["172.53", "339.39", "88.02", "89.30"]
    assert [str(line.amount) for line in prices.job_lines] == ["450.00"]
    assert (str(prices.total), str(prices.provisional)) == ("1139.24", "89.30")
    assert not_priced_words(prices) == ()


def test_a_zone_without_a_rate_is_not_priced_and_named() -> None:
    """It is never taken as nothing: it has no line and no price, and one sentence counts and names it."""
    prices = prices_of(priced_job(replace(EUR, slot_plug=None)))
    assert [zone.price is None for zone in prices.zones] == [True, False, True, False]
    assert [len(zone.lines) for zone in prices.zones] == [0, 4, 0, 2]
    assert str(prices.total) == "878.69"  # 339.39 + 89.30 + 450
    assert not_priced_words(prices) == ("2 zones are not priced: no rate for slot + plug (Z-01 and Z-03).",)
    one = prices_of(priced_job(replace(EUR, slot=None)))
    assert not_priced_words(one) == ("1 zone is not priced: no rate for slot, no plug (Z-04).",)


def test_many_zones_are_counted_and_the_first_named() -> None:
    """A sentence names eight zones and counts the rest."""
    joints = [line((0, 10.0 * n), (5, 10.0 * n)) for n in range(11)]
    prices = prices_of(replace(job_of(joints, [leak(n + 1, 2.0, 3.0) for n in range(11)]), rates=Rates()))
    (said,) = not_priced_words(prices)
    assert said.startswith("11 zones are not priced")
    assert said.endswith("Z-07, Z-08 and 3 more).")


def test_a_rate_of_nothing_is_a_rate() -> None:
    """What is asked for nothing was decided: the zone is priced at 0.00, and says so in a line."""
    prices = prices_of(priced_job(Rates(currency="EUR", slot_plug=Decimal(0))))
    assert [str(zone.price) for zone in prices.zones if zone.price is not None] == ["0.00", "0.00"]


def test_a_zone_that_is_hidden_whole_has_its_line() -> None:
    """Nothing is opened in a leak behind a tank: 0.000 m at the rate are 0.00, and setting up is asked for all the same."""
    tank = Blind(from_m=0.0, to_m=4.0, what="tank")
    job = replace(job_of([line((0, 0), (4, 0), blind=(tank,))], [leak(1, 1.0, 2.0)]), rates=EUR)
    for rates, price in ((EUR, "12.50"), (replace(EUR, zone=None), "0.00")):
        (zone,) = prices_of(replace(job, rates=rates)).zones
        assert (str(zone.lines[0].quantity), str(zone.lines[0].amount), str(zone.price)) == ("0.000", "0.00", price)


def test_another_method_is_never_priced() -> None:
    """A leak under another method is no zone: it is counted in words and is in no sum."""
    job = priced_job()
    leaks = {
        key: replace(item, method=Method.ANOTHER) if item.ref == "L-01" else item for key, item in job.leaks.items()
    }
    prices = prices_of(replace(job, leaks=leaks))
    assert prices.another_method == 1
    assert not_priced_words(prices) == ("1 leak needs another method and is not priced.",)
    assert prices_of(job).total - prices.total == Decimal("172.53")


def test_the_minor_unit_is_that_of_the_currency() -> None:
    """2.600 × 61.55 = 160.03 is 160 in whole yen and 160.030 in dinars of 1000 millimes."""
    amounts = {
        code: str(prices_of(priced_job(replace(EUR, currency=code))).zones[0].lines[0].amount)
        for code in ("JPY", "EUR", "TND")
    }
    assert amounts == {"JPY": "160", "EUR": "160.03", "TND": "160.030"}


def test_a_job_in_feet_is_asked_for_by_the_foot() -> None:
    """Chargeable lengths are whole feet there: 2.6 m is 8.53 ft, so 9 ft × 61.55 = 553.95; additions go by measured feet.

    The corner runs from 2.55 m, 8' 4 3/8", to 5.45 m, 17' 10 5/8": 9' 6 1/4" = 9.52 ft; 9.52 × 4.25 = 40.46.
    """
    job = replace(set_units(priced_job(Rates()), units=Units.IMPERIAL).job, rates=replace(EUR, per=Per.FOOT))
    first, second, *_ = prices_of(job).zones
    chargeable = first.lines[0]
    assert (str(chargeable.quantity), chargeable.unit, str(chargeable.amount)) == ("9.00", "ft", "553.95")
    assert [(str(line.quantity), str(line.amount)) for line in second.lines[:2]] == [
        ("10.00", "964.00"),
        ("9.52", "40.46"),
    ]


def test_units_of_the_job_change_no_rate() -> None:
    """Read in feet, a job with rates for the metre asks the same for the same length, up to how that is measured."""
    job = priced_job(rules=Rules(chargeable_step_m=None))
    edit = set_units(job, units=Units.IMPERIAL)
    assert edit.job.rates == job.rates
    assert "Rates stay as they were entered, for a meter." in edit.said
    assert set_units(replace(job, rates=Rates()), units=Units.IMPERIAL).job.rates.per is Per.FOOT
    assert abs(prices_of(edit.job).total - prices_of(job).total) < 2


@pytest.mark.parametrize(
    ("length_m", "feet"), [("0.3048", "1.00"), ("0.003175", "0.01"), ("0.001524", "0.01"), ("0", "0.00")]
)
def test_feet_are_rounded_half_up_once(length_m: str, feet: str) -> None:
    """1/8 inch is 0.0104 ft; 0.001524 m is exactly 0.005 ft, which is rounded up."""
    assert str(quantity_of(Per.FOOT, Decimal(length_m))) == feet


RATE = st.one_of(st.none(), st.decimals(0, 99_999, places=4))
RATES = st.builds(
    Rates,
    currency=st.sampled_from(["EUR", "JPY", "TND", "USD"]),
    per=st.sampled_from(Per),
    **dict.fromkeys(RATE_WORDS, RATE),
)
WORKED = {units: repairs(set_units(priced_job(), units=units).job) for units in Units.EACH}


@settings(max_examples=20, deadline=None)
@given(RATES, st.sampled_from(Units.EACH), st.permutations(range(4)))
def test_sums_are_those_of_the_lines(rates: Rates, units: Units, order: list[int]) -> None:
    """Whatever the rates: a zone's price is the sum of its lines, the total that of all, in any order of the zones."""
    job = replace(set_units(priced_job(Rates()), units=units).job, rates=rates)
    found = WORKED[units]
    prices = priced(job, found)
    for zone in prices.zones:
        assert zone.price == (sum(line.amount for line in zone.lines) if zone.lines else None)
        assert (zone.price is None) == bool(zone.why)
    assert prices.total == sum(line.amount for _, line in prices.lines)
    assert prices.provisional <= prices.total
    turned = priced(job, replace(found, zones=tuple(found.zones[n] for n in order)))
    assert turned.total == prices.total
    assert dict(turned.by_ref) == dict(prices.by_ref)
    assert all(price_of(job, zone) == prices.by_ref[zone.ref] for zone in found.zones)
