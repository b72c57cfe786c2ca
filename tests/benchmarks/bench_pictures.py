"""A scan of an A0 sheet at 400 dots per inch on the plan: frames, the time until it is sharp, and memory.

Run from the top of the working copy: ``QT_QPA_PLATFORM=offscreen python tests/benchmarks/bench_pictures.py``. It prints
ratios of two ways side by side in one run, and memory in MB.

The scan is made here: 18,724 by 13,244 pixels of black and white, a TIFF packed as fax machines do (G4). Frames are
compared with those of the same plan on a blank sheet, and with the peer, which is what a user of the same library
would write: a ``QGraphicsPixmapItem`` of the whole picture in a smooth ``QGraphicsView`` of the same 1072 by 650 px. The
peer is given a quarter of the sheet (half each way), as all of it would take 1 GB; it dims nothing and shows from afar
what pixels it happens to hit. A frame is from the event until its repaint is over, on the clock, as Qt draws pictures
in several threads; the longest pause is that of the event loop until all tiles are there. Memory is that of
processes of their own, at its height.
"""

from __future__ import annotations

import argparse
import random
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter
from uuid import UUID

from PIL import Image, ImageDraw
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage, QPainter, QPixmap
from PySide6.QtWidgets import QApplication, QGraphicsScene, QGraphicsView

from leakmap.desk.plan.camera import Camera
from leakmap.desk.plan.view import PlanView
from leakmap.desk.state import Desk
from leakmap.desk.things import Stage
from leakmap.desk.tidying import Tidying
from leakmap.desk.window import MainWindow
from leakmap.geometry.placement import Placement
from leakmap.model.job import Job
from leakmap.work.edits.sheets import add_sheet
from leakmap.work.job_drawings import brought_in
from leakmap.work.open_job import Hand, made, opened

A0 = (18_724, 13_244)
PX_M = 0.0254 / 400 * 100  # 1:100
TURN_DEG = 12.0
STEP = 2**0.25
HAND = Hand(user="ann", host="site", clock=lambda: datetime(2026, 11, 28, 9, 0, tzinfo=UTC))


def made_scan(path: Path) -> None:
    """A sheet full of walls, axes and texts."""
    wide, high = A0
    chance = random.Random(4)  # noqa: S311 - the same sheet every time
    sheet = Image.new("1", A0, 1)
    pen = ImageDraw.Draw(sheet)
    pen.rectangle((200, 200, wide - 200, high - 200), outline=0, width=12)
    for at in range(1500, wide - 1000, 1900):
        pen.line((at, 900, at, high - 900), fill=0, width=3)
        pen.ellipse((at - 150, 550, at + 150, 850), outline=0, width=8)
    for _ in range(900):
        x, y = chance.randrange(1500, wide - 2500), chance.randrange(1500, high - 2500)
        length, thick = chance.randrange(200, 1800), chance.choice((14, 30, 60))
        across = chance.random() < 0.5
        pen.rectangle((x, y, x + (length if across else thick), y + (thick if across else length)), outline=0, width=4)
    for _ in range(3000):
        at = (chance.randrange(300, wide - 1000), chance.randrange(300, high - 300))
        pen.text(at, f"B{chance.randrange(99)} +{chance.randrange(20)}", fill=0, font_size=chance.choice((28, 40, 60)))
    sheet.save(path, compression="group4", dpi=(400, 400))


def job_file(path: Path, scan: Path | None) -> Path:
    """A job whose one level shows the scan, turned, at 1:100; or a blank sheet."""
    job = Job(id=UUID(int=1), name="Heron Wharf")
    if scan is None:
        made(path, add_sheet(job, name="B2").job, HAND).close()
        return path
    new = brought_in(scan.name, scan.read_bytes())
    placement = Placement(x_m_per_unit=PX_M, y_m_per_unit=PX_M, turn_deg=TURN_DEG)
    made(path, add_sheet(job, name="B2", source=new.source, placement=placement).job, HAND, drawings=[new]).close()
    return path


def milliseconds(works: Iterator[Callable[[], object]]) -> tuple[float, float]:
    """Median and longest time for some works, each done once."""
    found = []
    for work in works:
        start = perf_counter()
        work()
        found.append(1000 * (perf_counter() - start))
    return median(found), max(found)


class Peer:
    """The whole picture as one item of Qt's own scene."""

    def __init__(self, scan: Path) -> None:
        Image.MAX_IMAGE_PIXELS = None  # Pillow's own limit is lower than an A0
        with Image.open(scan) as sheet:
            quarter = sheet.convert("L").reduce(2)
        data = quarter.tobytes()
        self.scene = QGraphicsScene()
        image = QImage(data, *quarter.size, quarter.width, QImage.Format.Format_Grayscale8)
        item = self.scene.addPixmap(QPixmap.fromImage(image))
        item.setTransformationMode(Qt.TransformationMode.SmoothTransformation)
        item.setScale(2 * PX_M)
        item.setRotation(-TURN_DEG)
        self.view = QGraphicsView(self.scene)
        self.view.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        self.view.setFixedSize(1072, 650)
        self.view.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.view.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.view.show()
        QApplication.processEvents()

    def look(self, px_per_m: float) -> None:
        """Show the middle at a zoom."""
        self.view.resetTransform()
        self.view.scale(px_per_m, px_per_m)
        self.view.centerOn(self.scene.itemsBoundingRect().center())
        self.view.viewport().repaint()

    def pan(self, right: int, down: int) -> None:
        """Move the paper."""
        for bar, step in ((self.view.horizontalScrollBar(), right), (self.view.verticalScrollBar(), down)):
            bar.setValue(bar.value() - step)
        self.view.viewport().repaint()


def settle(plan: PlanView) -> tuple[float, float]:
    """Let all tiles come; seconds until then, and the longest pause of the event loop, ms."""
    start, worst = perf_counter(), 0.0
    while plan.scene.busy or plan.at_work:
        begin = perf_counter()
        QApplication.processEvents()
        worst = max(worst, perf_counter() - begin)
    return perf_counter() - start, 1000 * worst


def look(plan: PlanView, camera: Camera) -> None:
    """Show another part and paint it."""
    plan.look(camera)
    plan.repaint()


def frames(plan: PlanView, camera: Camera) -> dict[str, tuple[float, float]]:
    """Times of frames about a camera, by what is done."""
    look(plan, camera)
    pause = settle(plan)
    turns = (1, 2, 3, 4, 3, 2, 1, 0, -1, -2, -1, 0)
    zoom = milliseconds(lambda t=t: look(plan, camera.zoomed(STEP**t, camera.middle)) for t in turns)  # type: ignore[misc] # the default binds each
    look(plan, camera)
    settle(plan)
    pan = milliseconds(lambda k=k: look(plan, camera.panned(12 * k, 7 * k)) for k in range(24))  # type: ignore[misc]
    settle(plan)
    still = milliseconds(plan.repaint for _ in range(24))
    return {
        "zoom step": zoom,
        "pan step": pan,
        "nothing moved": still,
        "until sharp, pause": (1000 * pause[0], pause[1]),
    }


def plan_on(path: Path) -> tuple[PlanView, Callable[[], None]]:
    """The plan of a job, and what closes it."""
    open_job, desk = opened(path, HAND), Desk()
    desk.put(open_job)
    desk.go_to(Stage.LEAKS)
    plan = PlanView(desk)
    plan.resize(1072, 650)
    plan.show()
    QApplication.processEvents()

    def close() -> None:
        desk.put(None)
        open_job.close()
        plan.close()

    return plan, close


def compare(scan: Path, folder: Path) -> None:
    """Frames with the picture, without, and the peer's, from afar, middle and near."""
    with_it, close = plan_on(job_file(folder / "scan.gpkg", scan))
    without, close_other = plan_on(job_file(folder / "blank.gpkg", None))
    peer = Peer(scan)
    whole = with_it.camera
    for px_per_m in (whole.px_per_m, 30.0, 160.0, 1200.0):
        camera = replace(whole, px_per_m=px_per_m)
        ours, bare = frames(with_it, camera), frames(without, camera)
        peer.look(px_per_m)
        theirs = {
            "zoom step": milliseconds(lambda zoom=px_per_m * STEP**t: peer.look(zoom) for t in (1, 2, 1, 0)),  # type: ignore[misc]
            "pan step": milliseconds(lambda: peer.pan(12, 7) for _ in range(12)),
            "nothing moved": milliseconds(peer.view.viewport().repaint for _ in range(6)),
        }
        print(f"at {px_per_m:.1f} px a metre, {px_per_m * PX_M:.2f} px for a pixel of the scan", flush=True)
        for name, (middle, longest) in ours.items():
            if name not in theirs:
                print(f"  {name:<20} {middle:7.0f} ms, {longest:5.1f} ms", flush=True)
                continue
            print(
                f"  {name:<20} {middle:7.1f} ms, longest {longest:5.1f} ms; without it {bare[name][0]:5.1f} ms"
                f" ({middle / bare[name][0]:4.1f} times); peer {theirs[name][0]:7.1f} ms"
                f" ({theirs[name][0] / middle:5.1f} times ours)",
                flush=True,
            )
    peer.view.close()
    close()
    close_other()


def stroll(path: Path) -> None:
    """The whole window on a job: every zoom, then across the sheet near; prints its memory now and at its height."""
    app = QApplication([])
    Tidying(app)
    window = MainWindow(Desk(), HAND)
    window.resize(1600, 1000)
    window.show()
    window.sitting.open_job(path)
    window.sitting.settle()
    QApplication.processEvents()
    plan = window.findChild(PlanView)
    assert plan is not None
    for step in range(28):
        look(plan, plan.camera.zoomed(STEP, plan.camera.middle))
        settle(plan)
        if step in (12, 20):
            for _ in range(20):
                look(plan, plan.camera.panned(-300, 120))
                settle(plan)
    print(*memory(), flush=True)
    window.sitting.close(lose_unsaved=True)
    window.close()


def memory() -> tuple[int, int]:
    """Memory of this process now and at its height, MB."""
    told = dict(line.split(":", 1) for line in Path("/proc/self/status").read_text(encoding="ascii").splitlines())
    return int(told["VmRSS"].split()[0]) // 1024, int(told["VmHWM"].split()[0]) // 1024


def read(scan: Path) -> None:
    """Read the scan; prints memory before and at its height."""
    from leakmap.drawings.scan.read import read_scan  # noqa: PLC0415 - its libraries count

    before = memory()[0]
    read_scan(scan.read_bytes(), name=scan.name)
    print(before, memory()[1], flush=True)


def apart(*words: str) -> list[int]:
    """What one part of this script prints in a process of its own."""
    command = [sys.executable, "-m", "tests.benchmarks.bench_pictures", *words]
    return [int(word) for word in subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()]


def main() -> None:
    """Measure all, or the one part that is asked for."""
    words = argparse.ArgumentParser()
    words.add_argument("--stroll", type=Path, help="print the memory of the window on a job")
    words.add_argument("--read", type=Path, help="print the memory of reading a scan")
    chosen = words.parse_args()
    if chosen.stroll or chosen.read:
        stroll(chosen.stroll) if chosen.stroll else read(chosen.read)
        return
    with TemporaryDirectory() as place:
        folder = Path(place)
        scan = folder / "a0.tif"
        made_scan(scan)
        app = QApplication([])
        compare(scan, folder)
        before, height = apart("--read", str(scan))
        print(f"reading it: {height} MB at its height, {height - before} MB of it for the scan")
        bare, bare_height = apart("--stroll", str(folder / "blank.gpkg"))
        full, full_height = apart("--stroll", str(folder / "scan.gpkg"))
        print(f"window on a blank sheet: {bare} MB, {bare_height} MB at its height")
        print(f"window on the scan: {full} MB, {full_height} MB at its height; {full_height - bare_height} MB more")
        app.quit()


if __name__ == "__main__":
    main()
