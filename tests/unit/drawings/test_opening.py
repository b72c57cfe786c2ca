"""Opening files of any kind; the content decides."""

from __future__ import annotations

import io

import ezdxf
import pikepdf
import pytest
from PIL import Image

from leakmap.base.errors import UnusableDrawing
from leakmap.drawings.kinds import FileKind, kind_of
from leakmap.drawings.opening import read_drawing
from tests.helpers.dxf_files import as_bytes, document


def picture(kind: str) -> bytes:
    """A small picture."""
    stream = io.BytesIO()
    Image.new("RGB", (4, 4)).save(stream, kind)
    return stream.getvalue()


def pdf() -> bytes:
    """A PDF of one empty page."""
    stream = io.BytesIO()
    with pikepdf.new() as made:
        made.add_blank_page()
        made.save(stream)
    return stream.getvalue()


def test_drawings_open_whatever_their_name() -> None:
    """A DXF file with the ending of a picture opens, as text and as binary."""
    made = document(lambda msp: msp.add_line((0, 0), (9, 0)))
    for binary in (False, True):
        assert len(read_drawing("plan.jpg", as_bytes(made, binary=binary)).strokes) == 1


@pytest.mark.parametrize(
    ("data", "kind", "words"),
    [
        (b"", FileKind.EMPTY, "is empty"),
        (b" \r\n\x00", FileKind.EMPTY, "is empty"),
        (b"AC1032\x00\x00\x00", FileKind.DWG, "DWG.*not read yet"),
        (b"AC1.50\x00", FileKind.DWG, "DWG"),
        (pdf(), FileKind.PDF, "PDF.*not read yet"),
        (b"junk before\n" + pdf(), FileKind.PDF, "PDF"),
        (picture("PNG"), FileKind.PICTURE, "picture.*not read yet"),
        (picture("JPEG"), FileKind.PICTURE, "picture"),
        (picture("TIFF"), FileKind.PICTURE, "picture"),
        (picture("BMP"), FileKind.PICTURE, "picture"),
        (picture("GIF"), FileKind.PICTURE, "picture"),
        (picture("WEBP"), FileKind.PICTURE, "picture"),
        (b"PK\x03\x04rest", FileKind.ZIP, "unpack it"),
        (b"SQLite format 3\x00", FileKind.DATABASE, "job file"),
        (b"Dear all,\nplease find attached", FileKind.UNKNOWN, "is no DXF"),
        (bytes(range(1, 256)), FileKind.UNKNOWN, "is no DXF"),
    ],
)
def test_each_other_kind_is_refused_in_one_sentence(data: bytes, kind: FileKind, words: str) -> None:
    """The sentence starts with the name, says what the file is, and what to do."""
    assert kind_of(data) is kind
    with pytest.raises(UnusableDrawing, match=words) as refused:
        read_drawing("b2.dxf", data)
    assert str(refused.value).startswith("b2.dxf is ")
    assert refused.value.where == "b2.dxf"


@pytest.mark.parametrize(
    "start",
    [
        b"0\nSECTION\n",
        b"  0\r\nSECTION\r\n",
        b"\xef\xbb\xbf  0\nSECTION\n",
        b"999\nmade by hand\n0\nSECTION\n",
        b"0\rSECTION\r",
    ],
)
def test_dxf_text_is_known_by_its_sections(start: bytes) -> None:
    """With any line ends, a mark of the byte order, or comments before the first section."""
    assert kind_of(start) is FileKind.DXF_TEXT


def test_binary_dxf_is_known_by_the_mark_that_the_library_writes() -> None:
    """The first bytes of a binary file that ezdxf writes."""
    assert kind_of(as_bytes(ezdxf.new(), binary=True)) is FileKind.DXF_BINARY


def test_a_cut_off_binary_file_is_refused() -> None:
    """There is no recovering reader for binary files; the sentence asks for another export."""
    data = as_bytes(document(lambda msp: msp.add_line((0, 0), (9, 0))), binary=True)
    with pytest.raises(UnusableDrawing, match=r"too damaged.*export it again"):
        read_drawing("b2.dxf", data[:3000])
