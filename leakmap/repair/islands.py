"""Islands: cover that acts on no other cover, with the leaks that made it.

Two wholes act on each other when their coat bands share area, when a gap between them could be
bridged, or when a deep stretch or the plug of one could reach the other.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from leakmap.base.micrometres import to_um
from leakmap.model.job import Job
from leakmap.model.rules import PlugExtent
from leakmap.repair.components import Components
from leakmap.repair.cover import Reached, longest_bridge_um, own_covers_um
from leakmap.repair.grouping import Groups
from leakmap.repair.nearby import Banded, Lying, Placing, around
from leakmap.repair.reach import JointSpan
from leakmap.repair.sources import TIE_UM
from leakmap.repair.work_out import Grouped

SLACK_UM: Final = 3 * TIE_UM
"""Nothing farther than this is taken for touching."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Island:
    """Cover that acts on no other.

    Attributes:
        leaks: The leaks that made it.
        spans: Where it lies.
        own_um: Its wet stretches' own covers, summed.
        before_um: Length of its cover before bridging.
        bands: Its coat bands, those of the wider of second coat and washing.
    """

    leaks: tuple[UUID, ...]
    spans: tuple[Lying, ...]
    own_um: int
    before_um: int
    bands: tuple[Banded, ...]


def acting_um(job: Job) -> int:
    """How far along the network cover can act on other cover."""
    rules = job.rules
    beyond_m = 0.0 if rules.plug_extent is PlugExtent.SLOT else rules.plug_beyond_m
    return max(longest_bridge_um(job), to_um(max(rules.deep_length_m / 2, beyond_m)) + SLACK_UM)


def cover_spans(found: Reached) -> list[JointSpan]:
    """Where cover lies."""
    return [(joint, low, high) for joint, spans in enumerate(found.after) for low, high in spans]


def bands_of(group: Grouped, owners: Sequence[int]) -> Iterator[Banded]:
    """The wider bands of every part.

    Args:
        group: The parts with their bands.
        owners: Owner of each part.
    """
    rules = group.works.job.rules
    wider = group.washed if rules.wash_m > rules.coat_margin_m else group.laid
    for (part, flat), shape in wider.of_part.items():
        yield Banded(flat, shape, owners[part])


def islands_of(found: Reached, group: Grouped, first: int) -> tuple[dict[int, Island], list[int]]:
    """The islands of what was worked out, by number, and the island of each part.

    Args:
        found: What was reached.
        group: The parts that came of it.
        first: The lowest number for them.
    """
    components, joints = found.trace.components, found.trace.network.joints
    numbers = _island_of_wholes(found, group)
    ranks = {number: first + rank for rank, number in enumerate(dict.fromkeys(numbers))}
    of_whole = [ranks[number] for number in numbers]
    of_part = [of_whole[part.whole] for part in group.parts]
    leaks: dict[int, list[UUID]] = {number: [] for number in ranks.values()}
    spans: dict[int, list[Lying]] = {number: [] for number in leaks}
    bands: dict[int, list[Banded]] = {number: [] for number in leaks}
    own_um, before_um = dict.fromkeys(leaks, 0), dict.fromkeys(leaks, 0)
    of_stretch = {}
    for source, stretch in zip(found.trace.sources, found.trace.stretch_of, strict=True):
        owner = of_stretch[stretch] = of_whole[_whole_at(components, source.joint, source.from_um)]
        leaks[owner].append(source.leak)
    for stretch, length in own_covers_um(found.trace.stretch_of, found.trace.reach).items():
        own_um[of_stretch[stretch]] += length
    for joint, own in enumerate(found.before):
        for low, high in own:
            before_um[of_whole[_whole_at(components, joint, low)]] += high - low
    for joint, low, high in cover_spans(found):
        spans[of_whole[_whole_at(components, joint, low)]].append((joints[joint], low, high))
    for band in bands_of(group, of_part):
        bands[band.owner].append(band)
    islands = {
        number: Island(
            leaks=tuple(leaks[number]),
            spans=tuple(spans[number]),
            own_um=own_um[number],
            before_um=before_um[number],
            bands=tuple(bands[number]),
        )
        for number in leaks
    }
    return islands, of_part


def _island_of_wholes(found: Reached, group: Grouped) -> list[int]:
    """Of each whole, the lowest whole of its island."""
    components, job = found.trace.components, group.works.job
    groups = Groups(max(components.wholes, default=-1) + 1)
    for one, other in (*group.laid.shared_m2, *group.washed.shared_m2):
        groups.join(group.parts[one].whole, group.parts[other].whole)
    if acting_um(job) > longest_bridge_um(job):
        spans = cover_spans(found)
        owners = [_whole_at(components, joint, low) for joint, low, _ in spans]
        network = found.trace.network
        lying = ((network.joints[joint], low, high) for joint, low, high in spans)
        placing = Placing({}).plus(zip(lying, owners, strict=True))
        for span, owner in zip(spans, owners, strict=True):
            for other in placing.owners(network, around(network, [span], acting_um(job))):
                groups.join(owner, other)
    return [groups.of(whole) for whole in range(max(components.wholes, default=-1) + 1)]


def _whole_at(components: Components, joint: int, at_um: int) -> int:
    return components.wholes[components.parts[joint][components.near(joint, at_um)[0]]]
