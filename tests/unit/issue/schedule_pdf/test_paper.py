"""Which paper and which scale."""

from __future__ import annotations

from itertools import islice

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leakmap.issue.schedule_pdf.paper import SHEETS_MM, Layout, iso_scales, layout_for, layouts


def test_scales_come_largest_first() -> None:
    """1:1, 1:2, 1:5, then ten times that."""
    assert list(islice(iso_scales(), 8)) == [1, 2, 5, 10, 20, 50, 100, 200]


@pytest.mark.parametrize(
    ("size_m", "largest", "expected"),
    [
        (
            (31.2, 21.6),
            "A1",
            ("A1", 50),
        ),  # 624 × 432 mm in a field of 737 × 533 mm
        ((45.0, 25.0), "A1", ("A2", 100)),
        ((45.0, 25.0), "A4", ("A4", 500)),
        ((3.0, 2.0), "A3", ("A3", 10)),
    ],
)
def test_the_largest_scale_decides_and_then_the_smallest_paper(
    size_m: tuple[float, float], largest: str, expected: tuple[str, int]
) -> None:
    """The scale is the largest that fits the largest paper; a smaller sheet is taken when it fits at that scale."""
    layout = layout_for(*size_m, largest)
    assert (layout.sheet, layout.scale) == expected


def test_a_tall_plan_stands_upright() -> None:
    """A plan of 10 m by 40 m lies on a standing sheet."""
    layout = layout_for(10, 40, "A1")
    assert layout.height_mm > layout.width_mm


@given(st.floats(0.01, 5000), st.floats(0.01, 5000), st.sampled_from(sorted(SHEETS_MM)))
def test_the_choice_is_the_best_there_is(width: float, height: float, largest: str) -> None:
    """The plan fits; no larger scale fits the largest paper; no smaller paper takes it at this scale."""
    chosen = layout_for(width, height, largest)
    assert chosen.takes(width, height)
    names = list(SHEETS_MM)
    larger = [scale for scale in islice(iso_scales(), 20) if scale < chosen.scale]
    assert not any(layout.takes(width, height) for scale in larger for layout in layouts(largest, scale))
    smaller = names[: names.index(chosen.sheet)]
    assert not any(layout.takes(width, height) for name in smaller for layout in layouts(name, chosen.scale))


def test_the_frame_keeps_the_filing_edge() -> None:
    """20 mm on the left, 10 mm elsewhere (ISO 5457, from memory): on A4 standing 180 × 277 mm are left."""
    left, bottom, right, top = Layout("A4", 210, 297, 100).frame_mm
    assert (left, bottom, right - left, top - bottom) == (20, 10, 180, 277)
