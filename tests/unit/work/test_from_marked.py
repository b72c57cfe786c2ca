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
from leakmap.model.job import Job
from leakmap.records.frozen import frozen_text, job_of_frozen
from leakmap.work.from_marked import FromMarked, job_from_marked
from tests.helpers.marked_files import MILLIMETRES, NAME, ONE, document_of, marked_with_record, small_job
from tests.helpers.marked_job import HEADING, key, plan_bytes, sheet_b2
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


def test_the_job_is_the_issued_one_but_for_name_and_id() -> None:
    """Its canonical text, whose hash names a job, is that of the issue; the drawing is the source, byte for byte."""
    job = taken().job
    assert frozen_text(replace(job, id=JOB.id, name=JOB.name)) == frozen_text(JOB)
    assert (job.name, taken().origin, taken().findings) == ("Again", "C02 of Tern Quay", ())
    (drawing,) = taken().drawings
    assert drawing.content == SOURCE
    assert [sheet.source for sheet in job.sheets.values()] == [drawing.source]


def test_nothing_of_ours_is_left_in_the_drawing_without_our_marks() -> None:
    """The reader finds the same lines, texts and layers in it as in the source; no name of ours is left."""
    content = unmarked(marked_with_record(), NAME).drawing
    before, after = read_drawing("quay b2.dxf", SOURCE), read_drawing("quay b2.dxf", content)
    assert np.array_equal(before.strokes.xy, after.strokes.xy)
    assert np.array_equal(before.strokes.starts, after.strokes.starts)
    assert (before.texts, before.origin) == (after.texts, after.origin)
    assert {layer.name for layer in before.layers} == {layer.name for layer in after.layers}
    doc = document_of(content)
    assert DICTIONARY not in doc.rootdict
    assert not [name for name in (*doc.layout_names(), *(block.name for block in doc.blocks)) if name.startswith("WP")]
    audit = doc.audit()
    assert (audit.errors, audit.fixes) == ([], [])


@cache
def two_levels() -> tuple[Job, dict[str, bytes]]:
    """A job on two drawings, and its marked drawings by name."""
    upper_plan = plan_bytes(unit=1.0)
    upper = replace(sheet_b2(upper_plan), id=key("B1"), name="B1")
    assert upper.source is not None
    upper = replace(upper, source=replace(upper.source, name="quay b1.dxf"))
    job = replace(JOB, sheets={**JOB.sheets, upper.id: upper})
    sources = {hashlib.sha256(data).hexdigest(): data for data in (SOURCE, upper_plan)}
    made = marked_dxf(job, ONE, sources=sources, heading=HEADING, frozen=frozen_text(job))
    return job, dict(made.files)


def test_the_marked_drawings_of_all_levels_make_the_whole_job() -> None:
    """Each holds the drawing of its own level: together they give the job of the issue, one alone says what it lacks."""
    job, files = two_levels()
    (first, data), (second, more) = files.items()
    found = job_from_marked(first, data, others={second: more}, job_name=job.name)
    assert frozen_text(replace(found.job, id=job.id)) == frozen_text(job)
    assert (len(found.drawings), found.findings) == (2, ())
    alone = job_from_marked(first, data)
    assert [(finding.code, finding.where) for finding in alone.findings] == [("drawing-not-here", "B1")]
    assert [sheet.source is None for sheet in alone.job.sheets.values()] == [False, True]


def test_marked_drawings_of_two_issues_make_no_job() -> None:
    """A drawing of another issue is refused by name, with what both are."""
    _, files = two_levels()
    with pytest.raises(UnusableDrawing, match=r"quay b1.dxf is C02 of Tern Quay, marked.dxf is .* another state of it"):
        job_from_marked("marked.dxf", marked_with_record(), others=dict([list(files.items())[1]]))


def test_a_plan_that_others_changed_is_told_and_taken_as_it_was() -> None:
    """A line of the drawing moved and another added in the marked file: two lines differ; the drawing is the source."""
    doc = document_of(marked_with_record())
    line = doc.modelspace().query("LINE").first
    line.dxf.start = (line.dxf.start.x + 25.0, line.dxf.start.y)
    doc.modelspace().add_line((0, 0), (1000, 0), dxfattribs={"layer": "WALL"})
    found = job_from_marked("marked.dxf", saved(doc))
    (finding,) = found.findings
    assert finding.code == "plan-changed"
    assert "2 lines of it" in finding.text
    assert found.drawings[0].content == SOURCE


def test_a_drawing_that_is_not_kept_is_taken_as_it_was_written() -> None:
    """Of a DWG only what it was turned into is at hand: the job gets that without our marks, and a finding says so."""
    sheet = next(iter(JOB.sheets.values()))
    assert sheet.source is not None
    dwg = replace(sheet, source=replace(sheet.source, name="quay b2.dwg", sha256="d" * 64))
    job = replace(JOB, sheets={sheet.id: dwg})
    made = marked_dxf(job, ONE, sources={"d" * 64: SOURCE}, heading=HEADING, frozen=frozen_text(job))
    found = job_from_marked(NAME, made.files[NAME])
    assert [finding.code for finding in found.findings] == ["drawing-written-again"]
    (drawing,) = found.drawings
    assert drawing.source.name == "quay b2.dxf"
    assert np.array_equal(drawing.drawing.strokes.xy, read_drawing("quay b2.dxf", SOURCE).strokes.xy)


def test_a_program_that_numbers_all_anew_changes_nothing() -> None:
    """Every handle of our marks is another one: the record is read, no mark is named as moved, the job is the issued one."""
    doc = document_of(marked_with_record())
    for entity in list(doc.modelspace()):
        if entity.dxf.layer.startswith("WP-"):
            doc.entitydb.reset_handle(entity, doc.entitydb.next_handle())
    found = job_from_marked("marked.dxf", saved(doc))
    assert [finding.code for finding in found.findings] == []
    assert found.job.leaks == JOB.leaks


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
        entry.tags.pop(8)  # the first: the last may hold no more than the end mark of what is packed
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
        marks=(("L-01", 7), ("Z-01", 9)),
        drawing=bytes(range(256)) * seed,
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
