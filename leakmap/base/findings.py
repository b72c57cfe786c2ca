"""Findings: what a reader or a check noticed and a person should know."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Effect(StrEnum):
    """What a finding did to the work."""

    FIXED = "fixed"  # put right while reading
    LOST = "lost"  # could not be kept
    LOOK = "look"  # kept as it is; a person should look
    TOLD = "told"  # nothing is other than it was; said so that nobody has to trust it


@dataclass(frozen=True, slots=True, order=True)
class Finding:
    """One thing noticed.

    Attributes:
        code: Stable word for programs, lower case with hyphens, such as ``nearly-meet``.
        where: Reference, layer, handle, line or cell; may be empty.
        text: One sentence for people.
        effect: Fixed, lost, to be looked at, or merely told.
    """

    code: str
    where: str
    text: str
    effect: Effect = Effect.LOOK


def to_look_at(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Those that somebody should look at: all but what is merely told."""
    return tuple(finding for finding in findings if finding.effect is not Effect.TOLD)
