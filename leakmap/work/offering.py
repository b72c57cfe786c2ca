"""What becomes of an offer while a user chooses: layers, outlines, what is left out, what was taken.

A proposal keeps its number for as long as it is offered at all. One that was taken is offered no more while its joint
is there, and again when the joint is gone, as after an undo.
"""

from __future__ import annotations

from collections.abc import Generator, Iterable, Iterator, Mapping, Sequence
from typing import Final
from uuid import UUID

import shapely

from leakmap.base.findings import Finding
from leakmap.geometry.path import Path
from leakmap.geometry.tolerance import TIE_M
from leakmap.model.job import Job
from leakmap.model.joint import Joint, plan_path
from leakmap.work.offered import Offered, OfferedLayer, OfferedLine
from leakmap.work.proposals import LEAST_M, NEAR_M, OUTLINE, AsJoint, Beds, Proposal, long_enough, too_short

_FEW: Final = 20
"""Of more joints that changed, nothing that is known of the others is kept."""

_AT_ONCE: Final = 20

_Found = tuple[dict[int, Proposal], tuple[Finding, ...]]


class Offering:
    """An offer in the making, of the drawing of one sheet.

    Attributes:
        sheet: The sheet.
        least_m: Lines shorter than this are not offered.

    Args:
        sheet: The sheet.
        layers: Layers that have lines, each with the number of its polylines.
    """

    def __init__(self, sheet: UUID, layers: Sequence[tuple[str, int]]) -> None:
        self.sheet = sheet
        self.least_m = LEAST_M
        self._layers = tuple(layers)
        self._chosen: list[str] = []
        self._found: dict[str, _Found] = {}
        self._outlines: dict[int, Proposal] = {}
        self._left_out: list[int] = []
        self._made: dict[int, UUID] = {}
        self._next = 1
        self._on: dict[int, tuple[str, ...]] = {}
        self._beds: tuple[Mapping[UUID, Joint], AsJoint, Beds] | None = None

    @property
    def empty(self) -> bool:
        """Whether no layer is chosen and no outline is there."""
        return not self._chosen and not self._outlines

    @property
    def chosen(self) -> tuple[str, ...]:
        """Layers that are chosen, the first first."""
        return tuple(self._chosen)

    def knows(self, layer: str) -> bool:
        """Whether it is known what a layer proposes."""
        return layer in self._found

    def is_chosen(self, layer: str) -> bool:
        """Whether what a layer proposes is offered."""
        return layer in self._chosen

    def learn(self, layer: str, proposals: Iterable[Proposal], noticed: Iterable[Finding]) -> None:
        """Take note of what a layer proposes."""
        self._found[layer] = (dict(self._numbered(proposals)), tuple(noticed))

    def choose(self, layer: str) -> None:
        """Offer what a layer proposes; all of it, whatever was left out before."""
        proposals, _ = self._found[layer]
        self._left_out = [number for number in self._left_out if number not in proposals]
        self._chosen.append(layer)

    def put_back(self, layer: str) -> None:
        """Offer what a layer proposes no more."""
        self._chosen.remove(layer)

    def add_outline(self, path: Path) -> int:
        """Offer an outline, once; its number, or that of the line of a chosen layer which is the same."""
        for number, proposal in self._every().items():
            if _same(proposal.path, path):
                self._left_out = [left for left in self._left_out if left != number]
                return number
        ((number, proposal),) = self._numbered([Proposal(path, OUTLINE)])
        self._outlines[number] = proposal
        return number

    def leave_out(self, numbers: Iterable[int]) -> None:
        """Offer some no more."""
        self._left_out += numbers

    def bring_back(self) -> bool:
        """Offer again what was left out last; whether there was something."""
        return bool(self._left_out and self._left_out.pop())

    def take_note(self, numbers: Sequence[int], made: Sequence[UUID]) -> None:
        """Some were taken, and these joints were made of them."""
        self._made |= dict(zip(numbers, made, strict=True))

    def clear(self) -> None:
        """Offer nothing; what layers propose is still known."""
        self._chosen, self._outlines, self._left_out = [], {}, []

    def offered(self, job: Job, as_joint: AsJoint) -> Offered:
        """What is offered now.

        Args:
            job: The job as kept.
            as_joint: What proposals would become.
        """
        there = self._there(job)
        kept = set(map(id, long_enough(there.values(), self.least_m)))
        long = {number: proposal for number, proposal in there.items() if id(proposal) in kept}
        on = self._lying_on(job, long, as_joint)
        return Offered(
            layers=tuple(OfferedLayer(name, count, name in self._chosen) for name, count in self._layers),
            lines=tuple(OfferedLine(number, proposal, on[number]) for number, proposal in long.items()),
            as_joint=as_joint,
            noticed=(
                *(found for layer in self._chosen for found in self._found[layer][1]),
                *too_short(there.values(), self.least_m, job.units),
            ),
        )

    def unlooked(self, job: Job, as_joint: AsJoint) -> tuple[int, ...]:
        """Numbers of what would be offered now, and of which it is still to be looked for what it lies on."""
        self._look_at(job, as_joint)
        long = long_enough(self._there(job).values(), self.least_m)
        wanted = set(map(id, long))
        return tuple(
            number for number, found in self._there(job).items() if id(found) in wanted and number not in self._on
        )

    def looking(self, job: Job, as_joint: AsJoint) -> Generator[int, None, None]:
        """Look for what all of them lie on, in small steps; yields how many are looked for."""
        every, numbers = self._every(), self.unlooked(job, as_joint)
        beds = self._look_at(job, as_joint)
        for at in range(0, len(numbers), _AT_ONCE):
            yield at
            some = numbers[at : at + _AT_ONCE]
            self._on |= dict(zip(some, beds.under([every[number] for number in some]), strict=True))

    def put_back_unlooked(self, job: Job, as_joint: AsJoint) -> None:
        """Offer no layer more of which something is still to be looked for."""
        left = set(self.unlooked(job, as_joint))
        self._chosen = [layer for layer in self._chosen if left.isdisjoint(self._found[layer][0])]

    def _there(self, job: Job) -> dict[int, Proposal]:
        """Every proposal that is neither left out nor taken, whatever its length."""
        gone = {*self._left_out, *(number for number, joint in self._made.items() if joint in job.joints)}
        return {number: found for number, found in self._every().items() if number not in gone}

    def _every(self) -> dict[int, Proposal]:
        """Every proposal of chosen layers, and every outline."""
        layers = {number: found for layer in self._chosen for number, found in self._found[layer][0].items()}
        return {**layers, **self._outlines}

    def _lying_on(self, job: Job, long: dict[int, Proposal], as_joint: AsJoint) -> dict[int, tuple[str, ...]]:
        """What each lies on; looked for only where it may be another than before, or a proposal is new."""
        beds = self._look_at(job, as_joint)
        new = [number for number in long if number not in self._on]
        self._on |= dict(zip(new, beds.under([long[number] for number in new]), strict=True))
        return self._on

    def _look_at(self, job: Job, as_joint: AsJoint) -> Beds:
        """The joints to look at; what is known is forgotten where they changed."""
        if self._beds is not None and self._beds[0] is job.joints and self._beds[1] == as_joint:
            return self._beds[2]
        before, beds = self._beds, Beds(job, self.sheet, as_joint)
        self._beds = (job.joints, as_joint, beds)
        changed = None if before is None or before[1] != as_joint else _changed(before[0], job.joints)
        if changed is None or len(changed) > _FEW:
            self._on = {}
            return beds
        every = self._every()
        self._on = {
            number: on
            for number, on in self._on.items()
            if number in every and not any(_may_touch(every[number].path, path) for path in changed)
        }
        return beds

    def _numbered(self, proposals: Iterable[Proposal]) -> Iterator[tuple[int, Proposal]]:
        for proposal in proposals:
            yield self._next, proposal
            self._next += 1


def _changed(before: Mapping[UUID, Joint], after: Mapping[UUID, Joint]) -> tuple[Path, ...]:
    """Courses in plan of the joints that are others than before, as they were and as they are."""
    others = [(before.get(key), after.get(key)) for key in {**before, **after} if before.get(key) is not after.get(key)]
    courses = (plan_path(joint) for pair in others for joint in pair if joint is not None)
    return tuple(course for course in courses if course is not None)


def _may_touch(one: Path, other: Path) -> bool:
    """Whether two lines may come near each other, by their boxes."""
    (left, bottom, right, top), (x0, y0, x1, y1) = one.box, other.box
    return left <= x1 + NEAR_M and x0 <= right + NEAR_M and bottom <= y1 + NEAR_M and y0 <= top + NEAR_M


def _same(one: Path, other: Path) -> bool:
    """Whether two closed paths run through the same places, to the millimetre."""
    if not (one.closed and other.closed and abs(one.length_m - other.length_m) <= TIE_M):
        return False
    rings = [shapely.LinearRing(path.points) for path in (one, other)]
    return bool(shapely.hausdorff_distance(*rings) <= TIE_M)
