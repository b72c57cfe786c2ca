"""Where everything on the tape stands, px: one value for painting and for pointing."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final, TypeAlias
from uuid import UUID

from leakmap.desk.larger import scaled
from leakmap.desk.tape.lanes import Lanes
from leakmap.desk.tape.reel import Reel
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.model.job import Job
from leakmap.repair.chainages import Span
from leakmap.repair.tape_layout import Branch, Run, TapeLayout, Wet
from leakmap.work.staffs import Height

Measure: TypeAlias = Callable[[str, bool], float]
"""Width of words, px; strong or not."""

REACH_PX: Final = 4.0
LEADER_PX: Final = 18.0
_SPOT_PX: Final = 4.5
_CLOSE_PX_PER_M: Final = 8.0  # from so far, spots are not widened: leaks would seem to touch
_DOT_PX: Final = 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """Words at a place: the strong part first.

    Attributes:
        x: Left end.
        y: Middle.
        below: A second line, under the middle of the first.
        wide: Width.
        thing: What they name.
    """

    strong: str
    plain: str = ""
    x: float
    y: float
    wide: float
    below: str = ""
    thing: Thing | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BranchShown:
    """A branch on its row.

    Attributes:
        x: Where its stem stands.
        box: Left, top, right and bottom of its own part; without width where it has none.
        words: Its name; None where that has no room.
    """

    branch: Branch
    x: float
    box: tuple[float, float, float, float]
    words: Words | None

    def x_of(self, own_m: float, reel: Reel) -> float:
        """The pixel of a chainage of the branch."""
        return self.x + (own_m - self.branch.own_m) * reel.px_per_m

    def own_at(self, x: float, reel: Reel) -> float:
        """The chainage of the branch at a pixel; outside of it its nearer end."""
        own_m = self.branch.own_m + (x - self.x) / reel.px_per_m
        return min(max(own_m, 0.0), self.branch.joint.length_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A joint laid out on a pane.

    Attributes:
        limits: Left and right of what is on the pane.
        names: Names of leaks in stage Leaks, of runs from stage Repair on, lengths between bends before.
    """

    job: Job
    layout: TapeLayout
    reel: Reel
    lanes: Lanes
    stage: Stage
    measure: Measure
    limits: Span
    branches: tuple[BranchShown, ...] = ()
    names: tuple[Words, ...] = ()

    @property
    def has_zones(self) -> bool:
        """Whether zones are shown: from stage Repair on."""
        return self.stage >= Stage.REPAIR

    @property
    def has_leaks(self) -> bool:
        """Whether leaks are: from stage Leaks on."""
        return self.stage >= Stage.LEAKS

    def seen(self, low: float, high: float) -> bool:
        """Whether anything between two pixels is on the pane."""
        return high >= self.limits[0] and low <= self.limits[1]

    # Places of things ---------------------------------------------------------------------------

    def spans_of_leak(self, wet: Wet) -> Iterator[Span]:
        """Pixels of a leak; a spot is widened to its sleeve."""
        for low, high in wet.spans:
            a, b = self.reel.x(low), self.reel.x(high)
            least = 2 * _SPOT_PX if self.reel.px_per_m >= _CLOSE_PX_PER_M else 2.0
            middle = (a + b) / 2
            yield (middle - least / 2, middle + least / 2) if b - a < least else (a, b)

    def span_of_run(self, run: Run) -> Span:
        """Pixels of a run."""
        return self.reel.x(run.from_m), self.reel.x(run.to_m)

    def spans_of(self, thing: Thing) -> list[Span]:
        """Pixels of a leak or zone on the joint laid out."""
        if thing.sort is Sort.LEAK and self.has_leaks:
            return [
                span for wet in self.layout.row.leaks if wet.leak.id == thing.key for span in self.spans_of_leak(wet)
            ]
        if thing.sort is Sort.ZONE and self.has_zones:
            return [self.span_of_run(run) for run in self.layout.row.runs if run.zone.number == thing.key]
        return []

    def boxes_of(self, thing: Thing) -> Iterator[tuple[float, float, float, float]]:
        """Boxes of a zone's own parts on branches, of a leak there, or of a branch that is a thing itself."""
        for shown in self.branches:
            top, bottom = shown.box[1], shown.box[3]
            if thing.sort is Sort.ZONE and self.has_zones:
                for run in shown.branch.row.runs:
                    if run.zone.number == thing.key:
                        yield shown.x_of(run.from_m, self.reel), top, shown.x_of(run.to_m, self.reel), bottom
            elif thing.sort is Sort.LEAK and self.has_zones:
                for wet in shown.branch.row.leaks:
                    if wet.leak.id == thing.key:
                        for low, high in wet.spans:
                            yield shown.x_of(low, self.reel) - 2, top, shown.x_of(high, self.reel) + 2, bottom

    # What is pointed at -------------------------------------------------------------------------

    def thing_at(self, x: float, y: float) -> Thing | None:
        """The leak or zone at a pixel; the lanes say which of them is meant first."""
        branch = self.branch_at(x, y)
        if branch is not None:
            return self._on_branch(branch, x)
        for words in self.names:
            if words.thing is not None and _within(words, x, y):
                return words.thing
        if y >= self.lanes.branch:
            return None
        leak, zone = self._leak_at(x), self._zone_at(x)
        zones_first = self.has_zones and y > self.lanes.leak + 12
        return (zone or leak) if zones_first else (leak or (zone if y > self.lanes.body[0] else None))

    def branch_named_at(self, x: float, y: float) -> Branch | None:
        """The branch whose name is at a pixel, or whose dot is."""
        named = (shown for shown in self.branches if shown.words is not None and _within(shown.words, x, y))
        found = next((shown.branch for shown in named), None)
        if found is not None or abs(y - self.lanes.body[1]) > _DOT_PX:
            return found
        near = [(abs(shown.x - x), number) for number, shown in enumerate(self.branches)]
        off, number = min(near, default=(_DOT_PX + 1, 0))
        return self.branches[number].branch if off <= _DOT_PX else None

    def branch_at(self, x: float, y: float) -> BranchShown | None:
        """The branch whose own part is at a pixel."""
        for shown in self.branches:
            low, top, high, bottom = shown.box
            if high > low and low - REACH_PX <= x <= high + REACH_PX and top - REACH_PX <= y <= bottom + REACH_PX:
                return shown
        return None

    def place_at(self, x: float, y: float) -> Height:
        """The place on the joint, or on a branch, that a pixel stands for."""
        branch = self.branch_at(x, y)
        if branch is not None:
            return Height(branch.branch.joint.id, branch.own_at(x, self.reel))
        return Height(self.layout.joint.id, self.reel.at(x))

    def place_on(self, joint: UUID, x: float, y: float) -> Height:
        """The same while a place on a joint is in hand: beside every branch it stays on that."""
        if self.branch_at(x, y) is None and y >= self.lanes.branch - REACH_PX:
            for shown in self.branches:
                if shown.branch.joint.id == joint:
                    return Height(joint, shown.own_at(x, self.reel))
        return self.place_at(x, y)

    def pixel_of(self, place: Height) -> tuple[float, float] | None:
        """The pixel of a place, in the middle of the lane that it belongs to; None where it is not on the tape."""
        if place.joint == self.layout.joint.id:
            lane = sum(self.lanes.zone) / 2 if self.has_zones else self.lanes.leak
            return self.reel.x(place.at_m), lane
        for shown in self.branches:
            if shown.branch.joint.id == place.joint and shown.box[2] > shown.box[0]:
                return shown.x_of(place.at_m, self.reel), (shown.box[1] + shown.box[3]) / 2
        return None

    def _on_branch(self, shown: BranchShown, x: float) -> Thing | None:
        own_m = shown.own_at(x, self.reel)
        runs = [run for run in shown.branch.row.runs if run.from_m - 0.01 <= own_m <= run.to_m + 0.01]
        return Thing(Sort.ZONE, runs[0].zone.number) if runs else None

    def _leak_at(self, x: float) -> Thing | None:
        if not self.has_leaks:
            return None
        found = [
            (-wet.leak.wetness, wet.leak)
            for wet in self.layout.row.leaks
            for low, high in self.spans_of_leak(wet)
            if low - REACH_PX <= x <= high + REACH_PX
        ]
        return Thing(Sort.LEAK, min(found, key=lambda each: each[0])[1].id) if found else None

    def _zone_at(self, x: float) -> Thing | None:
        if not self.has_zones:
            return None
        near = [
            (max(low - x, x - high, 0.0), run.zone.number)
            for run in self.layout.row.runs
            for low, high in (self.span_of_run(run),)
        ]
        off, number = min(near, default=(REACH_PX + 1, 0))
        return Thing(Sort.ZONE, number) if off <= REACH_PX else None


def _within(words: Words, x: float, y: float) -> bool:
    high = scaled(26.0 if words.below else 9.0)
    return words.x - 2 <= x <= words.x + words.wide + 2 and words.y - scaled(9.0) <= y <= words.y + high
