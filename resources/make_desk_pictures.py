"""Make pictures of the whole window for looking at: every stage, size and theme, and what else it can show.

They are what the program gives for the sample job, or for another, without a screen. A name begins with the size
and with what is not as usual: colours, text size, gloves, feet.
"""
# ruff: noqa: INP001, T201 - a script beside the pictures, which talks to its user

from __future__ import annotations

import argparse
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import product
from pathlib import Path
from shutil import copyfile
from tempfile import TemporaryDirectory

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtCore import QObject  # noqa: E402 - the platform is chosen first
from PySide6.QtTest import QTest  # noqa: E402
from PySide6.QtWidgets import QApplication  # noqa: E402

from leakmap.base.measures import Units  # noqa: E402
from leakmap.desk.faces import load_faces, text  # noqa: E402
from leakmap.desk.larger import larger  # noqa: E402
from leakmap.desk.pictures import SIZES, set_scene, settle  # noqa: E402
from leakmap.desk.sitting import this_hand  # noqa: E402
from leakmap.desk.state import Desk  # noqa: E402
from leakmap.desk.theme import theme  # noqa: E402
from leakmap.desk.things import Declared, Stage  # noqa: E402
from leakmap.desk.tokens import BODY_TYPE, LEAST_WINDOW  # noqa: E402
from leakmap.desk.watched import Watched  # noqa: E402
from leakmap.desk.window import MainWindow  # noqa: E402
from leakmap.work.edits.rules import set_units  # noqa: E402
from leakmap.work.open_job import opened  # noqa: E402
from leakmap.work.recent import Recent  # noqa: E402
from leakmap.work.settings import DEFAULTS, Contrast, Settings, Theme  # noqa: E402

COLOURS = {
    "light": (Theme.LIGHT, Contrast.NORMAL),
    "dark": (Theme.DARK, Contrast.NORMAL),
    "contrast": (Theme.LIGHT, Contrast.HIGH),
    "dark contrast": (Theme.DARK, Contrast.HIGH),
}
Scene = Callable[[MainWindow], object]
BESIDE: dict[str, Scene] = {
    "ledger": lambda window: window.beside.show(ledger=True, tape=False),
    "tape": lambda window: window.beside.show(ledger=False, tape=True),
    "both": lambda window: window.beside.show(ledger=True, tape=True),
}
"""What gloves and large letters put away, and a key brings back."""


class Busy(Watched):
    """Long work that never ends."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)

    @property
    def running(self) -> bool:
        """It goes on."""
        return True

    def stop(self) -> None:
        """Nobody stops it."""


def main(words: list[str]) -> int:
    """Make the pictures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path, help="where the pictures go")
    parser.add_argument("words", nargs="*", help="make only those whose name has all of these words")
    parser.add_argument("--job", type=Path, help="a job file; the sample job unless given")
    parser.add_argument("--names", action="store_true", help="only print the names")
    asked = parser.parse_args(words)
    wanted = [each for each in pictures() if set(asked.words) <= set(each[0].split())]
    if asked.names:
        print("\n".join(each[0] for each in wanted))
        return 0
    asked.folder.mkdir(parents=True, exist_ok=True)
    app = QApplication(["leakmap"])
    load_faces()
    theme().dress(app)
    app.setFont(text(BODY_TYPE))
    with TemporaryDirectory() as kept:
        job = asked.job or sample(Path(kept))
        for name, size, settings, scene, with_job in wanted:
            take(asked.folder / f"{name}.png", job if with_job else None, size, settings, scene)
    app.quit()
    return 0


def sample(folder: Path) -> Path:
    """The sample job with a revision that is issued, made in a folder."""
    made = [sys.executable, "-m", "leakmap.console", "demo", "--out", str(folder)]
    subprocess.run(made, check=True, cwd=ROOT, stdout=subprocess.DEVNULL)  # noqa: S603 - this program
    (job,) = folder.glob("*.gpkg")
    return job


def pictures() -> Iterator[tuple[str, tuple[int, int], Settings, Scene, bool]]:
    """Name, size, settings and scene of each, and whether a job is open."""
    stages = {f"{stage.value} {stage.title}": (lambda w, stage=stage: set_scene(w.desk, stage)) for stage in Stage}
    for size, (colours, (shade, contrast)) in product(SIZES, COLOURS.items()):
        look = replace(DEFAULTS, theme=shade, contrast=contrast)
        for name, scene in stages.items():
            yield f"{size[0]} {colours} {name}", size, look, scene, True
        yield f"{size[0]} {colours} start", size, look, lambda _: None, False
        for name, scene in others().items():
            yield f"{size[0]} {colours} {name}", size, look, scene, True
    for size, (name, scene) in product((*SIZES, LEAST_WINDOW), (*stages.items(), *others().items())):
        for hands, percent in product((False, True), (100, 150, 200)):
            look = replace(DEFAULTS, text_percent=percent, glove_mode=hands)
            words = " ".join(filter(None, ("glove" * hands, f"{percent}%" * (percent > 100))))
            if look != DEFAULTS or size not in SIZES:
                yield f"{size[0]} {words or 'least'} {name}", size, look, scene, True
            if percent == 200 or hands:
                for pane, beside in BESIDE.items():
                    yield f"{size[0]} {words} {pane} {name}", size, look, and_then(scene, beside), True
        yield f"{size[0]} feet {name}", size, DEFAULTS, in_feet(scene), True
        yield f"{size[0]} feet 200% {name}", size, replace(DEFAULTS, text_percent=200), in_feet(scene), True


def others() -> dict[str, Scene]:
    """What the window shows besides stages."""
    return {
        "find": lambda w: (
            set_scene(w.desk, Stage.REPAIR),
            w.finder.take_keyboard(),
            QTest.keyClicks(w.finder, "z-07"),
        ),
        "settings": lambda w: w.desk.show_declared(Declared.SETTINGS),
        "rules": lambda w: w.desk.show_declared(Declared.RULES),
        "work": busy,
    }


def busy(window: MainWindow) -> None:
    """Long work in the band, some way on."""
    set_scene(window.desk, Stage.LEAKS)
    work = Busy(window)
    window.desk.working.emit(work)
    work.progressed.emit("Reading tern-quay-B1.dxf, 61,200 of 98,400 lines", 61_200, 98_400)
    settle(1500)
    work.progressed.emit("Reading tern-quay-B1.dxf, 72,800 of 98,400 lines", 72_800, 98_400)


def and_then(scene: Scene, more: Scene) -> Scene:
    """A scene, and what is done in it."""

    def show(window: MainWindow) -> None:
        scene(window)
        more(window)

    return show


def in_feet(scene: Scene) -> Scene:
    """A scene of the job in feet and inches."""

    def show(window: MainWindow) -> None:
        job = window.desk.job
        assert job is not None
        if job.units != Units.IMPERIAL:
            window.desk.do(set_units(job, units=Units.IMPERIAL))
        scene(window)

    return show


def take(path: Path, job: Path | None, size: tuple[int, int], settings: Settings, scene: Scene) -> None:
    """One picture, of a window of its own."""
    desk = Desk()
    desk.take_settings(settings)
    window = MainWindow(desk, known=Recent())
    window.resize(*size)
    window.show()
    theme().choose(settings.theme, settings.contrast)
    own = path.with_suffix(".gpkg")  # so that no scene changes what another shows
    if job is not None:
        copyfile(job, own)
    open_job = opened(own, this_hand()) if job is not None else None
    if open_job is not None:
        desk.put(open_job)
    scene(window)
    settle()
    window.grab().save(str(path))
    print(path.name)
    desk.put(None)
    if open_job is not None:
        open_job.close()
        own.unlink()
    window.hide()
    window.deleteLater()
    larger().follow(DEFAULTS)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
