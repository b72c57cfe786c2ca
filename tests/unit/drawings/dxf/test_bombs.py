"""Small files that would grow without bound: each is read in bounds, and says what was left out."""

from __future__ import annotations

import numpy as np
import pytest

from leakmap.drawings.dxf import blocks as blocks_of
from leakmap.drawings.dxf import curves, layers
from leakmap.drawings.dxf.read import read_dxf
from leakmap.model.drawing import Drawing
from tests.helpers.dxf_files import all_points, codes, finding

LINE = "0\nLINE\n8\n0\n10\n0\n20\n0\n11\n9\n21\n9\n"
TEXT = "0\nTEXT\n8\n0\n10\n0\n20\n0\n40\n1\n1\n"
R2000 = "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n0\nENDSEC\n"
MTEXT = "0\nMTEXT\n5\nFE\n100\nAcDbEntity\n8\n0\n100\nAcDbMText\n10\n0\n20\n0\n30\n0\n40\n1\n41\n0\n71\n1\n72\n1\n"


def file_of(entities: str, *, blocks: str = "", tables: str = "", head: str = "") -> bytes:
    """A file of the given records."""
    sections = (("TABLES", tables), ("BLOCKS", blocks), ("ENTITIES", entities))
    body = "".join(f"0\nSECTION\n2\n{name}\n{records}0\nENDSEC\n" for name, records in sections)
    return f"{head}{body}0\nEOF\n".encode()


def block(name: str, content: str) -> str:
    """A block."""
    return f"0\nBLOCK\n8\n0\n2\n{name}\n70\n0\n10\n0\n20\n0\n30\n0\n{content}0\nENDBLK\n8\n0\n"


def insert(name: str, *, columns: int = 1, rows: int = 1) -> str:
    """An insert of a block in rows and columns 1 apart."""
    return f"0\nINSERT\n8\n0\n2\n{name}\n10\n1\n20\n0\n70\n{columns}\n71\n{rows}\n44\n1\n45\n1\n"


def spline(points: int) -> str:
    """A spline of the third degree through random control points."""
    knots = [0] * 4 + list(range(1, points - 3)) + [points - 3] * 4
    places = np.random.default_rng(1).random((points, 2)) * 1000
    controls = "".join(f"10\n{x:.3f}\n20\n{y:.3f}\n30\n0\n" for x, y in places)
    head = f"0\nSPLINE\n5\nFF\n100\nAcDbEntity\n8\n0\n100\nAcDbSpline\n70\n8\n71\n3\n72\n{len(knots)}\n73\n{points}\n74\n0\n"
    return head + "".join(f"40\n{knot}\n" for knot in knots) + controls


@pytest.mark.slow
@pytest.mark.parametrize(
    ("blocks", "entities"),
    [
        pytest.param(
            block("A0", LINE) + "".join(block(f"A{n}", insert(f"A{n - 1}") * 2) for n in range(1, 31)),
            insert("A30"),
            id="2^30 copies through thirty levels",
        ),
        pytest.param(
            block("A0", LINE) + "".join(block(f"A{n}", insert(f"A{n - 1}")) for n in range(1, 400)),
            insert("A399"),
            id="four hundred levels",
        ),
        pytest.param(block("A", LINE), insert("A", columns=1_000_000, rows=1_000_000), id="10^6 by 10^6 copies"),
        pytest.param(block("A", LINE), insert("A", columns=500, rows=499) * 200, id="200 times 250,000 copies"),
        pytest.param(block("A", TEXT + "ab\n"), insert("A", columns=500, rows=499) * 30, id="7.5 million texts"),
    ],
)
def test_blocks_that_multiply(blocks: str, entities: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The line beside them is read; the finding counts the inserts that are not, and the drawing stays within bounds."""
    monkeypatch.setattr(
        blocks_of, "MOST_POINTS", 1_000_000
    )  # an eighth of what a drawing may have: as true, and sooner
    drawing = read_dxf(file_of(entities + LINE, blocks=blocks))
    assert drawing.strokes.polyline(0).tolist() == [[0, 0], [9, 9]]
    assert len(drawing.strokes.xy) <= 1_000_002
    assert len(drawing.texts) <= 200_000
    assert "too-much" in codes(drawing)


@pytest.mark.parametrize("length", [1, 2, 100])
def test_blocks_that_hold_themselves(length: int) -> None:
    """Directly, or through others: each is drawn once at most, and the finding says so."""
    blocks = "".join(block(f"A{n}", LINE + insert(f"A{(n + 1) % length}")) for n in range(length))
    drawing = read_dxf(file_of(insert("A0") + LINE, blocks=blocks))
    assert 1 <= len(drawing.strokes) <= length + 1
    assert {"block-loop", "file-fault"} & set(codes(drawing))


@pytest.mark.slow
def test_splines_of_very_many_points() -> None:
    """Fifty thousand control points are drawn with bounded chords; a hundred thousand and one are left out and said."""
    drawn = read_dxf(file_of(spline(50_000) + LINE, head=R2000))
    assert len(drawn.strokes) == 2
    assert len(drawn.strokes.xy) <= 420_000
    left_out = read_dxf(file_of(spline(100_001) + LINE, head=R2000))
    assert len(left_out.strokes) == 1
    assert "more than 100,000 control points" in finding(left_out, "entity-failed").text


@pytest.mark.slow
def test_circles_beyond_all_measure() -> None:
    """Twenty thousand circles of 100 million kilometres keep to the chords that all may have; none is dropped."""
    drawing = read_dxf(file_of("0\nCIRCLE\n8\n0\n10\n0\n20\n0\n40\n1e14\n" * 20_000 + LINE))
    assert len(drawing.strokes) == 20_001
    assert len(drawing.strokes.xy) <= 9_000_000


BOWS = "0\nLWPOLYLINE\n5\nFF\n100\nAcDbEntity\n8\n0\n100\nAcDbPolyline\n90\n3\n70\n0\n" + "".join(
    f"10\n{x}\n20\n0\n42\n1\n" for x in (0, 9000, 0)
)
CIRCLE = "0\nCIRCLE\n8\n0\n10\n0\n20\n0\n40\n4500\n"
SPLINE = (
    "0\nSPLINE\n5\nFF\n100\nAcDbEntity\n8\n0\n100\nAcDbSpline\n70\n8\n71\n3\n72\n8\n73\n4\n74\n0\n"
    + "".join(f"40\n{knot}\n" for knot in (0, 0, 0, 0, 1, 1, 1, 1))
    + "".join(f"10\n{x}\n20\n{y}\n30\n0\n" for x, y in ((0, 0), (9000, 0), (0, 7000), (9000, 9000)))
)
HATCH = (
    "0\nHATCH\n5\nFF\n100\nAcDbEntity\n8\n0\n100\nAcDbHatch\n10\n0\n20\n0\n30\n0\n210\n0\n220\n0\n230\n1\n2\nSOLID\n70\n1\n"
    "71\n0\n91\n1\n92\n1\n93\n1\n72\n2\n10\n0\n20\n0\n40\n4500\n50\n0\n51\n360\n73\n1\n97\n0\n75\n0\n76\n1\n98\n0\n"
)

MM = "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n"


def several(curve: str, count: int) -> str:
    """So many of a curve, each with a handle of its own in the place of FF."""
    return "".join(curve.replace("\n5\nFF\n", f"\n5\n{0xFF + number:X}\n") for number in range(count))


@pytest.mark.parametrize(
    ("curve", "stretches"),
    [
        pytest.param(BOWS, 2, id="bows"),
        pytest.param(CIRCLE, 1, id="circles"),
        pytest.param(SPLINE, 1, id="splines"),
        pytest.param(HATCH, 1, id="hatches"),
    ],
)
@pytest.mark.parametrize("in_block", [False, True])
def test_curves_that_ask_for_more_chords_than_a_drawing_may_have(
    curve: str, stretches: int, *, in_block: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of two hundred none is dropped, and each goes from its start to its end; the last are coarser, and it is said."""
    most, many = 2_500, 200
    far = LINE.replace("10\n0\n", "10\n20000\n")
    monkeypatch.setattr(curves, "MOST_IN_DRAWING", most)

    def read(count: int) -> Drawing:
        content = several(curve, count)
        where = (insert("A"), block("A", content)) if in_block else (content, "")
        return read_dxf(file_of(LINE + far + where[0], blocks=where[1], head=MM))

    few, all_of_them = read(2), read(many)
    assert len(all_of_them.strokes) == many + 2
    assert len(all_of_them.strokes.xy) <= most + (curves.FEW + 1) * stretches * many + 4
    fine, coarse = few.strokes.polyline(3), all_of_them.strokes.polyline(many + 1)
    assert np.allclose(coarse[[0, -1]], fine[[0, -1]])
    assert 8 * stretches < len(coarse) < len(fine)
    assert "curves-coarser" not in codes(few)
    said = finding(all_of_them, "curves-coarser").text
    assert said.startswith("Curves drawn coarser, as with finer ones the drawing would grow too large to be shown: ")


@pytest.mark.parametrize("wrong", ["nan", "inf", "1e308", "-1e308"])
def test_polylines_through_no_places(wrong: str) -> None:
    """Coordinates and bulges that are no numbers or beyond all measure cost their polyline only."""
    vertices = "".join(f"0\nVERTEX\n8\n0\n10\n{x}\n20\n1\n42\n{wrong}\n" for x in (1, wrong, 5) * 100)
    drawing = read_dxf(file_of(f"0\nPOLYLINE\n8\n0\n66\n1\n{vertices}0\nSEQEND\n{LINE}"))
    assert all_points(drawing) == [[(0.0, 0.0), (9.0, 9.0)]]
    assert {"bad-coordinate", "entity-failed", "file-fault", "file-repaired"} & set(codes(drawing))


@pytest.mark.parametrize("head", [TEXT + "x" * 3_000_000, MTEXT + "3\n" + "{\\C1;a}" * 400_000 + "\n1\nx"])
def test_gigantic_texts_are_cut(head: str) -> None:
    """Three million letters, plain or with codes: the first ten thousand are read, and the finding says so."""
    drawing = read_dxf(file_of(f"{head}\n{LINE}", head=R2000 if "MTEXT" in head else ""))
    assert len(drawing.strokes) == 1
    assert 1000 < len(drawing.texts[0].words) <= 10_001
    assert finding(drawing, "text-cut").text == "Texts cut after 10,000 letters: 1."


def test_gigantic_texts_of_an_old_code_page_are_cut() -> None:
    """Three million letters beyond ASCII are neither guessed at one by one nor written by numbers for minutes."""
    data = file_of(f"{TEXT}{'é' * 3_000_000}\n{LINE}").decode().encode("cp1251", "replace").replace(b"?", b"\xe9")
    drawing = read_dxf(data, codepage="cp1251")
    assert drawing.texts[0].words.startswith("йййй")
    assert "text-cut" in codes(drawing)


def test_more_layers_than_a_list_can_show(monkeypatch: pytest.MonkeyPatch) -> None:
    """Beyond the bound layers of one state share one; what is off stays off, and every line is there."""
    monkeypatch.setattr(layers, "MOST_LAYERS", 100)
    table = "".join(f"0\nLAYER\n2\nL{n}\n70\n0\n62\n{7 if n % 2 else -7}\n6\nCONTINUOUS\n" for n in range(300))
    lines = "".join(f"0\nLINE\n8\nL{n}\n10\n0\n20\n{n}\n11\n9\n21\n{n}\n" for n in range(400))
    drawing = read_dxf(file_of(lines, tables=f"0\nTABLE\n2\nLAYER\n70\n300\n{table}0\nENDTAB\n"))
    assert len(drawing.strokes) == 400
    assert len(drawing.layers) == 102
    states = [drawing.layers[layer].state for layer in drawing.strokes.layer.tolist()]
    assert [state.value for state in states[:300:99]] == ["off", "on", "off", "on"]
    assert "over 100 layers" in finding(drawing, "too-many-layers").text


@pytest.mark.slow
def test_very_many_layers() -> None:
    """Thirty thousand layers are read, and ten thousand of them told apart."""
    table = "".join(f"0\nLAYER\n2\nL{n}\n70\n0\n62\n7\n6\nCONTINUOUS\n" for n in range(30_000))
    drawing = read_dxf(file_of(LINE, tables=f"0\nTABLE\n2\nLAYER\n70\n30000\n{table}0\nENDTAB\n"))
    assert len(drawing.layers) == 10_001
    assert "too-many-layers" in codes(drawing)
