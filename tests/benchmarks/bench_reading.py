"""How long reading a drawing takes, beside the library's reading and showing of the same file.

Run it as a script: ``QT_QPA_PLATFORM=offscreen python tests/benchmarks/bench_reading.py [FILE ...]``. It prints
ratios side by side, no absolute promise:

* ``peer``: ``ezdxf.readfile`` and ezdxf's own drawing front end into its Qt scene, what a user of the same
  libraries would write; where the front end breaks off, its reading alone;
* ``first``: everything, from bytes to strokes, texts, layers and findings, and how often faster that is than the
  peer (to reach: 4 times on files of 300 kB and more);
* ``again``: a kept drawing, taken into use (to reach: 100 times);
* ``slow``: the same as ``first`` with every record read by the library, as damaged files are.

All take turns, and each ratio is the median of those of single turns, so that a busy moment says little. How much
memory it takes: ``bench_memory.py``.

Drawings: one made here with 100,000 entities of the usual kinds in mixed order, the foreign drawings of 300 kB and
more in ``../shared/corpus`` if that folder is there, and any files named on the command line.
"""

from __future__ import annotations

import gc
import random
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter

import ezdxf
from ezdxf.addons.drawing import Frontend, RenderContext
from ezdxf.addons.drawing.pyqt import PyQtBackend
from PySide6.QtWidgets import QApplication, QGraphicsScene

from leakmap.drawings.dxf.read import read_dxf
from leakmap.drawings.packed import packed, unpacked

_TIMES = 5
_SECONDS = 6.0
_REAL = Path(__file__).resolve().parents[3] / "shared" / "corpus" / "real"
_LEAST = 300_000
_BROKEN_OFF: set[Path] = set()
_SAID = "   (the front end breaks off, so the peer is counted up to there)"


def made_plan(path: Path) -> Path:
    """A drawing of 30 by 50 m in millimetres: 100,000 lines, polylines, arcs, inserts and texts at random places."""
    chance = random.Random(1)  # noqa: S311 - places, no secret
    document = ezdxf.new("R2018", units=4)
    model = document.modelspace()
    column = document.blocks.new("COLUMN")
    for x in range(10):
        column.add_line((x, 0), (x, 50))
    kinds = [kind for kind, count in _COUNTS.items() for _ in range(count)]
    chance.shuffle(kinds)
    for number, kind in enumerate(kinds):
        x, y = chance.uniform(0, 50_000), chance.uniform(0, 30_000)
        style = {"layer": f"LEVEL-{number % 8}"}
        match kind:
            case "line":
                model.add_line((x, y), (x + 500, y + 40), style)
            case "polyline":
                corners = [(x, y), (x + 500, y), (x + 500, y + 400), (x, y + 100)]
                model.add_lwpolyline(corners, close=True, dxfattribs=style)
            case "arc":
                model.add_arc((x, y), 500, 10, 100, dxfattribs=style)
            case "insert":
                model.add_blockref("COLUMN", (x, y), style | {"rotation": number})
            case _:
                model.add_text("P-1", height=100, dxfattribs=style).set_placement((x, y))
    document.saveas(path)
    return path


_COUNTS = {"line": 53_000, "polyline": 20_000, "arc": 10_000, "insert": 9_000, "text": 8_000}


def shares(first: Callable[[], object], *others: Callable[[], object]) -> list[float]:
    """How long each other takes as a share of the first, as the median of several turns."""
    turns: list[list[float]] = []
    begun = perf_counter()
    while len(turns) < _TIMES or perf_counter() - begun < _SECONDS:
        taken = []
        for work in (first, *others):
            gc.collect()
            start = perf_counter()
            work()
            taken.append(perf_counter() - start)
        turns.append([seconds / taken[0] for seconds in taken[1:]])
    return list(map(median, zip(*turns, strict=True)))


def peer(path: Path) -> QGraphicsScene:
    """The library's own reading and showing."""
    document = ezdxf.readfile(path)
    scene = QGraphicsScene()
    try:
        Frontend(RenderContext(document), PyQtBackend(scene)).draw_layout(document.modelspace())
    except (AttributeError, ZeroDivisionError):  # it breaks off at dimensions and hatches of some files
        _BROKEN_OFF.add(path)
    return scene


def compare(path: Path) -> str:
    """One line of ratios for a file."""
    kept = packed(read_dxf(path))
    first, again, slow = shares(
        lambda: peer(path), lambda: read_dxf(path), lambda: unpacked(kept), lambda: read_dxf(path, fast=False)
    )
    return (
        f"{path.name:28} {path.stat().st_size / 1e6:6.1f} MB   peer 1.00   first {first:5.3f} ({1 / first:.1f} times "
        f"faster)   again {again:7.5f} ({1 / again:,.0f} times faster)   slow {slow:5.3f}   "
        f"kept {len(kept) / path.stat().st_size:.2f} of the file{'' if path not in _BROKEN_OFF else _SAID}"
    )


def main() -> None:
    """Compare the made plan, the foreign plans and the files of the command line."""
    app = QApplication.instance() or QApplication([])
    with tempfile.TemporaryDirectory() as folder:
        real = [path for path in sorted(_REAL.glob("*.dxf")) if path.stat().st_size >= _LEAST]
        for path in (*real, *map(Path, sys.argv[1:]), made_plan(Path(folder) / "made.dxf")):
            print(compare(path), flush=True)
    del app


if __name__ == "__main__":
    main()
