"""Pictures, pages, parts of other programs and covers: their frames, and a finding that names what is not there."""

from __future__ import annotations

import ezdxf
import pytest
from ezdxf.document import Drawing as Document

from leakmap.base.findings import Effect
from tests.helpers.dxf_files import all_points, codes, document, finding, layer_names, reread

COVER = [(1.0, 1.0), (5.0, 1.0), (3.0, 4.0), (1.0, 1.0)]


def test_pictures_and_pages_outside_are_named() -> None:
    """The DXF holds only the names of a picture and of a PDF; both are said, with what to do, and each is counted."""
    made = ezdxf.new("R2018", units=6)
    msp = made.modelspace()
    msp.add_line((0, 0), (9, 0))
    photo = made.add_image_def("photos/north wall.jpg", (640, 360))
    for x in range(2):
        msp.add_image(photo, (x, 0), (6.4, 3.6), dxfattribs={"layer": "PHOTOS"})
    msp.add_underlay(made.add_underlay_def("old/plan.pdf", fmt="pdf", name="1"), (1, 1))
    drawing = reread(made)
    what_to_do = "; bring that file in as a sheet of its own if it is needed."
    assert [found.text for found in drawing.findings if found.code == "outside-file"] == [
        f"Pictures kept outside the drawing, photos/north wall.jpg, of which only the frame is drawn: 2{what_to_do}",
        f"Pages of a PDF kept outside the drawing, old/plan.pdf, left out: 1{what_to_do}",
    ]
    assert layer_names(drawing) == ["0", "PHOTOS", "PHOTOS"]
    frame = [(1, 0), (7.4, 0), (7.4, 3.6), (1, 3.6)]
    assert sorted(set(all_points(drawing)[2])) == [pytest.approx(corner) for corner in sorted(frame)]


def test_a_picture_that_names_no_file_is_told() -> None:
    """Its definition is missing: the frame is drawn, and the finding says that there is no name."""
    made = ezdxf.new("R2018", units=6)
    made.modelspace().add_line((0, 0), (9, 0))
    photo = made.modelspace().add_image(made.add_image_def("x.jpg", (640, 360)), (1, 0), (6.4, 3.6))
    photo.dxf.image_def_handle = "FFFF"
    drawing = reread(made)
    assert {"outside-file", "entity-failed", "file-fault"} & set(codes(drawing))
    assert all_points(drawing)[0] == [(0, 0), (9, 0)]


def covered(made: Document) -> Document:
    """A wall that a cover lies over."""
    made.modelspace().add_line((0, 2), (9, 2))
    made.modelspace().add_wipeout(COVER[:3]).dxf.layer = "COVERS"
    return made


@pytest.mark.parametrize(("frame", "many"), [(0, 1), (1, 2)])
def test_a_cover_hides_nothing_and_says_so(frame: int, many: int) -> None:
    """What lies beneath is drawn, the frame of the cover only where the file shows frames, and a finding tells."""
    made = covered(document())
    made.set_wipeout_variables(frame=frame)
    drawing = reread(made)
    assert all_points(drawing) == [[(0, 2), (9, 2)], COVER][:many]
    assert layer_names(drawing) == ["0", "COVERS"][:many]
    found = finding(drawing, "cover")
    assert (found.effect, ": 1;" in found.text) == (Effect.LOOK, True)


def test_a_file_that_says_nothing_of_frames_shows_them() -> None:
    """Without the value, and without the older object that holds it, the cover is at least seen."""
    made = covered(document())
    for name in ("AcDbVariableDictionary", "ACAD_WIPEOUT_VARS"):
        made.rootdict.discard(name)
    assert all_points(reread(made))[1] == COVER
    older = covered(document())
    older.set_wipeout_variables(frame=0)
    older.rootdict.discard("AcDbVariableDictionary")
    assert len(reread(older).strokes) == 1
