"""``leakmap pages`` and ``leakmap straighten``: what a file holds to choose from, and a drawing that lies straight."""

from __future__ import annotations

import json
from math import atan2, degrees
from pathlib import Path

import ezdxf
import pikepdf
import pytest
from PIL import Image

from leakmap.console.main import main
from leakmap.console.opened import job_in
from leakmap.geometry.placement import Placement
from leakmap.work.here import now
from tests.helpers.pdf_files import MM, locked, pdf, picture

PASSWORD = "weir"  # noqa: S105 - not a secret


@pytest.fixture(autouse=True)
def _shell(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder to work in."""
    monkeypatch.chdir(tmp_path)


def two_pages() -> bytes:
    """An A3 page of lines that is turned and called A-101, and one with a picture and a text."""

    def label(made: pikepdf.Pdf) -> None:
        made.pages[0].obj["/Rotate"] = 90
        made.Root.PageLabels = pikepdf.Dictionary(
            Nums=[0, pikepdf.Dictionary(P="A-101"), 1, pikepdf.Dictionary(S=pikepdf.Name.D, St=2)]
        )

    return pdf(
        lambda canvas: [canvas.line(0, y, 300, y) for y in range(40)],
        lambda canvas: (canvas.drawImage(picture(80, 60), 0, 0, 400, 300), canvas.drawString(9, 9, "Notes")),
        size=(297 * MM, 420 * MM),
        change=label,
    )


def test_pages_of_a_pdf(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """Each with label, size as it lies upright, turn and what is on it, to read and for programs; the password is asked."""
    Path("b2.pdf").write_bytes(locked(two_pages(), PASSWORD))
    Path("open.pdf").write_bytes(two_pages())
    monkeypatch.setattr("sys.stdin.isatty", lambda: True)
    monkeypatch.setattr("leakmap.console.drawing_words.getpass", lambda _: PASSWORD)
    assert main(["pages", "b2.pdf"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "b2.pdf: 2 pages." in said
    assert "1 A-101 420 x 297 mm (A3) 90° 40 lines 2 297 x 420 mm (A3) 1 text, 1 picture" in said
    assert "--page 2" in said
    assert main(["pages", "open.pdf", "--json"]) == 0
    first, second = json.loads(capsys.readouterr().out)["pages"]
    assert (first["width_mm"], first["height_mm"], first["turned_deg"], first["lines"]) == (420.0, 297.0, 90, 40)
    assert (second["label"], second["turned_deg"], second["pictures"], second["whole"]) == ("", 0, 1, True)


def test_pictures_of_a_scan(capsys: pytest.CaptureFixture[str]) -> None:
    """Pixels of each, and millimetres where the file says its dots per inch: 400 pixels at 200 are 50.8 mm."""
    first, second = Image.new("L", (400, 200), 255), Image.new("L", (100, 300), 255)
    first.save("b2.tif", save_all=True, append_images=[second], dpi=(200, 200))
    assert main(["pages", "b2.tif"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "1 400 x 200 pixels, 51 x 25 mm 1 picture" in said
    assert "2 100 x 300 pixels" in said


def test_plans_of_a_drawing(capsys: pytest.CaptureFixture[str]) -> None:
    """Two rooms side by side are two plans; the rectangle that is said takes one of them."""
    made = ezdxf.new()
    for x in (0, 20_000):
        for step in range(10):
            made.modelspace().add_line((x, step * 500), (x + 6000, step * 500 + 400))
    made.saveas("all.dxf")
    assert main(["pages", "all.dxf", "--json"]) == 0
    plans = json.loads(capsys.readouterr().out)["plans"]
    assert [plan["plan"] for plan in plans] == [1, 2]
    assert main(["pages", "all.dxf"]) == 0
    said = capsys.readouterr().out
    assert "20 lines, 0 texts. 2 plans lie side by side." in said
    crop = said.split("--crop ")[-1].split()[0]
    assert [float(value) for value in crop.split(",")] == plans[0]["crop"]
    assert main(["new", "pit", "--drawing", "all.dxf", "--unit", "mm", "--crop", crop]) in {0, 4}
    assert "all.dxf, 10 lines" in capsys.readouterr().out


def placement() -> Placement:
    """Where the only drawing of the job pit lies."""
    (sheet,) = job_in("pit", at=now()).sheets.values()
    return sheet.placement


def test_a_scan_is_straightened(capsys: pytest.CaptureFixture[str]) -> None:
    """When it comes in or later: 600 pixels along and 12 up are 1.15° to the left, so it is turned to the right by them."""
    Image.new("L", (700, 400), 255).save("b2.png")
    skew_deg = degrees(atan2(12, 600))
    assert main(["new", "pit", "--drawing", "b2.png", "--sheet", "B2", "--straight", "20,30,620,42"]) == 4
    assert placement().turn_deg == pytest.approx(-skew_deg, abs=1e-9)
    assert placement().to_site((620, 42))[1] == pytest.approx(placement().to_site((20, 30))[1], abs=1e-9)
    asked = ["straighten", "pit", "--sheet", "B2"]
    assert main([*asked, "--from", "20,30", "--to", "620,30"]) == 0
    assert "B2 is straight now: turned to the left by 1.15°." in capsys.readouterr().out
    assert placement().turn_deg == pytest.approx(0, abs=1e-9)
    assert main([*asked, "--quarter"]) == 0
    assert "turned to the left by a quarter" in capsys.readouterr().out
    assert placement().turn_deg == pytest.approx(90)
    assert main([*asked, "--from", "20,30"]) == 2
    assert "Give both --from and --to, or --quarter alone." in capsys.readouterr().err
