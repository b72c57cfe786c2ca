"""Damaged scans and DWG files: each ends with a drawing and its findings, or with one sentence; never otherwise.

Each try is a process of its own that may take 2 GB and 30 s. CI tries a seeded 200 a kind; by hand, more:
``LEAKMAP_FUZZ=2000 pytest tests/whole/test_scan_fuzz.py``.
"""

from __future__ import annotations

import io
import os
import sys
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from PIL import Image

from tests.helpers.dwg_files import dwg

if sys.platform == "win32":
    pytest.skip("tries need a fork of the process", allow_module_level=True)

from tests.helpers.fuzzing import mutated, tried

TRIES = int(os.environ.get("LEAKMAP_FUZZ", "200"))
PARTS = max(1, TRIES // 50)
"""Tests that the tries are spread over, so that none takes long."""

KINDS = (
    ("1", "PNG", {}),
    ("RGBA", "PNG", {}),
    ("P", "PNG", {}),
    ("RGB", "JPEG", {}),
    ("L", "JPEG", {"progressive": True}),
    ("CMYK", "JPEG", {}),
    ("1", "TIFF", {"compression": "group4"}),
    ("1", "TIFF", {"compression": "group3"}),
    ("L", "TIFF", {"compression": "tiff_lzw"}),
    ("RGB", "TIFF", {"compression": "jpeg"}),
    ("RGB", "TIFF", {"compression": "tiff_adobe_deflate"}),
)


@cache
def whole_scans() -> tuple[bytes, ...]:
    """A plan of lines and specks in every kind of file and of pixel."""
    dots = np.where(np.random.default_rng(3).random((300, 400)) > 0.02, 255, 0).astype(np.uint8)
    dots[40:44, 20:380] = 0
    return tuple(_file(Image.fromarray(dots).convert(mode), kind, options) for mode, kind, options in KINDS)


def _file(picture: Image.Image, kind: str, options: dict[str, object]) -> bytes:
    out = io.BytesIO()
    picture.save(out, kind, dpi=(300, 300), **options)
    return out.getvalue()


@cache
def whole_dwg() -> tuple[bytes, ...]:
    """A small plan."""
    with TemporaryDirectory() as folder:
        return (dwg(Path(folder)),)


@pytest.mark.slow
@pytest.mark.parametrize(("reader", "files"), [("read_picture", whole_scans), ("read_dwg_plan", whole_dwg)])
@pytest.mark.parametrize("part", range(PARTS))
def test_damaged_files_end_as_promised(reader: str, files: object, part: int) -> None:
    """No crash, no hang, no more memory than allowed, no error that is not a sentence."""
    whole = files()  # type: ignore[operator] # one of the two functions above
    seeds = range(part, TRIES, PARTS)
    tries = tried(reader, [mutated(whole[seed % len(whole)], seed) for seed in seeds])
    endings = dict(zip(seeds, tries, strict=True))
    assert {seed: ending for seed, ending in endings.items() if not ending.good} == {}
    assert {ending.how for ending in endings.values()} == {"drawing", "refused"}


@pytest.mark.slow
def test_whole_files_are_drawings() -> None:
    """What is damaged above is whole before: each file gives a drawing."""
    assert {ending.how for ending in tried("read_picture", whole_scans())} == {"drawing"}
    assert {ending.how for ending in tried("read_dwg_plan", whole_dwg())} == {"drawing"}
