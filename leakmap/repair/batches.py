"""Batches: what is mixed at once, so that it is placed before it stiffens.

A batch is at most what the crew places within the time that the material can be worked, and at most the pail. A zone
takes full batches and a rest, which together are exactly its volume.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from math import floor

from leakmap.base.rounding import ZERO
from leakmap.model.materials import Material


@dataclass(frozen=True, slots=True, kw_only=True)
class Batches:
    """The batches of one volume, litres of wet material.

    Attributes:
        full: How many full ones.
        full_l: What each of those is.
        rest_l: One more of less than that; 0: none.
    """

    full: int
    full_l: Decimal
    rest_l: Decimal

    @property
    def number(self) -> int:
        """How many there are, the rest among them."""
        return self.full + (self.rest_l > 0)

    @property
    def total_l(self) -> Decimal:
        """All of them together."""
        return self.full * self.full_l + self.rest_l


def most_l(material: Material, step_l: Decimal) -> Decimal | None:
    """The largest batch in whole steps, one at least; None where neither pail nor placing rate and time are known.

    >>> from leakmap.model.materials import Figure
    >>> most_l(Material(placing_l_per_min=Figure(value=0.5), pot_life_min=Figure(value=20)), Decimal("0.001"))
    Decimal('10.000')
    """
    rate, minutes, pail = material.placing_l_per_min.value, material.working_min, material.pail_l.value
    limits = [Decimal(repr(float(pail)))] if pail is not None else []
    if rate is not None and minutes is not None:
        limits.append(Decimal(repr(float(rate))) * Decimal(repr(float(minutes))))
    if not limits:
        return None
    return max(floor(min(limits) / step_l), 1) * step_l


def batches_of(volume_l: Decimal, at_most_l: Decimal) -> Batches:
    """The batches of a volume.

    Args:
        volume_l: What is placed, 0 or more.
        at_most_l: The largest batch, greater than zero.

    >>> batches_of(Decimal("2.350"), Decimal("1.000"))
    Batches(full=2, full_l=Decimal('1.000'), rest_l=Decimal('0.350'))
    """
    full, rest = divmod(volume_l, at_most_l)
    return Batches(full=int(full), full_l=at_most_l, rest_l=rest or ZERO)
