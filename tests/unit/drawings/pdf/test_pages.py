"""The pages of a PDF file to choose from."""

from __future__ import annotations

import io

import pikepdf
import pytest
from PIL import Image
from reportlab.pdfgen.canvas import Canvas

from leakmap.base.errors import LockedDrawing, Stopped, UnusableDrawing
from leakmap.base.progress import StopAfter
from leakmap.drawings.pdf import pages as pages_module
from leakmap.drawings.pdf.pages import PageKind, pages, thumbnail, thumbnails
from leakmap.drawings.pdf.weight import weight_of
from tests.helpers.pdf_files import MM, changed, locked, pdf, picture, plan


def lines(canvas: Canvas) -> None:
    """A page of many lines."""
    for y in range(40):
        canvas.line(0, y, 300, y)


def image(canvas: Canvas) -> None:
    """A page that is a picture."""
    canvas.drawImage(picture(80, 60), 0, 0, 400, 300)


def both(canvas: Canvas) -> None:
    """A page of lines over a picture, in a form that holds everything."""
    canvas.beginForm("all")
    image(canvas)
    lines(canvas)
    canvas.endForm()
    canvas.doForm("all")


def test_each_page_says_what_is_on_it() -> None:
    """Lines, a picture, both inside of a form, nothing."""
    data = pdf(lines, image, both, lambda canvas: None)  # noqa: ARG005 - an empty page
    found = pages(data)
    assert [page.kind for page in found] == [PageKind.VECTOR, PageKind.PICTURE, PageKind.BOTH, PageKind.EMPTY]
    assert [page.number for page in found] == [1, 2, 3, 4]


def test_the_size_is_that_of_the_paper() -> None:
    """Turned, cropped and with a user unit: an A3 page lies on its side, a crop box counts, a unit of 2 doubles."""

    def change(made: pikepdf.Pdf) -> None:
        made.pages[0].obj["/Rotate"] = 90
        made.pages[1].obj["/CropBox"] = pikepdf.Array([10, 10, 10 + 100 * MM, 10 + 50 * MM])
        made.pages[2].obj["/UserUnit"] = 2

    data = pdf(lines, lines, lines, size=(297 * MM, 420 * MM), change=change)
    sizes = [page.size_mm for page in pages(data)]
    assert sizes[0] == pytest.approx((420, 297), abs=1e-3)
    assert sizes[1] == pytest.approx((100, 50), abs=1e-3)
    assert sizes[2] == pytest.approx((594, 840), abs=1e-3)


def test_labels_are_those_of_the_file() -> None:
    """A file may count its first pages by Roman numbers."""

    def change(made: pikepdf.Pdf) -> None:
        made.Root.PageLabels = pikepdf.Dictionary(
            Nums=[0, pikepdf.Dictionary(S=pikepdf.Name.r), 2, pikepdf.Dictionary(P="B-", S=pikepdf.Name.D)]
        )

    assert [page.label for page in pages(pdf(lines, lines, lines, change=change))] == ["i", "ii", "B-1"]
    assert [page.label for page in pages(pdf(lines))] == [""]


def test_no_more_pages_are_listed_than_anyone_looks_through(monkeypatch: pytest.MonkeyPatch) -> None:
    """A file of a thousand pages is listed as far as the bound."""
    monkeypatch.setattr(pages_module, "MOST_PAGES", 3)
    assert [page.number for page in pages(pdf(*[lines] * 5))] == [1, 2, 3]


def test_a_thumbnail_is_a_small_picture_of_the_upright_page() -> None:
    """Its longer side is as long as asked for; black lines are where they are on the page."""
    data = pdf(plan, change=lambda made: made.pages[0].obj.__setitem__("/Rotate", 90))
    shown = Image.open(io.BytesIO(thumbnail(data, page=0, longest_px=200)))
    assert (shown.format, shown.size) == ("PNG", (150, 200))
    grey = shown.convert("L")
    assert grey.getpixel((10, 60)) < 140  # the long line 20 points from the bottom runs down at the left
    assert grey.getpixel((100, 190)) == 255


def test_thumbnails_of_what_takes_too_long_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """A page that draws too much, and a page that is not there."""
    monkeypatch.setattr(pages_module, "_MOST_THINGS", 10)
    with pytest.raises(UnusableDrawing, match="draws too much"):
        thumbnail(pdf(lines), page=0)
    with pytest.raises(UnusableDrawing, match="no page 2"):
        thumbnail(pdf(lines), page=1)


def test_thumbnails_of_a_whole_file() -> None:
    """Each page has one, or those that are asked for; a page that is not there is left out."""
    data = pdf(lines, image, lambda canvas: None)  # noqa: ARG005 - an empty page
    every = thumbnails(data, longest_px=60)
    assert list(every) == [0, 1, 2]
    assert every[1] == thumbnail(data, page=1, longest_px=60)
    assert list(thumbnails(data, numbers=(2, 9))) == [2]


def test_a_thumbnail_never_unpacks_a_giant() -> None:
    """An image that says it has 4,900 million pixels is white in it."""

    def grow(made: pikepdf.Pdf) -> None:
        for held in dict(made.pages[0].Resources.XObject).values():
            held.Width, held.Height = 70_000, 70_000

    shown = Image.open(io.BytesIO(thumbnail(pdf(image, change=grow), page=0)))
    assert shown.convert("L").getextrema() == (255, 255)


def test_looking_through_a_file_can_be_stopped() -> None:
    """At any page."""
    data = pdf(*[lines] * 4)
    for look in (pages, thumbnails):
        with pytest.raises(Stopped):
            look(data, progress=StopAfter(3))


def test_locked_files_list_their_pages_with_the_password_only() -> None:
    """Without it there is nothing to choose from."""
    data = locked(pdf(lines, image), "weir")
    with pytest.raises(LockedDrawing):
        pages(data)
    with pytest.raises(LockedDrawing):
        thumbnail(data, page=0)
    assert [page.kind for page in pages(data, password="weir")] == [PageKind.VECTOR, PageKind.PICTURE]  # noqa: S106
    assert thumbnail(data, page=1, password="weir").startswith(b"\x89PNG")  # noqa: S106 - not a secret


def weight(data: bytes, **given: int) -> tuple[int, int, int, bool]:
    """What the first page of a file draws: lines, texts, pictures, and whether that is all."""
    with pikepdf.open(io.BytesIO(data)) as file:
        found = weight_of(file.pages[0].obj, **given)
    return found.lines, found.texts, found.pictures, found.whole


def test_a_page_is_weighed_with_what_its_forms_place() -> None:
    """The plan draws four paths, a text and a picture, and places a form of a path and a text."""
    assert weight(pdf(plan)) == (5, 2, 1, True)


@pytest.mark.parametrize("packed", [pikepdf.StreamDecodeLevel.all, pikepdf.StreamDecodeLevel.none])
def test_packed_or_not_a_page_weighs_the_same(packed: pikepdf.StreamDecodeLevel) -> None:
    """However its contents are stored."""
    compress = packed is not pikepdf.StreamDecodeLevel.all
    data = changed(pdf(lines), lambda made: None, stream_decode_level=packed, compress_streams=compress)  # noqa: ARG005
    assert weight(data)[0] == 40


def test_a_flood_of_zeros_is_unpacked_as_far_as_allowed() -> None:
    """Ten million bytes that are packed into ten thousand are not all unpacked."""

    def flood(made: pikepdf.Pdf) -> None:
        made.pages[0].contents_add(b"0 0 m 9 9 l S\n" + b" " * 10_000_000)

    data = changed(pdf(lines), flood)
    assert len(data) < 50_000
    assert weight(data, most_bytes=100_000) == (41, 0, 0, False)
