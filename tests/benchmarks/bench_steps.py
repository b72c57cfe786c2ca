"""How long each step of importing holds the window still, and how long Esc takes till everything is as before.

Run it as a script: ``QT_QPA_PLATFORM=offscreen python tests/benchmarks/bench_steps.py [WORD]`` (only the steps whose
names hold the word). It drives the real window. Each step is done twice: once to its end, for the longest turn of the
event loop, on the clock and as work of the window's own thread (on a busy machine the clock also counts other
programs); and once with Esc while it runs, till nothing works any more and the job is the one before. To reach:
100 ms, and 0.5 s. "at once" in the place of Esc: the step was over before Esc could come.
"""

from __future__ import annotations

import gc
import io
import sys
from collections.abc import Callable
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter

from PIL import Image
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QApplication
from reportlab.pdfgen.canvas import Canvas

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(Path(__file__).parent)]

from bench_grid import crowded  # noqa: E402 - after the path
from bench_plan import made_lines  # noqa: E402 - after the path
from driven_window import DrivenWindow  # noqa: E402 - after the path

from leakmap.desk.faces import load_faces  # noqa: E402 - after the path
from leakmap.desk.redrawing import lay_new  # noqa: E402 - after the path
from leakmap.desk.things import Stage  # noqa: E402 - after the path
from leakmap.desk.tools.draw_joint import DrawJoint  # noqa: E402 - after the path
from leakmap.desk.tools.from_lines import FromLines  # noqa: E402 - after the path
from leakmap.desk.tools.lay_over import LayOver  # noqa: E402 - after the path
from leakmap.desk.tools.offer_grid import offer  # noqa: E402 - after the path
from leakmap.desk.tools.redraw import Redraw  # noqa: E402 - after the path
from leakmap.desk.tools.set_grid import SetGrid  # noqa: E402 - after the path
from leakmap.desk.tools.set_scale import SetScale  # noqa: E402 - after the path
from leakmap.desk.watched import Watched  # noqa: E402 - after the path
from leakmap.model.drawing import Drawing  # noqa: E402 - after the path
from leakmap.model.sheet import Source  # noqa: E402 - after the path
from leakmap.work.edits.paper import straighten  # noqa: E402 - after the path
from leakmap.work.job_drawings import NewDrawing  # noqa: E402 - after the path

PATIENCE_S = 60
TURN_MS, ESC_S = 100, 0.5
MANY = 200_000
LINE = "0\nLINE\n8\nLIMITS\n10\n{}\n20\n{}\n11\n{}\n21\n{}\n"


class Steps(DrivenWindow):
    """One window, whose steps are timed one by one.

    Args:
        app: The application.
        folder: Where files go.
        only: Steps whose names hold this word.
    """

    def __init__(self, app: QApplication, folder: Path, only: str) -> None:
        super().__init__(app, folder, patience_s=PATIENCE_S, quiet=30)
        self.only = only
        self.works: list[Watched] = []
        self.desk.working.connect(self.works.append)
        self.settle()

    @property
    def busy(self) -> bool:
        """Whether anything works or is still to be drawn."""
        return super().busy or self.window.centre.band.working or self.sitting._asides.busy

    def step(
        self,
        name: str,
        do: Callable[[], object],
        until: Callable[[], bool] = lambda: True,
        *,
        back: Callable[[], object] = lambda: None,
    ) -> None:
        """Time one step: with Esc first, then to its end.

        Args:
            name: What it is called.
            do: Begins it.
            until: Holds at its end.
            back: Puts things in front of it again, where Esc had nothing to stop.
        """
        if self.only and self.only not in name:
            return
        esc = self._escaped(do)
        if esc is None:
            self.settle(until)
            back()
            self.settle()
        gc.collect()
        worst, most, _ = self.timed(do, until)
        turn, work = 1000 * worst, 1000 * most
        said = "   at once" if esc is None else f"{esc:7.2f} s"
        late = " <-- Esc" if esc is not None and esc > ESC_S else ""
        print(
            f"  {name:<34}{turn:7.0f} ms{work:9.0f} ms{said:>12}{' <-- turn' if work > TURN_MS else ''}{late}",
            flush=True,
        )

    def _escaped(self, do: Callable[[], object]) -> float | None:
        """Begin, press Esc as soon as work is told, and wait till nothing works and the job is as it was."""
        before = self.desk.job
        self.works.clear()
        do()
        until = perf_counter() + 0.15
        while perf_counter() < until and not any(work.running for work in self.works):
            self.app.processEvents()
        self.app.processEvents()
        if not any(work.running for work in self.works):
            return None
        begun = perf_counter()
        none = Qt.KeyboardModifier.NoModifier
        self.app.sendEvent(self.plan, QKeyEvent(QEvent.Type.KeyPress, Qt.Key.Key_Escape, none))
        stopped = tuple(self.works)  # what begins after the stop, such as comparing again, is not part of it
        while any(work.running for work in stopped):
            self.app.processEvents()
        took = perf_counter() - begun
        assert self.desk.job is before, "Esc left another job"
        self.settle()
        return took

    def click(self, x_share: float, y_share: float) -> None:
        """Move to a place of the plan and click."""
        at, left, none = (
            QPointF(self.plan.width() * x_share, self.plan.height() * y_share),
            Qt.MouseButton.LeftButton,
            Qt.MouseButton.NoButton,
        )
        kept = Qt.KeyboardModifier.NoModifier
        self.app.sendEvent(self.plan, QMouseEvent(QEvent.Type.MouseMove, at, at, none, none, kept))
        for kind, held in ((QEvent.Type.MouseButtonPress, left), (QEvent.Type.MouseButtonRelease, none)):
            self.app.sendEvent(self.plan, QMouseEvent(kind, at, at, left, held, kept))

    def gather(self) -> None:
        """Wait till the pointer is caught on the drawing."""
        self.desk.take_tool(SetScale(self.desk))
        self.move(300.0, 300.0)
        self.settle(lambda: self.desk.linework is not None)
        self.desk.take_tool(None)

    # Steps -------------------------------------------------------------------------------------------

    def start(self, file: Path, level: str) -> None:
        """A new job from a file."""
        self.sitting.start_with(file)
        self.settle(lambda: self.sitting.plan is not None and self.sitting.plan.new is not None)
        self.sitting.change_plan(level=level, name=f"{file.stem}", folder=self.folder)
        self.sitting.make_job()
        self.settle(lambda: self.desk.open_job is not None)

    def end(self) -> None:
        """Close the job."""
        self.desk.take_tool(None)
        self.sitting.close()
        self.settle()

    def reading(self) -> None:
        """Choose a file, read it while it appears, make the job; read part of it."""
        lines = made_lines(self.folder / "lines.dxf")
        read = lambda: self.sitting.plan is not None and self.sitting.plan.new is not None  # noqa: E731 - asked twice
        self.step("choose, read, appear in pieces", lambda: self.sitting.start_with(lines), read)
        if not read():
            self.sitting.start_with(lines)
            self.settle(read)
        self.sitting.change_plan(level="B2", name="lines", folder=self.folder)
        self.sitting.make_job()
        self.settle(lambda: self.desk.open_job is not None)
        self.step("add as a level", lambda: self.sitting.add_level(lines), self.named, back=self._give_up)
        self.step("crop", lambda: self._ask(crop=(10.0, 10.0, 30.0, 30.0)), back=self.desk.undo)
        self.end()

    def _give_up(self) -> None:
        self.desk.take_tool(None)

    def _ask(self, **reading: object) -> None:
        """Ask for the file of the level to be read in another way."""
        assert self.desk.job is not None
        assert self.desk.level is not None
        source = self.desk.job.sheets[self.desk.level].source
        assert source is not None
        self.desk.reading_asked.emit(self.desk.level, replace(source.reading, **reading), False)  # type: ignore[arg-type]

    def pages(self) -> None:
        """Twelve pages of a PDF with their thumbnails."""
        data = io.BytesIO()
        canvas = Canvas(data, pagesize=(2384, 1684))
        for page in range(12):
            for line in range(3000):
                canvas.line(10 + line % 600 * 3, page + line // 600 * 200, 40 + line % 600 * 3, 180 + line // 600 * 200)
            canvas.showPage()
        canvas.save()
        file = self.folder / "pages.pdf"
        file.write_bytes(data.getvalue())
        self.step(
            "thumbnails of pages", lambda: self.sitting.start_with(file), lambda: self.desk.page_choice is not None
        )
        self.desk.offer_pages(None)
        self.sitting.give_up()
        self.settle()

    def photo(self) -> None:
        """A photo of 6,000 by 4,000 pixels laid flat."""
        file = self.folder / "photo.png"
        Image.effect_noise((6000, 4000), 30).save(file)
        self.start(file, "B2")
        corners = ((100.0, 120.0), (5900.0, 100.0), (5800.0, 3900.0), (150.0, 3850.0))
        self.step("lay flat", lambda: self._ask(corners=corners), back=self.desk.undo)
        self.step("straighten a photo", self._straighten, back=self.desk.undo)
        self.end()

    def _straighten(self) -> None:
        assert self.desk.open_job is not None
        assert self.desk.level is not None
        self.desk.do(straighten(self.desk.open_job.job, sheet=self.desk.level, start=(0.0, 0.0), end=(3000.0, 20.0)))

    def many(self) -> None:
        """Many lines with a grid: straighten, scale, grid, lay over, new drawing."""
        drawing = crowded(MANY)
        new = _as_new("b2.dxf", drawing)
        desk, small = self.desk, self.folder / "small.dxf"
        _lines(small, 10)
        self.start(small, "B1")
        assert desk.open_job is not None
        for name in ("B2", "B3"):
            made = desk.open_job.add_drawing(_as_new(f"{name}.dxf", drawing), name=name).made[0]
        desk.put(desk.open_job)
        desk.show_level(made)
        desk.go_to(Stage.DRAWING)
        self.settle()
        self.step("straighten", self._straighten, back=desk.undo)
        self.step("scale", self._scale, back=desk.undo)
        desk.take_tool(SetGrid(desk))
        self.settle()
        grid = lambda: offer(desk, then=lambda: None)  # noqa: E731 - a step
        self.step("found grid", grid, lambda: desk.dragging, back=lambda: desk.show(None))
        desk.show(None)
        desk.take_tool(None)
        laid = lambda: isinstance(desk.tool, LayOver) and len(desk.tool.places) > 1  # noqa: E731 - asked once
        self.step("lay over by the grid", self._lay_over, laid, back=lambda: desk.take_tool(None))
        desk.take_tool(None)

        def keep(deed: Callable[..., object], then: Callable[[], object]) -> None:
            assert desk.open_job is not None
            desk.open_job.held.take(new)
            desk.do(deed(desk.open_job.job))  # type: ignore[arg-type] # an edit
            then()

        def compare() -> None:
            lay_new(desk, new, made, keep)  # type: ignore[arg-type] # as the window keeps it

        compared = lambda: isinstance(desk.tool, Redraw) and desk.tool.proposals is not None  # noqa: E731 - asked twice
        self.step("redraw: compare", compare, compared)
        if compared():
            assert desk.tool is not None
            self.step("redraw: keep", desk.tool.entered)
        self.end()

    def _scale(self) -> None:
        desk = self.desk
        tool = SetScale(desk)
        desk.take_tool(tool)
        self.click(0.3, 0.4)
        self.click(0.7, 0.4)
        for digit in "12":
            tool.typed(digit)
        tool.entered()

    def _lay_over(self) -> None:
        tool = LayOver(self.desk)
        self.desk.take_tool(tool)
        self.settle()
        tool._by_grid()

    def lines(self) -> None:
        """A thousand lines offered and taken; a way along lines."""
        small = self.folder / "limits.dxf"
        _lines(small, 1000)
        self.start(small, "B2")
        desk = self.desk
        desk.go_to(Stage.JOINTS)
        self.gather()
        desk.take_tool(FromLines(desk))
        tool = desk.tool
        assert isinstance(tool, FromLines)
        offered = lambda: desk.offered is not None and len(desk.offered.lines) == 1000  # noqa: E731 - asked twice
        self.step("from lines: offer", lambda: tool.choose("LIMITS"), offered, back=lambda: tool.choose("LIMITS"))
        if not offered():
            tool.choose("LIMITS")
            self.settle(offered)
        joints = lambda: desk.job is not None and len(desk.job.joints) == 1000  # noqa: E731 - asked once
        self.step("from lines: take all", tool.entered, joints, back=desk.undo)
        self.step("undo it", desk.undo, back=desk.redo)
        self.step("redo it", desk.redo, back=desk.undo)
        desk.take_tool(None)
        desk.follows = True
        desk.take_tool(DrawJoint(desk))
        self.settle()
        self.step(
            "follow the line", lambda: (self.click(0.2, 0.3), self.click(0.8, 0.7)), back=lambda: desk.take_tool(None)
        )
        self.end()


def _as_new(name: str, drawing: Drawing) -> NewDrawing:
    content = name.encode()
    source = Source(name=name, sha256=sha256(content).hexdigest(), unit=0.001)
    return NewDrawing(source=source, content=content, drawing=drawing)


def _lines(path: Path, count: int) -> None:
    places = ((3.0 * (n % 40), 2.0 * (n // 40)) for n in range(count))
    lines = "".join(LINE.format(x, y, x + 2.5, y) for x, y in places)
    head = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n6\n0\nENDSEC\n"
    path.write_text(f"{head}0\nSECTION\n2\nENTITIES\n{lines}0\nENDSEC\n0\nEOF\n")


def main() -> None:
    """Measure every step and print the table."""
    gc.set_threshold(5000, 20, 1_000_000_000)  # as in the program; see leakmap.desk.tidying
    app = QApplication.instance() or QApplication([])
    assert isinstance(app, QApplication)
    load_faces()
    print(f"  {'step':<34}{'longest turn':>10}{'of it work':>12}{'Esc':>10}")
    with TemporaryDirectory() as folder:
        steps = Steps(app, Path(folder), sys.argv[1] if len(sys.argv) > 1 else "")
        for part in (steps.lines, steps.pages, steps.photo, steps.reading, steps.many):
            part()
        steps.window.close()


if __name__ == "__main__":
    main()
