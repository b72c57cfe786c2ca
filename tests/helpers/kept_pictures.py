"""Pictures of panes beside kept ones, within what antialiasing of another version of the toolkit may change.

    QT_QPA_PLATFORM=offscreen python -m tests.helpers.kept_pictures      makes the kept pictures anew

A picture is compared at a third of its size each way, so that an edge that lies half a pixel elsewhere is a change of a
few shades, and a word, line or sign that is missing or moved by some pixels is one of many.
"""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

import numpy as np
import numpy.typing as npt
from PIL import Image
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication, QWidget

from leakmap.desk.faces import load_faces
from leakmap.desk.theme import theme
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.window import MainWindow
from leakmap.model.grid import Grid, axes_with_bays
from leakmap.model.job import Job
from leakmap.model.words import Wetness
from leakmap.work.edits.grid import set_grid
from leakmap.work.settings import Contrast, Theme
from tests.helpers.small_jobs import one_line, with_leak, with_line
from tests.helpers.windows import all_painted, window_with

FOLDER: Final = Path(__file__).resolve().parent.parent / "desk" / "kept_pictures"
SIZE: Final = (1280, 800)
SMALLER: Final = 3
SHADE: Final = 40.0
"""A pixel of the small picture is another where it differs by more of 255 shades: smoothing moves a third of an edge."""

MOST: Final = 0.0005
"""Share of pixels that may be others: one letter in a pane of the ledger is more."""

Shades = npt.NDArray[np.float64]


def small(image: QImage) -> Image.Image:
    """A picture at a third of its size, in shades of grey."""
    grey = image.convertToFormat(QImage.Format.Format_Grayscale8)
    rows = np.frombuffer(grey.constBits(), np.uint8).reshape(grey.height(), grey.bytesPerLine())[:, : grey.width()]
    return Image.fromarray(rows).resize((grey.width() // SMALLER, grey.height() // SMALLER), Image.Resampling.BOX)


def share_of_others(one: Image.Image, other: Image.Image) -> float:
    """Share of the pixels in which two small pictures differ; 1 where their sizes do."""
    if one.size != other.size:
        return 1.0
    first, second = (np.asarray(picture, dtype=np.float64) for picture in (one, other))
    return float((np.abs(first - second) > SHADE).mean())


def pit() -> Job:
    """A pit with a grid, joints of two kinds that meet, and leaks."""
    job, line = one_line([(0, 0), (12, 0), (12, 7.5)])
    grid = Grid(letters=axes_with_bays("ABC", (6.0, 6.0)), numbers=axes_with_bays("123", (3.6, 3.9), towards_deg=-90.0))
    job = set_grid(job, grid=grid).job
    job, wall = with_line(job, [(6, 0), (6, 7.5)])
    for joint, from_m, to_m, wetness in (
        (line, 1.0, 2.2, Wetness.SEEP),
        (line, 5.0, 5.4, Wetness.DRIP),
        (wall, 3, 4.1, Wetness.RUN),
    ):
        job, _ = with_leak(job, joint, from_m, to_m, wetness)
    return job


def taken(window: MainWindow) -> dict[str, Image.Image]:
    """Every picture that is kept, small, by name: panes in stage Repair with a zone picked, and the plan in the dark."""
    desk, found = window.desk, {}

    def keep(name: str, pane: QWidget) -> None:
        all_painted(window.plan)
        found[name] = small(pane.grab().toImage())

    theme().choose(Theme.LIGHT, Contrast.NORMAL)
    desk.go_to(Stage.REPAIR)
    desk.pick(Thing(Sort.ZONE, 1))
    keep("stage line", window.stage_line)
    keep("strip", window.strip)
    keep("levels", window.levels)
    keep("plan", window.plan)
    keep("tape", window.tape)
    keep("ledger", window.ledger)
    keep("foot", window.foot)
    theme().choose(Theme.DARK, Contrast.NORMAL)
    keep("dark plan", window.plan)
    theme().choose(Theme.LIGHT, Contrast.NORMAL)
    return found


def main() -> None:
    """Make the kept pictures anew."""
    app = QApplication([])
    load_faces()
    theme().dress(app)
    FOLDER.mkdir(exist_ok=True)
    with TemporaryDirectory() as folder, window_with(pit(), Path(folder), size=SIZE) as window:
        for name, image in taken(window).items():
            image.quantize(32).save(FOLDER / f"{name}.png", optimize=True)


if __name__ == "__main__":
    main()
