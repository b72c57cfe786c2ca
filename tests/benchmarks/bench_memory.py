"""How much memory reading a drawing takes at most, beside the library's reading alone.

Run it as a script. Each reading is a process of its own; what the process took before it began is left out. It prints
ratios side by side:

* ``readfile``: ``ezdxf.readfile`` of the same file, which only parses (1.00 by definition);
* ``read_dxf``: everything, from bytes to strokes, texts, layers and findings.

Drawings: one made here with 76,000 entities of the usual kinds, and any files named on the command line.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
from pathlib import Path


def most_bytes(how: str, path: Path) -> int:
    """What a reading took at most, over what its process took before."""
    done = subprocess.run([sys.executable, __file__, how, path], capture_output=True, check=True, text=True)
    return int(done.stdout.split()[-1])


def _peak() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024


def read(how: str, path: Path) -> int:
    """Read a file in one way, in this process; gives what that took at most."""
    import ezdxf  # noqa: PLC0415 - each process loads what it reads with

    from leakmap.drawings.dxf.read import read_dxf  # noqa: PLC0415

    if how == "make":
        from tests.benchmarks.bench_reading import made_plan  # noqa: PLC0415

        made_plan(path)
        return 0
    before = _peak()
    kept: object = ezdxf.readfile(path) if how == "readfile" else read_dxf(path)
    assert kept is not None
    return _peak() - before


def compare(path: Path) -> str:
    """One line of ratios for a file."""
    theirs, ours = most_bytes("readfile", path), most_bytes("read_dxf", path)
    return (
        f"{path.name:28} {path.stat().st_size / 1e6:6.1f} MB   readfile 1.00 ({theirs / 1e6:.0f} MB)   "
        f"read_dxf {ours / theirs:5.2f}"
    )


def main() -> None:
    """Compare the made plan and the files of the command line."""
    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder) / "made.dxf"
        most_bytes("make", made)  # elsewhere too: a process begins with the peak of the one that started it
        for path in (made, *map(Path, sys.argv[1:])):
            print(compare(path), flush=True)


if __name__ == "__main__":
    if len(sys.argv) > 1 and sys.argv[1] in {"make", "readfile", "read_dxf"}:
        print(read(sys.argv[1], Path(sys.argv[2])))
    else:
        main()
