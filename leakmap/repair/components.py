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
from dataclasses import dataclass
from itertools import combinations, pairwise

from leakmap.base.findings import Finding
from leakmap.base.micrometres import to_um
from leakmap.model.chainage import printed_m
from leakmap.model.job import Job
from leakmap.model.leak import Cut
from leakmap.repair.junctions import DELTA_UM
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
        findings: Cuts that separate nothing.
    """

    spans: tuple[tuple[Span, ...], ...]
    parts: tuple[tuple[int, ...], ...]
    wholes: tuple[int, ...]
    cuts: Mapping[int, tuple[int, ...]]
    findings: tuple[Finding, ...]

    def part_at(self, joint: int, at_um: int, slack_um: int = 0) -> set[int]:
        """Parts that cover a place, or come within a slack of it along the joint."""
        return {
            part
            for (low, high), part in zip(self.spans[joint], self.parts[joint], strict=True)
            if low - slack_um <= at_um <= high + slack_um
        }


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
    wholes_of_cover = _joined(network, cover, {})
    components = Components(spans, parts, _wholes(spans, parts, cover, wholes_of_cover), places, ())
    acting_ids = {cut.id for cut, _ in acting}
    findings = (
        _finding(job, cut, _why_idle(network, components, joint, cut, acts=cut.id in acting_ids)) for cut, joint in cuts
    )
    off = (
        _finding(job, cut, "its joint is not repaired by this method")
        for cut in job.cuts.values()
        if cut.joint not in network
    )
    return Components(spans, parts, components.wholes, places, tuple(item for item in (*findings, *off) if item))


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
            ones = components.part_at(network.number(item.joint), to_um(item.at_m), DELTA_UM)
            others = components.part_at(network.number(item.other), to_um(item.other_at_m), DELTA_UM)
            pairs.update((min(a, b), max(a, b)) for a in ones for b in others if a != b)
    return frozenset(pairs)


def _acts(network: Network, cover: Sequence[Sequence[Span]], joint: int, at: int) -> bool:
    """Whether a cut lies inside cover and farther than δ from every mark."""
    return not _at_mark(network, joint, at) and any(_inside(network, joint, span, at) for span in cover[joint])


def _inside(network: Network, joint: int, span: Span, at: int) -> bool:
    low, high = span
    round_start = network.closed[joint] and at in (0, network.lengths_um[joint])
    return low < at < high or (round_start and at in span)


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
    parent = list(range(firsts[-1]))
    at_node: dict[int, int] = {}
    for joint, own in enumerate(spans):
        for index, node in _touched_nodes(network.marks_um[joint], own):
            _unite(parent, firsts[joint] + index, at_node.setdefault(node, firsts[joint] + index))
        if _passes_start(network, joint, own, cuts.get(joint, ())):
            _unite(parent, firsts[joint], firsts[joint + 1] - 1)
    numbers: dict[int, int] = {}
    found = [numbers.setdefault(_root(parent, index), len(numbers)) for index in range(len(parent))]
    return tuple(tuple(found[low:high]) for low, high in pairwise(firsts))


def _touched_nodes(marks: Sequence[tuple[int, int]], spans: Sequence[Span]) -> Iterator[tuple[int, int]]:
    """Every span's index with each node that it holds, ends included."""
    places = [at for at, _ in marks]
    for index, (low, high) in enumerate(spans):
        for _, node in marks[bisect_left(places, low) : bisect_right(places, high)]:
            yield index, node


def _passes_start(network: Network, joint: int, spans: Sequence[Span], cuts: Iterable[int]) -> bool:
    """Whether cover of a closed joint goes on across its start, where no cut lies."""
    length = network.lengths_um[joint]
    across = bool(spans) and network.closed[joint] and spans[0][0] == 0 and spans[-1][1] == length
    return across and not any(at in (0, length) for at in cuts)


def _root(parent: list[int], index: int) -> int:
    while parent[index] != index:
        parent[index] = parent[parent[index]]
        index = parent[index]
    return index


def _unite(parent: list[int], one: int, other: int) -> None:
    one, other = _root(parent, one), _root(parent, other)
    parent[max(one, other)] = min(one, other)


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


def _why_idle(network: Network, components: Components, joint: int, cut: Cut, *, acts: bool) -> str:
    """Why a cut separates nothing; empty when it does."""
    at = to_um(cut.at_m)
    if _at_mark(network, joint, at):
        return "it lies at a junction or an end, where joints are taken apart instead"
    if not acts:
        return "no repair passes there"
    if len(_beside(network, components, joint, at)) > 1:
        return ""
    return "the repair goes round it; a loop needs two cuts"


def _beside(network: Network, components: Components, joint: int, at: int) -> set[int]:
    """Parts on both sides of a place where a cut acts."""
    length = network.lengths_um[joint]
    places = {at, length - at} if network.closed[joint] and at in (0, length) else {at}
    return {part for place in places for part in components.part_at(joint, place)}


def _finding(job: Job, cut: Cut, why: str) -> Finding | None:
    if not why:
        return None
    joint = job.joints.get(cut.joint)
    ref = joint.ref if joint else ""
    place = f"{ref} at {printed_m(joint, round(cut.at_m, 6)):.3f} m" if joint else "a joint that the job does not have"
    return Finding("cut-separates-nothing", ref, f"The cut on {place} separates nothing: {why}.")
