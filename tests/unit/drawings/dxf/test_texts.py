"""Texts: plain words, places, mirrored ones, broken characters."""

from __future__ import annotations

from math import cos, radians, sin, sqrt
from typing import Any

import pytest
from ezdxf.enums import TextEntityAlignment as Align
from ezdxf.layouts.layout import Modelspace
from hypothesis import given
from hypothesis import strategies as st

from leakmap.drawings.dxf.ink import Lettering
from leakmap.drawings.dxf.read import read_dxf
from leakmap.drawings.dxf.texts import flat_text, mended
from leakmap.model.drawing import Text
from tests.helpers.dxf_files import as_bytes, codes, document, finding, read, reread


def only(draw: Any) -> Text:  # noqa: ANN401 - a builder
    """The one text that is read."""
    (text,) = read(draw).texts
    return text


@pytest.mark.parametrize(
    ("align", "across", "up"),
    [
        (Align.LEFT, 0, 0),
        (Align.BOTTOM_CENTER, 0.5, 0),
        (Align.MIDDLE, 0.5, 0.5),
        (Align.MIDDLE_RIGHT, 1, 0.5),
        (Align.TOP_LEFT, 0, 1),
    ],
)
def test_a_line_of_text_stands_at_its_alignment_point(align: Align, across: float, up: float) -> None:
    """Height 0.5 at (3, 4), turned by 30°."""

    def draw(msp: Modelspace) -> None:
        msp.add_text("SUMP", height=0.5, rotation=30).set_placement((3, 4), align=align)

    text = only(draw)
    assert (text.at, text.height, text.across, text.up, text.words) == ((3, 4), 0.5, across, up, "SUMP")
    assert text.turn_deg == pytest.approx(30)


def test_a_fitted_text_lies_between_its_points() -> None:
    """Fitted from (0, 0) to (6, 6): centred at (3, 3), turned by 45°."""

    def draw(msp: Modelspace) -> None:
        msp.add_text("SUMP", height=0.5).set_placement((0, 0), (6, 6), align=Align.FIT)

    text = only(draw)
    assert (text.at, text.across, text.up) == ((3, 3), 0.5, 0)
    assert text.turn_deg == pytest.approx(45)


def test_signs_and_codes_become_plain() -> None:
    """%%d is the degree sign, %%c the diameter sign, %%p plus-minus."""
    assert only(lambda msp: msp.add_text("45%%d %%c25 %%p5", height=1)).words == "45° Ø25 ±5"


def test_a_block_of_text_keeps_its_lines() -> None:
    """Formatting is dropped, line breaks stay; attachment 6 is middle right; the direction counts, not the turn."""

    def draw(msp: Modelspace) -> None:
        attributes = {"insert": (1, 2), "char_height": 0.25, "attachment_point": 6, "text_direction": (0, 1, 0)}
        msp.add_mtext(r"{\C1;WET} WELL\P{\H2x;2}", dxfattribs=attributes)

    text = only(draw)
    assert text.words == "WET WELL\n2"
    assert (text.at, text.height, text.across, text.up) == ((1, 2), 0.25, 1, 0.5)
    assert text.turn_deg == pytest.approx(90)


def test_an_attribute_template_in_the_plan_shows_its_tag() -> None:
    """An ATTDEF outside of blocks is drawn as its tag."""
    assert only(lambda msp: msp.add_attdef("LEVEL", (0, 0), height=1)).words == "LEVEL"


@pytest.mark.parametrize(
    ("scale", "turn", "across", "up"),
    [((-1, 1), 0, 1, 0), ((1, -1), 0, 0, 1), ((-1, -1), 180, 0, 0), ((-1, 1), 90, 0, 1)],
)
def test_a_mirrored_text_stays_readable_on_the_same_spot(
    scale: tuple[float, float], turn: float, across: float, up: float
) -> None:
    """A text mirrored left to right ends where it began; one mirrored upside down hangs from its baseline."""
    made = document()
    made.blocks.new("B").add_text("SUMP", height=2, rotation=turn if turn == 90 else 0).set_placement((3, 1))
    made.modelspace().add_blockref("B", (10, 10), dxfattribs={"xscale": scale[0], "yscale": scale[1]})
    (text,) = reread(made).texts
    assert text.at == pytest.approx((10 + 3 * scale[0], 10 + scale[1]))
    assert (text.height, text.across, text.up) == (pytest.approx(2), across, up)
    assert text.turn_deg % 360 == pytest.approx(turn)


@given(st.floats(0.2, 5), st.floats(-180, 180), st.booleans())
def test_letters_cover_the_same_spot_however_mirrored(size: float, turn: float, mirrored: bool) -> None:  # noqa: FBT001 - a property
    """The middle of the letters, worked out from what is kept, is where the mirrored vectors put it."""
    c, s = cos(radians(turn)), sin(radians(turn))
    sign = -1 if mirrored else 1
    lettering = Lettering((1, 1, 0), (c, s, 0), (-s * size * sign, c * size * sign, 0), 0.0, 0.0, "W", 0)
    text = flat_text(lettering)
    assert text is not None
    assert text.height == pytest.approx(size)
    kept, width = radians(text.turn_deg), 3.0
    right, rise = (0.5 - text.across) * width, (0.5 - text.up) * text.height
    middle = (1 + right * cos(kept) - rise * sin(kept), 1 + right * sin(kept) + rise * cos(kept))
    meant = (1 + 0.5 * width * c - 0.5 * size * sign * s, 1 + 0.5 * width * s + 0.5 * size * sign * c)
    assert middle == pytest.approx(meant, abs=1e-9)


def test_letters_seen_from_the_side_have_no_height() -> None:
    """A text that stands upright in space is left out, with a finding."""
    assert flat_text(Lettering((0, 0, 0), (1, 0, 0), (0, 0, 1), 0, 0, "W", 0)) is None

    def draw(msp: Modelspace) -> None:
        msp.add_line((0, 0), (9, 0))
        msp.add_text("W", height=1, dxfattribs={"extrusion": (0, -1, 0)})

    assert "text-no-height" in codes(read(draw))


def test_a_slanted_text_is_as_high_as_it_looks() -> None:
    """Tilted by 45° about its line, letters of 2 are √2 high in plan."""
    text = flat_text(Lettering((0, 0, 0), (1, 0, 0), (0, sqrt(2), sqrt(2)), 0, 0, "W", 0))
    assert text is not None
    assert text.height == pytest.approx(sqrt(2))


@pytest.mark.parametrize(
    ("raw", "encoding", "words"),
    [
        ("plain", "utf-8", "plain"),
        ("T\udcfcr", "utf-8", "Tür"),
        ("T\udcc3\udcbcr", "cp1252", "Tür"),
        ("\udc81", "cp1252", "\ufffd"),
        ("\ud83d\ude00", "utf-8", "😀"),
        ("\ud83d", "utf-8", "\ufffd"),
        ("a\x00b\tc\nd", "utf-8", "a b\tc\nd"),
    ],
)
def test_broken_characters_are_mended_as_well_as_can_be(raw: str, encoding: str, words: str) -> None:
    """Odd bytes are tried as UTF-8, then as Windows-1252; pairs are joined; the rest becomes the replacement sign."""
    assert mended(raw, encoding) == words


@given(st.text(st.characters(codec=None, exclude_categories=()), max_size=30), st.sampled_from(["utf-8", "cp1252"]))
def test_mended_words_can_always_be_written(raw: str, encoding: str) -> None:
    """Whatever comes in, what goes out is proper Unicode, and proper words are not touched."""
    words = mended(raw, encoding)
    words.encode("utf-8")
    assert mended(words, encoding) == words


def test_a_text_with_broken_characters_survives_with_a_finding() -> None:
    """A byte of Windows-1252 in a UTF-8 file: the letter is read and the finding counts it."""
    made = document(lambda msp: msp.add_text("Tuer", height=1))
    drawing = read_dxf(as_bytes(made).replace(b"Tuer", b"T\xfcer"))
    assert drawing.texts[0].words == "Tüer"
    assert ": 1;" in finding(drawing, "text-characters").text


def test_a_codepage_of_an_old_file_is_honoured() -> None:
    """A file of R2000 that names the Cyrillic code page is read by it."""
    made = document(lambda msp: msp.add_text("Насос", height=1), version="R2000")
    made.encoding = "cp1251"
    drawing = reread(made)
    assert drawing.texts[0].words == "Насос"
    assert "text-characters" not in codes(drawing)
