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
    assert lettering.missing == {"泵"}


def test_control_characters_become_spaces_and_marks_without_shape_vanish() -> None:
    """Tabs, line feeds and bells are spaces; a soft hyphen is nothing; none of them is missing."""
    lettering = Lettering()
    assert lettering.runs("a\tb\x07c\u00add", Face.BODY) == [(Face.BODY, "a b cd")]
    assert not lettering.missing


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
