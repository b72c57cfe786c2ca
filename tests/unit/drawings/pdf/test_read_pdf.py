"""A page of a PDF as a drawing: where its lines, texts and pictures come to lie, and what is said of it."""

from __future__ import annotations

from math import cos, hypot, radians, sin
from typing import Any

import numpy as np
import pikepdf
import pytest
import pyvips
from reportlab.pdfgen.canvas import Canvas

from leakmap.base.errors import BadValue, LockedDrawing, Stopped, UnusableDrawing
from leakmap.base.progress import StopAfter
from leakmap.drawings.pdf import read, things, weight
from leakmap.drawings.pdf.read import read_pdf
from leakmap.model.drawing import Drawing, LayerState, TilePlace
from tests.helpers.pdf_files import MM, changed, locked, pdf, picture, plan

POINT_MM = 25.4 / 72


def lines_of(drawing: Drawing, layer: str = "lines") -> list[list[tuple[float, float]]]:
    """The polylines of a layer, in points of 1/72 inch, rounded to a hundredth."""
    return [
        [(round(float(x) * MM, 2), round(float(y) * MM, 2)) for x, y in drawing.strokes.polyline(index)]
        for index in range(len(drawing.strokes))
        if drawing.layers[drawing.strokes.layer[index]].name == layer
    ]


def codes(drawing: Drawing) -> set[str]:
    """Codes of the findings, without the one that asks for the scale."""
    return {found.code for found in drawing.findings} - {"page-scale"}


def ell(canvas: Canvas) -> None:
    """A line of 100 points to the right and one of 50 up, from 20, 30."""
    canvas.line(20, 30, 120, 30)
    canvas.line(20, 30, 20, 80)


def test_lines_lie_where_they_are_on_paper() -> None:
    """A unit is a millimetre of the page, y up, from its lower left corner; 72 points are 25.4 mm."""
    drawing = read_pdf(pdf(ell))
    assert drawing.strokes.polyline(0).tolist() == pytest.approx(
        np.array([(20 * POINT_MM, 30 * POINT_MM), (120 * POINT_MM, 30 * POINT_MM)])
    )
    assert drawing.shown == pytest.approx((0, 0, 400 * POINT_MM, 300 * POINT_MM))
    assert drawing.origin == (0, 0)


@pytest.mark.parametrize(
    ("turn", "ends", "size"),
    [
        (0, [(120, 30), (20, 80)], (400, 300)),
        (90, [(30, 280), (80, 380)], (300, 400)),
        (180, [(280, 270), (380, 220)], (400, 300)),
        (270, [(270, 120), (220, 20)], (300, 400)),
    ],
)
def test_turned_pages_stand_upright(turn: int, ends: list[tuple[float, float]], size: tuple[float, float]) -> None:
    """A page turned clockwise is drawn as it is seen: turned by 90, what was right is below and what was up is right."""
    data = pdf(ell, change=lambda made: made.pages[0].obj.__setitem__("/Rotate", turn))
    drawing = read_pdf(data)
    assert [line[-1] for line in lines_of(drawing)] == ends
    assert drawing.shown == pytest.approx((0, 0, size[0] * POINT_MM, size[1] * POINT_MM))


def test_a_crop_box_is_the_page() -> None:
    """The lower left corner of the crop box is 0, 0, and what lies outside of it is cut off."""
    data = pdf(ell, change=lambda made: made.pages[0].obj.__setitem__("/CropBox", pikepdf.Array([10, 20, 70, 60])))
    drawing = read_pdf(data)
    assert lines_of(drawing) == [[(10, 10), (60, 10)], [(10, 10), (10, 40)]]
    assert drawing.shown == pytest.approx((0, 0, 60 * POINT_MM, 40 * POINT_MM))


def test_user_unit_makes_the_page_larger() -> None:
    """With a user unit of 2.5 everything is two and a half times as large."""
    data = pdf(ell, change=lambda made: made.pages[0].obj.__setitem__("/UserUnit", 2.5))
    assert [line[-1] for line in lines_of(read_pdf(data))] == [(300, 75), (50, 200)]


@pytest.mark.parametrize("unit", [0, -3, 1e9, pikepdf.Name("/Two"), pikepdf.Array([1])])
def test_a_user_unit_that_cannot_be_counts_for_one(unit: Any) -> None:  # noqa: ANN401 - anything
    """Nothing, less than nothing, beyond all measure, or no number at all."""
    data = pdf(ell, change=lambda made: made.pages[0].obj.__setitem__("/UserUnit", unit))
    assert [line[-1] for line in lines_of(read_pdf(data))] == [(120, 30), (20, 80)]


def test_forms_are_placed_by_their_matrices() -> None:
    """A form in a form: each matrix counts, the form's own too."""

    def build(canvas: Canvas) -> None:
        canvas.beginForm("inner")
        canvas.line(0, 0, 10, 0)
        canvas.endForm()
        canvas.beginForm("outer")
        canvas.translate(5, 0)
        canvas.doForm("inner")
        canvas.endForm()
        canvas.translate(100, 100)
        canvas.rotate(90)
        canvas.scale(2, 2)
        canvas.doForm("outer")

    def shift(made: pikepdf.Pdf) -> None:
        made.pages[0].Resources.XObject["/FormXob.outer"].Matrix = [1, 0, 0, 1, 0, 7]

    assert lines_of(read_pdf(pdf(build, change=shift))) == [[(86, 110), (86, 130)]]


def test_curves_are_chords_within_a_hundredth_of_a_millimetre() -> None:
    """Every point and every middle of a chord of a circle of 90 mm lies within 0.01 mm of what its four curves are.

    Those four curves themselves are out of round by 0.00027 of the radius (a known property of
    the usual approximation of a quarter of a circle by one cubic curve), 0.024 mm here.
    """
    radius = 90.0
    drawing = read_pdf(pdf(lambda canvas: canvas.circle(300, 300, radius * MM), size=(600, 600)))
    xy = drawing.strokes.polyline(0) - 300 * POINT_MM
    assert tuple(xy[0]) == tuple(xy[-1])
    off = np.hypot(*np.vstack((xy, (xy[1:] + xy[:-1]) / 2)).T) - radius
    assert off.min() > -0.0101
    assert off.max() < 0.00028 * radius


def test_fewer_chords_would_be_too_coarse() -> None:
    """The bound is not met by wasting chords: the middles of chords lie as far off as a third of it at least."""
    xy = read_pdf(pdf(lambda canvas: canvas.circle(300, 300, 255), size=(600, 600))).strokes.polyline(0)
    middles = np.hypot(*((xy[1:] + xy[:-1]) / 2 - 300 * POINT_MM).T)
    ends = np.hypot(*(xy[1:] - 300 * POINT_MM).T)
    assert (ends - middles).max() > 0.003


def test_closed_paths_come_back_to_their_start() -> None:
    """A rectangle has five points, and a line drawn on after closing starts at its first corner."""

    def build(canvas: Canvas) -> None:
        canvas.rect(10, 10, 40, 20)
        canvas._code.append("100 100 m 150 100 l 150 150 l h 60 60 l S")

    assert lines_of(read_pdf(pdf(build))) == [
        [(10, 10), (50, 10), (50, 30), (10, 30), (10, 10)],
        [(100, 100), (150, 100), (150, 150), (100, 100), (60, 60)],
    ]


def test_clipped_lines_end_where_they_are_clipped() -> None:
    """A window cuts lines; outside of it nothing is drawn."""

    def build(canvas: Canvas) -> None:
        window = canvas.beginPath()
        window.rect(50, 50, 100, 20)
        canvas.clipPath(window, stroke=0)
        canvas.line(0, 60, 400, 60)
        canvas.line(60, 0, 60, 300)
        canvas.line(0, 200, 400, 200)
        canvas.line(70, 55, 80, 65)

    found = lines_of(read_pdf(pdf(build)))
    assert sorted(found) == [[(50, 60), (150, 60)], [(60, 50), (60, 70)], [(70, 55), (80, 65)]]


def test_an_outline_clips_as_well_as_a_box() -> None:
    """Lines seen through a triangle end at its sides."""

    def build(canvas: Canvas) -> None:
        window = canvas.beginPath()
        window.moveTo(0, 0)
        window.lineTo(100, 0)
        window.lineTo(0, 100)
        window.close()
        canvas.clipPath(window, stroke=0)
        canvas.line(0, 40, 400, 40)
        canvas.line(90, 90, 99, 99)

    assert lines_of(read_pdf(pdf(build))) == [[(0, 40), (60, 40)]]


def test_fills_are_outlines_on_a_layer_of_their_own() -> None:
    """A filled area is its outline; filled and stroked it is a line; a white one is left out and said."""

    def build(canvas: Canvas) -> None:
        canvas.rect(10, 10, 40, 20, stroke=0, fill=1)
        canvas.rect(60, 10, 40, 20, stroke=1, fill=1)
        canvas.setFillColorRGB(1, 1, 1)
        canvas.rect(110, 10, 40, 20, stroke=0, fill=1)

    drawing = read_pdf(pdf(build))
    assert [len(lines_of(drawing, name)) for name in ("fills", "lines")] == [1, 1]
    assert codes(drawing) == {"areas-white"}


def marked(made: pikepdf.Pdf) -> None:
    """Two lines on layers of their own, of which the file turns one off."""
    walls, axes = (
        made.make_indirect(pikepdf.Dictionary(Type=pikepdf.Name.OCG, Name=name)) for name in ("Walls", "Achsen ä")
    )
    usual = pikepdf.Dictionary(Order=[walls, axes], OFF=[axes])
    made.Root.OCProperties = pikepdf.Dictionary(OCGs=[walls, axes], D=usual)
    page = made.pages[0]
    page.Resources.Properties = pikepdf.Dictionary(W=walls, A=axes)
    page.contents_add(b"/OC /W BDC 0 100 m 50 100 l S EMC /OC /A BDC 0 120 m 50 120 l S EMC")


def test_layers_are_those_of_the_file() -> None:
    """Lines lie on the optional content that they belong to, which is off where the file turns it off."""
    drawing = read_pdf(pdf(ell, change=marked))
    assert [(layer.name, layer.state) for layer in drawing.layers] == [
        ("Walls", LayerState.ON),
        ("Achsen ä", LayerState.OFF),
        ("lines", LayerState.ON),
    ]
    assert lines_of(drawing, "Walls") == [[(0, 100), (50, 100)]]
    assert lines_of(drawing, "Achsen ä") == [[(0, 120), (50, 120)]]
    assert len(lines_of(drawing)) == 2


def test_things_on_layers_without_a_name_are_said() -> None:
    """A line that shows when any of several layers does belongs to none of them; it is a line like others."""

    def several(made: pikepdf.Pdf) -> None:
        marked(made)
        groups = made.Root.OCProperties.OCGs
        made.pages[0].Resources.Properties["/M"] = made.make_indirect(
            pikepdf.Dictionary(Type=pikepdf.Name.OCMD, OCGs=groups)
        )
        made.pages[0].contents_add(b"/OC /M BDC 0 140 m 50 140 l S EMC")

    drawing = read_pdf(pdf(ell, change=several))
    assert codes(drawing) == {"layer-unknown"}
    assert [(0, 140), (50, 140)] in lines_of(drawing)


@pytest.mark.parametrize("turn", [0, 30, 90, 180, -45])
def test_texts_stand_where_they_are_written(turn: float) -> None:
    """The insertion point is the first letter's foot; height is that of capitals; the turn is the line's."""

    def build(canvas: Canvas) -> None:
        canvas.translate(200, 150)
        canvas.rotate(turn)
        canvas.setFont("Helvetica", 10)
        canvas.drawString(20, 0, "Wall 24  B-C")

    (text,) = read_pdf(pdf(build)).texts
    at = (200 + 20 * cos(radians(turn)), 150 + 20 * sin(radians(turn)))
    assert text.words == "Wall 24 B-C"
    assert text.at == pytest.approx((at[0] * POINT_MM, at[1] * POINT_MM), abs=1e-3)
    assert text.height == pytest.approx(7 * POINT_MM, rel=1e-4)
    assert (text.turn_deg - turn) % 360 == pytest.approx(0, abs=1e-3) or (text.turn_deg - turn) % 360 > 359.999
    assert (text.across, text.up) == (0, 0)


def test_texts_far_apart_are_two() -> None:
    """Words in one line with a wide gap between them, in two lines, or in two sizes are texts of their own."""

    def build(canvas: Canvas) -> None:
        canvas.drawString(20, 200, "A")
        canvas.drawString(120, 200, "B")
        canvas.drawString(20, 180, "C")
        canvas.setFont("Helvetica", 24)
        canvas.drawString(30, 180, "D")

    assert sorted(text.words for text in read_pdf(pdf(build)).texts) == ["A", "B", "C", "D"]


def test_hidden_text_is_on_a_layer_that_is_off() -> None:
    """Text that a scan carries to be searched is kept, and does not show."""

    def build(canvas: Canvas) -> None:
        canvas.line(0, 0, 10, 10)
        line = canvas.beginText(20, 20)
        line.setTextRenderMode(3)
        line.textLine("basement")
        canvas.drawText(line)

    drawing = read_pdf(pdf(build))
    (text,) = drawing.texts
    assert drawing.layers[text.layer].state is LayerState.OFF
    assert codes(drawing) == {"hidden-text"}


def test_a_picture_keeps_its_own_pixels() -> None:
    """A page that is one image comes out at the image's own size, pixel for pixel."""
    drawing = read_pdf(pdf(lambda canvas: canvas.drawImage(picture(600, 450), 0, 0, 400, 300)))
    (found,) = drawing.pictures
    assert found.size_px == (600, 450)
    assert found.box == pytest.approx((0, 0, 400 * POINT_MM, 300 * POINT_MM))
    assert set(found.tiles) == {place for level in range(found.levels) for place in found.places(level)}
    tile = pyvips.Image.new_from_buffer(found.tiles[TilePlace(0, 0, 0)], "")
    assert (tile.width, tile.height) == (512, 450)
    ramp = (np.arange(512)[None, :] * 5 + np.arange(450)[:, None] * 3) % 200
    assert np.abs(tile.numpy().reshape(450, 512).astype(int) - ramp).mean() < 8  # the tile is kept with a small loss
    assert drawing.layers[found.layer].name == "picture"


def test_lines_and_texts_are_not_in_the_picture() -> None:
    """On a page with both, the picture holds what is neither line nor text: the pixels under a line are the image's."""

    def build(canvas: Canvas) -> None:
        canvas.drawImage(picture(60, 40), 100, 100, 60, 40)
        canvas.setLineWidth(5)
        canvas.line(0, 120, 400, 120)
        canvas.drawString(110, 110, "not here")

    both, alone = (
        read_pdf(pdf(build)),
        read_pdf(pdf(lambda canvas: canvas.drawImage(picture(60, 40), 100, 100, 60, 40))),
    )
    assert both.pictures[0].tiles == alone.pictures[0].tiles
    assert both.pictures[0].box == pytest.approx([side * POINT_MM for side in (100, 100, 160, 140)])
    assert (len(both.strokes), len(both.texts)) == (1, 1)


def test_a_picture_is_kept_coarser_rather_than_too_large(monkeypatch: pytest.MonkeyPatch) -> None:
    """Pixels are bounded, and a page with more says so."""
    monkeypatch.setattr("leakmap.drawings.pdf.rendered.MOST_PIXELS", 20_000)
    drawing = read_pdf(pdf(lambda canvas: canvas.drawImage(picture(600, 450), 0, 0, 400, 300)))
    width, height = drawing.pictures[0].size_px
    assert 15_000 < width * height <= 20_000
    assert codes(drawing) == {"picture-coarser"}


def test_a_picture_of_too_many_pixels_is_left_out() -> None:
    """An image that says it has 4,900 million pixels is never unpacked; the lines are kept."""

    def build(canvas: Canvas) -> None:
        ell(canvas)
        canvas.drawImage(picture(60, 40), 100, 100, 60, 40)

    def grow(made: pikepdf.Pdf) -> None:
        for held in dict(made.pages[0].Resources.XObject).values():
            held.Width, held.Height = 70_000, 70_000

    drawing = read_pdf(pdf(build, change=grow))
    assert codes(drawing) == {"picture-too-large"}
    assert not drawing.pictures
    assert len(drawing.strokes) == 2


def noted(made: pikepdf.Pdf) -> None:
    """A note with a look, a cross of 20 by 20 points at 50, 60; one without; and a link."""
    look = made.make_stream(b"0 0 m 20 20 l S 0 20 m 20 0 l S", Subtype=pikepdf.Name.Form, BBox=[0, 0, 20, 20])
    rect = pikepdf.Array([50, 60, 70, 80])
    made.pages[0].Annots = pikepdf.Array(
        pikepdf.Dictionary(Type=pikepdf.Name.Annot, Subtype=kind, Rect=rect, F=4, **more)
        for kind, more in [
            (pikepdf.Name.Stamp, {"AP": pikepdf.Dictionary(N=look)}),
            (pikepdf.Name.Text, {}),
            (pikepdf.Name.Link, {}),
        ]
    )


def test_notes_on_the_page_are_drawn() -> None:
    """A cross that somebody put onto the page comes out as lines; a note without a look is said to be missing."""
    drawing = read_pdf(pdf(ell, change=noted))
    assert lines_of(drawing)[2:] == [[(50, 60), (70, 80)], [(50, 80), (70, 60)]]
    assert codes(drawing) == {"notes-drawn", "notes-left-out"}


def test_a_page_with_too_many_things_is_read_as_far_as_there_is_room(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first things are kept, and the rest is said to be missing."""
    monkeypatch.setattr(read, "MOST_THINGS", 100)
    drawing = read_pdf(pdf(lambda canvas: [canvas.line(0, y, 10, y) for y in range(250)]))
    assert len(drawing.strokes) == 100
    assert codes(drawing) == {"too-much"}


def bomb(made: pikepdf.Pdf) -> None:
    """Forms that each place the next one a hundred times, six deep: a million million lines."""
    held = made.make_stream(b"0 0 m 9 9 l S\n", Type=pikepdf.Name.XObject, Subtype=pikepdf.Name.Form, BBox=[0, 0, 9, 9])
    for _ in range(6):
        resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(F=held))
        held = made.make_stream(
            b"/F Do\n" * 100,
            Type=pikepdf.Name.XObject,
            Subtype=pikepdf.Name.Form,
            BBox=[0, 0, 9, 9],
            Resources=resources,
        )
    made.pages[0].Resources.XObject = pikepdf.Dictionary(F=held)
    made.pages[0].contents_add(b"/F Do")


def test_a_bomb_of_forms_is_refused_before_it_is_taken_in() -> None:
    """It is counted in a moment, and one sentence says what to do."""
    with pytest.raises(UnusableDrawing, match=r"draws 1,000,000,000,00\d things.*fewer layers"):
        read_pdf(pdf(ell, change=bomb), name="b2.pdf")


def test_contents_beyond_all_measure_are_refused_before_they_are_taken_in(monkeypatch: pytest.MonkeyPatch) -> None:
    """A flood of lines that is packed into little is counted as far as the bounds go, of bytes and of things."""
    data = pdf(ell, change=lambda made: made.pages[0].contents_add(b"0 0 m 9 9 l S\n" * 10_000))
    assert len(data) < 5000
    assert len(read_pdf(data).strokes) == 10_002
    for bound, most in (("MOST_BYTES", 100_000), ("MOST_COUNTED", 5000)):
        with monkeypatch.context() as patch:
            patch.setattr(weight, bound, most)
            with pytest.raises(UnusableDrawing, match=r"draws more than .* things, more than leakmap takes"):
                read_pdf(data)


def test_forms_in_forms_without_end_come_to_an_end() -> None:
    """A form that places itself is read once."""

    def loop(made: pikepdf.Pdf) -> None:
        held = made.make_stream(
            b"0 0 m 9 9 l S /F Do", Type=pikepdf.Name.XObject, Subtype=pikepdf.Name.Form, BBox=[0, 0, 9, 9]
        )
        held.Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(F=held))
        made.pages[0].Resources.XObject = pikepdf.Dictionary(F=held)
        made.pages[0].contents_add(b"/F Do")

    assert 3 <= len(read_pdf(pdf(ell, change=loop)).strokes) <= 2 + things.DEEPEST + 10


def test_the_scale_is_asked_for_until_it_is_given() -> None:
    """The hint names size and paper of the page; a scale that the user knows is taken at the user's word."""
    data = pdf(ell, size=(841 * MM, 594 * MM))
    asked, given = read_pdf(data), read_pdf(data, m_per_unit=0.05)
    assert (asked.unit.m_per_unit, asked.unit.reason) == (None, "a page, 841 x 594 mm (A1); its scale must be given")
    assert [found.code for found in asked.findings] == ["page-scale"]
    assert (given.unit.m_per_unit, given.unit.reason) == (0.05, "the user says 1:50")
    assert not given.findings
    with pytest.raises(BadValue, match="greater than zero"):
        read_pdf(data, m_per_unit=0.0)


def test_pages_are_chosen_by_number() -> None:
    """Page 1 is the second one; a page that is not there, and one with nothing on it, are refused in a sentence."""
    data = pdf(ell, lambda canvas: canvas.line(0, 0, 5, 5), lambda canvas: None)  # noqa: ARG005
    assert len(read_pdf(data, page=1).strokes) == 1
    for page in (3, -1):
        with pytest.raises(UnusableDrawing, match=rf"no page {page + 1} in b2.pdf, which has 3 pages"):
            read_pdf(data, page=page, name="b2.pdf")
    with pytest.raises(UnusableDrawing, match=r"Page 3 of b2.pdf is empty"):
        read_pdf(data, page=2, name="b2.pdf")


def test_a_locked_file_asks_for_its_password() -> None:
    """Without a password, with a wrong one, and with the right one."""
    data = locked(pdf(ell), "weir")
    with pytest.raises(LockedDrawing, match=r"^b2.pdf is locked; give the password"):
        read_pdf(data, name="b2.pdf")
    with pytest.raises(LockedDrawing, match="The password does not open b2"):
        read_pdf(data, password="dam", name="b2.pdf")  # noqa: S106 - not a secret
    assert len(read_pdf(data, password="weir").strokes) == 2  # noqa: S106 - not a secret


@pytest.mark.parametrize("data", [b"%PDF-1.7", b"", b"%PDF-1.7\n" + b"\x00" * 500])
def test_a_damaged_file_is_refused_in_one_sentence(data: bytes) -> None:
    """What is left of it is no PDF."""
    with pytest.raises(UnusableDrawing, match=r"^b2.pdf is too damaged to be read as a PDF; export it again\.$"):
        read_pdf(data, name="b2.pdf")


def test_a_file_without_pages_is_refused_in_one_sentence() -> None:
    """A catalogue with an empty tree of pages, also right after a file that was locked, whose fault pdfium goes on naming."""
    data = changed(pdf(ell), lambda made: made.pages.__delitem__(0))
    with pytest.raises(LockedDrawing):
        read_pdf(locked(pdf(ell), "weir"), name="b1.pdf")
    with pytest.raises(UnusableDrawing, match=r"holds no pages|is too damaged"):
        read_pdf(data, name="b2.pdf")


def test_a_file_cut_short_is_read_as_far_as_it_goes() -> None:
    """Without its last 200 bytes, where it says what lies where, the lines are found all the same; that is said."""
    drawing = read_pdf(pdf(ell)[:-200])
    assert len(drawing.strokes) == 2
    assert codes(drawing) == {"file-repaired"}


@pytest.mark.parametrize(("width", "height"), [(120, 156), (43_700, 49_000)])
def test_tiny_and_giant_pages_keep_their_size(width: float, height: float) -> None:
    """42 x 55 mm and 15 x 17 m are sizes that plans were exported at."""

    def build(canvas: Canvas) -> None:
        canvas.line(0, 0, width, height)

    drawing = read_pdf(pdf(build, size=(width, height)))
    assert hypot(*drawing.strokes.polyline(0)[-1]) == pytest.approx(hypot(width, height) * POINT_MM)


def test_reading_stops_when_it_is_asked_to() -> None:
    """At the first report, and while a picture is rendered."""
    for reports in (1, 2):
        with pytest.raises(Stopped):
            read_pdf(pdf(plan), progress=StopAfter(reports))


def test_the_same_page_gives_the_same_drawing() -> None:
    """Bit for bit."""
    one, other = read_pdf(pdf(plan)), read_pdf(pdf(plan))
    assert one.strokes.xy.tobytes() == other.strokes.xy.tobytes()
    assert one.texts == other.texts
    assert one.pictures[0].tiles == other.pictures[0].tiles


def test_coordinates_beyond_all_measure_are_left_out() -> None:
    """A line to the end of the world is lost and said; the others are kept."""

    def build(canvas: Canvas) -> None:
        ell(canvas)
        canvas._code.append("999999999 0 0 999999999 0 0 cm 0 0 m 999999 999999 l S")

    drawing = read_pdf(pdf(build))
    assert len(drawing.strokes) == 2
    assert codes(drawing) == {"bad-coordinate"}
