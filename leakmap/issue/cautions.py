"""The cautions that every repair schedule prints, and stage Issue shows."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache

from leakmap.base.resources import resource


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution; ``source`` is empty where none is published or named.

    Attributes:
        us: What is said instead where only the US reads it; empty: the same.
        us_source: Source of that.
    """

    key: str
    heading: str
    text: str
    source: str
    us: str = ""
    us_source: str = ""

    @property
    def for_us(self) -> tuple[str, str]:
        """Text and source where only the US reads them."""
        return (self.us, self.us_source) if self.us else (self.text, self.source)


@cache
def cautions() -> tuple[Caution, ...]:
    """The cautions, in printing order."""
    with resource("resources", "texts", "cautions.toml").open("rb") as file:
        return tuple(Caution(**entry) for entry in tomllib.load(file)["caution"])
