"""A new drawing under a sheet from a shell, and what was issued before it."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest

from leakmap.console.main import main
from leakmap.console.opened import job_in
from leakmap.model.job import Job
from leakmap.work.here import now
from leakmap.work.left_behind import joints_left_behind
from leakmap.work.open_job import Hand, opened

WALLS = ((0, 0, 12000, 0), (12000, 0, 12000, 9000), (12000, 9000, 0, 9000), (0, 9000, 0, 0), (0, 4000, 12000, 4000))
JOINTS = """ref,sheet,kind,wkt
J-01,B2,construction,"LINESTRING (6 0, 6 9)"
J-02,B2,construction,"LINESTRING (0 4, 12 4)"
"""
CHECK_AGAIN = "give two on the new one, one each way; until then nothing can be issued for work."
LEAKS = "joint,from_m,to_m,wetness\nJ-01,2.0,3.5,seep\n"


def draw(name: str, *, inner_x: float, move: tuple[float, float] = (0.0, 0.0), names: bool = False) -> None:
    """A plan of 12 m by 9 m in millimetres with an inner wall at some x, moved in its file; with room names."""
    document = ezdxf.new("R2018", units=4)
    space, (dx, dy) = document.modelspace(), move
    for x0, y0, x1, y1 in (*WALLS, (inner_x, 0, inner_x, 9000)):
        space.add_line((x0 + dx, y0 + dy), (x1 + dx, y1 + dy))
    for number, word in enumerate(("Pump hall", "Store", "Valves", "Stairs") if names else ()):
        space.add_text(word, height=200).set_placement((1000 + 2500 * number + dx, 1500 + 1200 * number + dy))
    document.saveas(name)


@pytest.fixture
def shell(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Path:
    """A folder with a job whose sheet B2 shows a plan with names, its scale checked, and a leak."""
    monkeypatch.chdir(tmp_path)
    draw("a.dxf", inner_x=6000, names=True)
    Path("joints.csv").write_text(JOINTS, encoding="utf-8")
    Path("leaks.csv").write_text(LEAKS, encoding="utf-8")
    assert (
        main(["new", "pit", "--drawing", "a.dxf", "--sheet", "B2", "--joints", "joints.csv", "--leaks", "leaks.csv"])
        == 0
    )
    for end, length in (("12000,0", "12"), ("0,9000", "9")):
        assert main(["scale", "pit", "--sheet", "B2", "--from", "0,0", "--to", end, "--length", length]) == 0
    capsys.readouterr()
    return tmp_path


def redraw(*words: str) -> int:
    """Give sheet B2 a new drawing."""
    return main(["redraw", "pit", "--sheet", "B2", *words])


def job() -> Job:
    """The job as kept."""
    return job_in("pit", at=now())


def test_a_new_drawing_lies_as_before_and_says_what_it_left(shell: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The inner wall moved: exit code 4, the joint and the known lengths are named, joints and leaks are as they were."""
    assert shell.exists()
    before = job()
    draw("b.dxf", inner_x=6300)
    assert redraw("--drawing", "b.dxf") == 4
    assert capsys.readouterr().out.splitlines()[:4] == [
        "B2 shows b.dxf now, laid as before.",
        "Where the old drawing lies, 83% of the ends of its lines are there again, within 1 mm.",
        f"The known lengths of B2 (12.00 m and 9.00 m) went with its old drawing: {CHECK_AGAIN}",
        "1 joint lay on a line that is gone: J-01.",
    ]
    after = job()
    assert (after.joints, after.leaks) == (before.joints, before.leaks)
    assert [joint.ref for joint in joints_left_behind(after)] == ["J-01"]


def test_a_plan_that_lies_elsewhere_is_laid_by_texts_or_by_places(
    shell: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Moved in its file it is found by its room names, or by places, one for each corner, with what each is out by."""
    assert shell.exists()
    draw("b.dxf", inner_x=6000, move=(70_000.0, 5000.0), names=True)
    assert redraw("--drawing", "b.dxf", "--as-before") == 2
    assert "b.dxf does not lie as before on B2. 4 texts that both show once" in capsys.readouterr().err
    assert redraw("--drawing", "b.dxf") == 0
    assert "laid by the texts" in capsys.readouterr().out
    places = ["--from", "70000,5000", "--to", "70000,5000", "--from", "82000,5000", "--to", "82000,5000"]
    assert redraw("--drawing", "b.dxf", *places, "--from", "82000,14000", "--to", "82000,14030") == 4
    said = capsys.readouterr().out
    assert "check the scale of the new drawing and B2" in said
    assert "place 3: out by" in said


def test_what_cannot_be_laid_is_said_in_one_sentence(shell: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Half a place, a scale from one place, no reason and no such sheet: code 2, nothing changed."""
    assert shell.exists()
    before = job()
    draw("b.dxf", inner_x=6000, move=(70_000.0, 0.0))
    for words, told in (
        (["--from", "0,0"], "There are 1 --from and 0 --to; give each place both."),
        (["--from", "0,0", "--to", "0,0", "--scale-too"], "give two at least"),
        ([], "b.dxf shows nothing that says where it lies on B2. Give places with --from and --to."),
        (["--by-grid"], "b.dxf does not lie by the grid on B2."),
    ):
        assert redraw("--drawing", "b.dxf", *words) == 2
        assert told in capsys.readouterr().err
    assert main(["redraw", "pit", "--sheet", "B9", "--drawing", "b.dxf"]) == 2
    assert redraw("--drawing", "nowhere.dxf") == 3
    assert job() == before


def test_one_undo_brings_the_old_drawing_back(shell: Path) -> None:
    """Opened after that, undo gives the old file with its known lengths, read from the job itself; redo the new one."""
    before = job()
    draw("b.dxf", inner_x=6300)
    assert redraw("--drawing", "b.dxf") == 4
    for name in ("a.dxf", "b.dxf"):
        (shell / name).unlink()
    open_job = opened(shell / "pit.gpkg", Hand(user="ann", host="site", clock=now))
    try:
        assert open_job.undo_words == "new drawing of B2"
        open_job.undo()
        assert open_job.job == before
        (sheet,) = open_job.job.sheets
        drawing = open_job.drawing(sheet)
        assert drawing is not None
        assert len(drawing.texts) == 4  # the room names of a.dxf
        open_job.redo()
        assert open_job.drawing(sheet) is not drawing
    finally:
        open_job.close()


def test_what_was_issued_stays_what_it_is(shell: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """After a new drawing C01 has its papers, hashes and references, and the file is whole with both drawings in it."""
    assert main(["issue", "pit", "--purpose", "work", "--to", "crew 2", "--out", "papers"]) in {0, 4}
    papers = {path.name: path.read_bytes() for path in (shell / "papers").iterdir()}
    before = job()
    draw("b.dxf", inner_x=6300)
    assert redraw("--drawing", "b.dxf") == 4
    after = job()
    assert after.revisions == before.revisions
    assert after.issued == before.issued
    assert {path.name: path.read_bytes() for path in (shell / "papers").iterdir()} == papers
    capsys.readouterr()
    assert main(["check", "pit"]) == 0
    assert main(["issue", "pit", "--purpose", "work", "--to", "crew 2", "--out", "papers"]) == 2
    assert "scale" in capsys.readouterr().err
    assert main(["issue", "pit", "--purpose", "price", "--to", "client", "--out", "papers"]) in {0, 4}
    marked = [path.name for path in (shell / "papers").iterdir() if path.suffix == ".dxf"]
    assert sorted(name[-5:] for name in marked) == ["a.dxf", "b.dxf"]
