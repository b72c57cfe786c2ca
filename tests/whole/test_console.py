"""The console as a user meets it: real processes, real files, a folder whose name has a space and an umlaut."""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

import jsonschema
import pytest

from leakmap.base.resources import resource
from leakmap.console.main import COMMANDS, main
from leakmap.console.opened import job_in
from leakmap.issue.schedule_json import schedule
from leakmap.repair.work_out import repairs
from leakmap.work.here import now

pytestmark = pytest.mark.slow

LINES = ((0, 0, 6000, 0), (6000, 0, 6000, 4000))
JOINTS = """\
ref;sheet;kind;wkt
J-07;B2;movement;LINESTRING (0 2, 6 2)
J-08;B1;wall-base;LINESTRING (0 0, 3 0)
"""
LEAKS = """\
ref,joint,from_m,to_m,wetness,note
L-01,J-09,1,2,seep,"warm, slow"
L-02,J-07,1,1.5,3,
L-03,J-99,0,1,2,
"""


def dxf(lines: Sequence[tuple[int, int, int, int]]) -> str:
    """A small drawing of lines on the layer JOINTS, in the oldest form that readers take."""
    entities = "".join(f"0\nLINE\n8\nJOINTS\n10\n{a}\n20\n{b}\n11\n{c}\n21\n{d}\n" for a, b, c, d in lines)
    return f"0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n"


@dataclass
class Console:
    """A shell in a folder."""

    folder: Path

    def __call__(self, *words: str) -> subprocess.CompletedProcess[str]:
        """Run leakmap with words in the folder."""
        environment = {
            **os.environ,
            "XDG_STATE_HOME": str(self.folder / "state"),
            "LOCALAPPDATA": str(self.folder / "state"),
            "PYTHONPATH": str(Path(__file__).resolve().parents[2]),
        }
        command = [sys.executable, "-m", "leakmap.console", *words]
        return subprocess.run(
            command, cwd=self.folder, env=environment, capture_output=True, encoding="utf-8", check=False
        )


@pytest.fixture
def console(tmp_path: Path) -> Console:
    """A shell in a folder with a drawing and tables."""
    folder = tmp_path / "tern quay ü"
    folder.mkdir()
    (folder / "plan B2.dxf").write_text(dxf(LINES), encoding="ascii")
    (folder / "joints.csv").write_text(JOINTS, encoding="utf-8-sig")
    (folder / "leaks.csv").write_text(LEAKS, encoding="utf-8")
    (folder / "there.gpkg").write_bytes(b"something of somebody")
    return Console(folder)


@pytest.fixture
def here(console: Console, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder of the console as the current one, for calls inside this process."""
    monkeypatch.chdir(console.folder)
    return console.folder


def new(console: Console, *more: str) -> subprocess.CompletedProcess[str]:
    """Make the job of the tests."""
    words = ["new", "pit ü.gpkg", "--drawing", "plan B2.dxf", "--unit", "mm", "--sheet", "B2"]
    return console(*words, "--joints-from-layer", "JOINTS", "--joints", "joints.csv", "--leaks", "leaks.csv", *more)


def test_from_tables_to_papers(console: Console) -> None:
    """New, schedule, scale, issue and check work on one job, each with its exit code and its words."""
    made = new(console)
    assert made.returncode == 4, made.stderr  # a leak lies on no joint
    assert "J-09" in made.stdout  # the line of the layer is numbered after the table
    assert "Row 4 of leaks.csv" in made.stdout
    assert made.stderr == ""

    scheduled = console("schedule", "pit ü.gpkg", "--json")
    found = json.loads(scheduled.stdout)
    schema = json.loads(resource("resources", "texts", "schedule.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema).validate(found)
    (zone,) = found["zones"]
    # L-01: 1 to 2 m, seep, 0.30 m overrun at each end: 0.70 to 2.30 m.
    assert (zone["stretches"][0]["from_m"], zone["stretches"][-1]["to_m"], zone["length_m"]) == (0.7, 2.3, 1.6)
    assert '"length_m": 1.600' in scheduled.stdout
    assert [item["leak"] for item in found["another_method"]] == ["L-02"]
    assert len(found["joints"]) == 3
    assert found["totals"]["joint_m"] == 19.0  # 10 m drawn, 6 m and 3 m from the table

    refused = console("issue", "pit ü.gpkg", "--purpose", "work", "--to", "The crew", "--out", "papers")
    assert refused.returncode == 2
    assert "has not been checked, so nothing can be issued for work" in refused.stderr
    assert not (console.folder / "papers").exists()

    scale = ("scale", "pit ü.gpkg", "--sheet", "B2", "--from", "0,0")
    assert console(*scale, "--to", "6000,0", "--length", "6").returncode == 0
    checked = console(*scale, "--to", "0,-4000", "--length", "4.01")
    assert checked.returncode == 0
    assert "checked" in checked.stdout

    for name in ("C01", "C02"):
        issued = console("issue", "pit ü.gpkg", "--purpose", "work", "--to", "The crew", "--out", "papers")
        assert issued.returncode in {0, 4}, issued.stderr
        papers = {path.name for path in (console.folder / "papers").iterdir() if name in path.name}
        assert f"pit ü {name} repair schedule.pdf" in papers
        assert f"pit ü {name} schedule.json" in papers
        assert any(paper.endswith(".dxf") for paper in papers)
        assert all(paper in issued.stdout for paper in papers)
    stored = (console.folder / "papers" / "pit ü C02 schedule.json").read_text(encoding="utf-8")
    assert json.loads(stored)["zones"][0]["ref"] == "Z-01"

    whole = console("check", "pit ü.gpkg")
    assert whole.returncode == 0, whole.stdout + whole.stderr


def test_the_schedule_in_three_forms(console: Console) -> None:
    """Without options a person reads it, with --csv a machine does; both give the same lengths."""
    new(console)
    plain, table = console("schedule", "pit ü.gpkg"), console("schedule", "pit ü.gpkg", "--csv")
    assert plain.returncode == table.returncode
    (row,) = csv.DictReader(io.StringIO(table.stdout))
    assert (row["zone"], row["from_m"], row["to_m"], row["length_m"]) == ("Z-01", "0.700", "2.300", "1.600")
    assert "Z-01" in plain.stdout
    assert "1.600" in plain.stdout
    assert console("schedule", "pit ü.gpkg", "--csv", "--json").returncode == 2


def test_what_an_issue_writes_makes_the_job_again(here: Path) -> None:
    """The tables of an issue, blind stretches included, make a job with the same schedule."""
    (here / "blind.csv").write_text("joint,from_m,to_m,what\nJ-08,0.5,1.5,tank\n", encoding="utf-8")
    (here / "leaks.csv").write_text("ref,joint,from_m,to_m,wetness\nL-01,J-08,1,2.2,run\n", encoding="utf-8")
    assert main(["new", "one", "--joints", "joints.csv", "--leaks", "leaks.csv"]) == 0
    assert main(["issue", "one", "--purpose", "price", "--to", "x", "--out", "."]) == 0
    written = ["--joints", "one P01 joints.csv", "--leaks", "one P01 leaks.csv"]
    assert main(["new", "two", *written]) == 0
    one, two = (schedule(job, repairs(job)) for job in (job_in(name, at=now()) for name in ("one", "two")))
    assert one["zones"][0]["blind_m"] == Decimal("0.950")  # 0.55 to 1.5 m of the cover from 0.55 to 2.65 m
    assert two == {**one, "job": "two"}


def test_a_job_from_tables_alone(console: Console) -> None:
    """Without a drawing the sheets that the tables name are blank, and their metres are true."""
    made = console("new", "pit", "--joints", "joints.csv")
    assert made.returncode == 0, made.stderr
    assert (console.folder / "pit.gpkg").exists()
    assert "B1" in made.stdout
    assert "B2" in made.stdout
    scaled = console("scale", "pit.gpkg", "--sheet", "B2", "--from", "0,0", "--to", "1,0", "--length", "1")
    assert scaled.returncode == 2
    assert "has no drawing" in scaled.stderr


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("new", "pit.gpkg", "--drawing", "missing.dxf"), 3, "missing.dxf"),
        (("new", "pit.gpkg", "--drawing", "leaks.csv"), 3, "leaks.csv"),
        (("new", "pit.gpkg", "--joints", "leaks.csv"), 3, "lacks columns"),
        (("new", "pit.gpkg", "--drawing", "plan B2.dxf", "--unit", "furlong"), 2, "furlong"),
        (("new", "pit.gpkg", "--drawing", "plan B2.dxf", "--joints-from-layer", "WALLS"), 3, "JOINTS"),
        (("new", "pit.gpkg", "--joints-from-layer", "JOINTS"), 2, "--drawing"),
        (("new", "there", "--joints", "joints.csv"), 3, "there.gpkg is there already"),
        (("new", "pit.gpkg"), 2, "--drawing"),
        (("new", "", "--joints", "joints.csv"), 2, "no name"),
        (("new", "..", "--joints", "joints.csv"), 2, "no name"),
        (("new", "folder/pit", "--joints", "joints.csv"), 3, "folder is not there"),
        (("new", "pit", "--joints", "joints.csv", "--sheet", "B2"), 2, "--drawing"),
        (("schedule", "."), 2, "no name"),
        (("schedule", "there.gpkg"), 3, "there.gpkg"),
        (("new",), 2, "--help"),
        (("schedule", "missing.gpkg"), 3, "missing.gpkg"),
        (("schedule", "leaks.csv"), 3, "leaks.csv"),
        (("check", "leaks.csv"), 3, "leaks.csv"),
        (("scale", "missing.gpkg", "--sheet", "B2", "--from", "0,0", "--to", "1", "--length", "1"), 2, "not a point"),
        (("issue", "missing.gpkg", "--purpose", "fun", "--to", "x", "--out", "y"), 2, "fun"),
    ],
)
def test_what_cannot_be_done_is_one_sentence(
    here: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...], code: int, said: str
) -> None:
    """A wrong call ends with 2 and an unusable file with 3; one line tells why, and nothing is made."""
    before = {path.name for path in here.iterdir()}
    assert main(words) == code
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err.count("\n") == 1
    assert said in shown.err
    assert {path.name for path in here.iterdir()} == before


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_can_be_learned_from_its_help(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Help tells what a command does, and shows an example that names it."""
    assert main([command, "--help"]) == 0
    shown = capsys.readouterr().out
    assert f"\n  leakmap {command}" in shown
    assert "examples:" in shown


def test_the_schedule_starts_without_heavy_libraries(console: Console) -> None:
    """Neither drawing, paper nor window libraries are loaded to print a schedule."""
    assert console("new", "pit.gpkg", "--joints", "joints.csv").returncode == 0
    code = (
        "import sys\n"
        "from leakmap.console.main import main\n"
        "code = main(['schedule', 'pit.gpkg', '--json'])\n"
        "heavy = {'ezdxf', 'reportlab', 'pikepdf', 'PySide6', 'PIL', 'fontTools', 'matplotlib'} & set(sys.modules)\n"
        "assert not heavy, heavy\n"
        "raise SystemExit(code)"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code],
        cwd=console.folder,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).resolve().parents[2])},
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    assert json.loads(ran.stdout)["zones"] == []


def test_the_sample_writes_every_paper(console: Console) -> None:
    """The demo says what is where, its totals are those of its papers, and a second run does it again."""
    for _ in range(2):
        ran = console("demo", "--out", "sample")
        assert ran.returncode in {0, 4}, ran.stderr
    names = {path.name for path in (console.folder / "sample").iterdir()}
    assert all(name in ran.stdout for name in names)
    assert {Path(name).suffix for name in names} == {".gpkg", ".pdf", ".dxf", ".json", ".csv", ".xlsx"}
    (text,) = (console.folder / "sample").glob("*schedule.json")
    totals = json.loads(text.read_text(encoding="utf-8"))["totals"]
    assert f"{totals['repair_m']:.3f} m" in ran.stdout
    (job,) = (console.folder / "sample").glob("*.gpkg")
    assert console("check", str(job)).returncode == 0
