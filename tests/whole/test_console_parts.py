"""A job made in a shell from a part of a drawing, or from one in an old code page."""

from __future__ import annotations

from pathlib import Path

import pytest

from leakmap.console.main import main
from leakmap.console.opened import job_in
from leakmap.work.here import now
from tests.helpers.dxf_files import as_bytes, document


@pytest.fixture
def shell(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a drawing of two plans of 6 by 4 m, 10 m apart, whose layer has a Cyrillic name under a Western word."""
    monkeypatch.chdir(tmp_path)
    made = document(version="R2000", unit=6)
    for x in (-20, -10):
        made.modelspace().add_lwpolyline([(x, 0), (x + 6, 0), (x + 6, 4), (x, 4)], close=True)
        for y in range(1, 8):
            made.modelspace().add_line((x, y / 2), (x + 6, y / 2), dxfattribs={"layer": "NNN"})
    Path("all.dxf").write_bytes(as_bytes(made).replace(b"NNN", "стена".encode("cp1251")))
    return tmp_path


def test_a_part_of_a_drawing_is_asked_for_by_its_rectangle(shell: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """First both plans are told with their corners; the corners that were printed make a job of one plan."""
    assert shell.exists()
    assert main(["new", "both", "--drawing", "all.dxf"]) == 4
    said = capsys.readouterr().out
    assert "2 plans stand side by side" in said
    corners = said.split("without a name at ")[1].split(";")[0]
    asked = ("--crop", corners, "--codepage", "ANSI_1251", "--sheet", "B2", "--joints-from-layer", "стена")
    assert main(["new", "one", "--drawing", "all.dxf", *asked]) == 0
    job = job_in("one", at=now())
    (sheet,) = job.sheets.values()
    assert sheet.source is not None
    assert sheet.source.reading.codepage == "cp1251"
    assert sheet.source.reading.crop == tuple(map(float, corners.split(",")))
    paths = [joint.path for joint in job.joints.values() if joint.path is not None]
    assert len(paths) == 7
    assert max(x for path in paths for x, _ in path.corners) == pytest.approx(-14)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (("--crop", "1,2,3"), "is no rectangle"),
        (("--crop", "0,0,0,9"), "has no extent"),
        (("--codepage", "klingon"), "no code page"),
    ],
)
def test_what_cannot_be_asked_for(
    shell: Path, capsys: pytest.CaptureFixture[str], asked: tuple[str, ...], words: str
) -> None:
    """One sentence, and no job file."""
    assert main(["new", "pit", "--drawing", "all.dxf", *asked]) in {2, 3}
    assert words in capsys.readouterr().err
    assert not (shell / "pit.gpkg").exists()


def test_nothing_inside_the_rectangle(shell: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The file cannot be used so, and the sentence says what to do."""
    assert main(["new", "pit", "--drawing", "all.dxf", "--crop", "900,900,910,910"]) == 3
    assert "Nothing of all.dxf lies inside the rectangle" in capsys.readouterr().err
    assert not (shell / "pit.gpkg").exists()


def test_a_code_page_goes_with_a_dxf_only(shell: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A picture has no letters."""
    (shell / "scan.png").write_bytes(b"\x89PNG\r\n\x1a\n")
    assert main(["new", "pit", "--drawing", "scan.png", "--codepage", "cp1252"]) == 2
    assert "--codepage" in capsys.readouterr().err
