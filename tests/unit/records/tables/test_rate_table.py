"""Tables of rates as TOML."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.base.errors import UnusableTable
from leakmap.base.findings import Effect
from leakmap.model.rates import RATE_WORDS, Per, Rates
from leakmap.records.tables.rate_table import rates_toml, read_rates
from leakmap.records.tables.toml_text import MOST_BYTES

BEFORE = Rates(currency="EUR", slot=Decimal("48.5"), zone=Decimal(10))
RATE = st.one_of(st.none(), st.decimals(0, 999_999_999, places=4))


@settings(max_examples=25)
@given(st.builds(Rates, currency=st.just("TND"), per=st.sampled_from(Per), **dict.fromkeys(RATE_WORDS, RATE)))
def test_a_written_table_is_read_to_the_same(rates: Rates) -> None:
    """Every figure comes back to its last decimal; rates that no float can say are no matter."""
    assert read_rates(rates_toml(rates).encode(), "own.toml") == (rates, ())


def test_what_a_table_leaves_out_stays() -> None:
    """A table of one rate changes that; the empty table shows every rate as a remark and changes nothing."""
    assert read_rates(b"zone = 12.5", "own.toml", BEFORE) == (
        Rates(currency="EUR", slot=Decimal("48.5"), zone=Decimal("12.5")),
        (),
    )
    empty = rates_toml(Rates())
    assert all(f"# {name} =" in empty for name in RATE_WORDS)
    assert read_rates(empty.encode(), "own.toml", BEFORE) == (BEFORE, ())


def test_a_currency_that_made_way_stays_in_a_job_that_has_it() -> None:
    """The table of such a job is read to the same there; elsewhere its currency is left out and told."""
    old = Rates(currency="HRK", slot=Decimal("48.5"))
    assert read_rates(rates_toml(old).encode(), "own.toml", old) == (old, ())
    found, findings = read_rates(b"currency = 'HRK'", "own.toml", BEFORE)
    assert (found, len(findings)) == (BEFORE, 1)


def test_the_currency_may_stand_anywhere() -> None:
    """A table whose rates come before their currency is whole."""
    assert read_rates(b'slot = 3\ncurrency = "eur"', "own.toml") == (Rates(currency="EUR", slot=Decimal(3)), ())


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("colour = 1", "there is no such rate"),
        ("slot = -3", "from 0 to less"),
        ("slot = nan", "from 0 to less"),
        ("slot = inf", "from 0 to less"),
        ("slot = 1e99999999999999999999", "from 0 to less"),
        ("slot = 1e-99999999999999999999", "from 0 to less"),
        ("slot = 1e-9999", "4 decimals"),
        ("slot = 0.00001", "4 decimals"),
        ("slot = '48'", "no number"),
        ("slot = true", "no number"),
        ("slot = [1]", "no number"),
        ("currency = 3", "no text"),
        ("currency = 'gold'", "no currency in use"),
        ("per = 'mile'", "metre or a foot"),
        ("per = 1", "metre or a foot"),
    ],
)
def test_a_row_that_cannot_be_used_is_left_out_and_told(text: str, said: str) -> None:
    """The rest of the table is taken, and one sentence says which row was not and why."""
    found, (finding,) = read_rates(f"zone = 11\n{text}\n".encode(), "own.toml", BEFORE)
    assert finding.where == f"own.toml, {text.split(maxsplit=1)[0]}"
    assert said in finding.text
    assert finding.text.endswith(".")
    assert finding.effect is Effect.LOST
    assert found == Rates(currency="EUR", slot=Decimal("48.5"), zone=Decimal(11))


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"[slot", "no TOML"),
        (b"\xff\xfe\x00", "UTF-8"),
        (b"slot = " + b"9" * 5000, "no TOML"),
        (b"#" * (MOST_BYTES + 1), "too large for a table of rates"),
    ],
)
def test_what_is_no_table_is_refused_whole(content: bytes, said: str) -> None:
    """One sentence, and nothing taken."""
    with pytest.raises(UnusableTable, match=said):
        read_rates(content, "own.toml", BEFORE)
