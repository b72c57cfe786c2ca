"""Cases of the console that need a job file but no process of their own."""

from __future__ import annotations

from pathlib import Path

import pytest

from leakmap.base.resources import resource
from leakmap.console.main import main
from leakmap.console.opened import job_in
from leakmap.model.sheet import scale_is_checked
from leakmap.work.here import now

LINE = "0\nLINE\n8\n{}\n10\n{}\n20\n{}\n11\n{}\n21\n{}\n"


@pytest.fixture
def shell(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a drawing of one line, 6 m along x, in millimetres, and a table of leaks on it."""
    monkeypatch.chdir(tmp_path)
    lines = LINE.format("JOINTS", 0, 0, 6000, 0)
    Path("b2.dxf").write_text(f"0\nSECTION\n2\nENTITIES\n{lines}0\nENDSEC\n0\nEOF\n", encoding="ascii")
    Path("leaks.csv").write_text("joint,from_m,to_m,wetness\nJ-01,1,2,run\nJ-01,5,5,0\n", encoding="utf-8")
    return tmp_path


def make(*more: str) -> int:
    """Make the job pit of the drawing."""
    return main(["new", "pit", "--drawing", "b2.dxf", "--unit", "mm", "--joints-from-layer", "joints", *more])


def known(end: str, length: str) -> int:
    """Give a known length from the origin."""
    return main(["scale", "pit", "--sheet", "b2", "--from", "0,0", "--to", end, "--length", length])


def test_joints_of_a_table_that_miss_the_drawing(shell: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """When every joint lies on a blank sheet, the user is asked whether --sheet was meant; B2 is the sheet of b2.dxf."""
    drawn = ["--drawing", "b2.dxf", "--unit", "mm", "--joints", "joints.csv"]
    row = 'ref,sheet,kind,wkt\nJ-1,{},crack,"LINESTRING (0 0, 3 0)"\n'
    (shell / "joints.csv").write_text(row.format("B3"), encoding="utf-8")
    assert main(["new", "pit", *drawn]) == 4
    asked = "No joint lies on b2, the sheet of the drawing; the tables name B3. Was --sheet meant?"
    assert asked in capsys.readouterr().out
    (shell / "joints.csv").write_text(row.format("B2"), encoding="utf-8")
    main(["new", "tank", *drawn])
    assert "Was --sheet meant?" not in capsys.readouterr().out
    assert [sheet.name for sheet in job_in("tank", at=now()).sheets.values()] == ["b2"]


def test_lengths_that_disagree(shell: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One length sets the scale, a second that agrees checks it, one that disagrees is said and unchecks it."""
    assert shell.exists()
    make()
    assert known("6000,0", "6.03") == 0
    assert "one way only" in capsys.readouterr().out
    assert known("0,-3000", "3.015") == 0
    assert "is checked" in capsys.readouterr().out
    assert known("0,3000", "3.2") == 4
    said = capsys.readouterr().out
    assert "not checked yet" in said
    assert "measure it again" in said
    (sheet,) = job_in("pit", at=now()).sheets.values()
    assert len(sheet.lengths) == 3
    assert not scale_is_checked(sheet)


def test_a_scale_carries_joints_and_leaks(shell: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A drawing that proves twice as large makes the joint twice as long and the leak too; overruns stay."""
    assert shell.exists()
    make("--leaks", "leaks.csv")
    known("6000,0", "12")
    capsys.readouterr()
    main(["schedule", "pit", "--csv"])
    rows = [line.split(",") for line in capsys.readouterr().out.splitlines()[1:]]
    # The run of 1 to 2 m is now 2 to 4 m; 0.45 m overrun at each end; the suspect spot stands at 10 m ± 0.30 m.
    assert [(row[3], row[4]) for row in rows] == [
        ("1.550", "2.000"),
        ("2.000", "4.000"),
        ("4.000", "4.450"),
        ("9.700", "10.300"),
    ]


def test_a_sheet_that_is_not_there(shell: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The sheets that are there are named, and nothing is changed."""
    assert shell.exists()
    make()
    capsys.readouterr()
    assert main(["scale", "pit", "--sheet", "B9", "--from", "0,0", "--to", "1,0", "--length", "1"]) == 2
    assert capsys.readouterr().err == "There is no sheet B9; the job has: b2. Nothing was changed.\n"


@pytest.mark.slow
def test_a_paper_that_is_there_stops_the_issue(shell: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """No paper is replaced and no revision is used up; nor is one where the check list alone is asked for, or no folder is given."""
    make("--leaks", "leaks.csv")
    (shell / "papers").mkdir()
    (shell / "papers" / "pit P01 schedule.csv").write_bytes(b"somebody's")
    issue = ["issue", "pit", "--purpose", "price", "--to", "the client", "--out", "papers"]
    capsys.readouterr()
    assert main([*issue[:6], "--check"]) == 4
    looked = capsys.readouterr().out
    assert looked.startswith("pit, before P01 is issued for price:\nNeeds a look")
    assert "Z-02 is provisional" in looked
    assert main(issue[:6]) == 2
    assert "--out DIR" in capsys.readouterr().err
    assert main(issue) == 3
    assert "is there already and is not replaced" in capsys.readouterr().err
    assert [path.name for path in (shell / "papers").iterdir()] == ["pit P01 schedule.csv"]
    assert not job_in("pit", at=now()).revisions
    (shell / "papers" / "pit P01 schedule.csv").unlink()
    assert main(issue) == 0
    assert "Provisional, for price only: Z-02 (0.600 m)." in capsys.readouterr().out


def test_what_a_person_reads_of_a_schedule(shell: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The table shows zone, chainages, depth and filling; relief points and provisional zones stand below their zone."""
    assert shell.exists()
    make("--leaks", "leaks.csv")
    capsys.readouterr()
    assert main(["schedule", "pit"]) == 0
    lines = [line.split() for line in capsys.readouterr().out.splitlines()]
    assert ["Z-01", "b2", "J-01", "0.550", "1.000", "0.450", "37", "plug,", "dry-pack"] in lines
    assert ["b2", "J-01", "1.000", "2.000", "1.000", "50", "plug,", "dry-pack"] in lines
    assert ["relief", "point", "on", "J-01", "at", "1.500", "m,", "75", "mm", "deep"] in lines
    assert ["Z-02", "b2", "J-01", "4.700", "5.300", "0.600", "37", "dry-pack"] in lines
    assert any(line[:3] == ["not", "for", "work."] for line in lines)
    assert ["1.900", "m", "measured,", "1.90", "m", "chargeable;"] in [line[:6] for line in lines]


def test_a_finding_makes_four(shell: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Joints that nearly meet are said below the schedule, and the exit code tells of it."""
    (shell / "joints.csv").write_text(
        'ref,sheet,kind,wkt\nA,B2,crack,"LINESTRING (0 0, 3 0)"\nB,B2,crack,"LINESTRING (3.05 0, 6 0)"\n',
        encoding="utf-8",
    )
    assert main(["new", "near", "--joints", "joints.csv"]) == 0
    assert main(["schedule", "near"]) == 4
    assert "To look at (1):" in capsys.readouterr().out


def lay(*more: str) -> int:
    """Lay b2 over the blank level B1."""
    return main(["lay", "pit", "--sheet", "b2", "--over", "B1", *more])


def test_a_sheet_is_laid_over_another(shell: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Places are in each drawing's own units: millimetres on b2, metres on the blank B1; joints go along."""
    (shell / "joints.csv").write_text('ref,sheet,kind,wkt\nJ-09,B1,crack,"LINESTRING (0 0, 3 0)"\n', encoding="utf-8")
    make("--joints", "joints.csv")
    assert lay("--from", "0,0", "--to", "20,10", "--from", "6000,0", "--to", "20,16.004") == 0
    said = capsys.readouterr().out
    assert "b2 moved by 20.00 m across and 10.002 m up, turned by 90.00°." in said
    assert "All 2 places lie on each other within 2 mm." in said
    assert "place 2: out by 2.0 mm" in said
    job = job_in("pit", at=now())
    drawn = next(joint for joint in job.joints.values() if joint.ref != "J-09")
    assert drawn.path is not None
    assert drawn.path.points[1] == pytest.approx((20.0, 16.002))
    assert lay("--from", "0,0", "--to", "20,10", "--from", "6000,0", "--to", "20,16.1") == 4
    assert "pick them again" in capsys.readouterr().out


def test_a_sheet_that_cannot_be_laid(shell: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Places without their other half, unknown sheets and a known scale are said in one sentence; nothing is changed."""
    assert shell.exists()
    make()
    capsys.readouterr()
    assert lay("--from", "0,0", "--to", "1,1") == 2
    assert capsys.readouterr().err == "There is no sheet B1; the job has: b2. Nothing was changed.\n"
    assert lay("--from", "0,0", "--to", "1,1", "--from", "2,2") == 2
    assert "There are 2 --from and 1 --to; give each place both." in capsys.readouterr().err
    assert main(["lay", "pit", "--sheet", "b2", "--over", "b2", "--from", "0,0", "--to", "1,1"]) == 2
    assert "cannot be laid over itself" in capsys.readouterr().err


def test_the_grid_of_a_drawing_is_taken_when_asked_for(shell: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without the option the grid is named and left; with it the job has it; where there is none, that is a finding."""
    (shell / "quay.dxf").write_bytes(resource("sample_plans", "tern_quay_b2.dxf").read_bytes())
    new = ["--drawing", "quay.dxf", "--sheet", "B2"]
    assert main(["new", "without", *new]) == 0
    said = capsys.readouterr().out
    assert "12 axes found, A to F and 1 to 6: each a line that ends at a circle with its name." in said
    assert "Give --grid-from-drawing to take them." in said
    assert job_in("without", at=now()).grid is None
    assert main(["new", "with", *new, "--grid-from-drawing"]) == 0
    assert "Give --grid-from-drawing" not in capsys.readouterr().out
    grid = job_in("with", at=now()).grid
    assert grid is not None
    assert [axis.name for axis in grid.axes] == [*"ABCDEF123456"]
    assert make("--grid-from-drawing") == 4
    assert "b2.dxf shows no grid" in capsys.readouterr().out
    assert main(["new", "none", "--joints", "joints.csv", "--grid-from-drawing"]) == 2
    assert "--grid-from-drawing says something of a drawing" in capsys.readouterr().err
