"""DWG files as drawings. The files are written by the library's own writer, and mutated by a fixed chance."""

from __future__ import annotations

from math import hypot
from pathlib import Path

import numpy as np
import pytest

from leakmap.base.errors import Stopped, UnusableDrawing
from leakmap.base.findings import Effect
from leakmap.base.progress import StopAfter
from leakmap.drawings.dwg import read
from leakmap.drawings.dwg.read import converted, read_dwg
from tests.helpers.dwg_files import dwg


def test_lines_layers_texts_and_unit_are_taken_over(tmp_path: Path) -> None:
    """What the file holds comes out: lengths, the layer, the text, and the unit of its header."""
    drawing = read_dwg(dwg(tmp_path), name="plan.dwg")
    lengths = sorted(
        sum(hypot(*step) for step in np.diff(drawing.strokes.polyline(index), axis=0))
        for index in range(len(drawing.strokes))
    )
    # outline 1000 + 1000 + √2 · 1000, door 900 · π/2, column 2 · 500 · π; chords within 1 mm
    assert lengths == pytest.approx([1413.7, 3141.6, 3414.2, 4200.0, 6000.0], abs=1.5)
    assert "WALLS" in {layer.name for layer in drawing.layers}
    assert [text.words for text in drawing.texts] == ["PUMPS"]
    assert drawing.unit.m_per_unit == 0.001


def test_every_drawing_is_to_be_checked(tmp_path: Path) -> None:
    """The first finding of a DWG asks for a comparison with a print."""
    drawing = read_dwg(dwg(tmp_path))
    assert (drawing.findings[0].code, drawing.findings[0].effect) == ("dwg-read", Effect.LOOK)


def test_unit_that_the_file_does_not_name_is_not_made_up(tmp_path: Path) -> None:
    """Without a unit in the DWG there is none in the drawing, metric or not."""
    drawing = read_dwg(dwg(tmp_path, unit=0))
    assert drawing.unit.m_per_unit is None
    assert "metric" not in drawing.unit.reason


def test_what_is_left_out_is_said() -> None:
    """Kinds that are not taken over are counted, the most frequent first."""
    losses = read._losses({"SURFACE": 2, "WIPEOUT": 5, **{f"KIND{n:02}": 1 for n in range(20)}})
    assert [(found.code, found.where) for found in losses[:3]] == [
        ("dwg-read", ""),
        ("dwg-skipped", "WIPEOUT"),
        ("dwg-skipped", "SURFACE"),
    ]
    assert losses[1].text == "5 entities of kind WIPEOUT could not be taken over."
    assert losses[-1].text == "10 entities of other kinds could not be taken over."
    assert {found.effect for found in losses[1:]} == {Effect.LOST}


def test_same_file_gives_the_same_dxf(tmp_path: Path) -> None:
    """The DXF that is kept and marked holds no time and no chance."""
    data = dwg(tmp_path)
    assert converted(data).dxf == converted(data).dxf


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"AC1009" + bytes(2000), "older than R13"),
        (b"AC1032" + bytes(2000), "could not be made out"),
        (b"AC1015", "could not be made out"),
        (b"%PDF-1.7", "PDF"),
    ],
)
def test_what_cannot_be_read_gives_one_sentence(data: bytes, words: str) -> None:
    """Old, damaged and foreign files are refused with the file's name."""
    with pytest.raises(UnusableDrawing, match=rf"^plan\.dwg .*{words}.*\.$"):
        read_dwg(data, name="plan.dwg")


def test_stop_is_obeyed(tmp_path: Path) -> None:
    """The word to stop ends the reading."""
    with pytest.raises(Stopped):
        read_dwg(dwg(tmp_path), progress=StopAfter(2))
