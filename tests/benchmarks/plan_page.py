"""How fast a drawing of 100,000 segments goes onto an A1 plan page, against one canvas call a line.

    python tests/benchmarks/plan_page.py

The peer is what a user of the same PDF library would write: ``canvas.line`` for each segment. Both
write the same segments with the same pen and save the file; the two are timed in turns, best of three.
"""

from __future__ import annotations

import io
import time
from collections.abc import Callable
from uuid import UUID

import numpy as np
from reportlab.pdfgen.canvas import Canvas

from leakmap.geometry.placement import Placement
from leakmap.issue.copies import compact
from leakmap.issue.schedule_pdf.backdrop import LINE_MM, draw_strokes
from leakmap.issue.schedule_pdf.ink import DRAWN, Onto
from leakmap.issue.schedule_pdf.lettering import MM, Face, use_faces
from leakmap.model.drawing import Drawing, Layer, Strokes, UnitHint
from leakmap.model.sheet import Sheet

SEGMENTS = 100_000
PAGE = (841 * MM, 594 * MM)


def drawing() -> Drawing:
    """Separate segments of about 0.4 m all over a plan of 70 m by 50 m, in millimetres."""
    rng = np.random.default_rng(7)
    starts = rng.uniform((0, 0), (70_000, 50_000), (SEGMENTS, 2))
    xy = np.stack([starts, starts + rng.normal(0, 300, (SEGMENTS, 2))], axis=1).reshape(-1, 2)
    strokes = Strokes(xy, np.arange(0, 2 * SEGMENTS + 1, 2, dtype=np.int32), np.zeros(SEGMENTS, dtype=np.int32))
    return Drawing(
        origin=(0.0, 0.0),
        layers=(Layer("WALLS"),),
        strokes=strokes,
        texts=(),
        unit=UnitHint(0.001, "millimetre"),
        shown=(0.0, 0.0, 70_000.0, 50_000.0),
    )


def canvas(out: io.BytesIO, compression: int) -> Canvas:
    """A page of the paper's kind."""
    return Canvas(out, pagesize=PAGE, invariant=1, pageCompression=compression, initialFontName=Face.BODY.value)


def in_bulk(plan: Drawing) -> bytes:
    """As the product does it, written anew at the end."""
    out = io.BytesIO()
    page = canvas(out, 0)
    sheet = Sheet(id=UUID(int=1), name="B1", placement=Placement(x_m_per_unit=0.001, y_m_per_unit=0.001))
    draw_strokes(page, sheet, plan, Onto((0.0, 0.0), 10 * MM, (20 * MM, 10 * MM)))
    page.showPage()
    page.save()
    return compact(out.getvalue())


def line_by_line(plan: Drawing) -> bytes:
    """As the library's own examples do it."""
    out = io.BytesIO()
    page = canvas(out, 1)
    page.setStrokeColorRGB(*DRAWN)
    page.setLineWidth(LINE_MM * MM)
    points = plan.strokes.xy * 0.01 * MM + (20 * MM, 10 * MM)
    for (x0, y0), (x1, y1) in points.reshape(-1, 2, 2).tolist():
        page.line(x0, y0, x1, y1)
    page.showPage()
    page.save()
    return out.getvalue()


def best(work: Callable[[Drawing], bytes], plan: Drawing) -> tuple[float, int]:
    """Seconds of one run, and the size of the file."""
    start = time.perf_counter()
    data = work(plan)
    return time.perf_counter() - start, len(data)


def main() -> None:
    """Print both times, the ratio and both sizes."""
    use_faces()
    plan = drawing()
    rounds = [(best(in_bulk, plan), best(line_by_line, plan)) for _ in range(3)]
    ours, peer = min(pair[0] for pair in rounds), min(pair[1] for pair in rounds)
    print(f"{SEGMENTS:,} segments on an A1 page")
    print(f"in bulk       {ours[0]:.3f} s  {ours[1] / 1e6:.2f} MB")
    print(f"line by line  {peer[0]:.3f} s  {peer[1] / 1e6:.2f} MB")
    print(f"ratio         {peer[0] / ours[0]:.1f}")


if __name__ == "__main__":
    main()
