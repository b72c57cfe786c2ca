"""Text that people typed, as drawings hold it."""

from __future__ import annotations

import pytest
from ezdxf.entities import MText, Text
from hypothesis import given
from hypothesis import strategies as st

from leakmap.issue.marked_dxf.text import PERCENT, cut_to, looks_alike_only, one_line, paragraph

HOSTILE = [
    "plain",
    r"{\H5;x}",
    r"C:\Plans\n",
    "5^2 ^J",
    "a\nb\tc",
    "line\r\nline",
    "Насос №3",
    "pump 💧 leak",
    "  two  blanks ",
    "\\P is no line end",
    "{{}}\\{",
]


@pytest.mark.parametrize("typed", HOSTILE)
def test_a_paragraph_shows_what_was_typed(typed: str) -> None:
    """The library's own reading of paragraph text gives the typed text back, line ends included."""
    shown = MText.new(dxfattribs={"text": paragraph(typed)}).plain_text(fast=False)
    assert shown.replace("    ", "\t") == typed.replace("\r\n", "\n")


@pytest.mark.parametrize("typed", HOSTILE)
def test_a_single_line_shows_what_was_typed(typed: str) -> None:
    """The library's own reading of single-line text gives the typed text back, line ends as blanks."""
    line = one_line(typed)
    assert "\n" not in line
    assert Text.new(dxfattribs={"text": line}).plain_text() == typed.replace("\r\n", " ").replace("\n", " ")


def test_two_percent_signs_become_look_alikes_and_are_known() -> None:
    """%%u would underline; the signs shown are full-width ones, and that can be said. One sign stays."""
    assert one_line("50 % of %%u") == f"50 % of {PERCENT}{PERCENT}u"
    assert looks_alike_only("%%d")
    assert not looks_alike_only("50 %")


@pytest.mark.parametrize("typed", [r"\U+0041", r"\M+1A0B0"])
def test_a_typed_code_point_is_not_read_as_a_character(typed: str) -> None:
    r"""\U+0041 as typed stays as it looks: its backslash is a look-alike, so that no reader makes an A of it."""
    assert "\\" not in one_line(typed)
    assert one_line(typed)[1:] == typed[1:]
    assert looks_alike_only(typed)


@given(st.text())
def test_no_text_breaks_a_line_of_the_file(typed: str) -> None:
    """No typed text puts a line end or another control character into the file."""
    for written in (one_line(typed), paragraph(typed)):
        assert not any(ord(sign) < 32 for sign in written)


def test_a_text_that_is_too_long_ends_in_dots_and_in_a_whole_character() -> None:
    """A cut never halves a character, counted in bytes."""
    short = cut_to("д" * 2000)
    assert short.endswith("д…")
    assert len(short.encode()) <= 255
    assert cut_to("д" * 127) == "д" * 127
