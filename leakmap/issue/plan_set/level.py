"""One level while its sheets are made: what it shows, where each thing lies, and what a part of it shows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from uuid import UUID

from leakmap.geometry.boxes import box_round, corners_of, meet, size_of, widened
from leakmap.geometry.path import Box, Point
from leakmap.issue.plan_set.set_out import LevelSetOut
from leakmap.issue.schedule_pdf.backdrop import PlacedText, shown_box, text_box, texts_of
from leakmap.issue.schedule_pdf.lettering import Lettering
from leakmap.issue.schedule_pdf.paper import smallest_sheet
from leakmap.model.drawing import Drawing
from leakmap.model.job import Job
from leakmap.model.joint import Joint, plan_box, plan_path
from leakmap.model.leak import Leak
from leakmap.model.sheet import Sheet
from leakmap.repair.results import Repairs, Zone

_LEAST_M = 1.0


@dataclass(eq=False)
class Level:
    """One level of a job, with its drawing and its repairs.

    Attributes:
        drawing: None for a blank sheet, or where the drawing is not at hand.
        set_out: None where no zone ends on it.
    """

    job: Job
    repairs: Repairs
    sheet: Sheet
    drawing: Drawing | None
    set_out: LevelSetOut | None
    lettering: Lettering

    @cached_property
    def joints(self) -> dict[UUID, Box]:
        """Boxes of the joints that the level shows, by id."""
        found = (joint for joint in self.job.joints.values() if self.sheet.id in {joint.sheet, joint.head_sheet})
        return {joint.id: plan_box(joint) for joint in found}

    @cached_property
    def leaks(self) -> dict[UUID, Box]:
        """Boxes of the leaks on the level, by id."""
        return {
            leak.id: _leak_box(self.job, leak)
            for leak in self.job.leaks.values()
            if self.job.joints[leak.joint].sheet == self.sheet.id
        }

    @cached_property
    def zones(self) -> dict[str, Box]:
        """Boxes of what the zones take of the level, by reference."""
        half = self.job.rules.band_m / 2
        return {
            zone.ref: widened(_round(points), half)
            for zone in self.repairs.zones
            if self.sheet.id in zone.sheets and (points := _zone_points(self.job, zone, self.sheet.id))
        }

    @cached_property
    def zone_lines(self) -> list[tuple[Point, ...]]:
        """Lines in plan of what the zones take of the level; none of vertical joints, which are points."""
        every = (piece for zone in self.repairs.zones for piece in zone.pieces)
        here = (piece for piece in every if self.job.joints[piece.joint].sheet == self.sheet.id)
        lines = (_points(self.job.joints[piece.joint], piece.from_m, piece.to_m) for piece in here)
        return [line for line in lines if len(line) > 1]

    @cached_property
    def texts(self) -> list[tuple[PlacedText, Box]]:
        """Every line of text of the drawing with its box."""
        found = texts_of(self.sheet, self.drawing) if self.drawing is not None else []
        return [(text, text_box(text, self.lettering)) for text in found]

    @cached_property
    def drawn(self) -> Box | None:
        """Box round what its drawing shows; None where that is nothing, or there is none at hand."""
        return shown_box(self.sheet, self.drawing) if self.drawing is not None else None

    @property
    def largest_paper(self) -> str:
        """The largest sheet that it is put on; where nothing is to be seen, the smallest that there is."""
        largest = self.job.rules.largest_paper
        return largest if self.drawn or self.marked else smallest_sheet(largest)

    @property
    def box(self) -> Box:
        """Box round all that it shows, 1 m wide and high at least; round the origin when there is nothing."""
        boxes = [*self.joints.values(), *self.zones.values(), *([self.drawn] if self.drawn else [])]
        found = _round(corner for box in boxes for corner in corners_of(box))
        wide, high = (max(_LEAST_M - side, 0.0) / 2 for side in size_of(found))
        return widened(found, wide, high)

    @property
    def marked(self) -> Box | None:
        """Box round its joints and zones; None where it has none."""
        boxes = [*self.joints.values(), *self.zones.values()]
        return box_round(corner for box in boxes for corner in corners_of(box))

    def seen_in(self, box: Box) -> tuple[Job, Repairs]:
        """The job and its repairs with only what a part of the level shows."""
        zones = [zone for zone in self.repairs.zones if zone.ref in self.zones and meet(self.zones[zone.ref], box)]
        kept = {joint for joint, place in self.joints.items() if meet(place, box)}
        kept |= {piece.joint for zone in zones for piece in zone.pieces}
        kept |= {relief.joint for zone in zones for relief in zone.relief}
        leaks = {leak for leak, place in self.leaks.items() if meet(place, box)}
        kept |= {self.job.leaks[leak].joint for leak in leaks}
        job = replace(
            self.job,
            joints={key: joint for key, joint in self.job.joints.items() if key in kept},
            leaks={key: leak for key, leak in self.job.leaks.items() if key in leaks},
            cuts={key: cut for key, cut in self.job.cuts.items() if cut.joint in kept},
        )
        return job, replace(self.repairs, zones=tuple(zones))


def _leak_box(job: Job, leak: Leak) -> Box:
    return _round(_points(job.joints[leak.joint], leak.from_m, leak.to_m))


def _zone_points(job: Job, zone: Zone, sheet: UUID) -> list[Point]:
    pieces = (piece for piece in zone.pieces if job.joints[piece.joint].sheet == sheet)
    return [point for piece in pieces for point in _points(job.joints[piece.joint], piece.from_m, piece.to_m)]


def _points(joint: Joint, from_m: float, to_m: float) -> tuple[Point, ...]:
    path = plan_path(joint)
    if path is None:
        assert joint.point is not None
        return (joint.point,)
    return path.part(from_m, to_m)


def _round(points: Iterable[Point]) -> Box:
    """Box round points; the origin when there are none."""
    return box_round(points) or (0.0, 0.0, 0.0, 0.0)
