"""How fast a drawing comes onto the plan and is redrawn, beside ezdxf's own drawing front end in its Qt scene.

Run it as a script, with DXF files to open on the command line if there are any:
``QT_QPA_PLATFORM=offscreen python tests/benchmarks/bench_plan.py [FILE ...]``. It prints ratios side by
side in one run, beside what we set out to reach. The peer is what a user of the same libraries would
write: ``ezdxf.readfile``, ``Frontend`` into ``PyQtBackend``, a ``QGraphicsView`` fitted to it. Both sides
draw on 1072 x 650 pixels; lines are one pixel wide; ours are smooth, the peer's as it draws by itself
and smooth.
"""

from __future__ import annotations

import gc
import random
import sys
import tempfile
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from time import perf_counter, thread_time

from ezdxf.addons.drawing.config import Configuration
from ezdxf.addons.drawing.frontend import Frontend
from ezdxf.addons.drawing.properties import RenderContext
from ezdxf.addons.drawing.pyqt import PyQtBackend
from ezdxf.filemanagement import new, readfile
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPixmap
from PySide6.QtWidgets import QApplication, QGraphicsScene, QGraphicsView

from leakmap.desk.plan.backdrop import Backdrop
from leakmap.desk.plan.camera import Camera
from leakmap.desk.plan.look import Look, strong
from leakmap.desk.reading import Reading
from leakmap.drawings.opening import read_drawing
from leakmap.drawings.packed import packed, unpacked
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import Drawing

WIDE, HIGH = 1072, 650
MANY = 100_000
_TIMES = 3
_FRAMES = 10


def best(*works: Callable[[], object], times: int = _TIMES) -> list[float]:
    """Shortest of several runs of each, seconds; runs take turns, so that a busy moment hits all alike."""
    taken: list[list[float]] = [[] for _ in works]
    for _ in range(times):
        for work, seconds in zip(works, taken, strict=True):
            gc.collect()
            start = perf_counter()
            work()
            seconds.append(perf_counter() - start)
    return [min(seconds) for seconds in taken]


def made_lines(path: Path) -> Path:
    """A drawing of 100,000 lines in metres at random places, 60 by 36 m, most of them short."""
    chance = random.Random(2)  # noqa: S311 - places, no secret
    document = new("R2018", units=6)
    model = document.modelspace()
    for index in range(MANY):
        x, y = chance.uniform(0, 60), chance.uniform(0, 36)
        size = 12 if index % 500 == 0 else 0.6
        model.add_line((x, y), (x + chance.uniform(-size, size), y + chance.uniform(-size, size)))
    document.saveas(path)
    return path


@cache
def _paper() -> QPixmap:
    """The surface of the window, made once as a window has it."""
    return QPixmap(WIDE, HIGH)


@contextmanager
def _on_paper() -> Iterator[QPainter]:
    """A painter on white paper, for the peer and for us."""
    _paper().fill(QColor("white"))
    painter = QPainter(_paper())
    yield painter
    painter.end()


# The peer ---------------------------------------------------------------------------------------


def scene_of(path: Path) -> QGraphicsScene:
    """The peer's scene of a file."""
    document = readfile(path)
    scene = QGraphicsScene()
    backend = PyQtBackend(scene)
    Frontend(RenderContext(document), backend, config=Configuration(lineweight_scaling=0)).draw_layout(
        document.modelspace()
    )
    return scene


def fitted_view(scene: QGraphicsScene) -> QGraphicsView:
    """The peer's view of all of it."""
    view = QGraphicsView(scene)
    view.setFixedSize(WIDE, HIGH)
    view.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    view.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    view.scale(1, -1)
    view.fitInView(scene.itemsBoundingRect(), Qt.AspectRatioMode.KeepAspectRatio)
    return view


def drawn_by_view(view: QGraphicsView) -> None:
    """What the peer's view does for a frame."""
    with _on_paper() as painter:
        painter.setRenderHints(view.renderHints())
        view.render(painter, QRectF(0, 0, WIDE, HIGH), view.viewport().rect())


# Ours -------------------------------------------------------------------------------------------


def placement_of(drawing: Drawing) -> Placement:
    """Where it lies, by what the file says of its unit."""
    unit = drawing.unit.m_per_unit or 1.0
    return Placement(origin=drawing.origin, x_m_per_unit=unit, y_m_per_unit=unit)


def fitted_backdrop(drawing: Drawing) -> tuple[Backdrop, Camera]:
    """The drawing, and a camera on all of it."""
    backdrop = Backdrop(drawing, placement_of(drawing))
    backdrop.set_look(Look(inks=strong()))
    assert backdrop.box is not None
    return backdrop, Camera(field=(0, 0, WIDE, HIGH)).fitted(backdrop.box, 0)


def draw_tiles(backdrop: Backdrop, camera: Camera) -> None:
    """What a frame does when its tiles are there."""
    with _on_paper() as painter:
        backdrop.paint(painter, camera)


def draw_whole(backdrop: Backdrop, camera: Camera) -> None:
    """Everything again, without tiles."""
    with _on_paper() as painter:
        backdrop.paint_whole(painter, camera)


def open_and_draw(drawing: Drawing) -> None:
    """From a drawing as read to a plan in full."""
    backdrop, camera = fitted_backdrop(drawing)
    backdrop.settle(camera)
    draw_tiles(backdrop, camera)


# Comparisons ------------------------------------------------------------------------------------


def compare_opening(path: Path) -> None:
    """Open a file to a drawn plan, for the first time and again."""
    try:
        scene_of(path)
    except (AttributeError, ZeroDivisionError) as fault:  # as some real files give
        print(f"open {path.name}: the peer breaks off with {type(fault).__name__}")
        return
    kept = packed(read_drawing(path.name, path.read_bytes()))
    peer, first, again = best(
        lambda: drawn_by_view(fitted_view(scene_of(path))),
        lambda: open_and_draw(read_drawing(path.name, path.read_bytes())),
        lambda: open_and_draw(unpacked(kept)),
        times=1 if path.stat().st_size > 5e6 else _TIMES,
    )
    print(f"open {path.name:28} {path.stat().st_size / 1e6:6.1f} MB   peer {peer:6.2f} s")
    print(f"    first time {first:7.3f} s   {peer / first:7.1f} times faster   (to reach: 4)")
    print(f"    again      {again:7.3f} s   {peer / again:7.1f} times faster   (to reach: 100)", flush=True)


def compare_redraw(path: Path) -> None:
    """Redraw 100,000 lines at three zooms, and pan."""
    scene = scene_of(path)
    view = fitted_view(scene)
    smooth = fitted_view(scene)
    smooth.setRenderHint(QPainter.RenderHint.Antialiasing)
    backdrop, fit = fitted_backdrop(read_drawing(path.name, path.read_bytes()))
    zoom = 1
    for now, target in ((1, "4"), (4, "2.5"), (32, "all under 7 ms in a trial")):
        view.scale(now / zoom, now / zoom)
        smooth.scale(now / zoom, now / zoom)
        zoom, camera = now, fit.zoomed(now, (WIDE / 2, HIGH / 2))
        draw_whole(backdrop, camera)
        rough_s, smooth_s, ours = best(
            lambda: drawn_by_view(view),
            lambda: drawn_by_view(smooth),
            lambda camera=camera: draw_whole(backdrop, camera),  # type: ignore[misc] # the default binds each
        )
        print(
            f"redraw {MANY:,} lines at {now:2}x   ours {ours * 1000:7.1f} ms   peer {rough_s * 1000:7.1f} ms"
            f" ({rough_s / ours:4.1f} times)   peer smooth {smooth_s * 1000:7.1f} ms ({smooth_s / ours:4.1f} times)"
            f"   (to reach: {target})",
            flush=True,
        )
    compare_pan(backdrop, fit, view)


def compare_pan(backdrop: Backdrop, fit: Camera, view: QGraphicsView) -> None:
    """Frames of a pan, all tiles there, against drawing all of it again."""
    view.resetTransform()
    view.scale(1, -1)
    view.fitInView(view.scene().itemsBoundingRect(), Qt.AspectRatioMode.KeepAspectRatio)
    cameras = [fit.panned(12 * step, 7 * step) for step in range(_FRAMES)]
    for camera in cameras:
        backdrop.settle(camera)
    tiles, whole, peer = (
        seconds / _FRAMES
        for seconds in best(
            lambda: _frames(cameras, lambda camera: draw_tiles(backdrop, camera)),
            lambda: _frames(cameras, lambda camera: draw_whole(backdrop, camera)),
            lambda: _frames(cameras, lambda _camera: drawn_by_view(view)),
        )
    )
    print(
        f"pan {tiles * 1000:.2f} ms, {whole / tiles:,.0f} times faster than our full redraw (to reach: 50), "
        f"{peer / tiles:,.0f} times faster than the peer's",
        flush=True,
    )


def _frames(cameras: list[Camera], draw: Callable[[Camera], None]) -> None:
    for camera in cameras:
        draw(camera)


def longest_pause(app: QApplication, path: Path) -> tuple[float, float, float, float]:
    """Longest pause of the event loop while a file is read and drawn, seconds, on the clock and of work.

    On a busy machine the clock also counts what other programs do. Then come when the first line showed, and all of it.
    """
    reading, shown = Reading(), list[Backdrop]()
    first_s: list[float] = []
    sketch = Backdrop(None)

    def see(backdrop: Backdrop) -> None:
        if backdrop.box is not None:
            draw_tiles(backdrop, Camera(field=(0, 0, WIDE, HIGH)).fitted(backdrop.box))
            first_s.append(perf_counter() - begun)

    def show(drawing: Drawing) -> None:
        backdrop, _ = fitted_backdrop(drawing)
        backdrop.ready.connect(lambda: see(backdrop))
        shown.append(backdrop)
        see(backdrop)

    sketch.ready.connect(lambda: see(sketch))
    reading.piece.connect(sketch.grow)
    reading.finished.connect(lambda new: show(new.drawing))
    begun = perf_counter()
    reading.start(path)
    worst = most = 0.0
    while not shown or shown[0].busy:
        start, worked = perf_counter(), thread_time()
        app.processEvents()
        worst, most = max(worst, perf_counter() - start), max(most, thread_time() - worked)
    return worst, most, first_s[0], perf_counter() - begun


def pause_with_a_thread(app: QApplication, path: Path) -> float:
    """The same pause when a thread of this process reads."""
    data = path.read_bytes()
    thread = threading.Thread(target=lambda: read_drawing(path.name, data))
    thread.start()
    worst = 0.0
    while thread.is_alive():
        start = perf_counter()
        app.processEvents()
        worst = max(worst, perf_counter() - start)
    return worst


def compare_loading(app: QApplication, path: Path) -> None:
    """How long the window stands still while 100,000 entities come in."""
    worst, most, first, all_of_it = longest_pause(app, path)
    thread = pause_with_a_thread(app, path)
    print(
        f"loading {MANY:,} entities: longest pause {worst * 1000:.0f} ms, {most * 1000:.0f} ms of it work (to reach: 50), with a thread {thread * 1000:.0f} ms; "
        f"first lines after {first:.1f} s, all after {all_of_it:.1f} s",
        flush=True,
    )


def main() -> None:
    """Compare the made drawing and the files of the command line."""
    app = QApplication.instance() or QApplication([])
    assert isinstance(app, QApplication)
    with tempfile.TemporaryDirectory() as folder:
        made = made_lines(Path(folder) / "made.dxf")
        for path in map(Path, sys.argv[1:]):
            compare_opening(path)
        compare_loading(app, made)
        compare_redraw(made)
        compare_opening(made)


if __name__ == "__main__":
    main()
