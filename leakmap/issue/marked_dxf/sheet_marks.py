"""One sheet put into the model space of its drawing: marks, blocks with attributes, notes beside the plan."""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from uuid import UUID

from leakmap.geometry.boxes import box_round
from leakmap.geometry.path import Box, Point
from leakmap.issue.heading import Heading
from leakmap.issue.marked_dxf.facts import FactBook
from leakmap.issue.marked_dxf.key import write_key
from leakmap.issue.marked_dxf.notes import (
    HEADING_MM,
    TABLE_MM,
    Spot,
    paper_plane,
    write_heading,
    write_tables,
)
from leakmap.issue.marked_dxf.paint import REFERENCE, TEXT_CONTENT, Painter
from leakmap.issue.marked_dxf.paper_space import Notes
from leakmap.issue.marked_dxf.plane import Plane
from leakmap.issue.marked_dxf.tags import Facts, Tagger
from leakmap.issue.marked_dxf.width import width_mm
from leakmap.issue.marked_dxf.xdata import Said, put_xdata
from leakmap.issue.marks.labels import HARD
from leakmap.issue.marks.plan import marks_on
from leakmap.issue.marks.primitives import Area, Label, Mark, What
from leakmap.model.job import Job
from leakmap.model.joint import Blind, Joint, plan_path
from leakmap.repair.results import Relief, Repairs, Zone

BESIDE_MM = 24.0
"""Free strip between the plan and the notes beside it."""

_GAP_MM = 12.0


@dataclass(frozen=True, kw_only=True)
class SheetWriter:
    """Writes one sheet.

    Attributes:
        job: The job in the sheet's level plane; its work-out likewise.
        book: Attributes of everything.
        heading: What the paper says of itself.
        painter: Of the model space, in the sheet's plane.
        tagged: What has its block in this file already; a second label of it is plain words, so that
            a program that adds up blocks counts nothing twice.
    """

    job: Job
    repairs: Repairs
    book: FactBook
    heading: Heading
    painter: Painter
    tagged: set[tuple[What, str]]

    @property
    def plane(self) -> Plane:
        """The sheet's plane."""
        return self.painter.plane

    @property
    def tagger(self) -> Tagger:
        """For blocks with attributes."""
        return Tagger(space=self.painter.space, plane=self.plane, discipline=self.painter.discipline)

    def write(self, avoid: Iterable[Box]) -> Box | None:
        """Put all marks; labels keep off the boxes of the level plane in ``avoid`` where they can.

        Gives the box round all words on the plan and their leaders, drawing units; None where there are none.
        """
        sheet = self.book.sheet.id
        marks = marks_on(
            self.job,
            self.repairs,
            sheet,
            scale=self.plane.scale,
            width_of=width_mm,
            avoid=[(box, HARD) for box in avoid],
        )
        reliefs = self._reliefs()
        for mark in marks:
            if mark.what is What.RELIEF:
                zone, relief = reliefs[mark.ref, mark.item].popleft()
                said = self.book.said_at(What.RELIEF, zone.ref, relief.joint, relief.at_m, relief.at_m)
                with self._saying(said):
                    self.tagger.relief(mark, self.book.relief(zone, relief))
                continue
            with self._saying(self.book.said(mark)):
                if _is_lozenge(mark):
                    self.tagger.lozenge(_middle(mark), mark.part)
                else:
                    self.painter.mark(mark)
                if mark.part == REFERENCE:
                    self._reference(mark)
        self._silent_tags()
        labels = (part for mark in marks for part in mark.primitives if isinstance(part, Label))
        return box_round(self.plane.places(point for label in labels for point in (*_halo(label), *label.leader)))

    @contextmanager
    def _saying(self, said: Said) -> Iterator[None]:
        """Let all that is put inside say what it marks."""
        count = len(self.painter.space)
        yield
        put_xdata(self.painter.space[count:], said)

    def _reliefs(self) -> Mapping[tuple[str, UUID | None], deque[tuple[Zone, Relief]]]:
        found: dict[tuple[str, UUID | None], deque[tuple[Zone, Relief]]] = defaultdict(deque)
        for zone in self.repairs.zones:
            for relief in zone.relief:
                found[zone.ref, relief.joint].append((zone, relief))
        return found

    def _reference(self, mark: Mark) -> None:
        for label in mark.primitives:
            assert isinstance(label, Label)
            self.painter.wipe(_halo(label), TEXT_CONTENT.get(mark.what, "JOINT-TEXT"))
            if (mark.what, mark.ref) in self.tagged:
                self.painter.label_words(label, mark)
            else:
                self.tagger.label(mark.what, label, self._facts(mark))
                self.tagged.add((mark.what, mark.ref))

    def _facts(self, mark: Mark) -> Facts:
        if mark.what is What.ZONE:
            return self.book.zone(self.book.zone_called[mark.ref])
        assert mark.item is not None
        if mark.what is What.LEAK:
            return self.book.leak(self.job.leaks[mark.item])
        joint = self.job.joints[mark.item]
        return self.book.vertical(joint) if mark.what is What.VERTICAL else self.book.joint(joint)

    def _silent_tags(self) -> None:
        """Blocks of what has no words on the plan: blind stretches and cuts."""
        for joint in self.job.joints.values():
            for blind in joint.blind if self.book.on_sheet(joint.id) else ():
                at = _in_plan(joint, _middle_of(joint, blind))
                with self._saying(self.book.said_at(What.BLIND, joint.ref, joint.id, blind.from_m, blind.to_m)):
                    self.tagger.point(What.BLIND, at, self.book.blind(joint, blind))
        for cut in self.job.cuts.values():
            if self.book.on_sheet(cut.joint):
                joint = self.job.joints[cut.joint]
                with self._saying(self.book.said_at(What.CUT, joint.ref, joint.id, cut.at_m, cut.at_m)):
                    self.tagger.point(What.CUT, _in_plan(joint, cut.at_m), self.book.cut(cut))

    def write_beside(self, corner: Point) -> Notes:
        """Put heading, key and tables with their upper left corner at a drawing point."""
        paper = paper_plane(self.plane, corner)
        spot = Spot(painter=Painter(space=self.painter.space, plane=paper, discipline=self.painter.discipline))
        down = write_heading(spot, self.heading, self.book.sheet.name, self.plane.scale, self.book.job.units)
        down += _GAP_MM / 2
        down += write_key(spot.moved(0, down), self.book.job.units)
        rows = write_tables(spot.moved(HEADING_MM + _GAP_MM, 0), self.book)
        down = max(down, rows[-1].span[1])
        right, low = paper.place(spot.at(HEADING_MM + _GAP_MM + TABLE_MM, down))
        table_at = paper.place(spot.at(HEADING_MM + _GAP_MM, 0))
        return Notes(box=(corner[0], low, right, corner[1]), table_at=table_at, rows=rows)


def _middle_of(joint: Joint, blind: Blind) -> float:
    """Chainage of the middle of a blind stretch, which may pass the start of a closed joint."""
    length = blind.to_m - blind.from_m
    around = length if length > 0 else length + joint.length_m
    return (blind.from_m + around / 2) % joint.length_m


def _in_plan(joint: Joint, at_m: float) -> Point:
    """Where a chainage of a joint lies in plan."""
    path = plan_path(joint)
    if path is not None:
        return path.point_at(at_m)
    assert joint.point is not None
    return joint.point


def _halo(label: Label) -> tuple[Point, ...]:
    """The box round the words of a label, in which nothing beneath it shows."""
    pad = label.cap_height_m * 0.2
    (x, y), right, top = label.at, label.at[0] + label.width_m + pad, label.at[1] + label.cap_height_m + pad
    return ((x - pad, y - pad), (right, y - pad), (right, top), (x - pad, top))


def _is_lozenge(mark: Mark) -> bool:
    return mark.what is What.VERTICAL and mark.part in {"up", "down", "through"}


def _middle(mark: Mark) -> Point:
    area = mark.primitives[0]
    assert isinstance(area, Area)
    xs, ys = zip(*area.polygons[0][0], strict=True)
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
