"""A job read back from its own marked drawing."""

from __future__ import annotations

import hashlib
import io
from dataclasses import replace
from functools import cache

import ezdxf.document
import numpy as np
import pytest

from leakmap.base.errors import UnusableDrawing
from leakmap.drawings.opening import read_drawing
from leakmap.issue.marked_dxf.document import bytes_of, fixed_metadata
from leakmap.issue.marked_dxf.record import Record, put_record, record_in
from leakmap.issue.marked_dxf.record_name import DICTIONARY
from leakmap.issue.marked_dxf.unmarked import unmarked
from leakmap.issue.marked_dxf.write import marked_dxf
from leakmap.records.frozen import frozen_text, job_of_frozen
from leakmap.work.from_marked import FromMarked, job_from_marked
from tests.helpers.marked_files import MILLIMETRES, NAME, ONE, document_of, marked_with_record, small_job
from tests.helpers.marked_job import HEADING, plan_bytes, sheet_b2
from tests.helpers.random_edits import random_job, seeded

SOURCE = plan_bytes()
JOB = small_job(sheet_b2(SOURCE, MILLIMETRES))


@cache
def taken() -> FromMarked:
    """The job that is read back from it."""
    return job_from_marked("folder/marked.dxf", marked_with_record(), job_name="Again")


def saved(doc: ezdxf.document.Drawing) -> bytes:
    """A changed drawing as bytes."""
    with fixed_metadata():
        return bytes_of(doc)


def test_the_job_is_the_issued_one_but_for_name_id_and_the_file_of_its_drawing() -> None:
    """Joints, leaks, cuts, rules, levels and scale come back as they were frozen, and its origin is said."""
    job = taken().job
    (sheet,), (before,) = job.sheets.values(), JOB.sheets.values()
    assert replace(job, id=JOB.id, name=JOB.name, sheets=JOB.sheets) == JOB
    assert replace(sheet, source=before.source) == before
    assert (job.name, taken().origin, taken().findings) == ("Again", "C02 of Tern Quay", ())
    assert sheet.source == taken().drawings[0].source


def test_the_drawing_is_the_source_without_our_marks() -> None:
    """The reader finds the same lines, texts and layers in it as in the source; no name of ours is left."""
    before, after = read_drawing("quay b2.dxf", SOURCE), taken().drawings[0].drawing
    assert np.array_equal(before.strokes.xy, after.strokes.xy)
    assert np.array_equal(before.strokes.starts, after.strokes.starts)
    assert (before.texts, before.origin) == (after.texts, after.origin)
    assert {layer.name for layer in before.layers} == {layer.name for layer in after.layers}
    doc = document_of(taken().drawings[0].content)
    assert DICTIONARY not in doc.rootdict
    assert not [name for name in (*doc.layout_names(), *(block.name for block in doc.blocks)) if name.startswith("WP")]
    assert doc.audit().errors == []


def test_covers_and_undrawn_dimensions_come_back_stroke_by_stroke() -> None:
    """Frames of covers show and dimensions have no picture: the reader finds the same lines once our marks are out.

    Our own covers and what is left of a record would show as lines and findings; a dimension must not turn
    because a value that says nothing was written or left out.
    """
    with fixed_metadata():
        doc = ezdxf.read(io.StringIO(SOURCE.decode("utf-8")))
        doc.set_wipeout_variables(frame=1)
        space = doc.modelspace()
        space.add_wipeout([(100, 100), (900, 100), (900, 700)])
        for angle in (0.0, 90.0):
            space.add_linear_dim((500, 500), (100, 100), (3100, 2100), angle=angle).dimension.dxf.text_rotation = 0.0
        space.add_aligned_dim((100, 100), (3100, 2100), distance=300)
        source = saved(doc)
    digest = hashlib.sha256(source).hexdigest()
    job = small_job(sheet_b2(source, MILLIMETRES))
    made = marked_dxf(job, ONE, sources={digest: source}, heading=HEADING, frozen=frozen_text(job))
    before = read_drawing("quay b2.dxf", source)
    after = read_drawing("quay b2.dxf", unmarked(made.files[NAME], NAME).drawing)
    assert np.array_equal(before.strokes.xy, after.strokes.xy)
    assert (before.texts, before.findings) == (after.texts, after.findings)


def test_marks_that_others_moved_are_told_and_the_record_wins() -> None:
    """The block of leak L-01 moved by hand and one of zone Z-01 erased: both are named, and the job is the issued one."""
    doc = document_of(marked_with_record())
    for insert in doc.modelspace().query("INSERT"):
        if insert.get_attrib_text("REF") == "L-01":
            insert.dxf.insert = (1.0, 2.0)
        elif insert.get_attrib_text("REF") == "Z-01":
            doc.modelspace().delete_entity(insert)
    found = job_from_marked("marked.dxf", saved(doc), job_name="Again")
    (finding,) = found.findings
    assert finding.code == "marks-changed"
    assert "L-01, Z-01" in finding.text
    assert found.job.leaks == JOB.leaks


def test_a_mark_added_by_hand_on_our_layer_is_told() -> None:
    """A line drawn on the layer of construction joints is a mark that the record does not know."""
    doc = document_of(marked_with_record())
    doc.modelspace().add_line((0, 0), (1, 1), dxfattribs={"layer": "WP-JOINT-CONSTRUCTION"})
    (finding,) = job_from_marked("marked.dxf", saved(doc)).findings
    assert "JOINT-CONSTRUCTION" in finding.text


@pytest.mark.parametrize("flaw", ["piece", "checksum", "tags"])
def test_a_damaged_record_is_one_sentence_and_the_drawing_still_opens(flaw: str) -> None:
    """A lost piece, another checksum, or no tags: refused in a sentence; the reader reads the drawing all the same."""
    doc = document_of(marked_with_record())
    entry = doc.rootdict[DICTIONARY]["WP"]
    if flaw == "piece":
        entry.tags.pop()
    elif flaw == "checksum":
        entry.tags[4] = type(entry.tags[4])(1, "0" * 64)
    else:
        entry.tags.clear()
    data = saved(doc)
    with pytest.raises(UnusableDrawing, match="damaged; the drawing itself opens"):
        job_from_marked("marked.dxf", data)
    assert len(read_drawing("marked.dxf", data).strokes)


def test_a_record_of_a_newer_leakmap_is_left_to_it() -> None:
    """Version 2 is not known: the sentence says to update."""
    doc = document_of(marked_with_record())
    entry = doc.rootdict[DICTIONARY]["WP"]
    entry.tags[5] = type(entry.tags[5])(90, 2)
    with pytest.raises(UnusableDrawing, match="newer leakmap"):
        record_in(doc, "marked.dxf")


def test_a_drawing_without_a_record_is_refused() -> None:
    """A plain drawing was not marked by leakmap."""
    with pytest.raises(UnusableDrawing, match="holds no record"):
        job_from_marked("plan.dxf", SOURCE)


@pytest.mark.parametrize("seed", range(6))
def test_any_job_comes_back_from_its_record(seed: int) -> None:
    """Random jobs of thirty edits: what is read out of the written file is equal to what was put in."""
    job = random_job(seeded(seed))
    record = Record(
        discipline="WP",
        job_name=job.name,
        revision="P01",
        source="",
        frozen=frozen_text(job),
        marks={"2F": ("L-01", 7)},
    )
    with fixed_metadata():
        doc = ezdxf.new("R2018")
        put_record(doc, record)
        stream = io.StringIO()
        doc.write(stream)
        again = record_in(ezdxf.read(io.StringIO(stream.getvalue())), "any.dxf")
    assert again == record
    assert job_of_frozen(again.frozen) == job


def test_no_piece_of_the_record_is_longer_than_a_drawing_takes() -> None:
    """Every line of the record in the file has 254 signs at most (the limit is from memory of the DXF reference)."""
    entry = document_of(marked_with_record()).rootdict[DICTIONARY]["WP"]
    sizes = [2 * len(tag.value) if tag.code == 310 else len(str(tag.value)) for tag in entry.tags]
    assert max(sizes) <= 254
