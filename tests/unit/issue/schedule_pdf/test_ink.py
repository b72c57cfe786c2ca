"""Marks as path operators."""

from __future__ import annotations

from leakmap.issue.marks.primitives import Area, Disc, Hatch, Line, Pen, Tone
from leakmap.issue.schedule_pdf.ink import COLOURS, Ink, Onto
from leakmap.issue.schedule_pdf.lettering import MM, Lettering


class Page:
    """Stands for a canvas: keeps the content that is written to it."""

    def __init__(self) -> None:
        self._code: list[str] = []

    @property
    def text(self) -> str:
        """All of the content."""
        return "\n".join(self._code)


def drawn(*primitives: Line | Area | Hatch | Disc) -> str:
    """Content of primitives at 1:100."""
    page = Page()
    Ink(page, Onto((100.0, 200.0), 10 * MM, (0.0, 0.0)), Lettering()).draw(primitives)  # type: ignore[arg-type]
    return page.text


def test_a_metre_is_ten_millimetres_at_one_to_a_hundred() -> None:
    """10 m from the origin of the page print as 100 mm = 283.465 pt."""
    text = drawn(Line(points=((100.0, 200.0), (110.0, 200.0)), pen=Pen(Tone.INK, 0.5)))
    assert "0.000 0.000 m 283.465 0.000 l" in text
    assert "1.417 w" in text, "0.5 mm"


def test_dashes_and_dots_are_lengths_on_paper() -> None:
    """A dot is a round cap on a dash of no length."""
    text = drawn(Line(points=((100, 200), (101, 200)), pen=Pen(Tone.INK, 0.5, (12.0, 1.5, 0.0, 1.5))))
    assert "[34.016 4.252 0.003 4.252] 0 d 1 J" in text


def test_holes_stay_open() -> None:
    """Areas are filled by the even-odd rule, outlined or not."""
    ring = ((100, 200), (101, 200), (101, 201), (100, 200))
    assert drawn(Area(polygons=((ring, ring),), fill=Tone.BAND)).rstrip("\nQ").endswith("f*")
    assert "B*" in drawn(Area(polygons=((ring,),), fill=Tone.BAND, pen=Pen(Tone.REPAIR, 0.35)))


def test_the_state_of_the_page_is_put_back() -> None:
    """Each block is wrapped, so that nothing drawn after it inherits a dash or a colour."""
    text = drawn(Disc(centre=(100, 200), radius_m=0.1, fill=Tone.PAPER, pen=Pen(Tone.INK, 0.35)))
    assert text.startswith("q\n")
    assert text.endswith("\nQ")
    assert text.count(" c") == 4


def test_every_tone_has_a_colour_and_fills_darken_with_wetness() -> None:
    """In black and white a wetter leak is darker."""
    assert set(COLOURS) == set(Tone)
    greys = [sum(COLOURS[tone]) for tone in (Tone.W1, Tone.W2, Tone.W3, Tone.W4, Tone.W5)]
    assert greys == sorted(greys, reverse=True)
