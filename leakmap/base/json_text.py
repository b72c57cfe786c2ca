"""JSON text with decimals as they are: Decimal("4.000") is written 4.000, which no float can say.

Floats are written so that reading gives the same float. Mappings keep their order; a list or mapping
of plain values stands on one line.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import TypeAlias

Json: TypeAlias = bool | int | float | Decimal | str | Sequence["Json"] | Mapping[str, "Json"] | None


def json_text(value: Json, *, indent: int = 0) -> str:
    """The text of a value.

    >>> print(json_text({"length_m": Decimal("4.000"), "from_m": 0.5, "why": None}))
    {"length_m": 4.000, "from_m": 0.5, "why": null}
    """
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, Mapping):
        parts = [f"{_plain(key)}: {json_text(item, indent=indent + 1)}" for key, item in value.items()]
        return _laid_out("{}", parts, flat=all(map(_is_flat, value.values())), indent=indent)
    if isinstance(value, Sequence) and not isinstance(value, str):
        parts = [json_text(item, indent=indent + 1) for item in value]
        return _laid_out("[]", parts, flat=all(map(_is_flat, value)), indent=indent)
    return _plain(value)


def _plain(value: Json) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _is_flat(value: Json) -> bool:
    """Whether a value stands on the line of what holds it: plain ones, and lists of such, as points are."""
    if isinstance(value, Sequence) and not isinstance(value, str):
        return all(map(_is_flat, value))
    return not isinstance(value, Mapping)


def _laid_out(brackets: str, parts: Sequence[str], *, flat: bool, indent: int) -> str:
    opening, closing = brackets[0], brackets[1]
    if flat:
        return f"{opening}{', '.join(parts)}{closing}"
    pad = " " * (indent + 1)
    return f"{opening}\n{pad}" + f",\n{pad}".join(parts) + f"\n{' ' * indent}{closing}"
