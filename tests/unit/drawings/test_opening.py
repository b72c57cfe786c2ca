"""Opening files of any kind; the content decides."""

from __future__ import annotations

import io
from collections.abc import Callable

import ezdxf
import pikepdf
import pytest
from PIL import Image

from leakmap.base.errors import LockedDrawing, Stopped, UnusableDrawing
from leakmap.base.progress import StopAfter
from leakmap.drawings import apart, opening
from leakmap.drawings.dwg import read as dwg_read
from leakmap.drawings.dxf import read as dxf_read
from leakmap.drawings.kinds import FileKind, kind_of
from leakmap.drawings.opening import READERS, read_drawing, read_here
from leakmap.drawings.packed import packed
from leakmap.drawings.pdf import read as pdf_read
from leakmap.drawings.scan import read as scan_read
from leakmap.model.drawing import Drawing
from leakmap.model.sheet import Reading
from tests.helpers import pdf_files as files
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


@pytest.mark.slow
@pytest.mark.parametrize(
    ("data", "kind", "words"),
    [
        (b"", FileKind.EMPTY, "is empty"),
        (b" \r\n\x00", FileKind.EMPTY, "is empty"),
        (b"AC1.50\x00", FileKind.DWG, "is a DWG older than R13"),
        (pdf(), FileKind.PDF, "is empty; choose another page"),
        (picture("BMP"), FileKind.PICTURE, "is neither PNG, JPEG nor TIFF"),
        (picture("GIF"), FileKind.PICTURE, "is neither PNG, JPEG nor TIFF"),
        (picture("WEBP"), FileKind.PICTURE, "is neither PNG, JPEG nor TIFF"),
        (b"PK\x03\x04rest", FileKind.ZIP, "unpack it"),
        (b"SQLite format 3\x00", FileKind.DATABASE, "job file"),
        (b"Dear all,\nplease find attached", FileKind.UNKNOWN, "is no drawing that leakmap reads"),
        (bytes(range(1, 256)), FileKind.UNKNOWN, "is no drawing that leakmap reads"),
    ],
)
def test_each_other_kind_is_refused_in_one_sentence(data: bytes, kind: FileKind, words: str) -> None:
    """The sentence starts with the name, says what the file is, and what to do."""
    assert kind_of(data) is kind
    with pytest.raises(UnusableDrawing, match=words) as refused:
        read_drawing("b2.dxf", data)
    assert "b2.dxf is " in str(refused.value)
    assert refused.value.where == "b2.dxf"


def two_pages() -> bytes:
    """A PDF of a page with one line, and one with a line of 254 mm and one of 127 mm."""
    return files.pdf(
        lambda canvas: canvas.line(0, 0, 9, 9),
        lambda canvas: (canvas.line(0, 10, 720, 10), canvas.line(10, 0, 10, 360)),
        size=(800, 400),
    )


@pytest.mark.slow
@pytest.mark.parametrize("read", [read_drawing, read_here])
def test_each_kind_is_read_by_its_reader(read: Callable[..., Drawing]) -> None:
    """The same in this process and in one of its own: a page of a PDF, a rectangle of it, and a picture."""
    assert len(read("b2.pdf", two_pages()).strokes) == 1
    page = read("b2.pdf", two_pages(), reading=Reading(page=1), m_per_unit=0.05)
    assert (len(page.strokes), page.unit.reason) == (2, "the user says 1:50")
    part = read("b2.pdf", two_pages(), reading=Reading(page=1, crop=(0, 0, 100, 50)))
    assert sorted(part.strokes.xy.max(axis=0).round(3).tolist()) == [50, 100]
    assert read("b2.png", picture("PNG")).pictures[0].size_px == (4, 4)


@pytest.mark.slow
@pytest.mark.parametrize("binary", [False, True])
def test_a_large_dxf_is_read_apart(binary: bool, monkeypatch: pytest.MonkeyPatch) -> None:  # noqa: FBT001 - a table
    """Beyond a size another process reads it, and the drawing is the same; when that breaks, one sentence says so."""
    data = as_bytes(document(lambda msp: msp.add_circle((3, 4), 5)), binary=binary)
    here = packed(read_drawing("b2.dxf", data))
    monkeypatch.setattr(opening, "LARGE", len(data) - 1)
    assert packed(read_drawing("b2.dxf", data)) == here
    monkeypatch.setattr(apart, "_WORKER", "leakmap.drawings.no_such_worker")
    with pytest.raises(UnusableDrawing, match=r"b2\.dxf could not be read: the reading broke off"):
        read_drawing("b2.dxf", data)
    monkeypatch.setattr(opening, "LARGE", len(data))
    assert packed(read_drawing("b2.dxf", data)) == here


@pytest.mark.slow
def test_a_password_opens_and_is_asked_for() -> None:
    """It reaches the process that reads, and no part of the drawing."""
    data = files.locked(two_pages(), "weir")
    with pytest.raises(LockedDrawing, match=r"^b2.pdf is locked; give the password that opens it\.$"):
        read_drawing("b2.pdf", data)
    drawing = read_drawing("b2.pdf", data, password="weir")  # noqa: S106 - not a secret
    assert len(drawing.strokes) == 1
    assert b"weir" not in packed(drawing)


@pytest.mark.slow
def test_reading_apart_reports_and_stops() -> None:
    """A watcher hears how far it is, and stops it."""
    with pytest.raises(Stopped):
        read_drawing("b2.pdf", two_pages(), progress=StopAfter(1))


@pytest.mark.slow
def test_a_process_that_breaks_is_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever happens to the process that reads, this one lives on and says what to do."""
    monkeypatch.setattr(apart, "_WORKER", "leakmap.drawings.no_such_worker")
    with pytest.raises(UnusableDrawing, match=r"b2.pdf could not be read: the reading broke off.*export it again"):
        read_drawing("b2.pdf", two_pages())


def test_versions_are_those_of_the_readers() -> None:
    """A kept drawing names the versions of all readers, each as the reader itself says."""
    versions = {"dxf": dxf_read, "dwg": dwg_read, "pdf": pdf_read, "scan": scan_read}
    assert ", ".join(f"{name} {reader.READER_VERSION}" for name, reader in versions.items()) == READERS


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
