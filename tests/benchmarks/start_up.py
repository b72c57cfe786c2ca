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


def seconds(*command: str) -> float:
    """How long a process takes."""
    start = time.perf_counter()
    subprocess.run(
        [sys.executable, *command], check=True, capture_output=True, env={**os.environ, "PYTHONPATH": str(ROOT)}
    )
    return time.perf_counter() - start


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        (place / "joints.csv").write_text(JOINTS, encoding="utf-8")
        (place / "leaks.csv").write_text(LEAKS, encoding="utf-8")
        job = str(place / "pit.gpkg")
        leakmap = ("-m", "leakmap.console")
        seconds(*leakmap, "new", job, "--joints", str(place / "joints.csv"), "--leaks", str(place / "leaks.csv"))
        pairs = [(seconds("-c", "import shapely"), seconds(*leakmap, "schedule", job, "--json")) for _ in range(TIMES)]
    peer, ours = (median(times) for times in zip(*pairs, strict=True))
    print(f"leakmap schedule --json: {ours / peer:.2f} times import shapely (to reach: under 2)")


if __name__ == "__main__":
    main()
