"""Findings: what a reader or a check noticed and a person should know."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Effect(StrEnum):
    """What a finding did to the work."""

    FIXED = "fixed"  # put right while reading
    LOST = "lost"  # could not be kept
    LOOK = "look"  # kept as it is; a person should look


@dataclass(frozen=True, slots=True, order=True)
class Finding:
    """One thing noticed.

    Attributes:
        code: Stable word for programs, lower case with hyphens, such as ``nearly-meet``.
        where: Reference, layer, handle, line or cell; may be empty.
        text: One sentence for people.
        effect: Fixed, lost, or to be looked at.
    """

    code: str
    where: str
    text: str
    effect: Effect = Effect.LOOK
