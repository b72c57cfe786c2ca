"""Reads and writes tables of rates (TOML): what cannot be used is left out and told, the rest is taken."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal, InvalidOperation
from typing import Any, Final

from leakmap.base.errors import BadValue
from leakmap.base.findings import Finding
from leakmap.base.money import currency_named, with_minor_unit
from leakmap.model.rates import RATE_WORDS, Per, Rates
from leakmap.records.tables.toml_text import left_out, quoted, values_of

_CURRENCY: Final = "currency"
_PER: Final = "per"


def read_rates(content: bytes, name: str, before: Rates | None = None) -> tuple[Rates, tuple[Finding, ...]]:
    """Rates of a table, and a finding for all that was left out of it; figures are taken to the last decimal.

    Args:
        content: The file.
        name: Its name.
        before: What stands where the file says nothing; None: no rate.

    Raises:
        UnusableTable: It is no TOML.
    """
    found, findings = before or Rates(), []
    values = values_of(content, name, what="table of rates", figure=_figure)
    for key in sorted(values, key=lambda key: key != _CURRENCY):  # first what rates need
        try:
            found = replace(found, **_field(key, values[key], found.currency))
        except BadValue as bad:
            findings.append(left_out("rate-left-out", f"{name}, {key}", bad))
    return found, tuple(findings)


def rates_toml(rates: Rates) -> str:
    """Rates as TOML text that ``read_rates`` reads to the same; what is not entered is a remark to be filled in."""
    return "\n".join(_lines(rates)) + "\n"


def _lines(rates: Rates) -> Iterator[str]:
    mark = "" if rates.currency else "# "
    yield f"{mark}{_CURRENCY} = {quoted(rates.currency or 'EUR')}"
    yield f"{_PER} = {quoted(rates.per.value)}"
    for name, words in RATE_WORDS.items():
        value = rates.of(name)
        if value is None:
            yield f"# {name} =  # {words}: not entered"
        else:
            yield f"{name} = {with_minor_unit(value, rates.currency):f}  # {words}"


def _figure(text: str) -> Decimal:
    """A figure to its last decimal; one that no decimal can hold is none."""
    try:
        return Decimal(text)
    except InvalidOperation:
        return Decimal("NaN")


def _field(key: str, value: Any, currency: str) -> dict[str, Any]:  # noqa: ANN401 - whatever the file holds
    """The field of ``Rates`` that a row gives; ``currency`` is the one until then."""
    if key == _CURRENCY:
        if not isinstance(value, str):
            raise BadValue("it is no text in quotes")
        return {key: currency_named(value, before=currency)}
    if key == _PER:
        words = [each.value for each in Per]
        if value not in words:
            raise BadValue(f"rates are for a {' or a '.join(words)}")
        return {key: Per(value)}
    if key not in RATE_WORDS:
        raise BadValue(f"there is no such rate; there are: {', '.join(RATE_WORDS)}")
    if isinstance(value, bool) or not isinstance(value, int | Decimal):
        raise BadValue("it is no number; write one with a decimal point")
    return {key: Decimal(value)}
