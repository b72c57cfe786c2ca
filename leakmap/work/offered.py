"""Lines that are offered as joints: layers to choose from, what they and outlines propose, and how the ledger lists it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Final

from leakmap.base.counted import many
from leakmap.base.findings import Finding
from leakmap.base.rounding import ZERO, rounded
from leakmap.base.trade_words import in_trade_words
from leakmap.model.job import Job
from leakmap.work.check_list import Where
from leakmap.work.kept import Kept
from leakmap.work.ledger_lines import Line, Table, Value
from leakmap.work.ledger_notes import Note, Section, Sign
from leakmap.work.ledger_rows import place_words

if TYPE_CHECKING:
    from leakmap.work.proposals import AsJoint, Proposal

PROPOSAL: Final = "proposal"


@dataclass(frozen=True, slots=True)
class OfferedLayer:
    """A layer that can be chosen.

    Attributes:
        lines: Number of its polylines.
        chosen: Whether what it proposes is offered.
    """

    name: str
    lines: int
    chosen: bool = False


@dataclass(frozen=True, slots=True)
class OfferedLine:
    """A proposal that is offered.

    Attributes:
        number: What it is called while it is offered.
        on: References of the joints that it lies on; empty where it lies on none.
    """

    number: int
    proposal: Proposal
    on: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Offered:
    """What is offered.

    Attributes:
        lines: In the order in which they were proposed.
        noticed: What was noticed in the layers, and what is left out for its length.
    """

    layers: tuple[OfferedLayer, ...]
    lines: tuple[OfferedLine, ...]
    as_joint: AsJoint
    noticed: tuple[Finding, ...] = ()

    @property
    def free(self) -> tuple[OfferedLine, ...]:
        """Those that lie on no joint: what is taken when all are."""
        return tuple(line for line in self.lines if not line.on)


def offered_table(job: Job, offered: Offered, kept: Kept | None = None) -> Table:
    """A row for each line that is offered, with the sum of those that lie on no joint."""
    kept = kept or Kept()
    lines = tuple(
        kept.of(
            (PROPOSAL, line.number),
            (line.proposal, *line.on, offered.as_joint, job.rules, job.grid),
            partial(_line, job, line, offered.as_joint),
        )
        for line in offered.lines
    )
    if not lines:
        return Table(lines=())
    free = [line for line, of in zip(lines, offered.lines, strict=True) if not of.on]
    length = sum((rounded(of.proposal.path.length_m, job.rules.measuring_step_m) for of in offered.free), ZERO)
    total: dict[str, Value] = {"ref": "Total", "kind": many(len(free), "joint"), "length": length}
    return Table(lines=lines, sums=(Line(values=total),))


def layers_section(offered: Offered) -> Section:
    """The layers to choose from, ticked where they are chosen."""
    notes = tuple(
        Note(words=f"{layer.name}, {many(layer.lines, 'line')}", sign=_ticked(layer), layer=layer.name)
        for layer in offered.layers
    )
    return Section(heading="Layers", notes=notes)


def offered_notes(offered: Offered) -> Section | None:
    """What was noticed in the chosen layers; None where there is nothing to say."""
    if not offered.noticed:
        return None
    return Section(heading="Noticed", notes=tuple(Note(words=found.text, sign=Sign.LOOK) for found in offered.noticed))


def refs_words(refs: Sequence[str]) -> str:
    """What a line lies on, in words.

    >>> refs_words(["J-05"]), refs_words(["J-05", "J-06"])
    ('lies on J-05', 'lies on J-05 and J-06')
    """
    return f"lies on {' and '.join(refs)}"


def _ticked(layer: OfferedLayer) -> Sign:
    return Sign.DONE if layer.chosen else Sign.HIDDEN


def _line(job: Job, line: OfferedLine, as_joint: AsJoint) -> Line:
    path = line.proposal.path
    kind, face = (in_trade_words(job.units, words) for words in (as_joint.kind.value, as_joint.face.value))
    return Line(
        where=Where(PROPOSAL, line.number),
        kind=as_joint.kind,
        tip=f"{kind.capitalize()}, {face}, from {line.proposal.origin}.",
        alarm=frozenset({"kind"}) if line.on else frozenset(),
        values={
            "ref": f"{line.number}",
            "kind": refs_words(line.on) if line.on else kind.capitalize(),
            "length": rounded(path.length_m, job.rules.measuring_step_m),
            "from_grid": place_words(job, path.points[0]),
            "to_grid": "closed" if path.closed else place_words(job, path.points[-1]),
        },
    )
