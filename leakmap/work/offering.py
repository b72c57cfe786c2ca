"""What becomes of an offer while a user chooses: layers, outlines, what is left out, what was taken.

A proposal keeps its number for as long as it is offered at all. One that was taken is offered no more while its joint
is there, and again when the joint is gone, as after an undo.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from uuid import UUID

import shapely

from leakmap.base.findings import Finding
from leakmap.geometry.path import Path
from leakmap.geometry.tolerance import TIE_M
from leakmap.model.job import Job
from leakmap.work.offered import Offered, OfferedLayer, OfferedLine
from leakmap.work.proposals import LEAST_M, OUTLINE, AsJoint, Proposal, long_enough, lying_on, too_short

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
        self._on_of: tuple[object, AsJoint] | None = None

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
                *too_short(there.values(), self.least_m),
            ),
        )

    def _there(self, job: Job) -> dict[int, Proposal]:
        """Every proposal that is neither left out nor taken, whatever its length."""
        gone = {*self._left_out, *(number for number, joint in self._made.items() if joint in job.joints)}
        return {number: found for number, found in self._every().items() if number not in gone}

    def _every(self) -> dict[int, Proposal]:
        """Every proposal of chosen layers, and every outline."""
        layers = {number: found for layer in self._chosen for number, found in self._found[layer][0].items()}
        return {**layers, **self._outlines}

    def _lying_on(self, job: Job, long: dict[int, Proposal], as_joint: AsJoint) -> dict[int, tuple[str, ...]]:
        """What each lies on; looked for only where joints or facts are others than before, or a proposal is new."""
        if self._on_of is None or self._on_of[0] is not job.joints or self._on_of[1] != as_joint:
            self._on, self._on_of = {}, (job.joints, as_joint)
        new = [number for number in long if number not in self._on]
        refs = lying_on(job, self.sheet, [long[number] for number in new], as_joint)
        self._on |= dict(zip(new, refs, strict=True))
        return self._on

    def _numbered(self, proposals: Iterable[Proposal]) -> Iterator[tuple[int, Proposal]]:
        for proposal in proposals:
            yield self._next, proposal
            self._next += 1


def _same(one: Path, other: Path) -> bool:
    """Whether two closed paths run through the same places, to the millimetre."""
    if not (one.closed and other.closed and abs(one.length_m - other.length_m) <= TIE_M):
        return False
    rings = [shapely.LinearRing(path.points) for path in (one, other)]
    return bool(shapely.hausdorff_distance(*rings) <= TIE_M)
