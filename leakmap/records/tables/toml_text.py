"""TOML as tables that people write by hand have it: read whole or refused in one sentence."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable
from typing import Any, Final

from leakmap.base.errors import BadValue, UnusableTable
from leakmap.base.findings import Effect, Finding
from leakmap.base.sentences import small

MOST_BYTES: Final = 1_000_000
"""More is no table that anyone wrote."""


def values_of(
    content: bytes,
    name: str,
    *,
    what: str,
    figure: Callable[[str], Any] = float,
) -> dict[str, Any]:
    """The values of a TOML file.

    Args:
        content: The file.
        name: Its name.
        what: What it should be, such as "material table".
        figure: Makes a value of a number with a point.

    Raises:
        UnusableTable: It is no TOML.
    """
    if len(content) > MOST_BYTES:
        raise UnusableTable(f"{name} is too large for a {what}, so nothing of it was taken.", where=name)
    try:
        return tomllib.loads(content.decode("utf-8-sig"), parse_float=figure)
    except UnicodeDecodeError as bad:
        raise UnusableTable(
            f"{name} is no text in UTF-8, so nothing of it was taken; save it as that.", where=name
        ) from bad
    except (ValueError, RecursionError) as bad:  # a ValueError besides its own where a whole number has too many digits
        why = str(bad) if isinstance(bad, tomllib.TOMLDecodeError) else "it is nested too deeply or a number too long"
        raise UnusableTable(f"{name} is no TOML ({why}), so nothing of it was taken.", where=name) from bad


def left_out(code: str, where: str, bad: BadValue) -> Finding:
    """The finding for a row that cannot be used.

    >>> left_out("rate-left-out", "own.toml, slot", BadValue("It is no number.")).text
    'own.toml, slot is left out: it is no number.'
    """
    return Finding(code, where, f"{where} is left out: {small(bad.message).rstrip('.')}.", Effect.LOST)


def quoted(words: str) -> str:
    r"""Words as a string of TOML, which takes those of JSON but for one control character.

    >>> quoted('a "b"\n')
    '"a \\"b\\"\\n"'
    """
    return json.dumps(words, ensure_ascii=False).replace("\x7f", "\\u007f")
