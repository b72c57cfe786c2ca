"""The band of a strip as the plan draws it: parts by hatching, leaks by strokes, relief points, cuts, what is hidden."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import shapely

from leakmap.geometry.path import Path
from leakmap.geometry.tolerance import TIE_M
from leakmap.issue.marks.course import Course
from leakmap.issue.marks.leaks import leak_path, sleeve, strokes
from leakmap.issue.marks.lines import joint_lines
from leakmap.issue.marks.plan import blind_lines, cut_bars
from leakmap.issue.marks.primitives import Coat, Primitive
from leakmap.issue.marks.signs import relief_sign
from leakmap.issue.marks.zones import ShownPiece, band_marks
from leakmap.issue.schedule_pdf.ink import Ink, Onto
from leakmap.issue.schedule_pdf.lettering import MM
from leakmap.issue.schedule_pdf.pen_box import PenBox
from leakmap.issue.schedule_pdf.strip_lines import StripLine
from leakmap.repair.results import Why

BAND_HALF_MM: Final = 2.6
_BEYOND_MM: Final = 3.0
"""What the joint goes on with beyond each end."""


def draw_band(pen: PenBox, line: StripLine, scale: int, start_mm: tuple[float, float]) -> None:
    """Draw it.

    Args:
        pen: Draws on the page.
        line: What is shown.
        scale: Denominator.
        start_mm: Where the line begins on the page.
    """
    beyond, half = _BEYOND_MM * scale / 1000, BAND_HALF_MM * scale / 1000
    shift = line.from_m - beyond
    course = Course(Path(((0.0, 0.0), (line.to_m - line.from_m + 2 * beyond, 0.0))))
    onto = Onto((beyond, 0.0), 1000 / scale * MM, (start_mm[0] * MM, start_mm[1] * MM))
    shown = [
        ShownPiece(replace(each, from_m=each.from_m - shift, to_m=each.to_m - shift), course, half)
        for each in line.pieces
        if each.to_m > each.from_m
    ]
    marks = []
    for run in _runs([each for each in shown if each.piece.why is not Why.BLIND]):
        outline = shapely.box(run[0].piece.from_m, -half, run[-1].piece.to_m, half)
        parts = [(each, shapely.box(each.piece.from_m, -half, each.piece.to_m, half)) for each in run]
        marks += band_marks("", outline, run, scale, provisional=line.zone.provisional, parts=parts)
    leaks = [
        (leak_path(course, max(a, line.from_m) - shift, min(b, line.to_m) - shift, scale), wet.leak.wetness)
        for wet in line.row.leaks
        for a, b in wet.spans
        if max(a, line.from_m) <= min(b, line.to_m)
    ]
    reliefs = [(each.at_m - shift, 0.0) for each in line.reliefs]
    items: list[Primitive] = [item for coat in (Coat.TINT, Coat.BAND) for mark in marks if mark.coat is coat
                              for item in mark.primitives]  # fmt: skip
    items += [item for path, wetness in leaks for item in sleeve(path, wetness, scale, reliefs)]
    items += joint_lines(line.joint.kind, course, scale)
    items += [item for path, wetness in leaks for item in strokes(path, wetness, scale, reliefs)]
    for each in shown:
        if each.piece.why is Why.BLIND:
            items += blind_lines(course, each.piece.from_m, each.piece.to_m, scale)
    items += [item for cut in line.row.cuts if line.from_m - TIE_M <= cut <= line.to_m + TIE_M
              for item in cut_bars(course, cut - shift, half * 1.25)]  # fmt: skip
    items += [item for place in reliefs for item in relief_sign(place, (0.0, 1.0), scale)]
    Ink(pen.canvas, onto, pen.lettering).draw(items)


def _runs(shown: Sequence[ShownPiece]) -> list[list[ShownPiece]]:
    runs: list[list[ShownPiece]] = []
    for each in shown:
        if runs and each.piece.from_m <= runs[-1][-1].piece.to_m + TIE_M:
            runs[-1].append(each)
        else:
            runs.append([each])
    return runs
