"""Real and broken drawings that nobody here wrote, where they are present beside the project."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from leakmap.base.errors import UnusableDrawing
from leakmap.drawings.chains import joints_from_layer
from leakmap.drawings.opening import read_drawing
from leakmap.drawings.packed import packed, unpacked
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import Drawing
from tests.helpers.dxf_files import codes, finding, seen

CORPUS = Path(__file__).resolve().parents[3] / "shared" / "corpus"
FILES = sorted(path for path in CORPUS.rglob("*") if path.suffix in {".dxf", ".pdf", ".jpg"})
REFUSED = {
    "n_3dsolids.dxf": "3DSOLID",
    "n_dxf_unicode.dxf": "no lines",
    "n_layout_broken_links.dxf": "no lines",
    "n_layout_missing_blockrec.dxf": "no lines",
}

pytestmark = pytest.mark.skipif(not FILES, reason="the folder ../shared/corpus of foreign drawings is not here")


def opened(name: str) -> Drawing:
    """A drawing of the corpus."""
    (path,) = [path for path in FILES if path.name == name]
    return read_drawing(path.name, path.read_bytes())


def size(drawing: Drawing) -> tuple[float, float]:
    """Width and height of what is shown, drawing units."""
    assert drawing.shown is not None
    return drawing.shown[2] - drawing.shown[0], drawing.shown[3] - drawing.shown[1]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_each_opens_or_is_refused_in_one_sentence(path: Path) -> None:
    """DXF and PDF files open with findings, but for four that hold no lines; scans open as pictures."""
    if path.name in REFUSED:
        with pytest.raises(UnusableDrawing, match=REFUSED[path.name]):
            read_drawing(path.name, path.read_bytes())
        return
    drawing = read_drawing(path.name, path.read_bytes())
    assert len(drawing.pictures if path.suffix == ".jpg" else drawing.strokes)
    assert np.isfinite(drawing.strokes.xy).all()
    assert drawing.shown is not None
    assert all(found.text.endswith(".") for found in drawing.findings)
    "".join(layer.name for layer in drawing.layers).encode("utf-8")
    assert unpacked(packed(drawing)).strokes.xy.tobytes() == drawing.strokes.xy.tobytes()


def test_the_plan_in_metres() -> None:
    """1,211 lines, circles and arcs, 52 by 22.75 m, metres by its header and by its size: nothing to look at."""
    drawing = opened("barcelona_plan.dxf")
    assert len(drawing.strokes) == 1211
    assert size(drawing) == pytest.approx((52.0, 22.75), abs=0.01)
    assert drawing.unit.m_per_unit == 1.0
    assert drawing.findings == ()


def test_the_plan_whose_header_says_inch() -> None:
    """Drawn in metres, 116 by 50: as inches it would be 3 m, which is doubted, and metres are named as likely."""
    drawing = opened("barcelona_pabellon.dxf")
    assert size(drawing) == pytest.approx((115.96, 50.05), abs=0.01)
    assert drawing.unit.m_per_unit == 0.0254
    assert "metre (116.0 m x 50.1 m)" in finding(drawing, "unit-doubtful").text


def test_the_plan_in_two_inserts() -> None:
    """R12 without a unit; two block inserts and five dimensions hold it all; by size it is in millimetres.

    The dimensions have no pictures and their style says nothing, so that the format's own values hold: their words
    stand above a line that is whole.
    """
    drawing = opened("barcelona_plan_exported.dxf")
    assert len(drawing.strokes) == 4014
    assert size(drawing)[0] == pytest.approx(51995, abs=1)
    assert {"8100", "17170", "11420", "13300"} & {text.words for text in drawing.texts}
    assert ": 5;" in finding(drawing, "dimension-drawn").text
    assert drawing.unit.m_per_unit is None
    assert "millimetre (52.0 m x 23.0 m)" in finding(drawing, "unit-missing").text


def test_the_plan_with_extents_beyond_all_measure() -> None:
    """Its header says ±1e20; what is drawn is 26.8 by 44.7, with 21 dimensions without pictures beside it."""
    drawing = opened("evil_plan.dxf")
    (plan,) = [index for index, layer in enumerate(drawing.layers) if layer.name.startswith("s001")]
    lines = [drawing.strokes.polyline(int(index)) for index in np.flatnonzero(drawing.strokes.layer == plan)]
    assert len(lines) == 8
    assert np.ptp(np.vstack(lines), axis=0) == pytest.approx((26.8, 44.7), abs=0.05)
    assert size(drawing)[0] < 40
    assert "17.40" in {text.words for text in drawing.texts}


def test_damaged_and_binary_files() -> None:
    """Which reader took them: plain for binary files, the recovering one for a missing coordinate or handle."""
    for name in ("n_bin_r14.dxf", "n_ixmilia_diamond_bin.dxf", "n_netdxf_binary.dxf", "n_r12_trash_eof.dxf"):
        assert "file-repaired" not in codes(opened(name))
    for name in ("n_ac1003.dxf", "n_empty_handles.dxf", "n_recover02.dxf"):
        assert "file-repaired" in codes(opened(name))
    assert "file-warning" in codes(opened("n_duplicate_handles.dxf"))


def test_clipped_blocks_are_cut_at_their_frames() -> None:
    """Eight of nine inserts are clipped; the nine words beside them stay."""
    drawing = opened("n_xclip.dxf")
    assert ": 8." in finding(drawing, "block-clipped").text
    assert len(drawing.texts) == 9


def test_walls_of_the_plan_chain_into_joints() -> None:
    """Sixty lines make twelve paths of the same 227.77 m, eight of them closed."""
    drawing = opened("barcelona_plan.dxf")
    paths, findings = joints_from_layer(drawing, Placement(), "walls")
    assert not findings
    assert len(paths) == 12
    assert sum(path.closed for path in paths) == 8
    (walls,) = [index for index, layer in enumerate(drawing.layers) if layer.name == "Walls"]
    metres = 0.0
    for index in np.flatnonzero(drawing.strokes.layer == walls):
        metres += float(np.hypot(*np.diff(drawing.strokes.polyline(int(index)), axis=0).T).sum())
    assert sum(path.length_m for path in paths) == pytest.approx(metres, abs=0.02)
    assert seen(drawing) == drawing.shown
