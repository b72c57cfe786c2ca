"""How long reading a drawing takes and how much memory, beside the library's reading and showing of the same file.

Run it as a script: ``QT_QPA_PLATFORM=offscreen python tests/benchmarks/bench_reading.py [FILE ...]``. It prints
ratios side by side, no absolute promise:

* ``peer``: ``ezdxf.readfile`` and ezdxf's own drawing front end into its Qt scene, what a user of the same
  libraries would write; where the front end breaks off, its reading alone;
* ``first``: everything, from bytes to strokes, texts, layers and findings, and how often faster that is than the
  peer (to reach: 4 times on files of 300 kB and more);
* ``again``: a kept drawing, taken into use (to reach: 100 times);
* ``slow``: the same as ``first`` with every record read by the library, as damaged files are;
* ``memory``: most memory of a process that reads, beside one that only calls ``readfile`` (to reach: 1.5).

Drawings: one made here with 100,000 entities of the usual kinds in mixed order, the foreign drawings of 300 kB and
more in ``../shared/corpus`` if that folder is there, and any files named on the command line.
"""

from __future__ import annotations

import gc
import random
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from time import perf_counter

import ezdxf
from ezdxf.addons.drawing import Frontend, RenderContext
from ezdxf.addons.drawing.pyqt import PyQtBackend
from PySide6.QtWidgets import QApplication, QGraphicsScene

from leakmap.drawings.dxf.read import read_dxf
from leakmap.drawings.packed import packed, unpacked

_TIMES = 3
_SECONDS = 6.0
_REAL = Path(__file__).resolve().parents[3] / "shared" / "corpus" / "real"
_LEAST = 300_000
_MEMORY = "print(re.search(r'VmHWM:\\s*([0-9]+)', Path('/proc/self/status').read_text())[1])"
_IMPORTS = "import re, sys; from pathlib import Path; "
_READ = _IMPORTS + "from leakmap.drawings.dxf.read import read_dxf; d = read_dxf(Path(sys.argv[1])); "
_PARSE = _IMPORTS + "import ezdxf; d = ezdxf.readfile(sys.argv[1]); "


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


def peer(path: Path) -> QGraphicsScene:
    """The library's own reading and showing."""
    document = ezdxf.readfile(path)
    scene = QGraphicsScene()
    try:
        Frontend(RenderContext(document), PyQtBackend(scene)).draw_layout(document.modelspace())
    except (AttributeError, ZeroDivisionError):  # it breaks off at dimensions and hatches of some files
        print(f"{path.name}: the front end breaks off, so the peer is counted up to there")
    return scene


def memory(words: str, path: Path) -> int:
    """Most memory of a process that does this, kB; asked of Linux."""
    done = subprocess.run(
        [sys.executable, "-c", words + _MEMORY, str(path)], capture_output=True, check=True, text=True
    )
    return int(done.stdout)


def compare(path: Path) -> str:
    """One line of ratios for a file."""
    kept = packed(read_dxf(path))
    showing, reading, again, slow = best(
        lambda: peer(path), lambda: read_dxf(path), lambda: unpacked(kept), lambda: read_dxf(path, fast=False)
    )
    return (
        f"{path.name:28} {path.stat().st_size / 1e6:6.1f} MB   peer 1.00   "
        f"first {reading / showing:5.3f} ({showing / reading:.1f} times faster)   "
        f"again {again / showing:7.5f} ({showing / again:,.0f} times faster)   slow {slow / showing:5.3f}   "
        f"memory {memory(_READ, path) / memory(_PARSE, path):.2f}   kept {len(kept) / path.stat().st_size:.2f} of the file"
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
