"""What a drawing's own content says of its unit."""

from __future__ import annotations

from math import cos, pi, radians, sin
from pathlib import Path

import numpy as np
import pytest

from leakmap.drawings.opening import read_drawing
from leakmap.drawings.unit_guess import metres_of, unit_by_dimensions, unit_by_doors, unit_findings
from leakmap.model.drawing import Drawing, FloatArray, Layer, Strokes, Text, UnitHint

REAL = Path(__file__).parents[4] / "shared" / "corpus" / "real"
UNKNOWN = UnitHint(None, "the header names no unit")


def drawn(lines: list[FloatArray], texts: list[Text], unit: UnitHint = UNKNOWN) -> Drawing:
    """A drawing of some polylines and texts."""
    counts = [len(line) for line in lines]
    strokes = Strokes(
        np.vstack(lines) if lines else np.empty((0, 2)),
        np.cumsum([0, *counts]).astype(np.int32),
        np.zeros(len(lines), np.int32),
    )
    return Drawing((0.0, 0.0), (Layer("0"),), strokes, tuple(texts), unit, (0, 0, 1, 1))


def dimension(words: str, start: tuple[float, float], length: float, turn_deg: float = 0.0) -> tuple[FloatArray, Text]:
    """A dimension line with its number above its middle."""
    c, s = cos(radians(turn_deg)), sin(radians(turn_deg))
    end = (start[0] + c * length, start[1] + s * length)
    height = length / 25
    middle = (start[0] + end[0]) / 2 - s * height, (start[1] + end[1]) / 2 + c * height
    return np.array((start, end)), Text(middle, height, turn_deg, 0.5, 0.0, words, 0)


def dimensioned(pairs: list[tuple[str, float]], turn_deg: float = 0.0) -> Drawing:
    """A drawing with dimensions below each other."""
    made = [
        dimension(words, (7.0 * length, place * length), length, turn_deg)
        for place, (words, length) in enumerate(pairs)
    ]
    return drawn([line for line, _ in made], [text for _, text in made])


def quarter(radius: float, centre: tuple[float, float], begin_deg: float = 0.0) -> FloatArray:
    """A quarter circle of twelve chords."""
    turns = np.radians(begin_deg) + np.linspace(0, pi / 2, 13)
    return np.array(centre) + radius * np.stack((np.cos(turns), np.sin(turns)), axis=1)


@pytest.mark.parametrize(
    ("words", "metres"),
    [
        ("6000", 6.0),
        ("125", 0.125),
        ("3.60", 3.6),
        ("3,600", 3.6),
        ("12.5", None),
        ("12' 6\"", 3.81),  # 150 in × 0.0254
        ("2'-6 1/2\"", 0.7747),  # 30.5 in × 0.0254
        ("10'", 3.048),
        ("1'-1/0\"", None),
        ("0.00", None),
        ("B2", None),
        ("", None),
        ("0'", None),
        ("1234567", None),
    ],
)
def test_what_a_number_means(words: str, metres: float | None) -> None:
    """Whole numbers of three digits and more are millimetres, decimals metres, feet and inches themselves."""
    assert metres_of(words) == (None if metres is None else pytest.approx(metres))


@pytest.mark.parametrize("turn_deg", [0.0, 30.0, 90.0, 180.0])
@pytest.mark.parametrize("unit", [0.001, 0.01, 0.0254, 1.0])
def test_dimensions_give_the_unit(turn_deg: float, unit: float) -> None:
    """Three different numbers beside lines of their length tell the unit, whichever way they run."""
    drawing = dimensioned([("6000", 6 / unit), ("4200", 4.2 / unit), ("850", 0.85 / unit)], turn_deg)
    guess = unit_by_dimensions(drawing)
    assert guess is not None
    assert guess.m_per_unit == pytest.approx(unit)
    assert guess.reason == "3 different dimensions, such as 6000, fit their lines"


def test_numbers_that_do_not_agree_say_nothing() -> None:
    """Room numbers beside walls of any length are no dimensions."""
    assert unit_by_dimensions(dimensioned([("101", 6.0), ("102", 4.2), ("103", 8.5), ("104", 2.0)])) is None


def test_chance_says_nothing() -> None:
    """Among a thousand numbers beside lines of any length some agree by chance; that is not enough."""
    rng = np.random.default_rng(8)
    pairs = zip(rng.integers(100, 9999, 1000), rng.uniform(200, 9000, 1000), strict=True)
    made = [dimension(str(number), (0, 20_000.0 * n), length) for n, (number, length) in enumerate(pairs)]
    assert unit_by_dimensions(drawn([line for line, _ in made], [text for _, text in made])) is None


def test_one_number_again_and_again_says_nothing() -> None:
    """The same number ten times is one piece of evidence."""
    assert unit_by_dimensions(dimensioned([("6000", 6000.0)] * 10)) is None


def test_texts_across_their_line_say_nothing() -> None:
    """A number that stands across the line beside it does not measure it."""
    texts = [Text((3000, 100 + 500 * n), 100, 90, 0.5, 0, words, 0) for n, words in enumerate(("6000", "6001", "6002"))]
    lines = [np.array(((0.0, 500.0 * n), (6000.0 + n, 500.0 * n))) for n in range(3)]
    assert unit_by_dimensions(drawn(lines, texts)) is None


@pytest.mark.parametrize(("leaf", "unit"), [(900, 0.001), (90, 0.01), (0.9, 1.0), (36, 0.0254), (3, 0.3048)])
def test_doors_give_the_unit(leaf: float, unit: float) -> None:
    """Quarter circles of 900, 90, 0.9, 36 and 3 are doors in mm, cm, m, inches and feet, and in nothing else."""
    arcs = [quarter(leaf, (9 * leaf * n, 0), 40.0 * n) for n in range(4)]
    guess = unit_by_doors(drawn(arcs, []))
    assert guess is not None
    assert guess.m_per_unit == pytest.approx(unit)


def test_what_is_no_door() -> None:
    """Two arcs are too few; whole circles, third circles, squares and ovals are no doors."""
    whole = np.vstack([quarter(900, (0, 0), turn) for turn in (0, 90, 180, 270)])
    third = np.stack([(900 * cos(t), 900 * sin(t)) for t in np.linspace(0, 2.1, 9)])
    square = np.array(((0, 0), (900, 0), (900, 900), (0, 900), (0, 0)), float)
    oval = quarter(900, (0, 0)) * (1.0, 0.6)
    straight = np.stack((np.linspace(0, 900, 9), np.zeros(9)), axis=1)
    assert unit_by_doors(drawn([quarter(900, (0, 0))] * 2, [])) is None
    for shape in (whole, third, square, oval, straight):
        assert unit_by_doors(drawn([shape] * 5, [])) is None


def test_finding_says_what_the_content_suggests() -> None:
    """Without a unit it is a suggestion, against the header's a doubt, with it nothing, and on a page a scale."""
    pairs = [("6000", 6000.0), ("4200", 4200.0), ("850", 850.0)]
    why = "3 different dimensions, such as 6000, fit their lines"
    drawing = dimensioned(pairs)
    (finding,) = unit_findings(drawing)
    assert finding.text == f"The content suggests millimetre: {why}. Check it by a known length."
    inch = Drawing(
        drawing.origin, drawing.layers, drawing.strokes, drawing.texts, UnitHint(0.0254, "the header says inch"), None
    )
    (finding,) = unit_findings(inch)
    assert finding.code == "unit-contradicted"
    assert f"millimetre: {why}; but the header says inch." in finding.text
    right = Drawing(drawing.origin, drawing.layers, drawing.strokes, drawing.texts, UnitHint(0.001, "said"), None)
    assert unit_findings(right) == ()
    page = dimensioned([(words, length / 50) for words, length in pairs])
    assert unit_findings(page, page=True)[0].text.startswith("The content suggests a scale of 1:50: ")
    assert unit_findings(drawn([], [])) == ()


@pytest.mark.skipif(not REAL.is_dir(), reason="the folder of real drawings is not here")
@pytest.mark.parametrize(
    ("name", "code", "words"),
    [
        ("barcelona_pabellon.dxf", "unit-contradicted", "metre"),  # the header says inch; it is drawn in metres
        ("evil_plan.dxf", "unit-guessed", "metre"),  # no unit in the header
        ("barcelona_plan.dxf", None, ""),  # metres, as its header says
    ],
)
def test_real_drawings(name: str, code: str | None, words: str) -> None:
    """What is known of real drawings from elsewhere is what their content says."""
    found = unit_findings(read_drawing(name, (REAL / name).read_bytes()))
    assert [finding.code for finding in found] == ([code] if code else [])
    assert all(f"suggests {words}:" in finding.text for finding in found)
