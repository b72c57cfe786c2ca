"""Errors that a user reads."""

from __future__ import annotations

import pytest

from leakmap.base.errors import BadValue, EditRefused, LeakmapError, Stopped
from leakmap.base.numbers import finite, not_negative, positive
from leakmap.base.progress import StopAfter, Unwatched
from leakmap.base.resources import resource


def test_an_error_reads_as_its_sentence_and_its_hint() -> None:
    """What a user sees is the message, then what to do."""
    assert str(LeakmapError("It stopped.", hint="Try again.")) == "It stopped. Try again."
    assert str(LeakmapError("It stopped.")) == "It stopped."


@pytest.mark.parametrize("kind", [BadValue, EditRefused])
def test_refusals_are_value_errors_too(kind: type[LeakmapError]) -> None:
    """A caller may catch either the tree or the built-in."""
    assert issubclass(kind, ValueError)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf")])
def test_numbers_that_are_none_are_refused_by_name(value: float) -> None:
    """The sentence names the value that was refused."""
    for check in (finite, not_negative, positive):
        with pytest.raises(BadValue, match="overrun"):
            check(value, "overrun")


def test_zero_is_not_negative_but_not_positive() -> None:
    """The border cases of the two checks."""
    assert not_negative(0.0, "overrun") == 0.0
    with pytest.raises(BadValue, match="greater than zero"):
        positive(0.0, "overrun")
    with pytest.raises(BadValue, match="must not be negative"):
        not_negative(-0.1, "overrun")


def test_work_stops_at_the_report_that_asks_for_it() -> None:
    """The second report stops; nobody watching never does."""
    watcher = StopAfter(2)
    watcher.report("reading", 1, 2)
    with pytest.raises(Stopped, match="Nothing was changed"):
        watcher.report("reading", 2, 2)
    Unwatched().report("reading", 1, None)


def test_shipped_files_are_found_and_missing_ones_are_named() -> None:
    """A path of an incomplete installation is said in one sentence."""
    assert resource("sample_plans", "tern_quay_b2.dxf").is_file()
    with pytest.raises(FileNotFoundError, match="not completely installed: resources/nothing"):
        resource("resources", "nothing")
