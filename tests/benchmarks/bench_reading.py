"""How long reading a drawing takes, beside the library's reading alone.

Run it as a script. It prints ratios side by side, no absolute promise:

* ``readfile``: ``ezdxf.readfile`` of the same file, which only parses (1.00 by definition);
* ``read_dxf``: everything, from bytes to strokes, texts, layers and findings;
* ``again``: a kept drawing, unpacked.

Drawings: one made here with 76,000 entities of the usual kinds, and any files named on the command line.
"""

from __future__ import annotations

import gc
import random
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from time import perf_counter

import ezdxf

from leakmap.drawings.dxf.read import read_dxf
from leakmap.drawings.packed import packed, unpacked

_TIMES = 3
_SECONDS = 2.0


def made_plan(path: Path) -> Path:
    """A drawing of 30 by 50 m in millimetres with lines, polylines, arcs, inserts and texts at random places."""
    chance = random.Random(1)  # noqa: S311 - places, no secret
    document = ezdxf.new("R2018", units=4)
    model = document.modelspace()
    column = document.blocks.new("COLUMN")
    for x in range(10):
        column.add_line((x, 0), (x, 50))

    def place() -> tuple[float, float]:
        return chance.uniform(0, 50_000), chance.uniform(0, 30_000)

    for _ in range(40_000):
        x, y = place()
        model.add_line((x, y), (x + 500, y + 40))
    for _ in range(15_000):
        x, y = place()
        model.add_lwpolyline([(x, y), (x + 500, y), (x + 500, y + 400), (x, y + 100)], close=True)
    for _ in range(8_000):
        model.add_arc(place(), 500, 10, 100)
    for turn in range(7_000):
        model.add_blockref("COLUMN", place(), dxfattribs={"rotation": turn})
    for _ in range(6_000):
        model.add_text("P-1", height=100).set_placement(place())
    document.saveas(path)
    return path


def best(*works: Callable[[], object]) -> list[float]:
    """Shortest of several runs of each, seconds; runs take turns, so that a busy moment hits all alike."""
    times: list[list[float]] = [[] for _ in works]
    begun = perf_counter()
    while len(times[0]) < _TIMES or perf_counter() - begun < _SECONDS:
        for work, taken in zip(works, times, strict=True):
            gc.collect()
            start = perf_counter()
            work()
            taken.append(perf_counter() - start)
    return [min(taken) for taken in times]


def compare(path: Path) -> str:
    """One line of ratios for a file."""
    kept = packed(read_dxf(path))
    parsing, reading, again = best(lambda: ezdxf.readfile(path), lambda: read_dxf(path), lambda: unpacked(kept))
    return (
        f"{path.name:28} {path.stat().st_size / 1e6:6.1f} MB   readfile 1.00   "
        f"read_dxf {reading / parsing:5.2f}   again {again / parsing:6.4f} ({parsing / again:,.0f} times faster)   "
        f"kept {len(kept) / path.stat().st_size:.2f} of the file"
    )


def main() -> None:
    """Compare the made plan and the files of the command line."""
    with tempfile.TemporaryDirectory() as folder:
        for path in (made_plan(Path(folder) / "made.dxf"), *map(Path, sys.argv[1:])):
            print(compare(path), flush=True)


if __name__ == "__main__":
    main()
