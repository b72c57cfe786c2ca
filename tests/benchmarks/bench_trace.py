"""Tracing beside what a user of the same libraries would write, and how long the window waits for it.

Run from the top of the working copy: ``QT_QPA_PLATFORM=offscreen python tests/benchmarks/bench_trace.py``.
Way: on a plan of streets, 60 by 60 of which a fifth of the pieces are missing, from the middle to five streets on and
from one end to the other, against networkx (shapely cuts the lines where they cross, then the whole plan is a graph).
Again: from end to end once more, when the pointer has moved a little, with the longest work between two frames.
Offer: 1,000 lines of a layer are
offered beside 200 joints. Hover: the pointer moves over them. Take: all of them become joints, worked out and saved.
"""

from __future__ import annotations

from itertools import pairwise
from math import hypot
from pathlib import Path
from random import Random
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter

import networkx as nx
import numpy as np
import shapely
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication

from leakmap.desk.plan.view import PlanView
from leakmap.desk.tools.following import _STEPS
from leakmap.desk.tools.from_lines import FromLines
from leakmap.geometry.path import Point
from leakmap.model.words import Kind
from leakmap.work.edits.joints import draw_joint
from leakmap.work.follow import Meetings, WaySearch, way_along
from leakmap.work.snap_lines import Lines, lines_of
from tests.helpers.drawn_levels import desk_on_drawing

FRAME_MS = 1000 / 60
SIDE = 60


def streets(seed: int = 3) -> list[tuple[Point, Point]]:
    """Pieces between the crossings of lines, a fifth of them missing."""
    chance = Random(seed)  # noqa: S311 - test drawings, not secrets
    across = [((x, y), (x + 1, y)) for x in range(SIDE) for y in range(SIDE)]
    up = [((x, y), (x, y + 1)) for x in range(SIDE) for y in range(SIDE)]
    return [piece for piece in (*across, *up) if chance.random() < 0.8]


def by_networkx(pieces: list[tuple[Point, Point]], start: Point, goal: Point) -> float:
    """Length of the shortest way, from the same pieces."""
    graph = nx.Graph()
    for line in shapely.node(shapely.MultiLineString(pieces)).geoms:
        for (x0, y0), (x1, y1) in pairwise(line.coords):
            graph.add_edge((x0, y0), (x1, y1), weight=hypot(x1 - x0, y1 - y0))
    return float(nx.shortest_path_length(graph, start, goal, weight="weight"))


def ms(start: float) -> float:
    """Milliseconds since."""
    return 1000 * (perf_counter() - start)


def ways(pieces: list[tuple[Point, Point]]) -> None:
    """Rows of the way."""
    ends = np.array(pieces, dtype=np.float64)
    lines: Lines = lines_of(ends[:, 0], ends[:, 1])
    start, goal = pieces[0][0], pieces[-1][0]
    beside("near", lines, pieces, (30.0, 30.0), (34.0, 33.0))
    beside("across", lines, pieces, start, goal)
    again(lines, start, goal)


def beside(name: str, lines: Lines, pieces: list[tuple[Point, Point]], start: Point, goal: Point) -> None:
    """Our way and that of networkx, in turns."""
    ours, theirs = [], []
    for _ in range(3):
        begun = perf_counter()
        way = way_along(lines, start, goal, most_steps=10**6)
        ours.append(ms(begun))
        begun = perf_counter()
        length = by_networkx(pieces, start, goal)
        theirs.append(ms(begun))
    assert way is not None
    assert abs(shapely.LineString(way).length - length) < 0.01
    ratio = median(theirs) / median(ours)
    print(f"  way {name:<18} {median(ours):8.1f} ms   networkx takes {ratio:5.2f} times as long")


def again(lines: Lines, start: Point, goal: Point) -> None:
    """The same way once more, with what was found out before."""
    known: Meetings = {}
    WaySearch(lines, start, goal, meetings=known).go_on(10**6)
    begun = perf_counter()
    search, longest = WaySearch(lines, start, goal, meetings=known), 0.0
    while not search.ended:
        slice_begun = perf_counter()
        search.go_on(_STEPS)
        longest = max(longest, ms(slice_begun))
    print(f"  way again              {ms(begun):8.1f} ms   longest {_STEPS} steps {longest / FRAME_MS:5.2f} frames")


def offers(folder: Path) -> None:
    """Rows of the offer."""
    limits = [(3.0 * (n % 40), 2.0 * (n // 40), 3.0 * (n % 40) + 2.5, 2.0 * (n // 40)) for n in range(1000)]
    with desk_on_drawing({"LIMITS": limits}, folder) as desk:
        assert desk.open_job is not None
        assert desk.level is not None
        job = desk.open_job.job
        for x, y, to_x, _ in limits[:200]:
            job = draw_joint(job, sheet=desk.level, kind=Kind.CRACK, points=[(x, y), (to_x, y)]).job
        view = PlanView(desk)
        view.resize(1072, 650)
        view.show()
        desk.take_tool(FromLines(desk))
        tool = desk.tool
        assert isinstance(tool, FromLines)
        begun = perf_counter()
        tool.choose("LIMITS")
        say("offer 1,000 lines", ms(begun))
        moves = []
        for n in range(40):
            where, none = QPointF(200 + 15.0 * n, 300 + n), Qt.MouseButton.NoButton
            event = QMouseEvent(QEvent.Type.MouseMove, where, where, none, none, Qt.KeyboardModifier.NoModifier)
            begun = perf_counter()
            QApplication.sendEvent(view, event)
            view.repaint()
            moves.append(ms(begun))
        say("hover", median(moves))
        begun = perf_counter()
        tool.entered()
        say("take all", ms(begun))
        desk.take_tool(None)


def say(name: str, took_ms: float) -> None:
    """One row."""
    print(f"  {name:<22} {took_ms:8.1f} ms   {took_ms / FRAME_MS:6.2f} frames")


def main() -> None:
    """Print all rows."""
    application = QApplication.instance() or QApplication([])
    ways(streets())
    with TemporaryDirectory() as folder:
        offers(Path(folder))
    del application


if __name__ == "__main__":
    main()
