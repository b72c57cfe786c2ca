"""Values as plain JSON values and back."""

from __future__ import annotations

import struct
from dataclasses import fields
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from typing import Any
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leakmap.base.errors import BadValue
from leakmap.model.job import Job, WaterLevel
from leakmap.model.joint import Joint
from leakmap.model.sheet import Sheet
from leakmap.model.words import Kind, Wetness
from leakmap.records.codec import UNREADABLE, codec_of, hints_of, text_of, value_of
from tests.helpers.job_files import full_job


def again(hint: Any, value: Any) -> Any:  # noqa: ANN401 - a value of any type
    """A value after writing it as text and reading that."""
    codec = codec_of(hint)
    return codec.decode(value_of(text_of(codec.encode(value))))


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_every_float_comes_back_bit_for_bit(number: float) -> None:
    """A finite float survives to its last bit; of a zero only the sign is dropped."""
    assert struct.pack("<d", again(float, number)) == struct.pack("<d", number + 0.0)


@given(st.decimals(allow_nan=False, allow_infinity=False))
def test_every_decimal_keeps_its_places(number: Decimal) -> None:
    """A decimal survives with its trailing zeros."""
    assert again(Decimal, number).as_tuple() == number.as_tuple()


@given(st.text())
def test_every_text_comes_back(words: str) -> None:
    """A text survives, whatever it holds."""
    assert again(str, words) == words


@pytest.mark.parametrize(
    ("hint", "value"),
    [
        (datetime, datetime(2026, 11, 2, 9, 30, 1, 999_999, tzinfo=UTC)),
        (datetime, datetime(2026, 11, 2, 9, 30, tzinfo=timezone(timedelta(hours=-3, minutes=-30)))),
        (date | None, date(1, 1, 1)),
        (date | None, None),
        (UUID, UUID(int=7)),
        (Wetness, Wetness.SUSPECT),
        (Kind, Kind.PIPE_COLLAR),
        (tuple[tuple[str, bool], ...], (("a", True), ("b", False))),
        (tuple[float, float], (1.5, 0.1)),
        (WaterLevel | None, WaterLevel(level_m=-1.5)),
        (Job, full_job()),
    ],
    ids=str,
)
def test_values_of_every_type_come_back(hint: Any, value: Any) -> None:  # noqa: ANN401 - a value of any type
    """Times, dates, ids, words, tuples and classes survive."""
    assert again(hint, value) == value


def test_a_time_keeps_its_zone() -> None:
    """The zone in which a time was written down survives, not only the moment."""
    at = datetime(2026, 11, 2, 9, 30, tzinfo=timezone(timedelta(hours=5, minutes=30)))
    assert again(datetime, at).utcoffset() == timedelta(hours=5, minutes=30)


def test_whole_numbers_in_a_float_field_become_floats() -> None:
    """The text of 5 and of 5.0 is the same, so that equal values have equal texts."""
    assert codec_of(float).encode(5) == 5.0
    assert text_of(codec_of(float).encode(5)) == "5.0"


@pytest.mark.parametrize(
    ("hint", "value"),
    [
        (float, "1.5"),
        (float, True),
        (float, 1e999),
        (int, 1.0),
        (int, True),
        (str, 3),
        (bool, 1),
        (UUID, "seven"),
        (UUID, 7),
        (Decimal, "NaN"),
        (Decimal, "one"),
        (datetime, "2026-11-02T09:30:00"),
        (date, "2 November"),
        (Wetness, 6),
        (Wetness, True),
        (Kind, "seam"),
        (tuple[float, float], [1.0]),
        (tuple[str, ...], "abc"),
        (WaterLevel, {"level_m": 1.0, "seen": None}),
        (WaterLevel, {"level_m": 1.0, "seen": None, "source": "", "depth": 3}),
        (WaterLevel, {"level_m": "deep", "seen": None, "source": ""}),
    ],
    ids=str,
)
def test_what_was_not_written_so_is_refused(hint: Any, value: Any) -> None:  # noqa: ANN401 - a value of any type
    """A value of another type, out of a list, or with a field too few or too many is refused."""
    with pytest.raises(UNREADABLE):
        codec_of(hint).decode(value)


def test_an_error_names_the_field() -> None:
    """What cannot be read is named by its field."""
    with pytest.raises(ValueError, match="level_m: 'deep' is not a number"):
        codec_of(WaterLevel).decode({"level_m": "deep", "seen": None, "source": ""})


def test_two_items_of_one_id_are_refused() -> None:
    """A collection by id never loses an item silently."""
    encoded = codec_of(Job).encode(full_job())
    encoded["sheets"].append(encoded["sheets"][0])
    with pytest.raises(ValueError, match="two items have one id"):
        codec_of(Job).decode(encoded)


@pytest.mark.parametrize("number", [float("nan"), float("inf")])
def test_no_number_that_is_none_is_written(number: float) -> None:
    """What is not finite is refused when writing, and when reading a text."""
    with pytest.raises(BadValue):
        codec_of(float).encode(number)
    with pytest.raises(ValueError, match="is not a number"):
        value_of(str(number).replace("nan", "NaN").replace("inf", "Infinity"))


def test_a_type_that_no_model_has_is_refused() -> None:
    """A new sort of field is noticed when it is first used, not when a file is lost."""
    with pytest.raises(TypeError):
        codec_of(complex)


def test_the_full_job_fills_every_field() -> None:
    """The job that these tests stand on leaves no field of a sheet, a joint or a leak at its default."""
    job = full_job()
    for items, kind in ((job.sheets, Sheet), (job.joints, Joint)):
        for item in fields(kind):
            if item.name in hints_of(kind) and item.default is not item.default_factory:
                assert any(getattr(each, item.name) != item.default for each in items.values()), item.name
    for item in fields(type(next(iter(job.leaks.values())))):
        assert any(getattr(each, item.name) != item.default for each in job.leaks.values()), item.name
