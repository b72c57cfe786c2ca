"""Values of the model as plain JSON values and back, exactly, driven by their declared types.

Numbers are written by ``repr``, so reading gives the same float bit for bit; only the sign of a zero
is dropped, so that equal jobs have equal texts. A class becomes a mapping of its fields, a collection
by id a list in its order, a decimal its text. Reading is strict: a field that is missing, unknown or
of another type is refused.
"""

from __future__ import annotations

import json
import types
import typing
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import Enum, IntEnum
from functools import cache
from math import isfinite
from typing import Any, Final
from uuid import UUID

from leakmap.base.errors import BadValue

UNREADABLE: Final = (ValueError, TypeError, LookupError, ArithmeticError)
"""What reading a value raises where it is not what was written."""


@dataclass(frozen=True, slots=True)
class Codec:
    """How values of one type are written and read.

    Attributes:
        encode: A value as a plain JSON value.
        decode: The value of a plain JSON value; raises one of ``UNREADABLE``.
    """

    encode: Callable[[Any], Any]
    decode: Callable[[Any], Any]


@cache
def codec_of(hint: Any) -> Codec:  # noqa: ANN401 - a type as declared
    """The codec of a type as a field declares it.

    Raises:
        TypeError: No value of such a type occurs in a model.
    """
    if hint in _SCALARS:
        return _SCALARS[hint]
    origin, parts = typing.get_origin(hint), typing.get_args(hint)
    if origin in {types.UnionType, typing.Union}:
        return _optional(codec_of(next(part for part in parts if part is not types.NoneType)))
    if origin is tuple:
        return _list_of(codec_of(parts[0])) if parts[-1] is Ellipsis else _row_of([codec_of(part) for part in parts])
    if origin is not None and issubclass(origin, Mapping):
        return _items_by_id(codec_of(parts[1]))
    if isinstance(hint, type) and issubclass(hint, Enum):
        return _word_of(hint)
    if is_dataclass(hint) and isinstance(hint, type):
        return _fields_of(hint)
    raise TypeError(f"No codec for {hint!r}.")


@cache
def hints_of(kind: type) -> Mapping[str, Any]:
    """Declared types of the fields that a class is made of, in order."""
    hints = typing.get_type_hints(kind)
    return {item.name: hints[item.name] for item in fields(kind) if item.init}


def text_of(value: Any) -> str:  # noqa: ANN401 - a plain JSON value
    """A plain JSON value as text without spaces."""
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def value_of(text: str) -> Any:  # noqa: ANN401 - a plain JSON value
    """The plain JSON value of a text.

    Raises:
        ValueError: It is no JSON, or holds a number that is none.
    """
    return json.loads(text, parse_constant=_refuse_number)


def _refuse_number(word: str) -> Any:  # noqa: ANN401 - never gives anything
    raise ValueError(f"{word} is not a number")


def _exactly(kind: type) -> Callable[[Any], Any]:
    def decode(value: Any) -> Any:  # noqa: ANN401 - a plain JSON value
        if type(value) is not kind:
            raise ValueError(f"{value!r:.40} is not of type {kind.__name__}")
        return value

    return decode


def _number_out(value: float) -> float:
    number = float(value) + 0.0  # drops the sign of a zero
    if not isfinite(number):
        raise BadValue("A number of this job is not finite, so the job was not written.")
    return number


def _number_in(value: object) -> float:
    if type(value) is float and isfinite(value):
        return value
    if type(value) is int:
        return float(value)
    raise ValueError(f"{value!r:.40} is not a number")


def _from_text(make: Callable[[str], Any]) -> Callable[[Any], Any]:
    def decode(value: Any) -> Any:  # noqa: ANN401 - a plain JSON value
        if type(value) is not str:
            raise ValueError(f"{value!r:.40} is not a text")
        return make(value)

    return decode


def _aware(text: str) -> datetime:
    moment = datetime.fromisoformat(text)
    if moment.tzinfo is None:
        raise ValueError(f"{text} has no time zone")
    return moment


def _finite_decimal(text: str) -> Decimal:
    number = Decimal(text)
    if not number.is_finite():
        raise ValueError(f"{text} is not a number")
    return number


_SCALARS: Final[dict[Any, Codec]] = {
    float: Codec(_number_out, _number_in),
    int: Codec(int, _exactly(int)),
    str: Codec(str, _exactly(str)),
    bool: Codec(bool, _exactly(bool)),
    UUID: Codec(str, _from_text(UUID)),
    Decimal: Codec(str, _from_text(_finite_decimal)),
    datetime: Codec(datetime.isoformat, _from_text(_aware)),
    date: Codec(date.isoformat, _from_text(date.fromisoformat)),
}


def _optional(inner: Codec) -> Codec:
    return Codec(
        lambda value: None if value is None else inner.encode(value),
        lambda value: None if value is None else inner.decode(value),
    )


def _list_of(inner: Codec) -> Codec:
    listed = _exactly(list)
    return Codec(
        lambda values: [inner.encode(value) for value in values],
        lambda values: tuple(inner.decode(value) for value in listed(values)),
    )


def _row_of(parts: list[Codec]) -> Codec:
    listed = _exactly(list)
    return Codec(
        lambda values: [part.encode(value) for part, value in zip(parts, values, strict=True)],
        lambda values: tuple(part.decode(value) for part, value in zip(parts, listed(values), strict=True)),
    )


def _items_by_id(inner: Codec) -> Codec:
    def encode(items: Mapping[UUID, Any]) -> list[Any]:
        assert all(item.id == key for key, item in items.items()), "an item is kept under another item's id"
        return [inner.encode(item) for item in items.values()]

    def decode(values: Any) -> dict[UUID, Any]:  # noqa: ANN401 - a plain JSON value
        items = [inner.decode(value) for value in _exactly(list)(values)]
        found = {item.id: item for item in items}
        if len(found) != len(items):
            raise ValueError("two items have one id")
        return found

    return Codec(encode, decode)


def _word_of(words: type[Enum]) -> Codec:
    plain = _exactly(int if issubclass(words, IntEnum) else str)
    return Codec(lambda word: word.value, lambda value: words(plain(value)))


def _fields_of(kind: type) -> Codec:
    parts = {name: codec_of(hint) for name, hint in hints_of(kind).items()}

    def encode(value: Any) -> dict[str, Any]:  # noqa: ANN401 - a value of the class
        return {name: part.encode(getattr(value, name)) for name, part in parts.items()}

    def decode(value: Any) -> Any:  # noqa: ANN401 - a plain JSON value
        if type(value) is not dict or value.keys() != parts.keys():
            raise ValueError(f"the fields of a {kind.__name__} are not what they should be")
        return kind(**{name: decoded(name, part.decode, value[name]) for name, part in parts.items()})

    return Codec(encode, decode)


def decoded(name: str, decode: Callable[[Any], Any], value: Any) -> Any:  # noqa: ANN401 - a value of any field
    """A field's value as read, or an error that names the field.

    Raises:
        ValueError: The value cannot be that of the field.
    """
    try:
        return decode(value)
    except UNREADABLE as error:
        raise ValueError(f"{name}: {error}") from error
