"""Pictures of the window without a screen: each stage of a job, wide and compact.

    python -m leakmap.desk.pictures JOB FOLDER

The job is only looked at; nothing is remembered of it.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

from PySide6.QtCore import QEventLoop, QTimer
from PySide6.QtWidgets import QApplication

from leakmap.base.errors import LeakmapError
from leakmap.desk.sitting import this_hand
from leakmap.desk.state import Desk
from leakmap.desk.taking import take
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tools.table import action_for
from leakmap.desk.window import MainWindow
from leakmap.repair.results import Zone
from leakmap.work.open_job import opened
from leakmap.work.recent import Recent

SIZES: Final = ((1600, 1000), (1280, 800))
_TOOLS: Final = {Stage.JOINTS: "J", Stage.LEAKS: "L"}
_SETTLE_MS: Final = 400


def take_pictures(job: Path, folder: Path, *, sizes: Sequence[tuple[int, int]] = SIZES) -> tuple[Path, ...]:
    """Take a picture of every stage of a job at every size; where the pictures are.

    Args:
        job: The job file.
        folder: Where the pictures go; those of before make way.
        sizes: Sizes of the window, px.

    Raises:
        UnusableJobFile: The job cannot be opened.
    """
    folder.mkdir(parents=True, exist_ok=True)
    return tuple(path for size in sizes for path in _at_size(job, folder, size))


def main(words: Sequence[str]) -> int:
    """Take the pictures that the command line asks for; 0 when all went well, 2 for a wrong call."""
    if len(words) != 2:
        print(__doc__, file=sys.stderr)  # noqa: T201 - a program that talks to its user
        return 2
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    app = QApplication.instance() or QApplication(["leakmap"])
    try:
        for path in take_pictures(Path(words[0]), Path(words[1])):
            print(path)  # noqa: T201 - what it made
    except LeakmapError as problem:
        print(problem, file=sys.stderr)  # noqa: T201 - one sentence for whoever called it
        return 3
    finally:
        app.quit()
    return 0


def _at_size(job: Path, folder: Path, size: tuple[int, int]) -> Iterator[Path]:
    desk = Desk()
    window = MainWindow(desk, known=Recent())
    window.resize(*size)
    window.show()
    open_job = opened(job, this_hand())
    try:
        desk.put(open_job)
        for stage in Stage:
            set_scene(desk, stage)
            settle()
            path = folder / f"desk {size[0]} {stage.value} {stage.title}.png"
            window.grab().save(str(path))
            yield path
    finally:
        desk.put(None)
        open_job.close()
        window.hide()
        window.deleteLater()


def set_scene(desk: Desk, stage: Stage) -> None:
    """A stage as somebody at work leaves it: its first tool in hand, or a zone picked."""
    desk.go_to(stage)
    action = action_for(stage, _TOOLS.get(stage, ""))
    if action is not None:
        take(desk, action)
    zone = _at_junction(desk) if stage is Stage.REPAIR else None
    desk.pick(*(() if zone is None else (Thing(Sort.ZONE, zone.number),)))


def _at_junction(desk: Desk) -> Zone | None:
    """The longest zone of the level over more than one joint that lies flat."""
    job, repairs = desk.job, desk.repairs
    if job is None or repairs is None:
        return None
    flat = {joint.id for joint in job.joints.values() if not joint.vertical and joint.sheet == desk.level}
    found = [zone for zone in repairs.zones if len({piece.joint for piece in zone.pieces} & flat) > 1]
    return max(found, key=lambda zone: zone.length_m, default=None)


def settle(ms: int = _SETTLE_MS) -> None:
    """Let what is painted bit by bit be finished."""
    loop = QEventLoop()
    QTimer.singleShot(ms, loop.quit)
    loop.exec()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
