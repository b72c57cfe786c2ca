"""Leaks that get cover, in the engine's terms, and the wet stretches that they form.

Terms:
    source: a leak that is repaired by this method: on a joint of the network, not under another
        method, and no suspect where suspects are only watched.
    wet stretch: sources that touch or overlap, along a joint within τ or at a node that both touch.

Chainages are whole micrometres. A source on a closed joint that passes the start counts on past the
joint's length.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple
from uuid import UUID

from leakmap.base.findings import Effect, Finding
from leakmap.base.micrometres import to_um
from leakmap.geometry.tolerance import MICRON_M, TIE_M
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.rules import Suspects
from leakmap.model.words import Method, Wetness
from leakmap.repair.grouping import Groups
from leakmap.repair.network import Network

TIE_UM: Final = to_um(TIE_M + MICRON_M)
"""τ with the slack of a comparison, in micrometres."""


class Source(NamedTuple):
    """A leak that gets cover.

    Attributes:
        joint: Number of its joint in the network.
        from_um: Where it starts, within the joint.
        to_um: Where it stops, ``from_um`` at least; past the length where it passes the start.
        before_um: Overrun before its start.
        after_um: Overrun after its end.
        round: Whether it is wet all round a closed joint, so that it has no ends.
    """

    leak: UUID
    joint: int
    from_um: int
    to_um: int
    before_um: int
    after_um: int
    wetness: Wetness
    round: bool


def sources_of(job: Job, network: Network) -> tuple[Source, ...]:
    """Sources in the order of the leaks.

    A leak that lies past the end of its joint is shortened; on an open joint one whose ends are
    exchanged is turned round.
    """
    return tuple(
        source_of(job, network, leak)
        for leak in job.leaks.values()
        if leak.joint in network and leak.joint in job.joints and is_treated(job, leak)
    )


def is_treated(job: Job, leak: Leak) -> bool:
    """Whether a leak is repaired by this method as far as the leak itself decides."""
    watched = leak.wetness is Wetness.SUSPECT and job.rules.suspects is Suspects.WATCH
    return leak.method is not Method.ANOTHER and not watched


def source_of(job: Job, network: Network, leak: Leak) -> Source:
    """The source that a leak on a joint of the network is."""
    joint = network.number(leak.joint)
    length, closed = network.lengths_um[joint], network.closed[joint]
    low, high = (min(to_um(at), length) for at in (leak.from_m, leak.to_m))
    by_rule = job.rules.overrun_m[leak.wetness]
    before, after = (
        to_um(by_rule if by_hand is None else by_hand) for by_hand in (leak.overrun_from_m, leak.overrun_to_m)
    )
    if closed and low > high:
        high += length
    low, high = min(low, high), max(low, high)
    if closed and low == length:
        low, high = 0, high - length
    return Source(leak.id, joint, low, high, before, after, leak.wetness, round=closed and high - low >= length)


def wet_stretches(network: Network, sources: Sequence[Source]) -> tuple[int, ...]:
    """Number of the wet stretch of each source; those that touch or overlap have the same."""
    groups = Groups(len(sources))
    last_at: dict[int, tuple[int, int]] = {}
    at_node: dict[int, int] = {}
    for joint, low, high, index in sorted(_laid_out(network, sources)):
        before = last_at.get(joint)
        if before is not None and low <= before[0] + TIE_UM:
            groups.join(before[1], index)
        if before is None or high > before[0]:
            last_at[joint] = (high, index)
        for node in network.nodes_on(joint, low - TIE_UM, high + TIE_UM):
            groups.join(at_node.setdefault(node, index), index)
    return groups.numbered()


def _laid_out(network: Network, sources: Sequence[Source]) -> Iterator[tuple[int, int, int, int]]:
    """Sources as (joint, from, to, index); on a closed joint once more a length farther on, so that they touch there."""
    for index, source in enumerate(sources):
        yield source.joint, source.from_um, source.to_um, index
        if network.closed[source.joint]:
            length = network.lengths_um[source.joint]
            yield source.joint, source.from_um + length, source.to_um + length, index


def _on_nothing(leak: Leak) -> Finding:
    return Finding(
        "leak-on-nothing",
        leak.ref,
        f"{leak.ref} lies on a joint that the job does not have; it is left out.",
        Effect.LOST,
    )


def leak_findings(job: Job, leak: Leak) -> Iterator[Finding]:
    """What should be said of a leak, whatever else there is."""
    joint = job.joints.get(leak.joint)
    if joint is None:
        yield _on_nothing(leak)
    else:
        yield from _findings_on(job, joint, leak)


def _findings_on(job: Job, joint: Joint, leak: Leak) -> Iterator[Finding]:
    if max(leak.from_m, leak.to_m) > joint.length_m + MICRON_M:
        yield Finding(
            "leak-past-end",
            leak.ref,
            f"{leak.ref} lies past the end of {joint.ref}, which is {job.units.printed(joint.length_m)} long; "
            "only what lies on the joint is worked out.",
            Effect.FIXED,
        )
    if leak.from_m > leak.to_m and not joint.closed:
        yield Finding(
            "leak-turned",
            leak.ref,
            f"{leak.ref} starts after it stops on {joint.ref}, which is open; its ends were exchanged.",
            Effect.FIXED,
        )
    least, said = job.rules.least_overrun_m, job.units.said
    by_hand = [value for value in (leak.overrun_from_m, leak.overrun_to_m) if value is not None]
    if by_hand and min(by_hand) < least - MICRON_M:
        yield Finding(
            "short-overrun",
            leak.ref,
            f"An overrun of {leak.ref} is set by hand to {said(min(by_hand))}, which is less than {said(least)}; "
            "check that it goes past the last visible water.",
        )
