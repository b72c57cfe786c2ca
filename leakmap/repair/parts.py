"""Between cover and quantities: the connected parts of the cover.

``leakmap.repair.cover`` and its neighbours make these from a job (definitions 1 to 5);
``leakmap.repair.work_out`` joins and measures them (definitions 6, 9, 10 and the quantities).
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property
from uuid import UUID

from leakmap.base.findings import Finding
from leakmap.repair.chainages import Span, merged
from leakmap.repair.network import Network
from leakmap.repair.results import End, Piece, Why


@dataclass(frozen=True, kw_only=True)  # without slots: what is opened is told once and kept
class Part:
    """A component of cover minus cuts, joined at covered nodes.

    Attributes:
        pieces: Along each joint without gaps inside a covered interval, disjoint, in sheet, joint,
            chainage order; hidden stretches are pieces too (``Why.BLIND``).
        ends: Where it stops.
        whole: Number of the component that it belonged to before cuts; parts with the same number
            were one.
    """

    pieces: tuple[Piece, ...]
    ends: tuple[End, ...]
    whole: int

    @cached_property
    def opened(self) -> dict[UUID, tuple[Span, ...]]:
        """Opened stretches, joint by joint, blind ones left out."""
        found: dict[UUID, list[Span]] = defaultdict(list)
        for piece in self.pieces:
            if piece.why is not Why.BLIND and piece.to_m > piece.from_m:
                found[piece.joint].append((piece.from_m, piece.to_m))
        return {joint: merged(spans) for joint, spans in found.items()}


@dataclass(frozen=True, slots=True, kw_only=True)
class Covered:
    """Cover of a whole job.

    Attributes:
        network: The network of joints repaired by this method.
        parts: Disjoint parts, in sheet, joint, chainage order of their first piece.
        apart: Pairs of indices into ``parts`` that a cut or a parted crossing separates, lower first.
        own_cover_m: Each wet stretch's own cover summed (leaks that touch or overlap are one), before bridging.
        cover_m: Length of the cover before bridging, blind stretches left out of neither.
        findings: Cuts that separate nothing, short overruns, joints that nearly meet, and the like.
    """

    network: Network
    parts: tuple[Part, ...]
    apart: frozenset[tuple[int, int]]
    own_cover_m: float
    cover_m: float
    findings: tuple[Finding, ...]
