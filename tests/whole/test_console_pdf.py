"""A job made from a page of a PDF in a shell."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from leakmap.console.main import main
from leakmap.console.opened import job_in
from leakmap.model.job import Job
from leakmap.model.sheet import Sheet, scale_is_checked
from leakmap.records.job_file import open_job_file
from leakmap.work import job_drawings
from leakmap.work.here import now
from leakmap.work.job_drawings import drawings_of
from tests.helpers.pdf_files import MM, locked, pdf

pytestmark = pytest.mark.slow

PASSWORD = "weir"  # noqa: S105 - not a secret


def two_pages() -> bytes:
    """A page of notes, and a plan at 1:50 with a line of 6 m along x and one of 4 m along y."""
    return pdf(
        lambda canvas: canvas.drawString(50, 50, "Notes"),
        lambda canvas: (canvas.line(0, 0, 120 * MM, 0), canvas.line(120 * MM, 0, 120 * MM, 80 * MM)),
        size=(210 * MM, 297 * MM),
    )


@pytest.fixture
def shell(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the PDF, and the same one locked."""
    monkeypatch.chdir(tmp_path)
    Path("b2.pdf").write_bytes(two_pages())
    Path("locked.pdf").write_bytes(locked(two_pages(), PASSWORD))
    Path("b2.dxf").write_text("0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n", encoding="ascii")
    return tmp_path


def job_and_sheet() -> tuple[Job, Sheet]:
    """The job pit and its only sheet."""
    job = job_in("pit", at=now())
    (sheet,) = job.sheets.values()
    return job, sheet


def test_a_job_from_the_second_page(shell: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The page is read at its scale, joints come from its lines in metres, and the scale is not checked by that."""
    assert shell.exists()
    asked = ("--page", "2", "--scale", "1:50", "--sheet", "B2", "--joints-from-layer", "lines")
    assert main(["new", "pit", "--drawing", "b2.pdf", *asked]) == 0
    said = capsys.readouterr().out
    assert "2 lines and 0 texts, 1 unit is 0.05 m (as you said)" in said
    assert "two lengths known on site" in said
    job, sheet = job_and_sheet()
    assert sheet.source is not None
    assert (sheet.source.reading.page, sheet.source.unit, sheet.source.pixel) == (1, 0.05, None)
    assert not scale_is_checked(sheet)
    (joint,) = job.joints.values()
    assert joint.path is not None
    assert joint.path.length_m == pytest.approx(10.0, abs=1e-5)


def test_a_page_without_a_scale(shell: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Its size is said and its scale is asked for; two known lengths, one each way, check it."""
    assert shell.exists()
    assert main(["new", "pit", "--drawing", "b2.pdf", "--page", "2", "--sheet", "B2"]) == 4
    assert "a page, 210 x 297 mm (A4); its scale must be given" in capsys.readouterr().out
    for end, length in (("120,0", "6"), ("0,80", "4")):
        assert main(["scale", "pit", "--sheet", "B2", "--from", "0,0", "--to", end, "--length", length]) in {0, 4}
    _, sheet = job_and_sheet()
    assert scale_is_checked(sheet)
    assert sheet.placement.x_m_per_unit == pytest.approx(0.05)


def test_the_page_is_there_again(shell: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was read is kept; where it is not, the same page is read again from the file inside the job."""
    assert shell.exists()
    assert main(["new", "pit", "--drawing", "b2.pdf", "--page", "2", "--scale", "1:50"]) == 0
    for readers in (job_drawings.READERS, "another version"):
        monkeypatch.setattr(job_drawings, "READERS", readers)
        with open_job_file(Path("pit.gpkg"), user="u", host="h", at=now(), look_only=True) as file:
            (drawing,) = drawings_of(file, file.job).drawings.values()
        assert len(drawing.strokes) == 2


def test_a_locked_file_asks_for_its_password(
    shell: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """On a terminal; the password is nowhere in the job file. Without a terminal, a sentence says what is missing."""
    words = ["new", "pit", "--drawing", "locked.pdf", "--page", "2", "--scale", "1:50"]
    assert main(words) == 3
    assert capsys.readouterr().err == "locked.pdf is locked; give the password that opens it.\n"
    assert not (shell / "pit.gpkg").exists()
    asked: list[str] = []
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True)
    monkeypatch.setattr("leakmap.console.drawing_words.getpass", lambda words: asked.append(words) or PASSWORD)
    assert main(words) == 0
    assert asked == ["Password of locked.pdf: "]
    assert PASSWORD.encode() not in (shell / "pit.gpkg").read_bytes()


@pytest.mark.parametrize(
    ("asked", "outcome", "words"),
    [
        (("--page", "3"), 3, "There is no page 3 in b2.pdf, which has 2 pages."),
        (("--page", "0"), 2, "pages are counted from 1"),
        (("--scale", "1:x"), 2, "give it as 1:50"),
        (("--scale", "1:50", "--unit", "mm"), 2, "never both"),
    ],
)
def test_what_cannot_be_asked_for(
    shell: Path, capsys: pytest.CaptureFixture[str], asked: tuple[str, ...], outcome: int, words: str
) -> None:
    """One sentence, and no job file."""
    assert main(["new", "pit", "--drawing", "b2.pdf", *asked]) == outcome
    assert words in capsys.readouterr().err
    assert not (shell / "pit.gpkg").exists()


@pytest.mark.parametrize("asked", [("--page", "2"), ("--scale", "1:50")])
def test_a_drawing_without_pages_has_neither_page_nor_printed_scale(
    shell: Path, capsys: pytest.CaptureFixture[str], asked: tuple[str, ...]
) -> None:
    """A DXF says its unit."""
    assert main(["new", "pit", "--drawing", "b2.dxf", *asked]) == 2
    assert asked[0] in capsys.readouterr().err
    assert not (shell / "pit.gpkg").exists()
