"""Everything drawn on one level, thing by thing, so that a change only makes what it touches.

A thing is made anew when something that it is made from has changed: its own values, the joint it lies
on, the zoom. Nothing here knows of a window.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from operator import attrgetter
from typing import Any
from uuid import UUID

from leakmap.base.differing import Tally, counting
from leakmap.desk.plan.detail import Detail
from leakmap.desk.plan.drawn import Drawn, Key, box_round, overlap
from leakmap.desk.plan.lying import Lying
from leakmap.desk.plan.recipes import Recipe, Recipes
from leakmap.desk.things import Thing
from leakmap.geometry.path import Box
from leakmap.issue.marks.course import course_of
from leakmap.issue.marks.signs import Staff
from leakmap.issue.marks.staff_places import staffs_on
from leakmap.model.job import Job
from leakmap.model.leak import Leak
from leakmap.repair.results import Repairs, Zone
from leakmap.work.changes_since import Changes


@dataclass(slots=True)
class _Made:
    """A thing, what it was made from, and the zoom that it was made for."""

    recipe: Recipe
    detail: Detail
    drawn: Drawn


@dataclass(slots=True)
class Level:
    """What is drawn on one level; filled step by step.

    Attributes:
        drawn: Finished things by key; may hold things of another zoom until they are made anew.
        staffs: Staffs that are shown beside vertical joints: of those that are wet, repaired or raised.
        places: The place of every vertical joint's staff, so that none moves when another comes or goes.
        touched: Boxes of the site in which something is drawn otherwise since this was last emptied, metres.
    """

    staffs: dict[UUID, Staff] = field(default_factory=dict)
    places: dict[UUID, Staff] = field(default_factory=dict)
    touched: list[Box] = field(default_factory=list)
    _placed: tuple[Any, ...] = ()
    _sheet: UUID | None = None
    _recipes: Recipes | None = None
    _wet: Tally[Leak, UUID, int] = field(default_factory=lambda: counting(attrgetter("joint")))
    _repaired: Tally[Zone, UUID, int] = field(default_factory=lambda: Tally(_pieces_on))
    _lying: Lying = field(default_factory=Lying)
    _detail: Detail | None = None
    _made: dict[Key, _Made] = field(default_factory=dict)
    _todo: dict[Key, Recipe] = field(default_factory=dict)
    _queue: tuple[Box | None, list[Key]] | None = None

    @property
    def drawn(self) -> Iterator[tuple[Key, Drawn]]:
        """Everything that can be shown now."""
        return ((key, made.drawn) for key, made in self._made.items())

    def meeting(self, box: Box) -> list[tuple[Key, Drawn]]:
        """That of it which reaches into a box of the site."""
        return self._lying.meeting(box)

    def ready(self, box: Box | None = None) -> bool:
        """Whether all that lies in a box of the site is made; None: all of it."""
        return not self._todo or not self._due(box)

    def _due(self, box: Box | None) -> list[Key]:
        """What is to be made in a box, last first; looked for once for each box."""
        if self._queue is None or self._queue[0] != box:
            made = self._made
            found = [key for key in self._todo if box is None or key not in made or overlap(made[key].drawn.box, box)]
            self._queue = (box, found[::-1])
        return self._queue[1]

    def of(self, thing: Thing) -> Drawn | None:
        """A thing as drawn; None when it is not on the level."""
        made = self._made.get((str(thing.sort), thing.key))
        return made.drawn if made is not None else None

    def plan(
        self,
        job: Job,
        repairs: Repairs,
        sheet: UUID,
        detail: Detail,
        *,
        raised: frozenset[UUID] = frozenset(),
        wet: bool = True,
        changes: Changes | None = None,
    ) -> bool:
        """Find out what must be made for this job at this zoom; whether anything differs.

        Args:
            job: The job.
            repairs: Its work-out.
            sheet: The level.
            detail: The zoom.
            raised: Vertical joints of which the staff shows though they are dry.
            wet: Whether those that are wet or repaired show theirs.
            changes: What changed since a revision, in the stead of zones as usual; None: those.
        """
        self._place_staffs(job, sheet, detail.scale)
        shown = raised | (self._marked(job, repairs) if wet and self.places else frozenset())
        shown |= changes.upright if changes is not None else frozenset()
        self.staffs = {key: staff for key, staff in self.places.items() if key in shown}
        afresh = self._recipes is None or self._sheet != sheet
        if self._recipes is None or afresh:
            self._recipes, self._sheet = Recipes(sheet), sheet
        if detail == self._detail:
            detail = self._detail
        zoomed = detail is not self._detail
        self._detail, self._queue = detail, None
        renewed = self._recipes.renewed(job, repairs, detail.scale, self.staffs, self.places, changes=changes)
        gone = self._made.keys() - renewed.every.keys() if afresh else renewed.gone
        for key in gone:
            self._todo.pop(key, None)
            if key in self._made:
                self.touched.append(self._made.pop(key).drawn.box)
                self._lying.drop(key)
        if zoomed or afresh:
            self._todo = self._other(renewed.every, detail)
        else:
            self._todo.update(renewed.come)
        return bool(gone or self._todo)

    def _other(self, wanted: Mapping[Key, Recipe], detail: Detail) -> dict[Key, Recipe]:
        """Things that are not made by their recipe at a zoom."""
        made = self._made
        return {
            key: recipe
            for key, recipe in wanted.items()
            if (held := made.get(key)) is None or held.recipe is not recipe or held.detail is not detail
        }

    def _marked(self, job: Job, repairs: Repairs) -> frozenset[UUID]:
        """Joints that are wet or repaired."""
        return frozenset(self._wet.of(job.leaks).keys() | self._repaired.of(repairs.zones).keys())

    def _place_staffs(self, job: Job, sheet: UUID, scale: float) -> None:
        placed = (job.joints, sheet, scale)
        if len(self._placed) != len(placed) or self._placed[0] is not job.joints or self._placed[1:] != placed[1:]:
            self._placed, self.places = placed, _staff_places(job, sheet, scale)

    def make(self, go_on: Callable[[], bool], box: Box | None = None) -> bool:
        """Make what is due in a box of the site while ``go_on`` says so; whether all of it is made."""
        due = self._due(box)
        while due:
            if not go_on():
                return False
            self._make(due.pop())
        return True

    def _make(self, key: Key) -> None:
        assert self._detail is not None
        recipe, before = self._todo.pop(key), self._made.get(key)
        drawn = recipe.drawn_at(self._detail)
        self._made[key] = _Made(recipe, self._detail, drawn)
        self._lying.put(key, drawn)
        self.touched += [drawn.box] if before is None else [before.drawn.box, drawn.box]


def _pieces_on(zone: Zone) -> Iterator[tuple[UUID, int]]:
    """The joints that a zone lies on."""
    return ((piece.joint, 1) for piece in zone.pieces)


def _staff_places(job: Job, sheet: UUID, scale: float) -> dict[UUID, Staff]:
    """Where staffs stand or would stand; within the box round the joints in plan, where there is room."""
    joints = [joint for joint in job.joints.values() if joint.sheet == sheet]
    if not any(joint.vertical for joint in joints):
        return {}
    inside = box_round(course.path.box for joint in joints if (course := course_of(joint, scale)) is not None)
    return staffs_on(job, sheet, scale, within=inside)
