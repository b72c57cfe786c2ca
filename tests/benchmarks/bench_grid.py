"""How long the grid of a drawing of many lines takes to find, beside following each bubble's line through all of them.

Run: python tests/benchmarks/bench_grid.py [lines]. Prints times of both, in one run, and their ratio; processor
time, so that other work on the machine does not count. The peer is plain numpy over all lines for each bubble.
"""

from __future__ import annotations

import sys
from time import process_time
from uuid import UUID

import numpy as np

from leakmap.drawings.grid_bubbles import Bubble, bubbles_of
from leakmap.drawings.grid_lines import grid_found
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import Drawing, Strokes
from leakmap.model.sheet import Sheet
from tests.helpers.drawn_grids import Board, draw_grid

SHEET = Sheet(id=UUID(int=1), name="B2", placement=Placement(x_m_per_unit=0.001, y_m_per_unit=0.001))


def crowded(count: int) -> Drawing:
    """A grid of six by six among level and upright lines of up to 2 m."""
    board = Board()
    draw_grid(board)
    drawing, random = board.drawing(), np.random.default_rng(1)
    start = random.uniform(0, 30_000, (count, 2))
    way = np.where(random.integers(0, 2, (count, 1)), [[1.0, 0.0]], [[0.0, 1.0]])
    lines = np.stack([start, start + way * random.uniform(10, 2000, (count, 1))], axis=1).reshape(-1, 2)
    old = drawing.strokes
    starts = np.concatenate([old.starts, old.starts[-1] + 2 * np.arange(1, count + 1)]).astype(np.int32)
    layer = np.zeros(len(starts) - 1, dtype=np.int32)
    strokes = Strokes(np.vstack([old.xy, lines]), starts, layer)
    return Drawing(drawing.origin, drawing.layers, strokes, drawing.texts, drawing.unit, None)


def plain(drawing: Drawing, bubbles: tuple[Bubble, ...]) -> list[float]:
    """For each bubble, the length of the longest line that ends near it, with what lies along that line."""
    xy = drawing.strokes.xy
    owner = np.repeat(np.arange(len(drawing.strokes)), np.diff(drawing.strokes.starts))
    pieces = np.hstack((xy[:-1], xy[1:]))[owner[1:] == owner[:-1]]
    start, step = pieces[:, :2], pieces[:, 2:] - pieces[:, :2]
    length = np.hypot(step[:, 0], step[:, 1])
    found = []
    for bubble in bubbles:
        ends = np.minimum(*(np.hypot(*(end - bubble.at).T) for end in (start, pieces[:, 2:])))
        longest = int(np.argmax(np.where((ends > bubble.radius * 0.9) & (ends <= 2 * bubble.radius), length, 0)))
        way = step[longest] / length[longest]
        off = [(end - start[longest]) @ np.array((-way[1], way[0])) for end in (start, pieces[:, 2:])]
        on = (np.abs(off[0]) < 20) & (np.abs(off[1]) < 20)
        along = (pieces[on].reshape(-1, 2) - start[longest]) @ way
        found.append(float(along.max() - along.min()))
    return found


def main() -> None:
    """Time both ways and print the ratio."""
    drawing = crowded(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
    bubbles = bubbles_of(drawing, np.ones(1, dtype=np.bool_))
    times: dict[str, list[float]] = {"found": [], "plain": []}
    for _ in range(7):
        before = process_time()
        found = grid_found(drawing, SHEET)
        times["found"].append(process_time() - before)
        before = process_time()
        plain(drawing, bubbles)
        times["plain"].append(process_time() - before)
    assert found is not None
    assert len(found.grid.axes) == len(bubbles) == 12
    ours, peer = (sorted(each)[3] for each in times.values())
    print(
        f"{len(drawing.strokes):,} polylines: {ours * 1000:.0f} ms, plain {peer * 1000:.0f} ms, {peer / ours:.1f} times"
    )


if __name__ == "__main__":
    main()
