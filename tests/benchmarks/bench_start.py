"""From the start of the program to a painted window, beside the smallest window that the same library can open.

Run from the top of the working copy: ``QT_QPA_PLATFORM=offscreen python tests/benchmarks/bench_start.py [JOB]``; without
a job it makes the sample job. Each kind of start is a process of its own, taken in turn many times; medians are printed
as ratios, of the time that passed and of what the processors worked. Compiled modules are kept, as an installed program
keeps them. Each ends where its work is done, without taking down what it built, because nobody waits for that. What
looks whether a window is there rests between its looks, or it would take the interpreter from the thread that opens the
job.

Bare: a widget without anything on it. Start sheet: ours without a job. Job: ours with one, until all that is painted bit
by bit is there. Load: reading, working out and letting go of the same job without a window. To reach: job within
1.5 times bare and load.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import time
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

ROOT = Path(__file__).resolve().parents[2]
TIMES = 7
BARE = """
from PySide6.QtWidgets import QApplication, QWidget
app = QApplication([])
window = QWidget()
window.resize(1600, 1000)
window.show()
app.processEvents()
"""
LOAD = """
import sys
from pathlib import Path
from leakmap.work.here import host, now, user
from leakmap.work.open_job import Hand, opened
opened(Path(sys.argv[1]), Hand(user=user(), host=host(), clock=now)).close()
"""
# The window is begun as by the command; what looks at it waits behind the import of the last module.
OURS = """
import sys
from leakmap.console import main
def look():
    from PySide6.QtCore import QTimer
    from PySide6.QtWidgets import QApplication
    from leakmap.desk.window import MainWindow
    window = next(each for each in QApplication.topLevelWidgets() if isinstance(each, MainWindow))
    there = len(sys.argv) == 1 or window.desk.open_job is not None
    if there and not (window.plan.at_work or window.plan.scene.busy or window.centre.band.working):
        QApplication.processEvents()
        window.sitting.close()
        end()
    QTimer.singleShot(1, look)
def begun(name, load=main.import_module):
    module = load(name)
    if name == "leakmap.desk.app":
        from PySide6.QtCore import QTimer
        from PySide6.QtWidgets import QApplication
        QApplication(["leakmap"])
        QTimer.singleShot(1, look)
    return module
main.import_module = begun
main.main(sys.argv[1:])
"""
END = """
import os
def end():
    os._exit(0)
"""


def seconds(program: str, *words: str, place: Path) -> tuple[float, float]:
    """How long a process takes from its start to its end, and how long processors worked for it meanwhile."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    own = {name: str(place) for name in ("XDG_STATE_HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME")}
    environment = {**kept, **own, "PYTHONPATH": str(ROOT), "PYTHONPYCACHEPREFIX": str(place / "compiled")}
    start, worked = time.perf_counter(), _worked()
    command = [sys.executable, "-c", f"{END}{program}end()", *words]
    subprocess.run(command, check=True, capture_output=True, env=environment)
    return time.perf_counter() - start, _worked() - worked


def _worked() -> float:
    """What processors worked for processes of ours that ended, s."""
    times = os.times()
    return times.children_user + times.children_system


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("job", nargs="?", type=Path)
    asked = parser.parse_args()
    with TemporaryDirectory() as folder:
        place = Path(folder)
        if asked.job is None:
            made = [sys.executable, "-m", "leakmap.console", "demo", "--out", folder]
            subprocess.run(made, check=True, capture_output=True, cwd=ROOT)
        job = str(asked.job or next(place.glob("*.gpkg")))
        kinds = {"bare": (BARE,), "start sheet": (OURS,), "load": (LOAD, job), "job": (OURS, job)}
        rounds = [{name: seconds(*words, place=place) for name, words in kinds.items()} for _ in range(TIMES + 1)][1:]
    for way, what in enumerate(("time passed", "processors worked")):
        bare, sheet, load, whole = (median(each[name][way] for each in rounds) for name in kinds)
        print(f"{what}: bare {bare:.3f} s, start sheet {sheet:.3f} s, load {load:.3f} s, job {whole:.3f} s")
        print(f"  start sheet: {sheet / bare:.2f} times a bare window")
        print(f"  job: {whole / (bare + load):.2f} times a bare window and the load of the job (to reach: under 1.5)")


if __name__ == "__main__":
    main()
