"""Copies of a paper for site and for the archive.

Rules of the archive copy are those of ISO 19005-1, level B, from memory: 6.1 (file), 6.2.2 (output intent), 6.3.4 (fonts
inside), 6.4 (nothing see-through), 6.5.3 (links are printed), 6.6.1 (no scripts), 6.7 (XMP agrees with the facts). An
independent validator is run by hand on the sample's papers.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from xml.etree import ElementTree as ET

import pikepdf
import pytest

from leakmap.issue.copies import archive_copy, compact
from leakmap.issue.schedule_pdf.schedule import SchedulePdf, schedule_pdf
from tests.helpers.page_texts import page_texts
from tests.helpers.paper_job import heading, paper_job, paper_repairs

FILES = {"schedule.json": b'{"zones": []}', "schedule.csv": b"zone\r\nZ-01\r\n"}
JOB = paper_job()
ZONES = [zone.ref for zone in paper_repairs(JOB).zones]


@pytest.fixture(scope="module")
def paper() -> SchedulePdf:
    """A schedule with two files attached."""
    return schedule_pdf(JOB, paper_repairs(JOB), drawings={}, heading=heading(), attached=FILES)


@pytest.fixture(scope="module")
def archive(paper: SchedulePdf) -> Iterator[pikepdf.Pdf]:
    """Its copy for the archive, opened."""
    with pikepdf.open(io.BytesIO(paper.archive())) as pdf:
        yield pdf


@pytest.fixture(scope="module")
def site(paper: SchedulePdf) -> Iterator[pikepdf.Pdf]:
    """Its copy for site, opened."""
    with pikepdf.open(io.BytesIO(paper.data)) as pdf:
        yield pdf


def dictionaries(pdf: pikepdf.Pdf, kind: str = "") -> list[pikepdf.Object]:
    """Dictionaries of a file, of one type where it is given."""
    found = [each for each in pdf.objects if isinstance(each, pikepdf.Dictionary | pikepdf.Stream)]
    return [each for each in found if not kind or each.get("/Type") == kind]


def test_both_copies_are_the_same_each_time(paper: SchedulePdf) -> None:
    """Made twice, they are byte for byte the same."""
    again = schedule_pdf(paper_job(), paper_repairs(paper_job()), drawings={}, heading=heading(), attached=FILES)
    assert (again.data, again.archive()) == (paper.data, paper.archive())


def test_facts_are_said_on_one_line_in_both_places() -> None:
    """A name with line feeds, tabs and a null is one line in the file's facts and in its XMP, which must agree (6.7.3)."""
    odd = replace(heading(), job_name="Tern\tQuay\n<\x00west>", by="site\noffice")
    bare, nothing = replace(JOB, joints={}, leaks={}, cuts={}), replace(paper_repairs(JOB), zones=(), another_method=())
    copy = schedule_pdf(bare, nothing, drawings={}, heading=odd).archive()
    with pikepdf.open(io.BytesIO(copy)) as pdf, pdf.open_metadata() as facts:
        assert facts["dc:title"] == str(pdf.docinfo["/Title"]) == "Tern Quay < west>: repair schedule, revision C02"
        assert facts["dc:creator"] == [str(pdf.docinfo["/Author"])] == ["site office"]


def test_an_archive_copy_holds_nothing_that_later_readers_might_not_know(archive: pikepdf.Pdf) -> None:
    """PDF 1.4 without layers, attachments, scripts, compressed objects, passwords, or anything see-through."""
    assert archive.pdf_version == "1.4"
    assert not archive.is_encrypted
    assert not {"/OCProperties", "/AA", "/OpenAction", "/AcroForm"} & set(archive.Root)
    assert not archive.attachments
    assert not dictionaries(archive, "/ObjStm") + dictionaries(archive, "/XRef")
    for each in dictionaries(archive):
        assert not {"/JavaScript", "/JS", "/SMask", "/EF"} & set(each)
        assert each.get("/S") not in {"/Transparency", "/JavaScript", "/Launch"}
        assert all(float(each.get(name, 1)) == 1 for name in ("/ca", "/CA"))
    assert all(b"/OC " not in page.Contents.read_bytes() for page in archive.pages)
    assert len(archive.trailer.ID) == 2


def test_every_font_of_an_archive_copy_is_inside(archive: pikepdf.Pdf) -> None:
    """Each has its file and says which characters its glyphs are."""
    fonts = dictionaries(archive, "/Font")
    assert len(fonts) >= 2
    for font in fonts:
        assert "/FontFile2" in font.FontDescriptor
        assert "/ToUnicode" in font


def test_an_archive_copy_says_its_colours_and_facts(archive: pikepdf.Pdf) -> None:
    """One output intent with a profile of three colours; XMP says what the facts say, and which standard is followed."""
    (intent,) = archive.Root.OutputIntents
    assert (str(intent.S), int(intent.DestOutputProfile.N)) == ("/GTS_PDFA1", 3)
    assert "/Filter" not in archive.Root.Metadata
    xmp = ET.fromstring(archive.Root.Metadata.read_bytes().decode().strip("\ufeff"))  # noqa: S314 - made here
    said = {each.tag.rpartition("}")[2]: "".join(each.itertext()).strip() for each in xmp.iter()}
    facts = {name: str(value) for name, value in archive.docinfo.items()}
    assert (said["title"], said["description"], said["creator"]) == (
        facts["/Title"],
        facts["/Subject"],
        facts["/Author"],
    )
    assert (said["Producer"], said["CreatorTool"]) == (facts["/Producer"], facts["/Creator"])
    assert said["CreateDate"] == said["ModifyDate"] == "2026-11-25T09:30:00+00:00"
    assert (said["part"], said["conformance"]) == ("1", "B")


def test_links_of_an_archive_copy_are_printed_with_it(archive: pikepdf.Pdf) -> None:
    """None of them is hidden from print."""
    links = [link for page in archive.pages for link in page.get("/Annots", [])]
    assert links
    assert {int(link.F) for link in links} == {4}


def test_a_name_with_markup_stays_itself_in_both_places() -> None:
    """The facts of an archive copy may hold < > & in any script."""
    odd = pikepdf.new()
    odd.add_blank_page()
    odd.pages[0].Contents = odd.make_stream(b"")
    names = ("/Title", "/Subject", "/Author", "/Creator", "/Producer")
    for name in names:
        odd.docinfo[name] = "Σίτος & <Насос>"
    for name in ("/CreationDate", "/ModDate"):
        odd.docinfo[name] = "D:20261125093000+00'00'"
    out = io.BytesIO()
    odd.save(out)
    with pikepdf.open(io.BytesIO(archive_copy(out.getvalue()))) as pdf, pdf.open_metadata() as facts:
        assert facts["dc:title"] == str(pdf.docinfo["/Title"]) == "Σίτος & <Насос>"


def test_the_copy_for_site_carries_its_files(site: pikepdf.Pdf) -> None:
    """Attachments come out as they were put in, dated by the issue."""
    assert {name: spec.get_file().read_bytes() for name, spec in site.attachments.items()} == FILES
    dates = {spec.get_file().creation_date for spec in site.attachments.values()}
    assert dates == {datetime(2026, 11, 25, 9, 30, tzinfo=UTC)}


def test_the_copy_for_site_has_layers_on_its_plans(site: pikepdf.Pdf) -> None:
    """Joints, leaks and zones can each be switched off; without a drawing there is no layer of one."""
    names = [str(group.Name) for group in site.Root.OCProperties.OCGs]
    assert names == ["Joints", "Leaks", "Repair zones"]


def test_row_card_and_plan_lead_to_each_other(site: pikepdf.Pdf, paper: SchedulePdf) -> None:
    """Each zone's row in the table of quantities and its reference on the plan lead to its card, that to the plan."""
    kinds = ["plan" if "Marked plan of the repair schedule" in words else "table" for words in page_texts(paper.data)]
    numbers = {page.objgen: number for number, page in enumerate(site.pages)}
    moves: dict[tuple[str, str], set[str]] = {}
    for number, page in enumerate(site.pages):
        for link in page.get("/Annots", []):
            to = kinds[numbers[link.Dest[0].objgen]]
            moves.setdefault((kinds[number], to), set()).add(repr(link.Dest))
    assert len(moves["table", "table"]) == len(ZONES)
    assert moves["plan", "table"] == moves["table", "table"]
    assert len(moves["table", "plan"]) == 2, "one for each level"
    assert len(moves) == 3


def test_a_file_without_a_date_is_attached_all_the_same() -> None:
    """Where nobody says when, nothing is said."""
    blank = pikepdf.new()
    blank.add_blank_page()
    out = io.BytesIO()
    blank.save(out)
    with pikepdf.open(io.BytesIO(compact(out.getvalue(), {"a.txt": b"a"}))) as pdf:
        assert pdf.attachments["a.txt"].get_file().read_bytes() == b"a"
