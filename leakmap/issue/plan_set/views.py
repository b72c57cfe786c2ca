"""A view: a part of a level at a scale in a rectangle of a page; and the sheets that views stand on."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from leakmap.geometry.boxes import meet
from leakmap.geometry.path import Box, Point
from leakmap.issue.marks.plan import ALL, Marks, marks_on
from leakmap.issue.marks.primitives import What
from leakmap.issue.plan_set.crowded import Detail
from leakmap.issue.plan_set.level import Level
from leakmap.issue.plan_set.paper import Paper
from leakmap.issue.plan_set.tiles import Parting, Tile
from leakmap.issue.schedule_pdf.ink import Onto, onto_middle
from leakmap.issue.schedule_pdf.lettering import MM
from leakmap.issue.schedule_pdf.plan_page import site_box

_INSET_MM: Final = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """A part of a level in a rectangle of a page.

    Attributes:
        box: What it is made to show, metres of the site plane; it lies in the middle.
        scale: Denominator of its scale.
        field_mm: The rectangle: left, bottom, right, top.
        detail: The detail that it is; None for a plan.
        named: What it names.
        spare: Whether only references stand on it for which a free place is left.
    """

    level: Level
    box: Box
    scale: int
    field_mm: Box
    detail: Detail | None = None
    named: Container[What] = ALL
    spare: bool = False

    @property
    def onto(self) -> Onto:
        """Placement on the page."""
        return onto_middle(self.box, self.field_mm, self.scale)

    def on_site(self, box_mm: Box, inset_mm: float = 0.0) -> Box:
        """A rectangle of the page on the site plane, smaller by an inset on each side."""
        return site_box(box_mm, self.onto, inset_mm)

    @property
    def seen(self) -> Box:
        """All that shows in its rectangle, metres of the site plane."""
        return self.on_site(self.field_mm, _INSET_MM)

    def on_page(self, box: Box) -> Box:
        """A box of the site plane on the page, mm."""
        (x0, y0), (x1, y1) = self.onto(box[:2]), self.onto(box[2:])
        return x0 / MM, y0 / MM, x1 / MM, y1 / MM

    def marks(
        self, avoid: Iterable[tuple[Box, float]] = (), points: Mapping[str, Point] = MappingProxyType({})
    ) -> Marks:
        """The marks that it shows, points to tape from among them; labels keep off boxes of the site plane by their weights."""
        job, repairs = self.level.seen_in(self.seen)
        return marks_on(
            job,
            repairs,
            self.level.sheet.id,
            scale=self.scale,
            width_of=self.level.lettering.width_mm,
            within=self.seen,
            all_named=False,
            named=self.named,
            spare=self.spare,
            points=points,
            avoid=[*avoid, *((box, 2.0) for _, box in self.level.texts if meet(box, self.seen))],
        )


class Kind(StrEnum):
    """What a sheet of the set is."""

    PLAN = "plan"
    GENERAL = "general plan"
    PART = "part"
    DETAILS = "details"


@dataclass(slots=True, eq=False)
class PlanSheet:
    """A sheet of the set.

    Attributes:
        number: Its number in the set, from 1.
        views: One, or the details of a sheet of details.
        tile: The part that it shows, where the level is parted.
        neighbours: Numbers of the sheets beyond its match lines: left, lower, right, upper.
    """

    number: int
    kind: Kind
    level: Level
    paper: Paper
    views: list[View]
    part: Parting
    tile: Tile | None = None
    neighbours: dict[str, int] = field(default_factory=dict)

    @property
    def words(self) -> str:
        """What it shows, for bookmarks and its title block."""
        name = f"level {self.level.sheet.name}"
        if self.kind is Kind.PLAN:
            return name
        return (
            f"{name}, {self.kind.value}"
            if self.tile is None
            else f"{name}, part {self.part.tiles.index(self.tile) + 1}"
        )


@dataclass(slots=True, eq=False)
class Sheets:
    """All sheets of a set with what leads from one to another.

    Attributes:
        homes: For each zone and level the view on which it lies whole.
        details: Sheet numbers of details, by letter.
    """

    each: list[PlanSheet] = field(default_factory=list)
    homes: dict[tuple[str, str], tuple[PlanSheet, View]] = field(default_factory=dict)
    details: dict[str, int] = field(default_factory=dict)

    def of(self, level: Level) -> Iterator[PlanSheet]:
        """Sheets of one level."""
        return (sheet for sheet in self.each if sheet.level is level)

    def details_in(self, view: View) -> Iterator[Detail]:
        """Details of places that a plan shows at the scale of its level."""
        for sheet in self.of(view.level):
            for shown in sheet.views:
                if shown.detail is not None and meet(shown.box, view.seen):
                    yield shown.detail
