"""How long the window stands still while whole files come onto the desk: a drawing, a new job, a job of before.

Run it as a script, with DXF files to import on the command line if there are any:
``QT_QPA_PLATFORM=offscreen python tests/benchmarks/bench_pauses.py [FILE ...]``. It drives the real window
and prints the longest turn of the event loop in each part of the way: on the clock, which on a busy
machine also counts other programs, and as work of the window's own thread. To reach: 50 ms while 100,000
entities come in, 100 ms for the sample and for a new job on disk.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from PySide6.QtWidgets import QApplication

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(Path(__file__).parent)]

from bench_plan import made_lines  # noqa: E402 - after the path
from bench_reading import made_plan  # noqa: E402 - after the path
from driven_window import DrivenWindow  # noqa: E402 - after the path

from leakmap.desk.faces import load_faces, text  # noqa: E402 - after the path
from leakmap.desk.plan.catching import Catching  # noqa: E402 - after the path
from leakmap.desk.tokens import BODY_TYPE  # noqa: E402 - after the path
from leakmap.desk.tools.set_scale import SetScale  # noqa: E402 - after the path

PATIENCE_S = 300


class Way(DrivenWindow):
    """One window, whose turns are timed in parts with a name."""

    def __init__(self, app: QApplication, folder: Path) -> None:
        super().__init__(app, folder, patience_s=PATIENCE_S, quiet=20)
        self.desk.troubled.connect(lambda trouble: print(f"    said: {trouble.sentence}"))
        self.settle()

    def part(self, words: str, do: Callable[[], object], until: Callable[[], bool]) -> None:
        """Do something and print what it took."""
        worst, most, whole = self.timed(do, until)
        print(
            f"    {words:<34} longest turn {worst * 1000:6.0f} ms, {most * 1000:6.0f} ms of it work;"
            f"   all of it {whole:6.2f} s",
            flush=True,
        )

    def hover(self) -> None:
        """Move the pointer over the plan, with a tool in hand that is caught on the drawing."""
        if not isinstance(self.desk.tool, SetScale):
            self.desk.take_tool(SetScale(self.desk))
        self.move(self.plan.width() / 2, self.plan.height() / 2)

    def catches(self) -> bool:
        """Whether the pointer can be caught on the drawing."""
        catching: Catching = self.window.plan.hand._catching
        return catching._drawn is not None

    def new_job(self, drawing: Path) -> None:
        """A drawing chosen on the start sheet, the job made of it, the pointer caught on it; then opened again."""
        print(f"{drawing.name}, {drawing.stat().st_size / 1e6:.1f} MB", flush=True)
        sitting, desk = self.sitting, self.desk
        self.part(
            "read it",
            lambda: sitting.start_with(drawing),
            lambda: sitting.plan is not None and sitting.plan.new is not None,
        )
        sitting.change_plan(level="B2", name=drawing.stem, folder=self.folder)
        self.part("make the job and show it", sitting.make_job, lambda: desk.open_job is not None)
        self.part("catch the pointer", self.hover, self.catches)
        desk.take_tool(None)
        self.part("add it as a level", lambda: sitting.add_level(drawing), self.named)
        self.part("catch the pointer", self.hover, self.catches)
        assert desk.open_job is not None
        path = desk.open_job.file.path
        self.part("close it", sitting.close, lambda: desk.open_job is None)
        self.part("open it again", lambda: sitting.open_job(path), lambda: desk.open_job is not None)
        self.part("catch the pointer", self.hover, self.catches)
        self.part("close it", sitting.close, lambda: desk.open_job is None)

    def sample(self) -> None:
        """The sample job."""
        print("the sample job", flush=True)
        self.part("look round it", lambda: self.sitting.look_round(self.folder), lambda: self.desk.open_job is not None)
        assert self.desk.open_job is not None
        path = self.desk.open_job.file.path
        self.part("close it", self.sitting.close, lambda: self.desk.open_job is None)
        self.part("open it again", lambda: self.sitting.open_job(path), lambda: self.desk.open_job is not None)
        self.part("close it", self.sitting.close, lambda: self.desk.open_job is None)


def main() -> None:
    """Measure the sample, the made drawings, and the files of the command line."""
    app = QApplication.instance() or QApplication([])
    assert isinstance(app, QApplication)
    load_faces()
    app.setFont(text(BODY_TYPE))
    with TemporaryDirectory() as folder:
        way = Way(app, Path(folder))
        way.sample()
        made = (made_plan(Path(folder) / "made_plan.dxf"), made_lines(Path(folder) / "made_lines.dxf"))
        for path in (*made, *map(Path, sys.argv[1:])):
            way.new_job(path)
        way.window.close()


if __name__ == "__main__":
    main()
