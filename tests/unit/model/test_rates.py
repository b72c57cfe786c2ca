"""Rates of a job."""

from __future__ import annotations

from decimal import Decimal

import pytest

from leakmap.base.errors import BadValue
from leakmap.model.rates import METHOD_RATES, RATE_WORDS, TAKEN, Rates, Taken, addition_of
from leakmap.model.words import Face, Method
from tests.helpers.jobs import collar, line, upright


def test_nothing_ships() -> None:
    """New rates have no figure and no currency: the program invents none."""
    assert not Rates().known
    assert Rates().currency == ""
    assert all(Rates().of(name) is None for name in RATE_WORDS)


@pytest.mark.parametrize(
    "figure", ["-0.01", "NaN", "Infinity", "-Infinity", "1000000000", "0.00001", f"61.{'0' * 30}1"]
)
def test_a_figure_that_nothing_can_be_asked_by_is_refused(figure: str) -> None:
    """Negative, endless, no number, too large or finer than four decimals: one sentence."""
    with pytest.raises(BadValue, match=r"The rate for slot \+ plug .*\.$"):
        Rates(currency="EUR", slot_plug=Decimal(figure))


@pytest.mark.parametrize(("figure", "kept"), [("61.50", "61.5"), ("1E+2", "100"), ("-0.00", "0"), ("0.0125", "0.0125")])
def test_equal_rates_are_kept_alike(figure: str, kept: str) -> None:
    """However a figure was written, equal rates are the same text, so that equal jobs are."""
    assert str(Rates(currency="EUR", slot=Decimal(figure)).slot) == kept


def test_a_rate_has_a_currency() -> None:
    """No rate without a currency, for nobody could round an amount of it; a currency is three letters."""
    with pytest.raises(BadValue, match="needs a currency"):
        Rates(slot=Decimal(1))
    for code in ("eur", "EURO", "E1R", "€"):
        with pytest.raises(BadValue, match="no code of a currency"):
            Rates(currency=code)


def test_every_method_but_another_has_a_rate() -> None:
    """Each method that is ours is asked for by chargeable length; another method has no rate."""
    assert set(METHOD_RATES) == set(Method) - {Method.ANOTHER}
    assert {TAKEN[name] for name in METHOD_RATES.values()} == {Taken.CHARGEABLE}


def test_what_is_no_floor_is_added_once() -> None:
    """A vertical joint is that whatever its face; else the face counts, and a floor adds nothing."""
    joints = [upright((0, 0), 3.0, face=Face.WALL), line((0, 0), (4, 0), face=Face.CORNER), collar((1, 1), 0.2)]
    assert [addition_of(joint) for joint in joints] == ["vertical", "corner", ""]
    faces = [addition_of(line((0, 0), (4, 0), face=face)) for face in Face]
    assert faces == ["", "wall", "soffit", "corner"]
    assert all(TAKEN[name] is Taken.MEASURED for name in faces if name)
