"""How long the window stands still when something is first taken whose modules are imported then.

Run from the top of the working copy: ``QT_QPA_PLATFORM=offscreen python tests/benchmarks/bench_late.py``, where
processes can be forked. Each module is imported in a copy of a process that holds what the window has imported by then,
several times; the medians are printed, the longest first, beside what the window may stand still. Compiled modules are
kept, as an installed program keeps them.
"""

from __future__ import annotations

import re
import sys
from importlib import import_module
from multiprocessing import get_context
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Final

from leakmap.desk.tools.late import Late
from leakmap.desk.tools.table import ACTIONS

ROOT = Path(__file__).resolve().parents[2]
TIMES: Final = 5
MOST_MS: Final = 100
_LATE: Final = re.compile(r"^ +from (leakmap[\w.]+) import [^#]+# noqa: PLC0415", re.MULTILINE)


def late_modules() -> list[str]:
    """Modules of ours that the window imports late: those of tools, and those that functions of the desk import."""
    named = {found for path in (ROOT / "leakmap" / "desk").rglob("*.py") for found in _LATE.findall(path.read_text())}
    tools = {f"leakmap.desk.tools.{action.tool.module}" for action in ACTIONS if isinstance(action.tool, Late)}
    return sorted(named | tools)


def milliseconds(module: str) -> float:
    """How long it takes to import a module, ms."""
    start = perf_counter()
    import_module(module)
    return (perf_counter() - start) * 1000


def main() -> None:
    """Measure and print."""
    sys.dont_write_bytecode = False
    import_module("leakmap.desk.app")
    modules = late_modules()
    with get_context("fork").Pool(1, maxtasksperchild=1) as copies:
        rounds = [copies.map(milliseconds, modules, chunksize=1) for _ in range(TIMES + 1)][1:]
    found = {module: median(times) for module, times in zip(modules, zip(*rounds, strict=True), strict=True)}
    for module, took in sorted(found.items(), key=lambda each: -each[1]):
        print(f"{took:6.1f} of {MOST_MS} ms  {module}")


if __name__ == "__main__":
    main()
