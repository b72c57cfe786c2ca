"""What a drawing's own content says of its unit: its dimension texts, and the arcs of its doors.

Two kinds of evidence, each only a hint with its reason:

* **Dimensions**: a number beside the middle of a line that runs as the text does. Its value through the
  line's length is the unit; where several different numbers give the same one, that is no chance.
  Whole numbers of three digits and more count as millimetres, numbers with decimals as metres, and
  feet and inches as they are written (common practice, no source).
* **Doors**: quarter circles. A door leaf is 0.60 to 1.20 m wide (common practice, no source), which among
  millimetres, centimetres, metres, inches and feet fits one unit only.

Lengths here are drawing units; those of a page are millimetres on paper, so that a unit of 0.1 m
means a scale of 1:100.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, log, radians
from typing import Final

import numpy as np
import shapely

from leakmap.base.findings import Effect, Finding
from leakmap.base.units import UNITS
from leakmap.model.drawing import Drawing, FloatArray, Strokes, Text

LEAST_TEXTS: Final = 3
"""So many different numbers must agree (ours)."""

LEAST_AGREEING: Final = 0.3
"""Share of the different numbers beside lines that must agree: less is chance, as room numbers give it (ours)."""

LEAST_ARCS: Final = 3
"""So many doors must there be, and most of them must agree (ours)."""

AGREE_SHARE: Final = 0.005
"""Units that differ by less are one."""

DOUBT_SHARE: Final = 0.02
"""A unit that differs by more from what the dimensions say is doubted (ours)."""

LEAF_M: Final = (0.60, 1.20)
"""Width of a door leaf (common practice, no source)."""

_MOST_TEXTS: Final = 5000
_MOST_ARCS: Final = 5000
_MOST_PAIRS: Final = 200_000
_PARALLEL: Final = cos(radians(2.0))
_QUARTER_DEG: Final = (80.0, 100.0)
_ROUND_SHARE: Final = 0.02
_WHOLE: Final = re.compile(r"[1-9]\d{2,5}")
_DECIMAL: Final = re.compile(r"(\d{1,3})[.,](\d{2,3})(?:\s?m)?")
_FEET: Final = re.compile(r"(\d{1,3})\s?['′]\s?-?\s?(?:(\d{1,2})?\s?(?:(\d{1,2})/(\d{1,2}))?\s?[\"″])?")
_LIKELY: Final = tuple(unit for unit in UNITS if unit.symbol in {"mm", "cm", "m", "in", "ft"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Guess:
    """A unit that the content of a drawing suggests.

    Attributes:
        m_per_unit: Metres of one drawing unit, greater than zero.
        reason: What says so, without a full stop, such as "12 dimensions such as 4500 fit".
    """

    m_per_unit: float
    reason: str


def unit_by_dimensions(drawing: Drawing) -> Guess | None:
    """The unit that most dimension texts agree on; None where too few do."""
    numbers = [(text, value) for text in drawing.texts if (value := metres_of(text.words)) is not None][:_MOST_TEXTS]
    if len(numbers) < LEAST_TEXTS:
        return None
    units, values = [], []
    for text, length in _lines_beside([text for text, _ in numbers], _pieces(drawing.strokes)):
        units.append(log(numbers[text][1] / length))
        values.append(numbers[text][1])
    if not units:
        return None
    best = _most_agreed(np.array(units), np.array(values))
    agreed = {round(values[index], 9) for index in best}
    measuring = len(set(np.round(values, 9).tolist()))
    if len(agreed) < max(LEAST_TEXTS, LEAST_AGREEING * measuring):
        return None
    unit = float(np.exp(np.median([units[index] for index in best])))
    example = next(text.words.strip() for text, value in numbers if round(value, 9) in agreed)
    return Guess(m_per_unit=unit, reason=f"{len(agreed)} different dimensions, such as {example}, fit their lines")


def unit_by_doors(drawing: Drawing) -> Guess | None:
    """The one of the usual units in which quarter circles are as wide as doors; None where none or few do."""
    radii = np.array(list(_quarter_radii(drawing.strokes)))
    if len(radii) < LEAST_ARCS:
        return None
    for unit in _LIKELY:
        widths = radii * float(unit.metres)
        fitting = widths[(widths >= LEAF_M[0]) & (widths <= LEAF_M[1])]
        if len(fitting) >= LEAST_ARCS and len(fitting) > len(radii) / 2:
            words = f"{len(fitting)} quarter circles would be doors of {np.median(fitting):.2f} m"
            return Guess(m_per_unit=float(unit.metres), reason=words)
    return None


def unit_findings(drawing: Drawing, *, page: bool = False) -> tuple[Finding, ...]:
    """What its content says of a drawing's unit, where that is more than its own word or against it.

    Args:
        drawing: The drawing.
        page: Whether its unit is the millimetre on paper, so that doors say nothing.
    """
    guess = unit_by_dimensions(drawing) or (None if page else unit_by_doors(drawing))
    if guess is None:
        return ()
    means = unit_words(guess.m_per_unit, page=page)
    known = drawing.unit.m_per_unit
    if known is None:
        text = f"The content suggests {means}: {guess.reason}. Check it by a known length."
        return (Finding("unit-guessed", "", text, Effect.LOOK),)
    if abs(guess.m_per_unit / known - 1) <= DOUBT_SHARE:
        return ()
    text = f"The content suggests {means}: {guess.reason}; but {drawing.unit.reason}. Check it by a known length."
    return (Finding("unit-contradicted", "", text, Effect.LOOK),)


def unit_words(m_per_unit: float, *, page: bool) -> str:
    """A unit, or the scale of a page, in words.

    >>> unit_words(0.001, page=False), unit_words(0.0502, page=True), unit_words(0.0123, page=False)
    ('millimetre', 'a scale of 1:50', '0.0123 m for one unit')
    """
    if page:
        return f"a scale of 1:{1000 * m_per_unit:.0f}"
    named = next((unit.name for unit in UNITS if abs(float(unit.metres) / m_per_unit - 1) <= AGREE_SHARE), None)
    return named or f"{m_per_unit:.3g} m for one unit"


def metres_of(words: str) -> float | None:
    r"""The length that a dimension text gives, metres; None where it is none.

    >>> [metres_of(words) for words in ("4500", "4.50", "4,500 m", "B2", "12", "0.00")]
    [4.5, 4.5, 4.5, None, None, None]
    >>> [round(metres_of(words), 6) for words in ("10'", "10' 6\"", "10'-6 1/2\"")]
    [3.048, 3.2004, 3.2131]
    """
    words = words.strip()
    if _WHOLE.fullmatch(words):
        return int(words) / 1000
    if found := _DECIMAL.fullmatch(words):
        return float(f"{found[1]}.{found[2]}") or None
    if found := _FEET.fullmatch(words):
        feet, inches, over, under = (int(part or 0) for part in found.groups())
        if found[4] and not under:
            return None
        return (feet * 12 + inches + (over / under if under else 0)) * 0.0254 or None
    return None


def _pieces(strokes: Strokes) -> FloatArray:
    """All straight pieces with an extent, ``(k, 2, 2)``."""
    if len(strokes.xy) < 2:
        return np.empty((0, 2, 2))
    within = np.ones(len(strokes.xy) - 1, dtype=np.bool_)
    within[strokes.starts[1:-1] - 1] = False
    pairs = np.stack((strokes.xy[:-1], strokes.xy[1:]), axis=1)[within]
    found: FloatArray = pairs[np.hypot(*(pairs[:, 1] - pairs[:, 0]).T) > 0]
    return found


def _lines_beside(texts: list[Text], pieces: FloatArray) -> Iterator[tuple[int, float]]:
    """Which texts may be the dimension of a line, with its length: it runs as they do, and they stand at its middle."""
    turns = np.radians([text.turn_deg for text in texts])
    heights = np.array([text.height for text in texts])
    along = np.stack((np.cos(turns), np.sin(turns)), axis=1)
    upward = along[:, ::-1] * (-1.0, 1.0)
    aside = (
        np.array([(0.6 * len(text.words) * (0.5 - text.across), 0.5 - text.up) for text in texts]) * heights[:, None]
    )
    middles = np.array([text.at for text in texts]) + along * aside[:, :1] + upward * aside[:, 1:]
    reach = 2.5 * heights
    boxes = shapely.box(*(middles - reach[:, None]).T, *(middles + reach[:, None]).T)
    which, text = shapely.STRtree(boxes).query(shapely.linestrings(pieces))[:, :_MOST_PAIRS]
    runs, centres = pieces[which, 1] - pieces[which, 0], pieces[which].mean(axis=1)
    lengths = np.hypot(*runs.T)
    parallel = np.abs((runs * along[text]).sum(axis=1)) >= _PARALLEL * lengths
    off = np.abs(((middles[text] - centres) * runs).sum(axis=1)) / lengths
    fitting = parallel & (lengths > 2 * heights[text]) & (off <= np.maximum(0.1 * lengths, heights[text]))
    yield from zip(text[fitting].tolist(), lengths[fitting].tolist(), strict=True)


def _most_agreed(units: FloatArray, values: FloatArray) -> list[int]:
    """Indices of the logarithms within one tolerance that the most different values stand behind."""
    order = np.argsort(units, kind="stable")
    ends = np.searchsorted(units[order], units[order] + AGREE_SHARE, side="right")
    best: list[int] = []
    most = 0
    for begin, end in enumerate(ends):
        if end - begin <= most:
            continue
        different = len(set(np.round(values[order[begin:end]], 9).tolist()))
        if different > most:
            most, best = different, order[begin:end].tolist()
    return best


def _quarter_radii(strokes: Strokes) -> Iterator[float]:
    """Radii of the curves that are quarter circles."""
    counts = np.diff(strokes.starts)
    opened = (strokes.xy[strokes.starts[:-1]] != strokes.xy[strokes.starts[1:] - 1]).any(axis=1)
    for index in np.flatnonzero(opened & (counts >= 5) & (counts <= 200))[:_MOST_ARCS].tolist():
        radius = _quarter_radius(strokes.polyline(index))
        if radius is not None:
            yield radius


def _quarter_radius(points: FloatArray) -> float | None:
    """Radius of a quarter circle; None for any other curve."""
    first, last = points[0], points[-1]
    system = 2 * np.array((points[len(points) // 2] - first, last - first))
    if abs(np.linalg.det(system)) <= 1e-9 * np.abs(system).max() ** 2:
        return None
    centre = first + np.linalg.solve(system, (system**2).sum(axis=1) / 4)
    reach = points - centre
    radii = np.hypot(*reach.T)
    turn = np.degrees(np.unwrap(np.arctan2(reach[:, 1], reach[:, 0])))
    sweep = abs(float(turn[-1] - turn[0]))
    uneven = float(np.ptp(radii)) > _ROUND_SHARE * float(radii[0])
    return None if uneven or not _QUARTER_DEG[0] <= sweep <= _QUARTER_DEG[1] else float(radii[0])
