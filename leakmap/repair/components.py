"""Connected parts of the cover, and what cuts keep apart (definition 5).

Terms:
    stretch: a united span of cover on one joint; a cut inside it makes two of it.
    part: stretches that are joined at covered nodes, or across the start of a closed joint.
    whole: what the part would be without cuts.

A cut acts only inside cover and farther than δ from every mark of its joint; it changes no metres.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from operator import itemgetter
from uuid import UUID

from leakmap.base.findings import Finding
from leakmap.base.micrometres import to_um
from leakmap.model.job import Job
from leakmap.model.leak import Cut
from leakmap.model.printed import printed
from leakmap.repair.grouping import Groups
from leakmap.repair.marks import DELTA_UM
from leakmap.repair.network import Network
from leakmap.repair.spans import Span


@dataclass(frozen=True, slots=True)
class Components:
    """Parts of the cover.

    Attributes:
        spans: Of each joint, its stretches after cuts, rising.
        parts: Of each joint, the number of the part of each stretch; parts are numbered in joint,
            chainage order of their first stretch.
        wholes: Of each part, the number of its whole.
        cuts: Of each joint, where cuts act.
        turns: Of each closed joint, its length; of an open one, 0.
        idle: What is said of each cut that separates nothing.
    """

    spans: tuple[tuple[Span, ...], ...]
    parts: tuple[tuple[int, ...], ...]
    wholes: tuple[int, ...]
    cuts: Mapping[int, tuple[int, ...]]
    turns: tuple[int, ...]
    idle: Mapping[UUID, Finding]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What is said of cuts that separate nothing."""
        return tuple(self.idle.values())

    def near(self, joint: int, at_um: int, slack_um: int = 0) -> list[int]:
        """Numbers, along the joint, of the stretches that cover a place or come within a slack of it."""
        own, turn = self.spans[joint], self.turns[joint]
        return [
            number
            for place in ((at_um, at_um - turn, at_um + turn) if turn else (at_um,))
            for number in range(
                bisect_left(own, place - slack_um, key=itemgetter(1)),
                bisect_right(own, place + slack_um, key=itemgetter(0)),
            )
        ]

    def parts_near(self, joint: int, at_um: int, slack_um: int = 0) -> set[int]:
        """Parts that cover a place, or come within a slack of it along the joint."""
        return {self.parts[joint][number] for number in self.near(joint, at_um, slack_um)}


def components_of(job: Job, network: Network, cover: Sequence[Sequence[Span]]) -> Components:
    """Parts of a cover, with the job's cuts.

    Args:
        job: The job, for its cuts.
        network: Its network.
        cover: Of each joint, its united spans, bridges included.
    """
    cuts = [(cut, network.number(cut.joint)) for cut in job.cuts.values() if cut.joint in network]
    acting = [(cut, joint) for cut, joint in cuts if _acts(network, cover, joint, to_um(cut.at_m))]
    places: dict[int, tuple[int, ...]] = {}
    for cut, joint in acting:
        places[joint] = tuple(sorted({*places.get(joint, ()), to_um(cut.at_m)}))
    spans = tuple(_cut_up(own, places.get(joint, ())) for joint, own in enumerate(cover))
    parts = _joined(network, spans, places)
    wholes = _wholes(spans, parts, cover, _joined(network, cover, {}) if places else parts)
    turns = tuple(length if closed else 0 for length, closed in zip(network.lengths_um, network.closed, strict=True))
    components = Components(spans, parts, wholes, places, turns, {})
    return replace(components, idle=dict(_idle(job, network, components, {cut.id for cut, _ in acting})))


def separated(job: Job, network: Network, components: Components) -> frozenset[tuple[int, int]]:
    """Pairs of parts that a cut or a parted junction separates, lower number first.

    Parts of one whole are separated by cuts. Parts that come within δ of a parted junction, one on
    each of its joints, are separated by it.
    """
    pairs: set[tuple[int, int]] = set()
    of_whole: dict[int, list[int]] = {}
    for part, whole in enumerate(components.wholes):
        of_whole.setdefault(whole, []).append(part)
    for mates in of_whole.values():
        pairs.update(combinations(mates, 2))
    for item in job.parted.values():
        if item.joint in network and item.other in network:
            ones = components.parts_near(network.number(item.joint), to_um(item.at_m), DELTA_UM)
            others = components.parts_near(network.number(item.other), to_um(item.other_at_m), DELTA_UM)
            pairs.update((min(a, b), max(a, b)) for a in ones for b in others if a != b)
    return frozenset(pairs)


def _acts(network: Network, cover: Sequence[Sequence[Span]], joint: int, at: int) -> bool:
    """Whether a cut lies inside cover and farther than δ from every mark."""
    length, own = network.lengths_um[joint], cover[joint]
    if _at_mark(network, joint, at):
        return False
    if network.closed[joint] and at in (0, length):
        return any(low == 0 < high for low, high in own) and any(low < length == high for low, high in own)
    return any(low < at < high for low, high in own)


def _at_mark(network: Network, joint: int, at: int) -> bool:
    length, closed = network.lengths_um[joint], network.closed[joint]
    apart = (abs(at - mark) for mark, _ in network.marks_um[joint])
    return any(min(way, abs(length - way)) <= DELTA_UM if closed else way <= DELTA_UM for way in apart)


def _cut_up(spans: Sequence[Span], cuts: Sequence[int]) -> tuple[Span, ...]:
    """Spans made two wherever a cut lies inside one."""
    parts: list[Span] = []
    for low, high in spans:
        inside = [at for at in cuts if low < at < high]
        parts += pairwise((low, *inside, high))
    return tuple(parts)


def _joined(
    network: Network, spans: Sequence[Sequence[Span]], cuts: Mapping[int, Sequence[int]]
) -> tuple[tuple[int, ...], ...]:
    """Of each joint, the number of the component of each span; numbered in the order of their first span."""
    firsts = [0]
    for own in spans:
        firsts.append(firsts[-1] + len(own))
    groups = Groups(firsts[-1])
    at_node: dict[int, int] = {}
    for joint, own in enumerate(spans):
        for index, (low, high) in enumerate(own, firsts[joint]):
            for node in network.nodes_on(joint, low, high):
                groups.join(index, at_node.setdefault(node, index))
        if _passes_start(network, joint, own, cuts.get(joint, ())):
            groups.join(firsts[joint], firsts[joint + 1] - 1)
    found = groups.numbered()
    return tuple(tuple(found[low:high]) for low, high in pairwise(firsts))


def _passes_start(network: Network, joint: int, spans: Sequence[Span], cuts: Iterable[int]) -> bool:
    """Whether cover of a closed joint goes on across its start, where no cut lies."""
    length = network.lengths_um[joint]
    across = bool(spans) and network.closed[joint] and spans[0][0] == 0 and spans[-1][1] == length
    return across and not any(at in (0, length) for at in cuts)


def _wholes(
    spans: Sequence[Sequence[Span]],
    parts: Sequence[Sequence[int]],
    cover: Sequence[Sequence[Span]],
    wholes_of_cover: Sequence[Sequence[int]],
) -> tuple[int, ...]:
    """Of each part, the number of the component that it belonged to before cuts."""
    wholes: dict[int, int] = {}
    for joint, own in enumerate(spans):
        starts = [low for low, _ in cover[joint]]
        for (low, _), part in zip(own, parts[joint], strict=True):
            wholes.setdefault(part, wholes_of_cover[joint][bisect_right(starts, low) - 1])
    return tuple(wholes[part] for part in range(len(wholes)))


def _idle(job: Job, network: Network, components: Components, acting: set[UUID]) -> Iterator[tuple[UUID, Finding]]:
    """One sentence for each cut that separates nothing."""
    for cut in job.cuts.values():
        if why := _why_idle(network, components, cut, acts=cut.id in acting):
            joint = job.joints.get(cut.joint)
            place = f"{joint.ref} at {printed(job, joint, cut.at_m)}" if joint else "a missing joint"
            text = f"The cut on {place} separates nothing: {why}."
            yield cut.id, Finding("cut-separates-nothing", joint.ref if joint else "", text)


def _why_idle(network: Network, components: Components, cut: Cut, *, acts: bool) -> str:
    """Why a cut separates nothing; empty when it does."""
    if cut.joint not in network:
        return "its joint is not repaired by this method"
    joint, at = network.number(cut.joint), to_um(cut.at_m)
    if _at_mark(network, joint, at):
        return "it lies at a junction or an end, where joints are taken apart instead"
    if not acts:
        return "no repair passes there"
    if len(components.parts_near(joint, at)) > 1:
        return ""
    return "the repair goes round it; a loop needs two cuts"
