"""What revisions came to, read from the schedules that they were sealed with."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal
from uuid import UUID

import pytest

from leakmap.base.errors import UnusableJobFile
from leakmap.base.measures import System, Units
from leakmap.issue.schedule_json import schedule_json
from leakmap.model.job import Job
from leakmap.model.rates import Rates
from leakmap.model.revision import Revision
from leakmap.model.words import Purpose
from leakmap.repair.price import priced
from leakmap.repair.work_out import repairs
from leakmap.work.issued_sums import IssuedSum, issued_sum, issued_sums
from leakmap.work.ledger_order import in_order_of
from leakmap.work.ledger_prices import then_and_now
from leakmap.work.ledger_rows import revision_table
from tests.helpers.priced_job import priced_job


def schedule_of(job: Job) -> str:
    """Its schedule, as an issue seals it."""
    return schedule_json(job, repairs(job))


def revision(number: int) -> Revision:
    """A revision for price."""
    return Revision(
        id=UUID(int=number), number=number, purpose=Purpose.PRICE, to_whom="owner", by="A. Rook",
        at=datetime(2026, 11, number, tzinfo=UTC), job_sha256="0" * 64, schedule_sha256=f"{number}" * 64,
    )  # fmt: skip


def test_the_sum_is_the_total_of_the_sealed_schedule() -> None:
    """It is read to the last minor unit, though words of a person look like the part that holds it."""
    job = replace(priced_job(), name='pit\n "price": {"currency": "EUR", "total": 1, "not_priced": []}')
    total = priced(job, repairs(job)).total
    assert issued_sum(schedule_of(job)) == IssuedSum(currency="EUR", total=total)
    yen = replace(job, rates=Rates(currency="JPY", slot_plug=Decimal(9000)))
    found = issued_sum(schedule_of(yen))
    assert found is not None
    assert (found.currency, str(found.total)) == ("JPY", "33300")
    assert found.not_priced == ("1 zone is not priced: no rate for deep slot + plug + relief (Z-02).", "1 zone is not priced: no rate for slot, no plug (Z-04).")  # fmt: skip
    assert issued_sum(schedule_of(replace(job, rates=Rates()))) is None


def test_a_damaged_schedule_has_no_sum_and_keeps_no_other_from_it() -> None:
    """What cannot be read is left out."""

    def blob_of(sha256: str) -> bytes:
        if sha256 == "bad":
            raise UnusableJobFile("It is damaged.")
        return schedule_of(priced_job()).encode()

    found = issued_sums(("bad", "good"), blob_of)
    assert found["bad"] is None
    assert found["good"] is not None


@pytest.mark.parametrize(
    ("second", "cells"),
    [
        (IssuedSum(currency="EUR", total=Decimal("80.00")), [Decimal("1234.50"), Decimal("80.00")]),
        (IssuedSum(currency="CHF", total=Decimal("80.00")), ["1.234,50 EUR", "80,00 CHF"]),
        (
            IssuedSum(currency="EUR", total=Decimal("80.00"), not_priced=("1 zone is not priced.",)),
            [Decimal("1234.50"), "from 80,00"],
        ),
    ],
)
def test_a_sum_names_its_currency_where_others_have_another(second: IssuedSum, cells: list[object]) -> None:
    """Sums in one currency are figures; in several each has its code; one that is not whole says so; all sort by size."""
    job = priced_job(units=Units(System.METRIC, "de"), revisions={UUID(int=n): revision(n) for n in (1, 2, 3)})
    sums = {UUID(int=1): IssuedSum(currency="EUR", total=Decimal("1234.50")), UUID(int=2): second}
    lines = revision_table(job, None, sums).lines
    plain = [
        value.replace("\u00a0", " ") if isinstance(value := line.values.get("sum"), str) else value for line in lines
    ]
    assert plain == [*cells, None]
    assert [line.values["rev"] for line in in_order_of(lines, "sum")] == ["P02", "P01", "P03"]
    assert lines[1].tip.endswith("2" * 64 + "".join(f". {said}" for said in second.not_priced))


def test_a_revision_is_told_beside_the_price_now() -> None:
    """By how much it grew is said where both miss the same and are in one currency; else both sums alone."""
    job = priced_job()
    now = priced(job, repairs(job))

    def told(then: IssuedSum) -> tuple[str, str]:
        note = then_and_now(job, then, now)
        return note.words.replace("\u00a0", " "), note.more.replace("\u00a0", " ")

    before = IssuedSum(currency="EUR", total=now.total - 3)
    assert told(before) == (f"{before.total} EUR as issued, {now.total} EUR now", "3.00 EUR more, without tax")
    assert told(IssuedSum(currency="EUR", total=now.total + 3))[1] == "3.00 EUR less, without tax"
    assert told(IssuedSum(currency="EUR", total=now.total))[1] == "the same, without tax"
    for other in (replace(before, currency="CHF"), replace(before, not_priced=("1 zone is not priced.",))):
        assert told(other)[1] == ""
