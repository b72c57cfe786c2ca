"""A desk on a level that shows a small drawing in metres, for tools that work on its lines."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from itertools import pairwise
from pathlib import Path

from leakmap.desk.aside import Aside
from leakmap.desk.state import Desk
from leakmap.desk.things import Stage
from leakmap.geometry.path import Point
from leakmap.work.job_drawings import brought_in
from tests.helpers.open_jobs import new_job
from tests.helpers.small_jobs import one_sheet

Piece = tuple[float, float, float, float]
_LINE = "0\nLINE\n8\n{}\n10\n{}\n20\n{}\n11\n{}\n21\n{}\n"


def drawn(layers: Mapping[str, Sequence[Piece]]) -> bytes:
    """A drawing of loose lines on layers, in the oldest form that readers take."""
    lines = "".join(_LINE.format(layer, *piece) for layer, pieces in layers.items() for piece in pieces)
    return f"0\nSECTION\n2\nENTITIES\n{lines}0\nENDSEC\n0\nEOF\n".encode()


def along(*points: Point) -> list[Piece]:
    """Loose lines from point to point."""
    return [(*a, *b) for a, b in pairwise(points)]


@contextmanager
def desk_on_drawing(layers: Mapping[str, Sequence[Piece]], folder: Path) -> Iterator[Desk]:
    """A desk in stage Joints on level B1, which shows lines in metres."""
    job = new_job(folder, one_sheet()[0])
    edit = job.add_drawing(brought_in("b1.dxf", drawn(layers), m_per_unit=1.0), name="B1")
    desk = Desk()
    desk.put(job)
    desk.show_level(edit.made[0])
    desk.go_to(Stage.JOINTS)
    try:
        yield desk
    finally:
        desk.put(None)
        for aside in desk.findChildren(Aside):
            aside.drop()
        job.close()
