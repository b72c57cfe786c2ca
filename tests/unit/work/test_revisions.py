"""Changes on paper, and papers of old revisions that say so."""

from __future__ import annotations

import csv
import io
import json
import re
from datetime import timedelta
from decimal import Decimal
from hashlib import sha256

import ezdxf
import openpyxl
import pikepdf
import pytest

from leakmap.base.errors import BadValue
from leakmap.base.measures import Units
from leakmap.issue.changes import changes_csv, changes_json, changes_text
from leakmap.issue.heading import heading_of
from leakmap.issue.schedule_pdf.schedule import changes_pdf
from leakmap.issue.superseded import LAYER, superseded_name
from leakmap.model.job import Job
from leakmap.model.revision import Revision
from leakmap.model.words import Purpose
from leakmap.records.tables.reading import read_leaks
from leakmap.repair.sides import Side, differences
from leakmap.repair.work_out import repairs
from leakmap.work.edits.leaks import move_leak_ends, remove_leak
from leakmap.work.edits.rules import set_units
from leakmap.work.issuing import Issue, issue
from leakmap.work.previews import changes_preview
from leakmap.work.reprints import reprints
from leakmap.work.revisions import before_next, revision_named, side_before, side_of, sides_of, superseded_by
from tests.helpers.page_texts import page_texts
from tests.helpers.small_jobs import one_line, with_leak
from tests.unit.work.test_issuing import AT

Issues = tuple[Issue, Issue, dict[str, bytes]]


def _issue(job: Job, blobs: dict[str, bytes], days: int) -> Issue:
    """The next issue for work; what it holds goes to the blobs."""
    made = issue(
        job,
        purpose=Purpose.WORK,
        to_whom="crew 2",
        by="M. Gull",
        at=AT + timedelta(days=days),
        sources={},
        drawings={},
        before=side_before(job, Purpose.WORK, blobs.__getitem__),
    )
    for content in (made.frozen.encode(), *made.papers.values()):
        blobs[sha256(content).hexdigest()] = content
    return made


@pytest.fixture(scope="module")
def issues() -> Issues:
    """C01, and C02 in which a zone is longer, one is shorter, one gone, one new."""
    blobs: dict[str, bytes] = {}
    job, joint = one_line(((0, 0), (30, 0)))
    keys = []
    for at in (2.0, 8.0, 14.0, 20.0):
        job, key = with_leak(job, joint, at, at + 1.0)
        keys.append(key)
    first = _issue(job, blobs, 0)
    job = move_leak_ends(first.job, leak=keys[0], to_m=3.8).job
    job = move_leak_ends(job, leak=keys[1], to_m=8.7).job
    job = remove_leak(job, leak=keys[2]).job
    return first, _issue(with_leak(job, joint, 26.0, 27.0)[0], blobs, 3), blobs


def test_the_schedule_tells_what_changed_in_words_and_metres(issues: Issues) -> None:
    """C02 has the part "Changes since C01": each zone's row adds up, and the plan of changes names all four with metres."""
    first, second, _ = issues
    pages = page_texts(second.papers["Heron Wharf C02 repair schedule.pdf"])
    assert not any("Changes since" in page for page in page_texts(first.papers["Heron Wharf C01 repair schedule.pdf"]))
    table = next(page for page in pages if "What became of it" in page)
    for row in ("Z-01 longer 1.600 0.800 0.000 0.000 0.000 2.400", "Z-02 shorter 1.600 0.000 0.300 0.000 0.000 1.300"):
        assert row in table.splitlines()
    assert "All 6.400 2.400 1.900 0.000 0.000 6.900" in table
    plan = next(page for page in pages if "Changes since C01, level B2" in page)
    for words in (
        "Z-01 longer, 0.800 m",
        "Z-02 shorter, 0.300 m",
        "Z-03 gone, 1.600 m",
        "Z-05 new, 1.600 m",
        "zone gone",
    ):
        assert words in plan


def test_machine_copies_hold_every_metre_of_both(issues: Issues) -> None:
    """The CSV among the papers and the JSON hold all rows: they sum to the totals of C01 and of C02."""
    first, second, blobs = issues
    text = second.papers["Heron Wharf C02 changes.csv"].decode()
    rows = list(csv.DictReader(io.StringIO(text)))
    for column, made in (("length_before_m", first), ("length_m", second)):
        assert sum(Decimal(row[column]) for row in rows) == repairs(made.job).totals.repair_m
    sides = (side_of(second.job, name, blobs.__getitem__) for name in ("c01", "C02"))
    found = differences(*sides)
    assert changes_csv(found) == text
    read = json.loads(changes_json(found))
    assert (read["from"], read["to"], read["totals"]["length_m"]) == ("C01", "C02", {"before": 6.4, "after": 6.9})
    assert read["fates"] == ["Z-03 is gone"]
    said = changes_text(found)
    assert "Z-02 shorter: 1.600 m + 0.000 m − 0.300 m = 1.300 m" in said
    same = differences(Side("C02", second.job), side_of(second.job, "now", blobs.__getitem__))
    assert "Nothing changed." in changes_text(same)


def test_sums_that_changed_are_said_in_the_units_of_the_job(issues: Issues) -> None:
    """Rounded as papers print them, with their unit and the words of the trade; the key of the plan has those too."""
    first, second, _ = issues
    sides = {}
    for units in Units.EACH:
        old, new = (set_units(made.job, units=units).job for made in (first, second))
        sides[units] = differences(Side("C01", old), Side("C02", new))
    metric, feet = (changes_text(found) for found in sides.values())
    assert "  chargeable 6.400 to 6.900 m\n" in metric
    assert "  slot 5.920 to 6.383 L\n" in metric  # 0.925 L/m: 4 × 1.480; 2.220 + 1.2025, half up, + 2 × 1.480
    assert re.search(r"  chargeable 24' 0\" to [0-9]+' 0\"\n", feet)
    assert re.search(r"  groove 0\.[0-9]{4} to 0\.[0-9]{4} cu ft\n", feet)
    assert re.search(r"  coat 1 [0-9]+\.[0-9]{2} to [0-9]+\.[0-9]{2} sq ft\n", feet)
    pages = page_texts(changes_pdf(sides[Units.IMPERIAL], drawings={}, heading=heading_of(second.job, second.revision)))
    assert "groove cut otherwise" in " ".join(pages)
    assert "slot" not in " ".join(pages)


def test_copies_of_old_papers_say_so_on_every_page(issues: Issues) -> None:
    """C01 is superseded by C02 of 28 Nov 2026: words on each page, a layer in the drawing, names; C02's are as sealed."""
    first, second, blobs = issues
    old, new = second.job.revisions.values()
    assert (superseded_by(second.job, old), superseded_by(second.job, new)) == (new, None)
    copies = {each.name: each.content for each in reprints(second.job, old, blobs.__getitem__)}
    name = "Heron Wharf C01 superseded by C02 repair schedule.pdf"
    said = "C01 is superseded by C02 of 28 Nov 2026: do not work to this copy"
    pages = page_texts(copies[name])
    assert [page.count(said) for page in pages] == [2] * len(pages)
    assert len(pages) == len(page_texts(first.papers["Heron Wharf C01 repair schedule.pdf"]))
    drawings = [content for each, content in copies.items() if each.endswith(".dxf")]
    for content in drawings:
        doc = ezdxf.read(io.StringIO(content.decode()))
        assert {text.dxf.text for text in doc.modelspace().query(f'TEXT[layer=="{LAYER}"]')} == {said}
        for sheet in (doc.layout(each) for each in doc.layout_names() if each.startswith("WP ")):
            foot, head = sorted(text.dxf.align_point.y for text in sheet.query(f'TEXT[layer=="{LAYER}"]'))
            assert 0 < foot < head < sheet.dxf.paper_height - 2.5
    assert drawings
    assert all("C01 superseded by C02" in each for each in copies)
    sealed = {each.name: each.content for each in reprints(second.job, new, blobs.__getitem__)}
    assert sealed == second.papers


def test_copies_of_old_tables_say_so_and_are_read_as_before(issues: Issues) -> None:
    """CSV has a last column, JSON a first key, the workbook a first sheet; all else is what was issued, to the letter.

    Our own reader takes every row of the table and tells what it found; so does an outside reader of workbooks, which finds
    every cell, formula and value in its place, print titles with their sheets, and the words at the head of each page.
    """
    first, second, blobs = issues
    old = next(iter(second.job.revisions.values()))
    copies = {each.name: each.content for each in reprints(second.job, old, blobs.__getitem__)}
    said = "C01 is superseded by C02 of 28 Nov 2026: do not work to this copy"
    stem, was = "Heron Wharf C01 superseded by C02", "Heron Wharf C01"
    for name in ("leaks.csv", "schedule.csv", "joints.csv", "blind.csv"):
        before, after = (
            list(csv.reader(io.StringIO(content.decode(), newline="")))
            for content in (first.papers[f"{was} {name}"], copies[f"{stem} {name}"])
        )
        assert after == [[*before[0], "superseded"], *([*row, said] for row in before[1:])]
    read, findings = read_leaks(copies[f"{stem} leaks.csv"], "leaks.csv")
    assert read == read_leaks(first.papers[f"{was} leaks.csv"])[0]
    assert [str(each.text) for each in findings] == [f"leaks.csv comes from an old revision: {said}."]
    text = copies[f"{stem} schedule.json"].decode()
    told = {"revision": "C01", "by": "C02", "on": "2026-11-28"}
    assert json.loads(text) == {"superseded": told, **json.loads(first.schedule)}
    assert next(iter(json.loads(text))) == "superseded"
    assert text.endswith(first.schedule[1:])
    content = copies[f"{stem} workbook.xlsx"]
    for values in (True, False):
        before, after = (
            openpyxl.load_workbook(io.BytesIO(each), data_only=values)
            for each in (first.papers[f"{was} workbook.xlsx"], content)
        )
        assert after.sheetnames == [stem.removeprefix("Heron Wharf "), *before.sheetnames]
        assert [row[0] for row in after.worksheets[0].values] == [stem.removeprefix("Heron Wharf "), said]
        assert after.active is after.worksheets[0]
        for name in before.sheetnames:
            assert list(after[name].values) == list(before[name].values)
            assert after[name].print_title_rows == before[name].print_title_rows
            assert said in after[name].oddHeader.center.text
            assert after[name].oddHeader.left.text == before[name].oddHeader.left.text


def test_files_attached_to_an_old_schedule_say_so_too(issues: Issues) -> None:
    """Each table that a viewer can take out of the superseded schedule is the marked copy of it."""
    _, second, blobs = issues
    old = next(iter(second.job.revisions.values()))
    copies = {each.name: each.content for each in reprints(second.job, old, blobs.__getitem__)}
    schedule = copies["Heron Wharf C01 superseded by C02 repair schedule.pdf"]
    with pikepdf.open(io.BytesIO(schedule)) as pdf:
        attached = {name: spec.get_file().read_bytes() for name, spec in pdf.attachments.items()}
    assert attached
    assert all(copies[name] == content for name, content in attached.items())


def test_which_revision_counts(issues: Issues) -> None:
    """The next one for work is compared with the last for work; a price in between supersedes nothing of the crew's."""
    job = issues[1].job
    old, new = job.revisions.values()
    price = Revision(
        id=job.id, number=1, purpose=Purpose.PRICE, to_whom="x", by="x", at=AT, job_sha256="", schedule_sha256=""
    )
    mixed = type(job)(id=job.id, name="x", revisions={old.id: old, price.id: price})
    assert before_next(mixed, Purpose.WORK) is old
    assert superseded_by(mixed, old) is None
    later = type(job)(id=job.id, name="x", revisions={price.id: price, new.id: new})
    assert superseded_by(later, price) is new
    assert superseded_name("odd.pdf", old, new) == "C01 superseded by C02 odd.pdf"
    with pytest.raises(BadValue, match="There is no revision C07; issued are: C01, C02"):
        revision_named(job, "C07")


def test_what_is_compared_when_revisions_are_picked(issues: Issues) -> None:
    """Two picked: each with the other, the earlier one first; one: with now; none: the last one with now."""
    job, blobs = issues[1].job, issues[2]
    old, new = job.revisions
    for picked, names in (((new, old), ("C01", "C02")), ((old,), ("C01", "now")), ((), ("C02", "now"))):
        sides = sides_of(job, picked, blobs.__getitem__)
        assert sides is not None
        assert tuple(side.name for side in sides) == names
    assert sides_of(one_line()[0], (), blobs.__getitem__) is None
    sides = sides_of(job, (old, new), blobs.__getitem__)
    assert sides is not None
    pages = page_texts(changes_preview(*sides, at=AT, drawings={}))
    assert "What became of it" in pages[0]
    assert "Z-03 gone, 1.600 m" in pages[-1]
