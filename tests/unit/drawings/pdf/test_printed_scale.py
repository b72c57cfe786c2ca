"""The scale that a page says it was printed at."""

from __future__ import annotations

from math import hypot
from uuid import UUID

import pytest

from leakmap.base.errors import BadValue
from leakmap.drawings.pdf.printed_scale import m_per_unit, printed_placement, typed_scale
from leakmap.drawings.pdf.read import read_pdf
from leakmap.model.sheet import KnownLength, Sheet, Source, scale_is_checked
from tests.helpers.pdf_files import MM, pdf

SHEET = Sheet(id=UUID(int=1), name="B2", source=Source(name="b2.pdf", sha256="0" * 64), placement=printed_placement(50))


@pytest.mark.parametrize("scale", [1, 5, 50, 100, 200, 2.5, 1000])
def test_ten_metres_on_site_are_ten_metres(scale: float) -> None:
    """A line that is drawn 10 m long at 1:n is 10,000/n mm on paper, and 10 m in the site plane again."""
    paper = 10_000 / scale * MM
    drawing = read_pdf(pdf(lambda canvas: canvas.line(10, 10, 10 + paper, 10), size=(paper + 20, 100)))
    (x0, y0), (x1, y1) = (
        printed_placement(scale).to_site((float(x), float(y))) for x, y in drawing.strokes.polyline(0)
    )
    assert hypot(x1 - x0, y1 - y0) == pytest.approx(10, abs=1e-5 * scale)


def test_a_printed_scale_is_not_checked() -> None:
    """However it was given: until two lengths, one each way, were measured and agree."""
    across = KnownLength(start=(0, 0), end=(100, 0), length_m=5.0)
    up = KnownLength(start=(0, 0), end=(0, 200), length_m=10.0)
    checked = [
        scale_is_checked(Sheet(id=SHEET.id, name="B2", source=SHEET.source, placement=SHEET.placement, lengths=lengths))
        for lengths in ((), (across,), (across, up))
    ]
    assert checked == [False, False, True]


@pytest.mark.parametrize("words", ["", "1:", "1:0", "50:1", "1:x", "-50", "1:1000000", "nan", "1:50:2", "1:1e3"])
def test_what_is_no_scale_is_refused(words: str) -> None:
    """The sentence shows how a scale is given."""
    with pytest.raises(BadValue, match="give it as 1:50"):
        typed_scale(words)


def test_a_unit_is_a_millimetre_at_that_scale() -> None:
    """At 1:50 a millimetre on paper is 0.05 m on site."""
    assert m_per_unit(typed_scale("1:50")) == pytest.approx(0.05)
    with pytest.raises(BadValue, match="greater than zero"):
        printed_placement(0)
