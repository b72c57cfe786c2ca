"""Damaged PDF files: each ends with a drawing and its findings, or with one sentence; never otherwise.

Each try is a process of its own that may take 2 GB and 30 s. CI tries a seeded 200; by hand, more:
``LEAKMAP_FUZZ=2000 pytest tests/whole/test_pdf_fuzz.py``.
"""

from __future__ import annotations

import os
import sys
from functools import cache
from pathlib import Path

import pikepdf
import pytest

from tests.helpers.hard_readers import PASSWORD
from tests.helpers.pdf_files import changed, locked, pdf, plan

if sys.platform == "win32":
    pytest.skip("tries need a fork of the process", allow_module_level=True)

from tests.helpers.fuzzing import mutated, tried

CORPUS = Path(__file__).parents[3] / "shared" / "corpus" / "real"
TRIES = int(os.environ.get("LEAKMAP_FUZZ", "200"))
PARTS = max(1, TRIES // 50)
"""Tests that the tries are spread over, so that none takes long."""


def _more(made: pikepdf.Pdf) -> None:
    """Turn, crop and enlarge the page, put its lines on layers and a note onto it."""
    page = made.pages[0]
    page.obj["/Rotate"], page.obj["/UserUnit"] = 90, 2
    page.obj["/CropBox"] = pikepdf.Array([5, 5, 390, 290])
    walls = made.make_indirect(pikepdf.Dictionary(Type=pikepdf.Name.OCG, Name="Walls"))
    made.Root.OCProperties = pikepdf.Dictionary(OCGs=[walls], D=pikepdf.Dictionary(Order=[walls], OFF=[walls]))
    page.Resources.Properties = pikepdf.Dictionary(W=walls)
    page.contents_add(b"/OC /W BDC 0 100 m 50 100 l S EMC")
    look = made.make_stream(b"0 0 m 20 20 l S", Subtype=pikepdf.Name.Form, BBox=[0, 0, 20, 20])
    note = pikepdf.Dictionary(Type=pikepdf.Name.Annot, Subtype=pikepdf.Name.Stamp, Rect=[9, 9, 30, 30], F=4)
    note.AP = pikepdf.Dictionary(N=look)
    page.Annots = pikepdf.Array([note])


@cache
def whole_files() -> tuple[bytes, ...]:
    """Files that are damaged then: made here in four ways, and real ones where they are there."""
    made = pdf(plan)
    plain = changed(made, _more, compress_streams=False, stream_decode_level=pikepdf.StreamDecodeLevel.generalized)
    packed = changed(made, _more, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    real = tuple(path.read_bytes() for path in sorted(CORPUS.glob("*.pdf")))
    return (plain, made, packed, locked(plain, PASSWORD), *real)


@pytest.mark.slow
@pytest.mark.parametrize("part", range(PARTS))
def test_damaged_files_end_as_promised(part: int) -> None:
    """No crash, no hang, no more memory than allowed, no error that is not a sentence."""
    files = whole_files()
    seeds = range(part, TRIES, PARTS)
    tries = tried("read_page", [mutated(files[seed % len(files)], seed) for seed in seeds])
    endings = dict(zip(seeds, tries, strict=True))
    assert {seed: ending for seed, ending in endings.items() if not ending.good} == {}
    assert {ending.how for ending in endings.values()} == {"drawing", "refused"}


@pytest.mark.slow
def test_whole_files_are_drawings() -> None:
    """What is damaged above is whole before: each file gives a drawing."""
    assert {ending.how for ending in tried("read_page", whole_files())} == {"drawing"}


@pytest.mark.slow
def test_a_try_tells_how_it_ended() -> None:
    """A crash, a hang of memory, an error without a sentence, and a sentence are told apart."""
    endings = [ending.how for how in ("crash", "gorge", "stumble", "read_page") for ending in tried(how, [b""])]
    assert endings == ["SIGABRT", "out of memory", "KeyError", "refused"]


def test_damage_is_the_same_for_the_same_seed() -> None:
    """And differs for another."""
    data = pdf(plan)
    assert mutated(data, 7) == mutated(data, 7) != mutated(data, 8)
