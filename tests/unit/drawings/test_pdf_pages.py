"""Pages of a PDF as pictures, against a page drawn with another library."""

from __future__ import annotations

from io import BytesIO

import pytest
from reportlab.pdfgen.canvas import Canvas

from leakmap.base.errors import UnusableFile
from leakmap.drawings.pdf_pages import PdfPages


def two_pages() -> bytes:
    """A page of 200 × 100 points with a red square at its lower left, and one of 300 × 300 called "Plan"."""
    out = BytesIO()
    canvas = Canvas(out, pagesize=(200, 100), invariant=1)
    canvas.setFillColorRGB(1, 0, 0)
    canvas.rect(0, 0, 50, 50, stroke=0, fill=1)
    canvas.showPage()
    canvas.setPageSize((300, 300))
    canvas.bookmarkPage("plan")
    canvas.addOutlineEntry("Plan", "plan", 0)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def test_sizes_and_headings() -> None:
    """Sizes are those of the pages in points, and a heading leads to its page."""
    pages = PdfPages(two_pages())
    assert len(pages) == 2
    assert [pages.size_pt(page) for page in range(2)] == [(200, 100), (300, 300)]
    assert pages.headings() == {"Plan": 1}
    pages.close()


def test_a_picture_has_the_colours_of_the_page() -> None:
    """At 2 px a point the page is 400 × 200 px: the lower left is red (blue 0, green 0, red 255), the upper right white."""
    pages = PdfPages(two_pages())
    picture = pages.picture(0, px_per_pt=2.0)
    assert (picture.width, picture.height) == (400, 200)

    def pixel(x: int, y: int) -> tuple[int, ...]:
        start = y * picture.stride + 4 * x
        return tuple(picture.data[start : start + 3])

    assert pixel(20, 180) == (0, 0, 255)
    assert pixel(380, 20) == (255, 255, 255)
    pages.close()


@pytest.mark.parametrize("px_per_pt", [2.0, 2.25, 3.37])
def test_parts_make_up_the_whole(px_per_pt: float) -> None:
    """Squares of 64 px, laid side by side, are pixel by pixel the picture of the whole page but at softened edges."""
    pages = PdfPages(two_pages())
    whole = pages.picture(0, px_per_pt=px_per_pt)
    others = 0
    for top in range(0, whole.height, 64):
        for left in range(0, whole.width, 64):
            part = pages.part(0, px_per_pt=px_per_pt, left=left, top=top, side=64)
            assert (part.width, part.height) == (min(64, whole.width - left), min(64, whole.height - top))
            for row in range(part.height):
                start = (top + row) * whole.stride + 4 * left
                ours = part.data[row * part.stride : row * part.stride + 4 * part.width]
                others += sum(a != b for a, b in zip(ours, whole.data[start : start + 4 * part.width], strict=True))
    assert others < 4 * (whole.width + whole.height)
    pages.close()


@pytest.mark.slow
def test_a_picture_is_never_too_large() -> None:
    """A page of 300 points asked for at 100 px a point would be 30,000 px; it is 6,000."""
    pages = PdfPages(two_pages())
    picture = pages.picture(1, px_per_pt=100.0)
    assert max(picture.width, picture.height) == 6000
    pages.close()


def test_what_is_no_pdf_is_refused_in_one_sentence() -> None:
    """Bytes that are no PDF are refused with a sentence, not with the library's trouble."""
    with pytest.raises(UnusableFile, match=r"^The pages cannot be shown: this is no PDF file that can be read\.$"):
        PdfPages(b"0\nSECTION\n")
