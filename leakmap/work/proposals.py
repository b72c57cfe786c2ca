"""Joints proposed from the lines of a drawing: of chosen layers, or of the outline round a place.

A *proposal* is a line that could be a joint; it is none before it is taken. A proposal *lies on* joints that are there
already when at least 80 % of its length comes within 20 mm of them (both ours): joints of the same sheet, the same face
and the same height, one or several together.

Places are (x, y) in metres of the site plane.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final
from uuid import UUID

import numpy as np
import numpy.typing as npt
import shapely

from leakmap.base.counted import many
from leakmap.base.errors import UnusableDrawing
from leakmap.base.findings import Effect, Finding
from leakmap.base.measures import Units
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.drawings.chains import joints_from_layer
from leakmap.geometry.path import Path
from leakmap.geometry.placement import Placement
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, within
from leakmap.model.drawing import Drawing, Strokes
from leakmap.model.job import Job
from leakmap.model.joint import height_of, plan_path
from leakmap.model.words import Face, Kind, Side
from leakmap.work.snap_drawing import placed_xy, places_of_polylines
from leakmap.work.snap_lines import Lines

LEAST_M: Final = 0.10
"""Lines shorter than this are proposed only where somebody asks for them (ours)."""

NEAR_M: Final = 0.020
LEAST_SHARE: Final = 0.8

MOST: Final = 1_000
"""A layer of more lines than this is no layer of joints; a window asks for none of them (ours)."""

OUTLINE: Final = "an outline"
"""Where a proposal comes from that is no layer's."""

_QUAD_SEGS: Final = 8


@dataclass(frozen=True, slots=True)
class Proposal:
    """A line that could be a joint.

    Attributes:
        origin: What it comes from, such as "layer WALLS", or ``OUTLINE``.
    """

    path: Path
    origin: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AsJoint:
    """What proposals become when they are taken.

    Attributes:
        height_m: Height over the floor, on a wall only.
        room_side: Side of the room, in a corner only.
    """

    kind: Kind
    face: Face
    height_m: float = 0.0
    room_side: Side | None = None


def layers_with_lines(drawing: Drawing) -> tuple[tuple[str, int], ...]:
    """Layers that have lines, each with the number of its polylines, in the order of the file."""
    counts = np.bincount(drawing.strokes.layer, minlength=len(drawing.layers)).tolist()
    by_name: Counter[str] = Counter()
    for layer, count in zip(drawing.layers, counts, strict=False):
        by_name[layer.name] += count
    return tuple((name, count) for name, count in by_name.items() if count)


def points_on(drawing: Drawing, layer: str) -> int:
    """Number of the points of a layer's lines: what looking through it costs."""
    return len(only_layer(drawing, layer).strokes.xy)


def only_layer(drawing: Drawing, layer: str) -> Drawing:
    """The drawing with the lines of one layer and nothing else."""
    wanted = [number for number, found in enumerate(drawing.layers) if found.name == layer]
    kept = np.isin(drawing.strokes.layer, wanted)
    counts = np.diff(drawing.strokes.starts)
    strokes = Strokes(
        drawing.strokes.xy[np.repeat(kept, counts)],
        np.concatenate(((0,), np.cumsum(counts[kept]))).astype(np.int32),
        drawing.strokes.layer[kept],
    )
    return replace(drawing, strokes=strokes, texts=(), pictures=(), findings=())


def lines_on(drawing: Drawing, placement: Placement, layers: Iterable[str]) -> Lines:
    """Lines of some layers with their index, metres of the site plane, whether the layers are shown or not."""
    chosen = set(layers)
    wanted = [number for number, found in enumerate(drawing.layers) if found.name in chosen]
    kept = np.isin(drawing.strokes.layer, wanted)
    stroke = np.repeat(np.arange(len(drawing.strokes)), np.diff(drawing.strokes.starts))
    of_kept = kept[stroke] if len(stroke) else np.zeros(0, dtype=np.bool_)
    xy = placed_xy(drawing.strokes.xy[of_kept], drawing.origin, placement)
    return places_of_polylines(xy, stroke[of_kept]).lines


def proposed_by_layer(
    drawing: Drawing, placement: Placement, layer: str, *, most: int | None = None, progress: Progress = UNWATCHED
) -> tuple[tuple[Proposal, ...], tuple[Finding, ...]]:
    """What the lines of a layer propose, chained where they meet, and what was noticed in them.

    Args:
        drawing: The drawing.
        placement: Where it lies in the site plane.
        layer: Name of the layer.
        most: A layer that would propose more than this proposes nothing; None: any number.
        progress: Watches.

    Raises:
        UnusableDrawing: There are no lines on such a layer, or so many that it is no layer of joints.
        Stopped: The watcher asked to stop.
    """
    progress.report(f"Looking through layer {layer}", 0, None)
    paths, noticed = joints_from_layer(drawing, placement, layer)
    if most is not None and len(paths) > most:
        text = f"Layer {layer} holds {len(paths):,} separate lines; one of more than {most:,} is no layer of joints."
        raise UnusableDrawing(f"{text} Nothing is proposed; choose another.", where=layer)
    return tuple(Proposal(path, f"layer {layer}") for path in paths), noticed


def long_enough(proposals: Iterable[Proposal], least_m: float) -> tuple[Proposal, ...]:
    """Proposals that are not shorter than a least length."""
    return tuple(proposal for proposal in proposals if not _shorter(proposal, least_m))


def too_short(proposals: Iterable[Proposal], least_m: float, units: Units) -> tuple[Finding, ...]:
    """The finding that some are left out for their length; none where none is."""
    count = sum(_shorter(proposal, least_m) for proposal in proposals)
    if not count:
        return ()
    text = f"Left out, shorter than {units.with_unit(least_m)}: {many(count, 'line')}."
    return (Finding("too-short", "", text, Effect.LOST),)


def lying_on(job: Job, sheet: UUID, proposals: Sequence[Proposal], as_joint: AsJoint) -> tuple[tuple[str, ...], ...]:
    """For each proposal the references of the joints that it lies on, most of it first; empty where it lies on none.

    Args:
        job: The job.
        sheet: The sheet of the drawing.
        proposals: The proposals.
        as_joint: What they would become.
    """
    return Beds(job, sheet, as_joint).under(proposals)


class Beds:
    """Joints that proposals may lie on, ready for many questions.

    Args:
        job: The job.
        sheet: The sheet of the drawing.
        as_joint: What proposals would become: joints of the same face and height count.
    """

    def __init__(self, job: Job, sheet: UUID, as_joint: AsJoint) -> None:
        height = _height_m(job, sheet, as_joint)
        storey = job.sheets[sheet].storey_height_m
        alike = [
            (joint.ref, path)
            for joint in job.joints.values()
            if joint.sheet == sheet and joint.face is as_joint.face and (path := plan_path(joint)) is not None
            if within(abs(height_of(joint, storey) - height), DRAWING_TOLERANCE_M)
        ]
        self._refs = [ref for ref, _ in alike]
        self._courses = _lines([path for _, path in alike])
        self._tree = shapely.STRtree(self._courses)
        self._sleeves: dict[int, shapely.Geometry] = {}

    def under(self, proposals: Sequence[Proposal]) -> tuple[tuple[str, ...], ...]:
        """For each proposal the references of the joints that it lies on, most of it first; empty where on none."""
        if not self._refs or not proposals:
            return ((),) * len(proposals)
        lines = _lines([proposal.path for proposal in proposals])
        near: list[list[int]] = [[] for _ in proposals]
        for line, course in sorted(self._tree.query(lines, predicate="dwithin", distance=NEAR_M).T.tolist()):
            near[line].append(course)
        return tuple(
            _carriers(line, [(self._refs[number], self._sleeve(number)) for number in numbers])
            for line, numbers in zip(lines.tolist(), near, strict=True)
        )

    def _sleeve(self, number: int) -> shapely.Geometry:
        """The ground within reach of a joint."""
        if number not in self._sleeves:
            self._sleeves[number] = shapely.buffer(self._courses[number], NEAR_M, quad_segs=_QUAD_SEGS)
        return self._sleeves[number]


def _lines(paths: Sequence[Path]) -> npt.NDArray[np.object_]:
    """Paths as lines of shapely, all at once, which is quicker than one by one."""
    corners = [path.corners for path in paths]
    numbers = np.repeat(np.arange(len(corners)), np.array(list(map(len, corners)), dtype=np.intp))
    xy = np.array([at for each in corners for at in each], dtype=np.float64).reshape(-1, 2)
    lines: npt.NDArray[np.object_] = shapely.linestrings(xy, indices=numbers)
    return lines


def words_for(proposals: Sequence[Proposal]) -> str:
    """What taking some is called, so that "Undo " + words reads well.

    >>> words_for([Proposal(Path(((0, 0), (1, 0))), "layer WALLS")] * 12)
    'take 12 joints from layer WALLS'
    """
    origins = {proposal.origin for proposal in proposals}
    origin = origins.pop() if len(origins) == 1 else "lines"
    return f"take {many(len(proposals), 'joint')} from {origin}"


def _shorter(proposal: Proposal, least_m: float) -> bool:
    return not within(least_m, proposal.path.length_m)


def _height_m(job: Job, sheet: UUID, as_joint: AsJoint) -> float:
    """Height of what is wanted over the sheet's floor."""
    if as_joint.face is Face.WALL:
        return as_joint.height_m
    return job.sheets[sheet].storey_height_m if as_joint.face is Face.SOFFIT else 0.0


def _carriers(line: shapely.LineString, near: Sequence[tuple[str, shapely.Geometry]]) -> tuple[str, ...]:
    """References of the joints that carry a line together, as few as do; empty where all of them carry too little."""
    sleeves = sorted(near, key=lambda found: -line.intersection(found[1]).length)
    taken: list[str] = []
    left = line
    for ref, sleeve in sleeves:
        taken.append(ref)
        left = left.difference(sleeve)
        if 1 - left.length / line.length >= LEAST_SHARE:
            return tuple(taken)
    return ()
