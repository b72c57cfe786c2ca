"""How long ``leakmap schedule`` takes beside ``import shapely``, which it cannot do without.

    python tests/benchmarks/start_up.py

Starts each in turn, many times, and prints the ratio of the medians. To reach: under 2.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

ROOT = Path(__file__).resolve().parents[2]
TIMES = 15
JOINTS = 'ref,sheet,kind,wkt\nJ-01,B2,construction,"LINESTRING (0 0, 6 0)"\n'
LEAKS = "joint,from_m,to_m,wetness\nJ-01,1,2,seep\n"


def seconds(*command: str, place: Path) -> float:
    """How long a process takes; compiled modules are kept in a folder, as an installed program keeps them."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    environment = {**kept, "PYTHONPATH": str(ROOT), "PYTHONPYCACHEPREFIX": str(place / "compiled")}
    start = time.perf_counter()
    subprocess.run([sys.executable, *command], check=True, capture_output=True, env=environment)
    return time.perf_counter() - start


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        (place / "joints.csv").write_text(JOINTS, encoding="utf-8")
        (place / "leaks.csv").write_text(LEAKS, encoding="utf-8")
        job, module = str(place / "pit.gpkg"), ("-m", "leakmap.console")
        tables = ("--joints", str(place / "joints.csv"), "--leaks", str(place / "leaks.csv"))
        seconds(*module, "new", job, *tables, place=place)
        peer, ours = ("-c", "import shapely"), (*module, "schedule", job, "--json")
        pairs = [(seconds(*peer, place=place), seconds(*ours, place=place)) for _ in range(TIMES + 1)][1:]
    shapely_s, leakmap_s = (median(times) for times in zip(*pairs, strict=True))
    print(f"leakmap schedule --json: {leakmap_s / shapely_s:.2f} times import shapely (to reach: under 2)")


if __name__ == "__main__":
    main()
