"""How much memory reading a drawing takes at most, beside the library's reading alone.

Run it as a script on Linux, which can forget a process's peak and count anew. Each reading is a process of its own,
three of each, of which the middle one counts. Both load the same libraries and read a small file in their way first, so
that what is loaded late, and kept for good, counts for neither; then the peak is forgotten, and what the process takes
is the start. It prints ratios side by side:

* ``readfile``: ``ezdxf.readfile`` of the same file, which only parses (1.00 by definition);
* ``read_dxf``: everything, from bytes to strokes, texts, layers and findings: first what it takes over the start (to
  reach: 1.5 on files of 300 kB and more), then the process as a whole, libraries and all, beside one that loads
  nothing but ``ezdxf``.

Drawings: one made here with 100,000 entities of the usual kinds in mixed order, the foreign drawings of 300 kB and
more in ``../shared/corpus`` if that folder is there, and any files named on the command line.
"""

from __future__ import annotations

import gc
import re
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

_TIMES = 3
_WAYS = ("readfile", "read_dxf", "bare")
_REAL = Path(__file__).resolve().parents[3] / "shared" / "corpus" / "real"
_LEAST = 300_000
_FORGET_PEAK = "5"  # what Linux takes for it


def most_bytes(how: str, path: Path) -> tuple[float, float]:
    """What a reading took at most, over the start and with all that its process took."""
    command = [sys.executable, __file__, how, str(path)]
    runs = [
        subprocess.run(command, capture_output=True, check=True, text=True).stdout.split()[-2:] for _ in range(_TIMES)
    ]
    over, whole = (statistics.median(map(int, column)) for column in zip(*runs, strict=True))
    return over, whole


def _taken(what: str) -> int:
    """Bytes that this process takes (``VmRSS``), or took at most (``VmHWM``)."""
    found = re.search(rf"{what}:\s*([0-9]+)", Path("/proc/self/status").read_text(encoding="ascii"))
    assert found is not None
    return int(found[1]) * 1024


def read(how: str, path: Path) -> tuple[int, int]:
    """Read a file in one way, in this process; gives what that took at most, over the start and in all."""
    import ezdxf  # noqa: PLC0415 - each process loads what it reads with

    if how == "bare":
        assert ezdxf.readfile(path) is not None
        return 0, _taken("VmHWM")
    from leakmap.drawings.dxf.read import read_dxf  # noqa: PLC0415

    def reading(file: Path) -> object:
        return ezdxf.readfile(file) if how == "readfile" else read_dxf(file)

    with tempfile.TemporaryDirectory() as folder:
        small = Path(folder, "small.dxf")
        few_of_each(small)
        reading(small)
    gc.collect()
    Path("/proc/self/clear_refs").write_text(_FORGET_PEAK, encoding="ascii")
    start = _taken("VmRSS")
    kept = reading(path)
    assert kept is not None
    return _taken("VmHWM") - start, _taken("VmHWM")


def few_of_each(path: Path) -> None:
    """A small drawing of lines, arcs, texts with lengths, and an insert."""
    import ezdxf  # noqa: PLC0415 - as above

    document = ezdxf.new(setup=True, units=4)
    model = document.modelspace()
    document.blocks.new("B").add_circle((0, 0), 10)
    model.add_blockref("B", (0, 0))
    for x in (1000, 2000, 3000, 4000):
        model.add_line((0, x), (x, x))
        model.add_arc((0, 0), x / 4, 0, 90)
        model.add_text(str(x), height=100).set_placement((x / 2, x + 50))
    document.saveas(path)


def compare(path: Path) -> str:
    """One line of ratios for a file."""
    (theirs, _), (ours, ours_whole), (_, bare) = (most_bytes(how, path) for how in _WAYS)
    return (
        f"{path.name:28} {path.stat().st_size / 1e6:6.1f} MB   readfile 1.00 ({theirs / 1e6:.1f} MB)   "
        f"read_dxf {ours / theirs:5.2f} ({ours_whole / bare:.2f} with all libraries)"
    )


def main() -> None:
    """Compare the made plan, the foreign plans and the files of the command line."""
    from tests.benchmarks.bench_reading import made_plan  # noqa: PLC0415 - loads a window's library

    with tempfile.TemporaryDirectory() as folder:
        real = [path for path in sorted(_REAL.glob("*.dxf")) if path.stat().st_size >= _LEAST]
        for path in (*real, *map(Path, sys.argv[1:]), made_plan(Path(folder) / "made.dxf")):
            print(compare(path), flush=True)


if __name__ == "__main__":
    if sys.argv[1:2] and sys.argv[1] in _WAYS:
        print(*read(sys.argv[1], Path(sys.argv[2])))
    else:
        main()
