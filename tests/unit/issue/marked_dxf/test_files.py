"""The files of the marked drawing: which there are, what they keep, what is said of them."""

from __future__ import annotations

import hashlib
import io
import logging
import os
import re
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path as FilePath

import ezdxf
import ezdxf.document
import numpy as np
import pytest

from leakmap.base.errors import BadValue
from leakmap.issue.heading import provisional_heading
from leakmap.issue.marked_dxf.document import read_document
from leakmap.issue.marked_dxf.write import marked_dxf
from leakmap.model.drawing import Drawing, Layer, Picture, Strokes, Text, UnitHint
from tests.helpers.marked_files import (
    FEW,
    MILLIMETRES,
    NAME,
    ONE,
    WET,
    blocks_of,
    document_of,
    marked_sample,
    sample,
    shapes_of,
    small_job,
)
from tests.helpers.marked_job import HEADING, job_on, joints, key, plan_bytes, repairs, sheet_b1, sheet_b2


def test_each_source_and_each_blank_sheet_has_a_file_named_for_job_and_revision() -> None:
    """Level B2 lies in its drawing; level B1 has none and gets a new file. Nothing had to be said."""
    made = marked_sample()
    assert list(made.files) == [NAME, "Tern Quay C02 marked plan B1.dxf"]
    assert made.findings == ()


@pytest.mark.slow
def test_the_same_job_gives_the_same_bytes() -> None:
    """Twice the same input, twice the same file."""
    assert marked_sample.__wrapped__().files == marked_sample().files


@pytest.mark.slow
def test_bytes_do_not_depend_on_the_process() -> None:
    """Another process with another hash seed writes the same bytes."""
    root = FilePath(__file__).parents[4]
    script = (
        "import hashlib; from tests.helpers.marked_files import marked_sample;"
        "print([hashlib.sha256(d).hexdigest() for d in marked_sample().files.values()])"
    )
    seed = "77" if os.environ.get("PYTHONHASHSEED") != "77" else "1"
    there = subprocess.run(
        [sys.executable, "-c", script], cwd=root, env={"PYTHONHASHSEED": seed, "PYTHONPATH": str(root)},
        capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip
    here = [hashlib.sha256(data).hexdigest() for data in marked_sample().files.values()]
    assert there == f"{here}\n"


@pytest.mark.slow
def test_the_library_is_left_as_it_was() -> None:
    """Neither its setting for metadata nor the level of its log is changed."""
    log = logging.getLogger("ezdxf")
    before = ezdxf.options.write_fixed_meta_data_for_testing, log.level
    marked_sample.__wrapped__()
    assert (ezdxf.options.write_fixed_meta_data_for_testing, log.level) == before


def test_the_table_adds_up_and_names_what_needs_another_method() -> None:
    """The total of the table is the sum of its rows; the leak on the movement joint is listed apart."""
    words = [text.plain_text() for text in sample().modelspace().query('MTEXT[layer=="WP-NOTE-TABLE"]')]
    lengths = [zone.length_m for zone in repairs().zones]
    assert f"{sum(lengths):.3f}" in words
    assert f"{sum(zone.chargeable_m for zone in repairs().zones):.2f}" in words
    assert all(f"{length:.3f}" in words for length in lengths)
    assert "Needs another method" in words
    assert "L-06" in words


def test_a_provisional_file_says_that_nobody_may_work_to_it() -> None:
    """Without an issue the heading says provisional, and the file's name that nothing was issued."""
    job = small_job(sheet_b2())
    heading = provisional_heading(job, datetime(2026, 11, 1, tzinfo=UTC))
    made = marked_dxf(job, ONE, sources={}, heading=heading)
    assert next(iter(made.files)) == "Tern Quay not issued marked plan B2.dxf"
    doc = document_of(next(iter(made.files.values())))
    words = [text.plain_text() for text in doc.modelspace().query('MTEXT[layer=="WP-NOTE-HEADING"]')]
    assert "Revision not issued, provisional, not for work, 01 Nov 2026" in words


@pytest.mark.slow
def test_a_drawing_that_was_marked_before_is_marked_again_beside_the_old_marks() -> None:
    """Names of ours that are taken get a number, a finding says so, and the old marks stay."""
    first = marked_sample().files[NAME]
    sheet = sheet_b2(first, MILLIMETRES)
    assert sheet.source is not None
    made = marked_dxf(small_job(sheet), ONE, sources={sheet.source.sha256: first}, heading=HEADING)
    doc = document_of(made.files[NAME])
    assert [finding.code for finding in made.findings] == ["layers-renamed"]
    layers = {entity.dxf.layer for entity in doc.modelspace()}
    assert {"WP-ZONE-OUTLINE", "WP2-ZONE-OUTLINE"} <= layers
    assert len(blocks_of(doc, "ZONE")) == len(repairs().zones)
    assert doc.audit().errors == []


def test_two_sheets_side_by_side_in_one_drawing_share_a_file() -> None:
    """Both levels drawn in one file: one marked file, each sheet with its own notes and its own joints."""
    source = plan_bytes()
    lower = sheet_b2(source, MILLIMETRES)
    upper = replace(lower, id=key("B1"), name="B1", placement=replace(MILLIMETRES, origin=(40_000.0, 0.0)))
    raised = replace(joints()[4], id=key("J-09"), ref="J-09", sheet=key("B1"))
    job = job_on([lower, upper], with_joints=[*FEW, raised], with_leaks=WET)
    assert lower.source is not None
    made = marked_dxf(job, ONE, sources={lower.source.sha256: source}, heading=HEADING)
    assert list(made.files) == [NAME]
    doc = document_of(made.files[NAME])
    starts = [line.get_points()[0][0] for line in shapes_of(doc, "JOINT-CRACK")]
    assert any(x == pytest.approx(42_000.0) for x in starts)
    assert {insert.get_attrib_text("SHEET") for insert in blocks_of(doc, "JOINT").values()} == {"B1", "B2"}


def test_two_sheets_in_the_same_place_of_a_drawing_get_a_file_each() -> None:
    """One typical floor used for two levels: marks would lie over each other, so each has its own file, said so."""
    source = plan_bytes()
    lower = sheet_b2(source, MILLIMETRES)
    upper = replace(lower, id=key("B1"), name="B1")
    raised = replace(joints()[4], id=key("J-09"), ref="J-09", sheet=key("B1"))
    assert lower.source is not None
    made = marked_dxf(
        job_on([lower, upper], with_joints=[*FEW, raised], with_leaks=WET), ONE,
        sources={lower.source.sha256: source}, heading=HEADING,
    )  # fmt: skip
    assert list(made.files) == [NAME, "Tern Quay C02 marked plan quay b2 2.dxf"]
    assert [finding.code for finding in made.findings] == ["own-file"]


@pytest.mark.parametrize("source", [None, b"no ENTITIES here"])
def test_a_drawing_that_cannot_be_marked_leaves_the_marks_in_a_new_file(source: bytes | None) -> None:
    """A damaged or a missing drawing: the marks are in a new file in metres, and a finding says so."""
    sheet = sheet_b2(source or b"gone", MILLIMETRES)
    assert sheet.source is not None
    given = {} if source is None else {sheet.source.sha256: source}
    made = marked_dxf(small_job(sheet), ONE, sources=given, heading=HEADING)
    assert [finding.code for finding in made.findings] == ["drawing-not-marked"]
    assert "without the drawing" in made.findings[0].text
    doc = document_of(made.files["Tern Quay C02 marked plan B2.dxf"])
    assert doc.header["$INSUNITS"] == 6
    (wall,) = [line for line in shapes_of(doc, "JOINT-WALLBASE") if len(line) == 4 and line.closed]
    assert wall.get_points()[2][:2] == pytest.approx((23.7, 14.7))


def test_marks_on_a_pdf_lie_in_a_new_file_over_its_lines() -> None:
    """4,000 units of 1 mm from (1, 2) m on are a line of 4 m there; a hidden layer is left out, and nothing is lost."""
    sheet = sheet_b2(b"%PDF-1.7", MILLIMETRES)
    assert sheet.source is not None
    sheet = replace(sheet, shown=(("notes", False),))
    strokes = Strokes(
        np.array([(1000.0, 2000.0), (5000.0, 2000.0), (0.0, 0.0), (9000.0, 0.0)]),
        np.array([0, 2, 4], np.int32),
        np.array([0, 1], np.int32),
    )
    texts = (Text((3000.0, 2500.0), 200.0, 0.0, 0.5, 0.0, "PUMPS", 0), Text((0.0, 0.0), 200.0, 0.0, 0, 0, "NOTE", 1))
    layers = (Layer("lines"), Layer("notes"))
    drawing = Drawing((0.0, 0.0), layers, strokes, texts, UnitHint(None, "a page"), (0.0, 0.0, 9000.0, 5000.0))
    made = marked_dxf(
        small_job(sheet), ONE, sources={sheet.source.sha256: b"%PDF-1.7"}, drawings={sheet.source: drawing},
        heading=HEADING,
    )  # fmt: skip
    assert made.findings == ()
    space = document_of(made.files["Tern Quay C02 marked plan B2.dxf"]).modelspace()
    (line,) = space.query('LWPOLYLINE[layer=="UNDER-PLAN-LINES"]')
    assert [point[:2] for point in line.get_points()] == [(1.0, 2.0), (5.0, 2.0)]
    (text,) = space.query('TEXT[layer=="UNDER-PLAN-TEXT"]')
    assert (text.dxf.text, text.dxf.height) == ("PUMPS", pytest.approx(0.2))
    assert text.get_placement()[1].isclose((3.0, 2.5))


def test_marks_on_a_scan_say_that_it_is_left_out() -> None:
    """A picture is not in the marked drawing, and a finding says where it is seen."""
    sheet = sheet_b2(b"\x89PNG\r\n\x1a\n", MILLIMETRES)
    assert sheet.source is not None
    picture = Picture((0, 0, 9000, 5000), (9000, 5000), {})
    hint = UnitHint(None, "a scan")
    scan = Drawing((0, 0), (Layer("picture"),), Strokes.none(), (), hint, picture.box, pictures=(picture,))
    made = marked_dxf(
        small_job(sheet), ONE, sources={sheet.source.sha256: b"\x89PNG\r\n\x1a\n"}, drawings={sheet.source: scan},
        heading=HEADING,
    )  # fmt: skip
    assert [finding.code for finding in made.findings] == ["picture-left-out"]
    assert list(made.files) == ["Tern Quay C02 marked plan B2.dxf"]


def test_a_name_with_forbidden_characters_is_refused_before_anything_is_written() -> None:
    """The discipline is a part of every layer's name."""
    with pytest.raises(BadValue, match="layer's name"):
        marked_dxf(job_on([sheet_b2(), sheet_b1()]), repairs(), sources={}, heading=HEADING, discipline="A:B")


def test_a_job_without_anything_marked_still_gives_its_drawing() -> None:
    """No joints, no leaks: the file has the heading, the key and a table that says none."""
    empty = replace(repairs(), zones=(), another_method=())
    job = replace(job_on([sheet_b1()], with_joints=(), with_leaks=()), cuts={})
    made = marked_dxf(job, empty, sources={}, heading=HEADING)
    (data,) = made.files.values()
    words = [text.plain_text() for text in document_of(data).modelspace().query("MTEXT")]
    assert "none" in words


def test_two_sources_of_one_name_give_two_files() -> None:
    """Two drawings that are both called quay b2.dxf do not overwrite each other."""
    sources = [plan_bytes(), plan_bytes(unit=1.0)]
    sheets = [sheet_b2(sources[0], MILLIMETRES), replace(sheet_b2(sources[1]), id=key("B1"), name="B1")]
    job = job_on(sheets, with_joints=FEW, with_leaks=WET)
    given = {hashlib.sha256(source).hexdigest(): source for source in sources}
    made = marked_dxf(job, ONE, sources=given, heading=HEADING)
    assert list(made.files) == [NAME, NAME.replace(".dxf", " 2.dxf")]


def test_what_shows_twice_has_its_block_once() -> None:
    """A vertical joint between two levels in one drawing has words on both, and one block, so nobody counts it twice."""
    source = plan_bytes()
    lower = sheet_b2(source, MILLIMETRES)
    upper = replace(lower, id=key("B1"), name="B1", placement=replace(MILLIMETRES, origin=(40_000.0, 0.0)))
    rising = [joint for joint in joints() if joint.ref == "V-01"]
    assert lower.source is not None
    job = job_on([lower, upper], with_joints=[*FEW, *rising], with_leaks=WET)
    made = marked_dxf(job, ONE, sources={lower.source.sha256: source}, heading=HEADING)
    space = document_of(made.files[NAME]).modelspace()
    assert [insert.get_attrib_text("REF") for insert in space.query('INSERT[name=="WP-VERTICAL"]')] == ["V-01"]
    assert len(space.query('INSERT[name=="WP-VERTICAL-UP"]')) == 1
    assert len(space.query('INSERT[name=="WP-VERTICAL-DOWN"]')) == 1
    assert "V-01  4.20 from B2" in [text.plain_text() for text in space.query("TEXT")]


def test_no_layer_of_the_drawing_is_changed() -> None:
    """Names, colours and states of the drawing's own layers are as before."""
    before, _ = read_document(plan_bytes(), "plan.dxf")
    after = sample()
    for layer in before.layers:
        kept = after.layers.get(layer.dxf.name)
        assert (kept.dxf.color, kept.dxf.flags, kept.dxf.linetype) == (
            layer.dxf.color, layer.dxf.flags, layer.dxf.linetype,
        )  # fmt: skip


def test_no_record_holds_a_line_end() -> None:
    """A line end inside a string of extended data would make the file unreadable: every odd line is a group code."""
    text = marked_sample().files[NAME].decode("utf-8")
    lines = text.split("\n")
    assert all(re.fullmatch(r"\s*-?\d+", line) for line in lines[:-1:2])


def test_paper_space_and_solids_of_the_drawing_stay() -> None:
    """A layout with texts and a mesh in space are still there."""
    doc = ezdxf.new("R2013")
    doc.modelspace().add_line((0, 0, 5), (1000, 0, 7))
    doc.layout("Layout1").add_text("PAPER NOTE")
    stream = io.StringIO()
    doc.write(stream)
    source = doc.encode(stream.getvalue())
    sheet = sheet_b2(source, MILLIMETRES)
    assert sheet.source is not None
    made = marked_dxf(small_job(sheet), ONE, sources={sheet.source.sha256: source}, heading=HEADING)
    kept = document_of(made.files[NAME])
    assert [text.dxf.text for text in kept.layout("Layout1").query("TEXT")] == ["PAPER NOTE"]
    line = kept.modelspace().query("LINE")[0]
    assert (line.dxf.start.z, line.dxf.end.z) == (5, 7)


def test_a_layout_never_takes_a_forbidden_name() -> None:
    """A sheet called A/B: 1 gets a layout whose name the format takes."""
    sheet = replace(sheet_b2(), name="A/B: 1")
    made = marked_dxf(small_job(sheet), ONE, sources={}, heading=HEADING)
    assert "WP A_B_ 1" in document_of(next(iter(made.files.values()))).layout_names()
