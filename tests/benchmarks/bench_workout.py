"""Speed of the work-out against what a user of general libraries would write; prints ratios side by side.

Run from the top of the working copy: ``python tests/benchmarks/bench_workout.py [--leaks N] [--overruns N]``.
Times are of the processor, the least of several runs; the peers run in the same process on the same
job. A ratio above 1 says how many times the peer's time is ours.

Network overrun: each leak's reach along the network. The peer is networkx, whose graph has every node
of the network and both ends of every leak; for each leak one multi-source Dijkstra with a cut-off
gives what it reaches, traceable leak by leak. The same for all leaks at once is untraceable and is
shown for comparison. Both sides are told with and without what they lay out first: the peer its graph,
we our arrays.

Work-out: joints and leaks to parts, and on to zones with quantities where that exists. The peer cuts
each leak's stretch with its overruns out of its own joint, buffers it and unites everything: no
network, no reasons, and wrong lengths.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from importlib import import_module
from itertools import pairwise
from random import Random
from time import process_time

import networkx as nx
import shapely
from shapely.ops import substring

from leakmap.model.job import Job
from leakmap.repair.cover import covered
from leakmap.repair.junctions import junctions_of
from leakmap.repair.network import Network
from leakmap.repair.reach import own_cover
from leakmap.repair.reach_all import covers_on_open, leaks_of, own_covers, table_of
from leakmap.repair.sources import Source, sources_of
from tests.helpers.jobs import job_of, leak, line


def basement(leaks: int, *, lines: int = 100, pitch_m: float = 2.5, seed: int = 7) -> Job:
    """A grid of floor joints, all one network, with leaks of 0 to 1.2 m anywhere on it."""
    random = Random(seed)  # noqa: S311 - a made-up plan, not a secret
    side = (lines - 1) * pitch_m
    joints = [line((0, k * pitch_m), (side, k * pitch_m)) for k in range(lines)]
    joints += [line((k * pitch_m, 0), (k * pitch_m, side)) for k in range(lines)]
    marked = []
    for _ in range(leaks):
        start = round(random.uniform(0, side - 1.2), 3)
        stop = round(start + random.choice((0, 0.2, 0.5, 1.2)), 3)
        marked.append(leak(random.randint(1, 2 * lines), start, stop, random.randint(1, 5)))
    return job_of(joints, marked)


def seconds(work: Callable[[], object], runs: int) -> float:
    """Least processor time of some runs."""
    best = float("inf")
    for _ in range(runs):
        start = process_time()
        work()
        best = min(best, process_time() - start)
    return best


def graph_of(network: Network, sources: tuple[Source, ...]) -> nx.Graph:
    """The network with every leak end as a vertex of its own: nodes by number, ends by joint and chainage."""
    stops: list[list[tuple[int, object]]] = [list(marks) for marks in network.marks_um]
    for source in sources:
        for at in (source.from_um, source.to_um):
            stops[source.joint].append((at, (source.joint, at)))
    graph = nx.Graph()
    for own in stops:
        own.sort(key=lambda stop: stop[0])
        graph.add_weighted_edges_from((one, other, high - low) for (low, one), (high, other) in pairwise(own))
    return graph


def peer_traceable(graph: nx.Graph, sources: tuple[Source, ...]) -> list[object]:
    """One Dijkstra a leak, from both its ends, cut off at its overrun."""
    return [
        nx.multi_source_dijkstra_path_length(
            graph, {(source.joint, source.from_um), (source.joint, source.to_um)}, cutoff=source.after_um
        )
        for source in sources
    ]


def peer_at_once(graph: nx.Graph, sources: tuple[Source, ...]) -> object:
    """One Dijkstra for all leaks with the largest overrun; nobody knows afterwards which leak reached what."""
    ends = {(source.joint, at) for source in sources for at in (source.from_um, source.to_um)}
    return nx.multi_source_dijkstra_path_length(graph, ends, cutoff=max(source.after_um for source in sources))


def peer_work_out(job: Job) -> float:
    """Stretch and overruns of each leak cut out of its own joint, buffered and united; length by area over width."""
    lines = {key: shapely.LineString(joint.path.points) for key, joint in job.joints.items() if joint.path}
    bands = []
    for item in job.leaks.values():
        overrun = job.rules.overrun_m[item.wetness]
        part = substring(lines[item.joint], max(item.from_m - overrun, 0), item.to_m + overrun)
        bands.append(part.buffer(job.rules.band_m / 2, cap_style="flat", join_style="mitre"))
    return float(shapely.unary_union(bands).area / job.rules.band_m)


def overrun(leaks: int, runs: int) -> None:
    """Network overrun against networkx."""
    job = basement(leaks)
    network = junctions_of(job).network
    sources = sources_of(job, network)
    graph, table, leaks_there = graph_of(network, sources), table_of(network), leaks_of(sources)
    ours = seconds(lambda: covers_on_open(table, leaks_there), runs)
    ours_built = seconds(lambda: own_covers(network, sources), runs)
    one_by_one = seconds(lambda: [own_cover(network, source) for source in sources], 1)
    each = seconds(lambda: peer_traceable(graph, sources), 1)
    at_once = seconds(lambda: peer_at_once(graph, sources), runs)
    build = seconds(lambda: graph_of(network, sources), 1)
    print(f"network overrun, {leaks} leaks on {len(network.arms)} nodes: {ours:.3f} s, traceable leak by leak")
    print(
        f"  with network and leaks laid out in arrays: {ours_built:.3f} s; leak by leak in Python: {one_by_one:.3f} s"
    )
    for words, peer in (("one multi-source Dijkstra a leak", each), ("one for all leaks, untraceable", at_once)):
        built = build + peer
        print(f"  networkx, {words}: {peer:.3f} s, {peer / ours:.1f} times ours")
        print(
            f"    with the graph that holds the leak ends: {built:.3f} s, {built / ours_built:.1f} times ours with arrays"
        )


def work_out(leaks: int, runs: int) -> None:
    """The work-out against bands cut, buffered and united leak by leak."""
    job = basement(leaks)
    peer = seconds(lambda: peer_work_out(job), runs)
    cover = seconds(lambda: covered(job), runs)
    found = covered(job)
    print(f"cover of {leaks} leaks, joints to {len(found.parts)} parts: {cover:.3f} s")
    print(f"  shapely, substring and buffer a leak, one union: {peer:.3f} s, {peer / cover:.2f} times ours")
    whole = whole_work_out()
    if whole is not None:
        ours = seconds(lambda: whole(job), runs)
        print(f"whole work-out of {leaks} leaks, joints to quantities: {ours:.3f} s, peer {peer / ours:.2f} times ours")


def whole_work_out() -> Callable[[Job], object] | None:
    """``repairs(job)`` of the product; None while there is only its first half."""
    try:
        module = import_module("leakmap.repair.work_out")
    except ModuleNotFoundError:
        return None
    found: Callable[[Job], object] = module.repairs
    return found


def main() -> None:
    """Print every ratio."""
    parser = argparse.ArgumentParser(description="Speed of the work-out beside general libraries.")
    parser.add_argument("--leaks", type=int, default=10_000)
    parser.add_argument("--overruns", type=int, default=100_000)
    parser.add_argument("--runs", type=int, default=3)
    given = parser.parse_args()
    overrun(given.overruns, given.runs)
    work_out(given.leaks, given.runs)


if __name__ == "__main__":
    main()
