"""What a file says of its unit, and what its size makes of that.

The header is wrong as often as right, so it gives a hint and no more. A plan of a structure is
between ``SMALLEST_M`` and ``LARGEST_M`` across (ours); what falls outside is a doubt.
"""

from __future__ import annotations

from typing import Final

from ezdxf.document import Drawing as Document

from leakmap.base.findings import Effect
from leakmap.base.units import UNITS, Unit, unit_of_code, unit_of_symbol
from leakmap.drawings.dxf.troubles import Troubles
from leakmap.geometry.path import Box
from leakmap.model.drawing import UnitHint

SMALLEST_M: Final = 4.0
LARGEST_M: Final = 2000.0

CURVE_TOLERANCE_M: Final = 0.001
"""Greatest distance between a chord and its curve on the concrete."""

FINENESS: Final = 50_000
"""Where the unit is not known, curves are as fine as the drawing's size through this: 1 mm on 50 m."""

_FINEST: Final = LARGEST_M / CURVE_TOLERANCE_M
_COARSE: Final = 1e18

_METRIC: Final = ("mm", "cm", "m")
_IMPERIAL: Final = ("in", "ft")
_LIKELY_M: Final = (4.0, 500.0)


def header_unit(document: Document, data: bytes) -> Unit | None:
    """The unit that the header names; None when it names none.

    The library fills in a header where a file has none, so the file itself must hold the word.
    """
    if b"$INSUNITS" not in data:
        return None
    code = document.header.get("$INSUNITS", 0)
    return unit_of_code(code) if isinstance(code, int) else None


def unit_hint(named: Unit | None, m_per_unit: float | None, *, metric: bool | None, paper: bool) -> UnitHint:
    """The hint that goes with a drawing, before its size is known.

    Args:
        named: The unit of the header.
        m_per_unit: The unit that the user gave.
        metric: Whether ``$MEASUREMENT`` says metric; None when it says nothing.
        paper: Whether a paper layout was read, whose units are those of the paper.
    """
    if m_per_unit is not None:
        return UnitHint(m_per_unit, f"the user says {_words(m_per_unit)}")
    if paper:
        return UnitHint(None, "a paper layout has the size of the paper, not of the structure")
    if named is not None:
        return UnitHint(float(named.metres), f"the header says {named.name}")
    system = {True: "; it says only that it is metric", False: "; it says only that it is imperial", None: ""}
    return UnitHint(None, f"the header names no unit{system[metric]}")


def metric_of(document: Document, data: bytes) -> bool | None:
    """Whether ``$MEASUREMENT`` says metric (1) or imperial (0); None when the file does not say."""
    if b"$MEASUREMENT" not in data:
        return None
    value = document.header.get("$MEASUREMENT", None)
    return None if value not in {0, 1} else bool(value)


def plausible(hint: UnitHint, size: float) -> bool:
    """Whether a drawing of this size, in drawing units, can be a structure in the hinted unit."""
    return hint.m_per_unit is not None and SMALLEST_M <= size * hint.m_per_unit <= LARGEST_M


def curve_tolerance(hint: UnitHint, size: float, *, given: bool) -> float:
    """How far chords may lie from their curves, in drawing units.

    It is 1 mm by the unit that the user gives, or that the header names when the size goes with it;
    else the size through ``FINENESS``. A size beyond all structures never makes it finer than one of
    2 km would; without a size, which a redrawing will know, curves are coarse.
    """
    if hint.m_per_unit is not None and (given or plausible(hint, size)):
        return max(CURVE_TOLERANCE_M / hint.m_per_unit, size / _FINEST)
    return size / FINENESS if size > 0 else _COARSE


def note_doubts(
    hint: UnitHint, named: Unit | None, *, metric: bool | None, given: bool, box: Box | None, troubles: Troubles
) -> None:
    """Make findings of a missing unit, of one that cannot be, and of one that the user overrules."""
    if given and named is not None and abs(float(named.metres) / (hint.m_per_unit or 1.0) - 1) > 1e-6:
        text = f"The header says {named.name}, but {hint.reason}; the user's unit is taken."
        troubles.note("unit-overruled", text, effect=Effect.LOOK)
    if box is None:
        return
    width, height = box[2] - box[0], box[3] - box[1]
    if hint.m_per_unit is None:
        text = f"The unit is not known: {hint.reason}. {_guess(width, height, metric)}"
        troubles.note("unit-missing", text, effect=Effect.LOOK)
    elif not plausible(hint, max(width, height)):
        across = f"{width * hint.m_per_unit:.4g} m x {height * hint.m_per_unit:.4g} m"
        text = f"The unit is doubtful: {hint.reason}, which makes the drawing {across}. {_guess(width, height, None)}"
        troubles.note("unit-doubtful", text, effect=Effect.LOOK)


def _guess(width: float, height: float, metric: bool | None) -> str:  # noqa: FBT001 - None is a third value
    """A sentence on which units make a structure of this size."""
    symbols = {True: _METRIC, False: _IMPERIAL, None: (*_METRIC, *_IMPERIAL)}[metric]
    fitting = _fitting(width, height, symbols) or _fitting(width, height, (*_METRIC, *_IMPERIAL))
    if not fitting:
        return "Give the unit, and check it against a known length."
    return f"Likely: {', or '.join(fitting)}. Give the unit, and check it against a known length."


def _fitting(width: float, height: float, symbols: tuple[str, ...]) -> list[str]:
    found = []
    for unit in (unit for symbol in symbols if (unit := unit_of_symbol(symbol)) is not None):
        w, h = width * float(unit.metres), height * float(unit.metres)
        if _LIKELY_M[0] <= max(w, h) <= _LIKELY_M[1]:
            found.append(f"{unit.name} ({w:.1f} m x {h:.1f} m)")
    return found


def _words(m_per_unit: float) -> str:
    """Name of a unit, or its length in metres when it has none."""
    for unit in UNITS:
        if abs(float(unit.metres) / m_per_unit - 1) < 1e-9:
            return unit.name
    return f"{m_per_unit:g} m for one unit"
