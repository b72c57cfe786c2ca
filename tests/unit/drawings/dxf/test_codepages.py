"""Code pages: the file's word, a guess where it cannot be, the user's word."""

from __future__ import annotations

import io

import ezdxf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from leakmap.base.errors import BadValue
from leakmap.drawings.dxf.codepages import CODEPAGES, by_numbers, codepage_of
from leakmap.drawings.dxf.read import read_dxf
from leakmap.drawings.dxf.texts import by_letters
from leakmap.drawings.dxf.troubles import Troubles
from leakmap.drawings.opening import read_drawing
from leakmap.model.sheet import Reading
from tests.helpers.dxf_files import as_bytes, codes, document, finding

WORDS = {
    "cp1250": ["Ściana żelbetowa", "posadzka piwnicy", "Příčka", "Čerpací stanice"],
    "cp1251": ["Насосная станция", "деформационный шов", "стена", "Подвал"],
    "cp1252": ["Außentür", "Schacht für Grundwasser", "Fuge Süd", "Höhe +0,30"],
    "cp1253": ["Αντλιοστάσιο", "αρμός διαστολής", "τοίχος"],
    "cp1254": ["Döşeme kalınlığı", "genleşme derzi", "İnşaat"],
    "cp1255": ["תחנת שאיבה", "קיר בטון"],
    "cp1256": ["محطة الضخ", "جدار خرساني"],
    "cp1257": ["siurblinė", "siena", "ūdens sūknis"],
    "cp874": ["สถานีสูบน้ำ", "ผนังคอนกรีต"],
    "cp932": ["ポンプ場", "コンクリートの壁", "打継目"],
    "cp936": ["泵站", "施工缝", "混凝土墙体", "地下室底板"],
    "cp949": ["펌프장", "콘크리트 벽", "시공 이음"],
    "cp950": ["抽水站", "施工縫", "混凝土牆"],
    "utf-8": ["Außentür", "Насос"],
}
"""What plans say in the languages of each code page."""


def old_file(words: list[str], codepage: str, *, says: str | None) -> bytes:
    """A file of R2000 whose texts and one layer are bytes of a code page, and which names another one or none."""
    made = document(version="R2000")
    made.layers.add("L-\ue000")
    for y, _ in enumerate(words):
        made.modelspace().add_text(f"T-{y}-", height=1, dxfattribs={"layer": "L-\ue000"}).set_placement((0, 9 * y))
    stream = io.StringIO()
    made.write(stream)
    text = stream.getvalue()
    word = "$DWGCODEPAGE\n  3\nANSI_1252"
    assert word in text
    text = text.replace(f"  9\n{word}\n", "" if says is None else f"  9\n$DWGCODEPAGE\n  3\n{says}\n")
    for y, line in enumerate(words):
        text = text.replace(f"T-{y}-", line)
    return text.replace("L-\ue000", words[0]).encode(codepage)


@pytest.mark.parametrize("codepage", [name for name in WORDS if name != "utf-8"])
def test_the_word_of_the_file_is_followed(codepage: str) -> None:
    """Texts and layers of each code page that the header names, read as Python's codecs, which are not ours, write them."""
    drawing = read_dxf(old_file(WORDS[codepage], codepage, says=f"ANSI_{codepage[2:]}"))
    assert [text.words for text in drawing.texts] == WORDS[codepage]
    assert WORDS[codepage][0] in {layer.name for layer in drawing.layers}
    assert not {"codepage-guessed", "text-characters"} & set(codes(drawing))


@pytest.mark.parametrize("says", [None, "GARBAGE"])
@pytest.mark.parametrize("codepage", WORDS)
def test_without_a_usable_word_the_code_page_is_guessed_and_said(codepage: str, says: str | None) -> None:
    """A few words of its language are enough for each; the finding names what was taken and what to do."""
    drawing = read_dxf(old_file(WORDS[codepage], codepage, says=says))
    assert [text.words for text in drawing.texts] == WORDS[codepage]
    assert WORDS[codepage][0] in {layer.name for layer in drawing.layers}
    found = finding(drawing, "codepage-guessed").text
    assert f"were read as {codepage}" in found
    assert "bring the drawing in again" in found


@pytest.mark.parametrize(("codepage", "says"), [("utf-8", "ANSI_1252"), ("cp1251", "ANSI_932"), ("cp936", "ANSI_1255")])
def test_a_word_that_cannot_be_is_not_followed(codepage: str, says: str) -> None:
    """Bytes that are no letters of the named code page, or UTF-8 throughout, are not believed to be it."""
    drawing = read_dxf(old_file(WORDS[codepage], codepage, says=says))
    assert [text.words for text in drawing.texts] == WORDS[codepage]
    assert f"names the code page {says}, which cannot be" in finding(drawing, "codepage-guessed").text


@pytest.mark.parametrize(("codepage", "says"), [("cp850", "dos850"), ("iso8859-2", "iso8859_2")])
def test_the_oldest_names_are_followed(codepage: str, says: str) -> None:
    """The oldest files name code pages that the library does not know."""
    drawing = read_dxf(old_file(["Außentür"], codepage, says=says))
    assert [text.words for text in drawing.texts] == ["Außentür"]
    assert "codepage-guessed" not in codes(drawing)


def test_what_the_user_says_counts_most() -> None:
    """A file that names Western letters, and whose bytes can be such, is read as Cyrillic when the user says so."""
    data = old_file(WORDS["cp1251"], "cp1251", says="ANSI_1252")
    assert [text.words for text in read_dxf(data).texts] != WORDS["cp1251"]
    drawing = read_drawing("b2.dxf", data, reading=Reading(codepage="cp1251"))
    assert [text.words for text in drawing.texts] == WORDS["cp1251"]
    assert "codepage-guessed" not in codes(drawing)


def test_the_users_word_counts_in_damaged_binary_and_newer_files() -> None:
    """Also for what only the recovering reader takes, for binary files, and for bytes in files that should be UTF-8."""
    data = old_file(["Насос"], "cp1251", says="ANSI_1252")
    damaged = data.replace(b"\n  5\n", b"\n  5\nxyz\n  5\n", 1)
    made = document(lambda msp: msp.add_text("Насос", height=1), version="R2000")
    made.encoding = "cp1251"
    binary = as_bytes(made, binary=True).replace(b"ANSI_1251", b"ANSI_1252")
    newer = as_bytes(document(lambda msp: msp.add_text("NN", height=1))).replace(b"NN", "Насос".encode("cp1251"))
    for each in (damaged, binary, newer):
        assert [text.words for text in read_dxf(each, codepage="cp1251").texts] == ["Насос"]


def test_a_second_byte_that_is_a_backslash_is_part_of_its_letter() -> None:
    """表 is 95 5C in code page 932; the backslash starts no code of formatting."""
    made = document(version="R2000")
    made.modelspace().add_mtext("NN")
    data = as_bytes(made).replace(b"ANSI_1252", b"ANSI_1253").replace(b"NN", "表示".encode("cp932"))
    assert read_dxf(data, codepage="cp932").texts[0].words == "表示"


def test_letters_written_by_numbers_are_read() -> None:
    r"""\U+00FC is ü in texts and names, whichever reader takes the file."""
    made = document(version="R2000")
    made.layers.add(r"W\U+00e4nde")
    made.modelspace().add_text(r"T\U+00FCr", height=1, dxfattribs={"layer": r"W\U+00e4nde"})
    made.modelspace().add_mtext(r"\M+182A0 \U+D83D\U+DE00").set_location((0, 9))
    drawing = read_dxf(as_bytes(made))
    assert [text.words for text in drawing.texts] == ["Tür", "あ 😀"]
    assert "Wände" in {layer.name for layer in drawing.layers}


def test_plain_files_are_not_touched() -> None:
    """Without letters beyond ASCII nothing is guessed or said, whatever the header says or leaves out."""
    troubles = Troubles()
    data = old_file(["PUMP"], "ascii", says=None)
    assert by_numbers(data, "", troubles) is data
    assert troubles.findings() == ()


@given(st.text(st.characters(codec="utf-8", exclude_characters="\\\r\n"), max_size=20))
def test_numbers_stand_for_every_letter(words: str) -> None:
    """What is written by numbers is ASCII, and gives the same words back; nothing round it changes."""
    data = b"0\nSECTION\n1\n" + words.encode() + b"\n0\nEOF\n"
    made = by_numbers(data, "utf-8", Troubles())
    assert made.isascii()
    assert by_letters(made.decode("ascii")) == data.decode("utf-8")


def test_names_are_taken_as_people_write_them() -> None:
    """Each name that a user may give is known to Python's codecs; another is refused with the list."""
    for name in CODEPAGES:
        assert codepage_of(name.upper()) == name
        assert "A".encode(name) == b"A"
    with pytest.raises(BadValue, match=r"no code page .klingon.; the code pages are cp874, cp1250"):
        codepage_of("klingon")


def test_the_library_agrees_on_the_names() -> None:
    """All code pages that ezdxf knows can be given."""
    known = {"cp936" if name == "gbk" else name for name in ezdxf.tools.codepage.codepage_to_encoding.values()}
    assert known <= set(CODEPAGES)
