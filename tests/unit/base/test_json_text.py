"""JSON text with exact decimals."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leakmap.base.json_text import json_text

PLAIN = st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text()
VALUES = st.recursive(PLAIN, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3))


@given(VALUES)
def test_it_is_json_of_the_same_value(value: object) -> None:
    """Python's own reader gets back what was written, whatever the nesting."""
    assert json.loads(json_text(value)) == value  # type: ignore[arg-type] - a strategy makes it


def test_decimals_keep_their_zeros() -> None:
    """A decimal is a JSON number with all of its decimals, never in exponent form."""
    assert json_text([Decimal("4.000"), Decimal("1E+2"), Decimal("0.1")]) == "[4.000, 100, 0.1]"


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_what_json_cannot_say_is_refused(value: float) -> None:
    """NaN and infinity are no JSON."""
    with pytest.raises(ValueError, match="JSON"):
        json_text(value)


def test_plain_items_stand_on_one_line() -> None:
    """A list of mappings has a line for each, so that two texts can be compared by eye."""
    assert json_text({"a": [{"b": 1, "p": [[0, 1]]}, {"b": 2}], "c": []}) == (
        '{\n "a": [\n  {"b": 1, "p": [[0, 1]]},\n  {"b": 2}\n ],\n "c": []\n}'
    )
