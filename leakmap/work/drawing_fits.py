"""Where a new drawing of a level may lie: proposed from what both drawings show, or fitted by picked places.

Nothing is proposed that cannot be tested on the two drawings:

- *as before*: where the old drawing lies, in whichever unit the new file counts, and where neither says a unit, in the
  same; when at least half of the ends of the old lines are there again within 20 mm (both ours);
- *by the grid*: the crossings of axes that both show, by their names;
- *by the texts*: texts that both show once, such as room names; when at least four, and half of them, lie on each other
  within 20 mm (ours). Those that moved are left out and counted.

A scale is taken from the files where their units are known: the level's own while the file counts in the same unit as
the old one, which carries what known lengths said, else the new file's. Only where no unit is known, or when it is
asked for, do places give one. A fit lays two drawings on each other; it checks no scale.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import isclose
from statistics import median
from typing import Final

import numpy as np

from leakmap.base.counted import many
from leakmap.base.errors import BadValue
from leakmap.base.measures import Units
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.drawings.grid_lines import grid_found
from leakmap.geometry.fit import Fit, Freedom, Pair, fitted
from leakmap.geometry.path import Box, Point
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import Drawing, LayerState
from leakmap.model.grid import Grid, crossings
from leakmap.model.job import Job
from leakmap.model.sheet import Sheet, Source
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.laying import residual_words
from leakmap.work.edits.redrawing import redraw
from leakmap.work.linework import NEAR_M
from leakmap.work.snap_drawing import drawn_lines
from leakmap.work.snap_lines import spots_near, spots_of

LEAST_AGAIN: Final = 0.5
LEAST_TEXTS: Final = 4
_MOST_ENDS: Final = 1000
_MOST_TEXTS: Final = 200
"""So many ends and texts are looked at, spread evenly over all (ours)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewUnder:
    """A new drawing that is to lie under a level.

    Attributes:
        sheet: The level as it is.
        before: Its drawing; None where it is blank, or its drawing cannot be read any more.
        source: The new drawing's file.
        drawing: The new drawing as read.
        grid: The grid of the job; None where none is set.
    """

    sheet: Sheet
    before: Drawing | None
    source: Source
    drawing: Drawing
    grid: Grid | None = None

    @property
    def unit_m(self) -> float | None:
        """Metres of one unit of the new drawing, as the user or the file says; None where nobody does."""
        return self.source.unit or self.drawing.unit.m_per_unit

    @property
    def unit_before_m(self) -> float | None:
        """The same of the drawing before."""
        if self.sheet.source is None or self.before is None:
            return None
        return self.sheet.source.unit or self.before.unit.m_per_unit

    @property
    def scale_known(self) -> bool:
        """Whether the new drawing's scale is taken from what the files say."""
        return self.unit_m is not None

    def placed(self, placement: Placement) -> Sheet:
        """The level with the new drawing."""
        return replace(self.sheet, source=self.source, placement=placement)


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A placement of a new drawing.

    Attributes:
        words: What it goes by, such as "by the grid".
        why: What speaks for it, and how well it fits, as one sentence.
        residuals_m: What each place is out by; empty where it goes by no places.
        doubtful: Whether it does not fit within the drawing tolerance.
    """

    words: str
    why: str
    placement: Placement
    residuals_m: tuple[float, ...] = ()
    doubtful: bool = False


def proposals(new: NewUnder, *, progress: Progress = UNWATCHED) -> tuple[Placed, ...]:
    """Where the new drawing may lie, the surest first; empty where nothing reliable says so.

    Raises:
        Stopped: The watcher asked to stop.
    """
    start = beginning(new)
    found = [_as_before(new, progress), _by_grid(new, start, progress), _by_texts(new, start, progress)]
    return tuple(sorted((placed for placed in found if placed is not None), key=lambda placed: placed.doubtful))


def beginning(new: NewUnder) -> Placement:
    """Where the new drawing is shown before anything is known: its middle on the middle of the old one, in its scale."""
    old_box, box = _box(new.before), _box(new.drawing)
    x_scale, y_scale = _scales(new) or _as_wide(new.sheet, old_box, box)
    at = new.sheet.placement.to_site(_middle(old_box)) if old_box is not None else (0.0, 0.0)
    origin = _middle(box) if box is not None and old_box is not None else (0.0, 0.0)
    turn_deg = new.sheet.placement.turn_deg if new.before is not None else 0.0
    return Placement(origin=origin, x_m_per_unit=x_scale, y_m_per_unit=y_scale, turn_deg=turn_deg, at_m=at)


def by_places(
    new: NewUnder, pairs: Sequence[Pair], *, start: Placement | None = None, with_scale: bool = False
) -> Placed:
    """The placement by picked places: one shifts, two turn as well, and three or more share what they are out by.

    Args:
        new: The new drawing.
        pairs: Where each place lies on the new drawing, and in the site plane.
        start: Where it is shown so far, which says the turn while one place is picked, and the scale where that is not
            fitted; None: at the beginning.
        with_scale: Whether places give the scale too, although a unit is known.

    Raises:
        BadValue: There is no place, or the places say no turn.
    """
    fit = _fit(new, start or beginning(new), pairs, with_scale=with_scale)
    said = list(residual_words("the new drawing", new.sheet.name, fit))
    why = said[0] if said else "One place lies on its place; the new drawing is as large and turned as the files say."
    return Placed(
        words="by places",
        why=why,
        placement=fit.placement,
        residuals_m=fit.residuals_m,
        doubtful=not fit.agrees,
    )


def redrawn(job: Job, new: NewUnder, placed: Placed, *, progress: Progress = UNWATCHED) -> Edit:
    """The deed that puts the new drawing under its level where it is placed, with how well it fits.

    Raises:
        EditRefused: The level shows that drawing already, and there.
        Stopped: The watcher asked to stop.
    """
    edit = redraw(
        job,
        sheet=new.sheet.id,
        source=new.source,
        drawing=new.drawing,
        placement=placed.placement,
        before=new.before,
        progress=progress,
    )
    return replace(edit, said=(placed.why, *edit.said))


def _fit(new: NewUnder, start: Placement, pairs: Sequence[Pair], *, with_scale: bool = False) -> Fit:
    turn = Freedom.SCALE if with_scale or not new.scale_known else Freedom.TURN
    return fitted(start, pairs, turn if len(pairs) > 1 else Freedom.SHIFT)


# Scale and extent --------------------------------------------------------------------------------


def _scales(new: NewUnder) -> tuple[float, float] | None:
    """Metres of one unit along x and y; None where no unit is known."""
    if new.unit_m is None:
        return None
    if new.unit_before_m is None:
        return new.unit_m, new.unit_m
    return _times_as_large(new.sheet.placement, new.unit_m / new.unit_before_m)


def _times_as_large(placement: Placement, times: float) -> tuple[float, float]:
    times = 1.0 if isclose(times, 1.0, rel_tol=1e-9) else times
    return placement.x_m_per_unit * times, placement.y_m_per_unit * times


def _as_wide(sheet: Sheet, old: Box | None, new: Box | None) -> tuple[float, float]:
    """A scale that shows a drawing of unknown unit as wide as the old one."""
    if old is None or new is None or new[2] <= new[0] or old[2] <= old[0]:
        return 1.0, 1.0
    scale = sheet.placement.x_m_per_unit * (old[2] - old[0]) / (new[2] - new[0])
    return scale, scale


def _box(drawing: Drawing | None) -> Box | None:
    """Box of what a drawing shows, absolute drawing units."""
    if drawing is None or drawing.shown is None:
        return None
    (x, y), (left, bottom, right, top) = drawing.origin, drawing.shown
    return x + left, y + bottom, x + right, y + top


def _middle(box: Box) -> Point:
    return (box[0] + box[2]) / 2, (box[1] + box[3]) / 2


# As before ---------------------------------------------------------------------------------------


def _as_before(new: NewUnder, progress: Progress) -> Placed | None:
    if new.before is None or (new.unit_m is None) != (new.unit_before_m is None):
        return None
    kept = new.sheet.placement
    x_scale, y_scale = _scales(new) or (kept.x_m_per_unit, kept.y_m_per_unit)
    times = x_scale / kept.x_m_per_unit
    origin = kept.origin[0] / times, kept.origin[1] / times
    placement = replace(kept, origin=origin, x_m_per_unit=x_scale, y_m_per_unit=y_scale)
    out_m = _ends_again(new, new.before, placement, progress)
    if not out_m or len(out_m[0]) < LEAST_AGAIN * out_m[1]:
        return None
    share, typical = _share_words(len(out_m[0]), out_m[1]), Units.METRIC.out_by(median(out_m[0]))
    why = f"Where the old drawing lies, {share} of the ends of its lines are there again, within {typical}."
    return Placed(words="as before", why=why, placement=placement)


def _share_words(some: int, all_of_them: int) -> str:
    """A share in whole per cent, rounded down: what is not all is never called 100 %.

    >>> _share_words(599, 600), _share_words(600, 600)
    ('99%', '100%')
    """
    return f"{100 * some // all_of_them}%"


def _ends_again(
    new: NewUnder, before: Drawing, placement: Placement, progress: Progress
) -> tuple[list[float], int] | None:
    """How far ends of old lines are from the nearest of the new, where that is near; and how many were looked at."""
    progress.report("Gathering the lines of the old drawing", 0, None)
    old = drawn_lines(before, new.sheet)
    progress.report("Gathering the lines of the new drawing", 0, None)
    now = drawn_lines(new.drawing, new.placed(placement))
    progress.report("Looking for ends of the old lines", 0, None)
    if not len(old.start) or not len(now.start):
        return None
    ends = spots_of(np.concatenate((now.start, now.end)))
    chosen = old.start[np.unique(np.linspace(0, len(old.start) - 1, _MOST_ENDS).astype(int))]
    found: list[float] = []
    for x, y in chosen.tolist():
        near = spots_near(ends, (x, y), NEAR_M)
        if len(near):
            found.append(float(np.hypot(*(ends.xy[near[0]] - (x, y)))))
    return found, len(chosen)


# By the grid -------------------------------------------------------------------------------------


def _by_grid(new: NewUnder, start: Placement, progress: Progress) -> Placed | None:
    progress.report("Looking for the grids of both drawings", 0, None)
    there = crossings_shown(new.before, new.sheet) or _named(new.grid)
    progress.report("Looking for the grid of the new drawing", 0, None)
    here = crossings_shown(new.drawing, new.placed(start))
    pairs = [Pair(drawn=start.to_drawing(at), site=there[name]) for name, at in here.items() if name in there]
    fit = _tried(new, start, pairs)
    if fit is None:
        return None
    out = Units.METRIC.out_by(fit.worst_m)
    why = f"Both show a grid; its {len(pairs)} crossings of the same names lie on each other within {out}."
    return Placed(
        words="by the grid",
        why=why,
        placement=fit.placement,
        residuals_m=fit.residuals_m,
        doubtful=not fit.agrees,
    )


def crossings_shown(
    drawing: Drawing | None, sheet: Sheet, *, progress: Progress = UNWATCHED
) -> dict[tuple[str, str], Point]:
    """Crossings of the axes that a sheet's drawing shows, in the site plane, by letter and number.

    Raises:
        Stopped: The watcher asked to stop.
    """
    found = grid_found(drawing, sheet, progress=progress) if drawing is not None else None
    return _named(found.grid if found is not None else None)


def _named(grid: Grid | None) -> dict[tuple[str, str], Point]:
    return {} if grid is None else {(each.letter, each.number): each.at for each in crossings(grid)}


def _tried(new: NewUnder, start: Placement, pairs: Sequence[Pair]) -> Fit | None:
    try:
        return _fit(new, start, pairs) if len(pairs) > 1 else None
    except BadValue:
        return None  # the places say no turn


# By the texts ------------------------------------------------------------------------------------


def _by_texts(new: NewUnder, start: Placement, progress: Progress) -> Placed | None:
    if new.before is None:
        return None
    there, here = _texts_once(new.before, new.sheet), _texts_once(new.drawing, new.placed(start))
    both = [words for words in here if words in there]
    both = both[:: max(1, len(both) // _MOST_TEXTS)]
    pairs = [Pair(drawn=here[words], site=new.sheet.placement.to_site(there[words])) for words in both]
    every = len(pairs)
    least = max(LEAST_TEXTS, every * LEAST_AGAIN)
    while len(pairs) >= least:
        progress.report("Laying texts on each other", every - len(pairs), None)
        fit = _tried(new, start, pairs)
        if fit is None:
            return None
        if fit.worst_m <= NEAR_M:
            left = f"; {many(every - len(pairs), 'other')} moved" if every > len(pairs) else ""
            out = Units.METRIC.out_by(fit.worst_m)
            why = f"{len(pairs)} texts that both show once lie on each other within {out}{left}."
            return Placed(words="by the texts", why=why, placement=fit.placement, residuals_m=fit.residuals_m)
        del pairs[fit.residuals_m.index(fit.worst_m)]
    return None


def _texts_once(drawing: Drawing, sheet: Sheet) -> dict[str, Point]:
    """Where texts stand that a drawing shows once, absolute drawing units."""
    texts = [text for text in _shown_texts(drawing, sheet) if len(text[0]) > 1]
    count = Counter(words for words, _ in texts)
    once = [(words, at) for words, at in texts if count[words] == 1]
    return dict(once)


def _shown_texts(drawing: Drawing, sheet: Sheet) -> Iterator[tuple[str, Point]]:
    wish, (x, y) = dict(sheet.shown), drawing.origin
    shown = [wish.get(layer.name, layer.state is LayerState.ON) for layer in drawing.layers]
    for text in drawing.texts:
        if shown[text.layer]:
            yield text.words.strip(), (x + text.at[0], y + text.at[1])
