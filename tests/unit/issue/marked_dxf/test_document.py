"""Reading the drawing to mark, and its bytes."""

from __future__ import annotations

import ezdxf
import pytest
from ezdxf.acis.api import body_from_mesh, export_sat
from ezdxf.render.forms import cube

from leakmap.base.errors import UnusableDrawing
from leakmap.issue.marked_dxf.document import R2010, R2018, bytes_of, fixed_metadata, new_document, read_document
from tests.helpers.marked_job import plan_bytes


@pytest.mark.parametrize("version", ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"])
def test_every_version_is_saved_as_r2018(version: str) -> None:
    """Text files of every version that can be written are upgraded."""
    doc, findings = read_document(plan_bytes(version=version), "plan.dxf")
    assert doc.dxfversion == R2018
    assert findings == ()
    assert len(doc.modelspace()) > 20


def test_a_binary_file_is_saved_as_text() -> None:
    """A binary drawing is read, and written as text that starts with a group code."""
    doc, _ = read_document(plan_bytes(binary=True), "plan.dxf")
    written = bytes_of(doc)
    assert written.split()[:2] == [b"0", b"SECTION"]


def test_cyrillic_of_an_old_code_page_survives() -> None:
    """A drawing older than R2007 holds text in its own code page; it comes out as UTF-8."""
    doc = ezdxf.new("R2000")
    doc.encoding = "cp1251"
    doc.modelspace().add_text("НАСОС")
    path_free = bytes_of(doc)
    assert "НАСОС".encode("cp1251") in path_free
    again, _ = read_document(path_free, "plan.dxf")
    assert "НАСОС".encode() in bytes_of(again)


@pytest.mark.parametrize("data", [b"", b"%PDF-1.7 no drawing", b"\x00" * 100, b"0\nSECTION\n"])
def test_what_is_no_drawing_is_refused_with_one_sentence(data: bytes) -> None:
    """Other files give a sentence with the file's name, never a traceback of the library."""
    with pytest.raises(UnusableDrawing, match=r"^plan.dxf could not be read as a DXF drawing\.$"), fixed_metadata():
        read_document(data, "plan.dxf")


def test_a_damaged_drawing_is_repaired_and_said() -> None:
    """A line that breaks plain reading leaves the rest, with a finding."""
    whole = plan_bytes()
    broken = whole.replace(b"\nLINE\n", b"\nLINE\n  5\nnothandle\n", 1).replace(b"\n 10\n", b"\n x10\n", 1)
    with fixed_metadata():
        doc, findings = read_document(broken, "plan.dxf")
    assert [finding.code for finding in findings] == ["drawing-repaired"]
    assert len(doc.modelspace()) > 10


def test_old_solids_keep_their_shape() -> None:
    """A solid up to R2010 is text that R2018 cannot hold: the file stays R2010, and a finding says so."""
    doc = ezdxf.new("R2010")
    solid = doc.modelspace().add_3dsolid()
    solid.sat = export_sat([body_from_mesh(cube())], version=700)
    again, findings = read_document(bytes_of(doc), "plan.dxf")
    assert again.dxfversion == R2010
    assert [finding.code for finding in findings] == ["saved-as-r2010"]
    kept = read_document(bytes_of(again), "plan.dxf")[0].modelspace()[0]
    assert [line.rstrip() for line in kept.sat] == [line.rstrip() for line in solid.sat]


def test_fixed_metadata_leaves_the_library_as_it_was() -> None:
    """The setting is back afterwards, also when the work inside fails."""
    with fixed_metadata():
        assert ezdxf.options.write_fixed_meta_data_for_testing
    with pytest.raises(UnusableDrawing), fixed_metadata():
        read_document(b"", "plan.dxf")
    assert not ezdxf.options.write_fixed_meta_data_for_testing


def test_a_new_drawing_is_in_metres() -> None:
    """$INSUNITS 6 is metre."""
    assert new_document().header["$INSUNITS"] == 6
