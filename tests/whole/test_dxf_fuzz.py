"""Damaged DXF files: each ends with a drawing and its findings, or with one sentence; never otherwise.

Each try is a process of its own that may take 2 GB and 30 s. CI tries a seeded 200; by hand, more:
``LEAKMAP_FUZZ=2000 pytest tests/whole/test_dxf_fuzz.py``.
"""

from __future__ import annotations

import os
import sys
from functools import cache
from pathlib import Path

import pytest

from tests.helpers.dxf_files import as_bytes, document

if sys.platform == "win32":
    pytest.skip("tries need a fork of the process", allow_module_level=True)

from tests.helpers.fuzzing import mutated, tried

ROOT = Path(__file__).parents[2]
CORPUS = ROOT.parent / "shared" / "corpus"
LARGEST = 30_000
"""Bytes of a file that CI damages: larger ones are tried by hand, where they take the longer part of the time."""
TRIES = int(os.environ.get("LEAKMAP_FUZZ", "200"))


def busy(version: str, *, binary: bool = False) -> bytes:
    """A small file with something of most kinds: lines, curves, blocks, texts, hatches, a dimension, frames."""
    made = document(version=version)
    msp = made.modelspace()
    block = made.blocks.new("B")
    block.add_polyline2d([(0, 0, 0.5), (4, 0, 0), (4, 4, 0)], format="xyb", close=True)
    insert = msp.add_blockref("B", (9, 9), dxfattribs={"row_count": 2, "row_spacing": 9, "layer": "Wände"})
    insert.add_attrib("REF", "P1", (9, 9))
    msp.add_line((0, 0), (30, 20))
    msp.add_arc((3, 3), 2, 10, 200)
    msp.add_text("Höhe 4500", height=1)
    if version != "R12":
        hatch = msp.add_hatch()
        hatch.paths.add_edge_path().add_arc((0, 0), 3)
        hatch.paths.add_polyline_path([(0, 0), (6, 0, 1), (6, 6)])
        msp.add_spline([(0, 0), (4, 5), (9, 1)])
        msp.add_ellipse((0, 0), (5, 0), ratio=0.5)
        msp.add_mtext("wet\\Pwell")
        msp.add_linear_dim((0, 2), (0, 0), (8, 0)).render()
        msp.add_image(made.add_image_def("north wall.jpg", (640, 360)), (1, 2), (6.4, 3.6))
        msp.add_underlay(made.add_underlay_def("plan.pdf", fmt="pdf", name="1"), (1, 1))
        msp.add_wipeout([(1, 1), (5, 1), (3, 4)])
        msp.add_mpolygon(color=2, fill_color=3).paths.add_polyline_path([(0, 0), (6, 0), (6, 6)])
    return as_bytes(made, binary=binary)


@cache
def whole_files() -> tuple[bytes, ...]:
    """Files that are damaged then: made here in four ways, and real ones where they are there."""
    made = (busy("R12"), busy("R2000"), busy("R2018"), busy("R2000", binary=True))
    most = LARGEST if TRIES <= 200 else 10 * LARGEST
    real = (path.read_bytes() for path in sorted(CORPUS.rglob("*.dxf")))
    return (*made, *(data for data in real if len(data) <= most))


@pytest.mark.slow
@pytest.mark.parametrize("part", range(4))
def test_damaged_files_end_as_promised(part: int) -> None:
    """No crash, no hang, no more memory than allowed, no error that is not a sentence."""
    files, seeds = whole_files(), range(part, TRIES, 4)
    endings = dict(
        zip(seeds, tried("read_plan", [mutated(files[seed % len(files)], seed) for seed in seeds]), strict=True)
    )
    assert {seed: ending for seed, ending in endings.items() if not ending.good} == {}
    assert {ending.how for ending in endings.values()} <= {"drawing", "refused"}
    assert "drawing" in {ending.how for ending in endings.values()}


def test_whole_files_are_drawings() -> None:
    """What is damaged above and made here is whole before: each file gives a drawing."""
    assert {ending.how for ending in tried("read_plan", whole_files()[:4])} == {"drawing"}
