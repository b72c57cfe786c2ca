"""Jobs made from a photo, a scan and a DWG in a shell, as far as their papers."""

from __future__ import annotations

from pathlib import Path

import pdfplumber
import pytest
from PIL import Image

from leakmap.console.main import main
from leakmap.console.opened import job_in
from leakmap.model.sheet import Sheet, scale_is_checked
from leakmap.work.here import now
from tests.helpers.dwg_files import dwg

pytestmark = pytest.mark.slow

JOINTS = 'ref,sheet,kind,wkt\nJ-01,B2,construction,"LINESTRING (100 100, 900 100)"\n'
LEAKS = "ref,joint,from_m,to_m,wetness\nL-01,J-01,100,300,seep\n"


@pytest.fixture
def shell(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a scan, tables of a joint and a leak on it in pixels, and a DWG."""
    monkeypatch.chdir(tmp_path)
    paper = Image.new("L", (1000, 700), 255)
    paper.paste(0, (100, 597, 900, 603))
    paper.save("b2.png")
    Path("joints.csv").write_text(JOINTS, encoding="utf-8")
    Path("leaks.csv").write_text(LEAKS, encoding="utf-8")
    Path("b2.dwg").write_bytes(dwg(tmp_path))
    return tmp_path


def only_sheet() -> Sheet:
    """The only sheet of the job pit."""
    (sheet,) = job_in("pit", at=now()).sheets.values()
    return sheet


def test_a_scan_from_pixels_to_papers(shell: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Set by lengths each way it has two scales; the papers show it, its accuracy and the marks over it."""
    tables = ("--joints", "joints.csv", "--leaks", "leaks.csv")
    assert main(["new", "pit", "--drawing", "b2.png", "--sheet", "B2", *tables]) == 4  # its unit is not known
    assert main(["scale", "pit", "--sheet", "B2", "--from", "0,0", "--to", "1000,0", "--length", "20"]) == 0
    assert "one way only" in capsys.readouterr().out
    assert main(["scale", "pit", "--sheet", "B2", "--from", "0,0", "--to", "0,700", "--length", "14.07"]) == 0
    said = capsys.readouterr().out
    assert "One pixel is 20.1 mm; 10 m read off it can be out by 30 mm." in said  # 20.1 · (1 + 10/20) = 30.15
    assert "The scale of B2 is checked" in said
    placement = only_sheet().placement
    assert (placement.x_m_per_unit, placement.y_m_per_unit) == pytest.approx((0.02, 0.0201))
    assert main(["issue", "pit", "--purpose", "work", "--to", "the crew", "--out", "papers"]) == 4
    assert "without the picture under them" in capsys.readouterr().out
    with pdfplumber.open(shell / "papers" / "pit C01 repair schedule.pdf") as pdf:
        words = " ".join("".join(page.extract_text() for page in pdf.pages).split())
        assert sum(len(page.images) for page in pdf.pages) >= 2
    assert "a scan: one pixel is 20.1" in words


def test_a_photo_is_laid_flat(shell: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Four corners make a sheet of its own size: its longer sides are 800 and 600 pixels."""
    assert shell.exists()
    corners = ("100,650", "900,650", "850,50", "100,50")
    assert main(["new", "pit", "--drawing", "b2.png", "--sheet", "B2", "--corners", *corners]) == 4
    assert "a scan of 800 × 602 pixels" in capsys.readouterr().out  # √(50² + 600²) = 602.1
    source = only_sheet().source
    assert source is not None
    assert source.reading.corners == ((100, 650), (900, 650), (850, 50), (100, 50))


def test_corners_in_a_wrong_order_are_refused(shell: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Corners that make no sheet, or on a drawing of lines, give one sentence and no job."""
    crossed = ("100,650", "900,50", "900,650", "100,50")
    assert main(["new", "pit", "--drawing", "b2.png", "--corners", *crossed]) in {2, 3}
    assert "not the corners of a sheet" in capsys.readouterr().err
    assert main(["new", "pit", "--drawing", "b2.dwg", "--corners", *crossed]) == 2
    assert "no picture" in capsys.readouterr().err
    assert not (shell / "pit.gpkg").exists()


def test_a_dwg_is_read_and_marked(shell: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Its lines become joints, it is to be checked, and its marked drawing holds its own lines too."""
    Path("leaks.csv").write_text("ref,joint,from_m,to_m,wetness\nL-01,J-01,1,2,seep\n", encoding="utf-8")
    asked = ("--sheet", "B2", "--joints-from-layer", "WALLS", "--leaks", "leaks.csv")
    assert main(["new", "pit", "--drawing", "b2.dwg", *asked]) == 4
    assert "compare the plan with a print" in capsys.readouterr().out
    assert not scale_is_checked(only_sheet())
    assert main(["issue", "pit", "--purpose", "price", "--to", "the client", "--out", "papers"]) in {0, 4}
    (marked,) = (shell / "papers").glob("*marked plan b2.dxf")
    assert b"WALLS" in marked.read_bytes()
