"""Hints at the unit, and doubts."""

from __future__ import annotations

import numpy as np
import pytest

from leakmap.drawings.dxf.read import read_dxf
from leakmap.drawings.dxf.rough import rough_size
from leakmap.drawings.dxf.units import curve_tolerance
from leakmap.model.drawing import Drawing, UnitHint
from tests.helpers.dxf_files import absolute, as_bytes, codes, document, finding, reread


def plan(unit: int, width: float, *, m_per_unit: float | None = None) -> Drawing:
    """A frame of ``width`` by half of it, in a file that names a unit."""
    made = document(unit=unit)
    made.modelspace().add_lwpolyline([(0, 0), (width, 0), (width, width / 2), (0, width / 2)], close=True)
    return read_dxf(as_bytes(made), m_per_unit=m_per_unit)


@pytest.mark.parametrize(
    ("unit", "width", "metres", "name"),
    [
        (6, 30, 1.0, "metre"),
        (4, 30_000, 0.001, "millimetre"),
        (2, 90, 0.3048, "foot"),
        (21, 90, 1200 / 3937, "US survey"),
    ],
)
def test_the_header_gives_a_hint(unit: int, width: float, metres: float, name: str) -> None:
    """A size that a structure can have raises no doubt."""
    drawing = plan(unit, width)
    assert drawing.unit.m_per_unit == pytest.approx(metres, rel=1e-15)
    assert name in drawing.unit.reason
    assert not drawing.findings


@pytest.mark.parametrize(("unit", "width"), [(1, 116), (4, 30), (6, 30_000), (3, 30)])
def test_a_size_that_cannot_be_is_a_doubt(unit: int, width: float) -> None:
    """116 inches, 30 mm, 30 km and 30 miles across are no structures; the hint stays what the header says."""
    drawing = plan(unit, width)
    assert drawing.unit.m_per_unit is not None
    assert "doubtful" in finding(drawing, "unit-doubtful").text


def test_a_doubt_names_what_is_likely() -> None:
    """116 across by 58: metres or feet make a building, inches do not."""
    text = finding(plan(1, 116), "unit-doubtful").text
    assert "metre (116.0 m x 58.0 m)" in text
    assert "foot (35.4 m x 17.7 m)" in text


def test_a_file_without_unit_says_so() -> None:
    """Code 0 is no unit; at 30,000 across and metric, millimetres are likely and feet are not named."""
    drawing = plan(0, 30_000)
    assert drawing.unit.m_per_unit is None
    text = finding(drawing, "unit-missing").text
    assert "millimetre (30.0 m x 15.0 m)" in text
    assert "foot" not in text


def test_a_unit_that_the_library_fills_in_is_not_believed() -> None:
    """A file of nothing but lines, to which ezdxf gives a header of its own that says metre, has no unit."""
    drawing = read_dxf(b"0\nSECTION\n2\nENTITIES\n0\nLINE\n10\n0\n20\n0\n11\n30\n21\n9\n0\nENDSEC\n0\nEOF\n")
    assert len(drawing.strokes) == 1
    assert drawing.unit.m_per_unit is None
    assert "unit-missing" in codes(drawing)


def test_the_users_unit_overrules_the_header() -> None:
    """Told when it contradicts, silent when it agrees."""
    overruled = plan(1, 30, m_per_unit=1.0)
    assert overruled.unit.m_per_unit == 1.0
    assert codes(overruled) == ["unit-overruled"]
    assert codes(plan(4, 30_000, m_per_unit=0.001)) == []


def test_the_users_unit_may_still_be_doubtful() -> None:
    """30 mm across is no structure, even if the user says so."""
    assert "unit-doubtful" in codes(plan(4, 30, m_per_unit=0.001))


def test_the_rough_size_is_that_of_the_middle_nine_tenths() -> None:
    """A hundred lines on 30 by 10 and one at 10^6: about 30; one line alone tells nothing."""
    made = document()
    for x in range(100):
        made.modelspace().add_line((0.3 * x, x % 10), (99, 99))
    made.modelspace().add_line((1e6, 0), (0, 0))
    layout = list(made.modelspace())
    assert 25 < rough_size(layout, np.empty((0, 2))) < 32
    assert rough_size(layout[:1], np.empty((0, 2))) == 0
    assert rough_size(layout[:50], np.array([(0.3 * x, x % 10) for x in range(50, 100)])) == rough_size(
        layout[:100], np.empty((0, 2))
    )


def test_a_plan_in_one_insert_is_read_as_fine_as_any() -> None:
    """Where nothing tells the size beforehand, curves are read again when it is known."""
    made = document(unit=4)
    block = made.blocks.new("PLAN")
    block.add_circle((0, 0), 5000)
    block.add_line((0, 0), (30_000, 20_000))
    made.modelspace().add_blockref("PLAN", (0, 0))
    points = max(len(absolute(reread(made), index)) for index in range(2))
    assert points >= circle_points(4, 5000)


@pytest.mark.parametrize(
    ("metres", "size", "given", "tolerance"),
    [
        (1.0, 50, False, 0.001),
        (0.001, 50_000, False, 1.0),
        (0.001, 50, False, 0.001),
        (None, 50, False, 0.001),
        (1.0, 50_000, False, 1.0),
        (1.0, 50_000, True, 0.025),
        (0.001, 50, True, 1.0),
        (1.0, 0, False, 1e18),
    ],
)
def test_curves_are_as_fine_as_unit_and_size_ask(
    metres: float | None,
    size: float,
    given: bool,  # noqa: FBT001 - a table of cases
    tolerance: float,
) -> None:
    """1 mm by a unit that goes with the size or that the user gave; size/50,000 otherwise; coarse without both."""
    assert curve_tolerance(UnitHint(metres, ""), size, given=given) == pytest.approx(tolerance)


def circle_points(unit: int, radius: float, m_per_unit: float | None = None) -> int:
    """How many points a circle gets."""
    made = document(lambda msp: msp.add_circle((0, 0), radius), unit=unit)
    return len(absolute(read_dxf(as_bytes(made), m_per_unit=m_per_unit)))


def test_curves_are_as_fine_as_the_size_asks_when_the_unit_cannot_be() -> None:
    """A circle of 50 across is drawn to 50/50,000 = 0.001, whether the unit is missing or cannot be."""
    fine = circle_points(6, 25)
    assert circle_points(0, 25) == fine
    assert circle_points(4, 25) == fine
    assert circle_points(7, 25) == fine
    assert circle_points(4, 25, m_per_unit=1.0) == fine
