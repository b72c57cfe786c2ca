"""Text in the faces of the paper."""

from __future__ import annotations

from reportlab.pdfbase import pdfmetrics

from leakmap.issue.schedule_pdf.lettering import NO_GLYPH, Face, Lettering, coverage, use_faces


def test_a_character_that_the_face_lacks_is_set_in_the_wide_face() -> None:
    """Arrow and Greek come from the fallback, the rest stays."""
    assert Lettering().runs("a → τ b", Face.BODY) == [
        (Face.BODY, "a "),
        (Face.WIDE, "→"),
        (Face.BODY, " "),
        (Face.WIDE, "τ"),
        (Face.BODY, " b"),
    ]


def test_a_character_that_no_face_holds_is_boxed_and_remembered() -> None:
    """Never dropped in silence."""
    lettering = Lettering()
    assert lettering.runs("泵 1", Face.BOLD) == [(Face.WIDE, NO_GLYPH), (Face.BOLD, " 1")]
    assert lettering.missing == {"泵": "泵 1"}
    (finding,) = lettering.unprintable("plan set")
    assert "泵 (U+6CF5) in “泵 1”" in finding.text
    assert lettering.unprinted_words() == "□ stands for what no font here prints: U+6CF5."


def test_control_characters_become_spaces_and_marks_without_shape_vanish() -> None:
    """Tabs, line feeds and bells are spaces; a soft hyphen is nothing; none of them is missing."""
    lettering = Lettering()
    assert lettering.runs("a\tb\x07c\u00add", Face.BODY) == [(Face.BODY, "a b cd")]
    assert not lettering.missing


def test_every_living_letter_of_latin_greek_and_cyrillic_is_printed() -> None:
    """The letters of Unicode's blocks from Latin-1 to Cyrillic, and Greek and Latin with more accents.

    Left out are letters that Unicode took in for dialects and old books after 2008: those of Cyrillic from U+0526,
    and four of medieval Welsh; they are boxed and said.
    """
    blocks = (0xA1, 0x250), (0x370, 0x400), (0x400, 0x526), (0x1E00, 0x1EFA), (0x1F00, 0x2000)
    letters = [chr(code) for start, stop in blocks for code in range(start, stop) if chr(code).isalpha()]
    lettering = Lettering()
    for face in (Face.BODY, Face.BOLD, Face.DRAFTING):
        assert NO_GLYPH not in "".join(piece for _, piece in lettering.runs(" ".join(letters), face))
    assert len(letters) > 1100
    assert not lettering.missing


def test_accents_are_set_with_their_letters() -> None:
    """A letter and an accent are the one character that Unicode has for them, else both are of one face that holds both."""
    lettering = Lettering()
    assert lettering.runs("Cafe\u0301", Face.BODY) == [(Face.BODY, "Café")]
    assert lettering.runs("и\u0302x\u0336", Face.BODY) == [(Face.WIDE, "и\u0302x\u0336")]
    assert not lettering.missing
    assert lettering.runs("x\u0363", Face.BODY) == [(Face.BODY, "x"), (Face.WIDE, NO_GLYPH)]


def test_what_would_be_printed_in_the_wrong_order_is_boxed() -> None:
    """Hebrew and Arabic letters are in the wide face but run from right to left; pictographs and Chinese are in none."""
    for words, boxes in (("שלום 12", 4), ("مضخة", 4), ("👍🏽 ok", 2), ("水泵", 2)):
        lettering = Lettering()
        assert "".join(piece for _, piece in lettering.runs(words, Face.BODY)).count(NO_GLYPH) == boxes
        assert len(lettering.missing) == boxes
    marks = Lettering()
    assert marks.runs("a\u202eb\u2066\U000e0100c", Face.BODY) == [(Face.BODY, "abc")]
    assert not marks.missing


def test_markup_escapes_what_people_type() -> None:
    """A name with < and & stays what it is; a line feed breaks the line."""
    assert Lettering().markup("A<b>&\nC") == "A&lt;b&gt;&amp;<br/>C"
    assert Lettering().markup("→").startswith(f'<font name="{Face.WIDE.value}">')


def test_figures_are_of_equal_width_in_the_faces_of_tables() -> None:
    """Columns of figures stand straight in both weights."""
    use_faces()
    for face in (Face.BODY, Face.BOLD):
        assert len({pdfmetrics.stringWidth(digit, face.value, 10) for digit in "0123456789"}) == 1


def test_words_are_cut_to_their_room_with_an_ellipsis() -> None:
    """What fits stays whole; what does not ends in an ellipsis and fits."""
    lettering = Lettering()
    assert lettering.fitted("short", Face.BODY, 10, 100) == "short"
    cut = lettering.fitted("a very long name of a very long job", Face.BODY, 10, 60)
    assert cut.endswith("…")
    assert lettering.width(cut, Face.BODY, 10) <= 60


def test_the_faces_hold_what_the_paper_itself_prints() -> None:
    """Signs that the program prints on its own need no fallback in the body face."""
    assert {ord(char) for char in "−–×·²³µ…°±"} <= coverage(Face.BODY)


def test_names_of_central_europe_are_set_in_the_body_face() -> None:
    """Letters such as ő, ž and ł need no fallback, so a name is set in one face."""
    assert Lettering().runs("Győr, Žilina, Łódź", Face.BODY) == [(Face.BODY, "Győr, Žilina, Łódź")]
