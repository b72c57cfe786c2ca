"""Figures of a workbook: what a cell holds in the units of the job, its number format, and formulas that round alike.

A spreadsheet reckons in binary; a figure here is the binary number nearest to the exact one, and so is what a formula
gives once it is rounded to the step of its kind. So a live sum is the very figure that other papers print. Feet are
reckoned by their 96 eighths of an inch.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from leakmap.base.locales import MINUS
from leakmap.base.measures import AREA, EIGHTH_M, FOOT_M, VOLUME, Units
from leakmap.base.rounding import rounded

_EIGHTHS_IN_A_FOOT: Final = int(FOOT_M / EIGHTH_M)
_MILLIMETRE_PLACES: Final = 3


@dataclass(frozen=True, slots=True)
class Figures:
    """Figures in one system of units.

    Attributes:
        units: The system.
    """

    units: Units

    @property
    def length_format(self) -> str:
        """Number format of a length: three decimals of a metre, or of a foot."""
        return "0.000"

    def heading(self, words: str) -> str:
        """A heading that ends in a metric unit, with the unit of its figures; lengths are decimal feet here.

        >>> Figures(Units.IMPERIAL).heading("Length m"), Figures(Units.IMPERIAL).heading("Coat 1 m²")
        ('Length ft', 'Coat 1 sq ft')
        """
        if not self.units.metric and words.endswith(" m"):
            return f"{words.removesuffix('m')}ft"
        return self.units.heading(words)

    def length(self, length_m: Decimal | float) -> float:
        """A length: metres, or feet of whole eighths of an inch.

        >>> Figures(Units.METRIC).length(Decimal("4.8")), Figures(Units.IMPERIAL).length(Decimal("0.1524"))
        (4.8, 0.5)
        """
        exact = rounded(length_m, self.units.step_m)
        return float(exact if self.units.metric else Fraction(exact) / Fraction(FOOT_M))

    def of(self, name: str, value: Decimal) -> float:
        """A measured figure by the unit that its name ends in: metres, square metres or litres."""
        scale = {"m2": AREA, "l": VOLUME}.get(name.rpartition("_")[2])
        return self.length(value) if scale is None else float(scale[self.units].figure(value))

    def format_of(self, name: str) -> str:
        """Number format of such a figure."""
        places = self._places(name)
        return f"0.{'0' * places}"

    def exactly(self, formula: str, name: str = "length_m") -> str:
        """A formula of such figures, rounded to their step.

        >>> Figures(Units.METRIC).exactly("A1-B1"), Figures(Units.IMPERIAL).exactly("A1-B1")
        ('ROUND(A1-B1,3)', 'ROUND((A1-B1)*96,0)/96')
        """
        if not self.units.metric and name.endswith("_m"):
            return f"ROUND(({formula})*{_EIGHTHS_IN_A_FOOT},0)/{_EIGHTHS_IN_A_FOOT}"
        return f"ROUND({formula},{self._places(name)})"

    def feet_inches(self, cell: str) -> str:
        """A formula that writes decimal feet as ``leakmap.base.measures.feet_inches`` does.

        Args:
            cell: Address of the feet.
        """
        signed = f"ROUND({cell}*{_EIGHTHS_IN_A_FOOT},0)"
        eighths = f"ABS({signed})"
        feet, inches = f"INT({eighths}/{_EIGHTHS_IN_A_FOOT})", f"INT(MOD({eighths},{_EIGHTHS_IN_A_FOOT})/8)"
        parts = ",".join(f'"{part}"' for part in ("", *(str(Fraction(part, 8)) for part in range(1, 8))))
        fraction = f"CHOOSE(MOD({eighths},8)+1,{parts})"
        before = f'IF({signed}<0,"{MINUS}","")&IF({feet}>0,{feet}&"\' ","")'
        whole = f'IF(OR({feet}>0,{inches}>0,{fraction}=""),{inches}&IF({fraction}="",""," "),"")'
        return f'{before}&{whole}&{fraction}&""""'

    def charged(self, length: str, step: str) -> str:
        """A formula that rounds a length up to whole steps; a step of nothing leaves it as it is."""
        up = self.exactly(f"ROUNDUP(ROUND({length}/{step},6),0)*{step}")
        return f"IF(N({step})>0,{up},{length})"

    def _places(self, name: str) -> int:
        scale = {"m2": AREA, "l": VOLUME}.get(name.rpartition("_")[2])
        return _MILLIMETRE_PLACES if scale is None else scale[self.units].places
