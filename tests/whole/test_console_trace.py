"""``leakmap trace``: joints listed from layers and outlines of a job's drawing, taken, and found twice."""

from __future__ import annotations

from pathlib import Path

import pytest

from leakmap.console.main import main
from leakmap.console.opened import for_change, job_in
from leakmap.model.words import Face, Kind, Side
from leakmap.records.job_file import open_job_file
from leakmap.work.here import now

LINE = "0\nLINE\n8\n{}\n10\n{}\n20\n{}\n11\n{}\n21\n{}\n"
WALLS = [(0, 0, 6000, 0), (6000, 0, 6000, 4000), (6000, 4000, 0, 4000), (0, 4000, 0, 0), (9000, 0, 9050, 0)]
LIMITS = [(0, 1000, 6000, 1000), (2000, 0, 2000, 4000)]


@pytest.fixture(autouse=True)
def _shell(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder with a job: a room of 6 by 4 m on WALLS with a stub of 50 mm, two lines across it on LIMITS."""
    monkeypatch.chdir(tmp_path)
    drawn = [("WALLS", line) for line in WALLS] + [("LIMITS", line) for line in LIMITS]
    lines = "".join(LINE.format(layer, *line) for layer, line in drawn)
    Path("b2.dxf").write_text(f"0\nSECTION\n2\nENTITIES\n{lines}0\nENDSEC\n0\nEOF\n", encoding="ascii")
    assert main(["new", "pit", "--drawing", "b2.dxf", "--unit", "mm", "--sheet", "B2"]) == 0


def trace(*words: str) -> int:
    """Trace on the sheet of the job."""
    return main(["trace", "pit", "--sheet", "B2", *words])


def joints() -> list[tuple[str, Kind, Face, float]]:
    """Every joint of the job: reference, kind, face, length."""
    kept = job_in("pit", at=now()).joints.values()
    return [(joint.ref, joint.kind, joint.face, round(joint.length_m, 3)) for joint in kept]


def test_layers_are_listed_and_nothing_is_changed(capsys: pytest.CaptureFixture[str]) -> None:
    """Lines that meet are one of 20 m; the stub is left out and said; no joint is there afterwards."""
    assert trace("--layer", "LIMITS", "--layer", "WALLS") == 4
    said = capsys.readouterr().out
    assert "B2: 3 joints proposed, 30.000 m." in said
    assert "3  layer WALLS     20.000  closed, from 0.00, 0.00" in said
    assert "Nothing was changed; give --take to take them." in said
    assert "Left out, shorter than 0.10 m: 1 line." in said
    assert not joints()
    assert trace("--layer", "WALLS", "--least", "0.05") == 0
    assert "B2: 2 joints proposed, 20.050 m." in capsys.readouterr().out


def test_all_or_some_are_taken_as_one_step(capsys: pytest.CaptureFixture[str]) -> None:
    """With kind and face; the journal has one step with one name; what lies on joints is not taken again."""
    assert trace("--layer", "LIMITS", "--kind", "contraction", "--take", "2") == 0
    assert "Taken: J-01." in capsys.readouterr().out
    assert joints() == [("J-01", Kind.CONTRACTION, Face.FLOOR, 4.0)]
    assert trace("--layer", "LIMITS", "--take") == 4
    said = capsys.readouterr().out
    assert "Line 2 of the list lies on J-01 already." in said
    assert "Taken: J-02." in said
    with open_job_file(Path("pit.gpkg"), user="ann", host="site", at=now(), look_only=True) as file:
        words = [entry.words for entry in file.journal()]
    assert words[-2:] == ["take 1 joint from layer LIMITS"] * 2
    assert trace("--layer", "LIMITS", "--take") == 2
    assert "every line lies on a joint already; give --twice" in capsys.readouterr().err
    assert trace("--layer", "LIMITS", "--take", "--twice") == 4
    assert [ref for ref, *_ in joints()] == ["J-01", "J-02", "J-03", "J-04"]


def test_outline_round_a_place_of_the_drawing() -> None:
    """The lines across part the room: round 3000, 3000 lies 4 by 3 m, taken as a corner joint with its room side."""
    corner = ("--kind", "wall-base", "--room-side", "left")
    assert trace("--outline", "3000,3000", *corner, "--take") == 0
    assert joints() == [("J-01", Kind.WALL_BASE, Face.CORNER, 14.0)]
    (joint,) = job_in("pit", at=now()).joints.values()
    assert joint.closed
    assert joint.room_side is Side.LEFT


def test_height_on_a_wall_is_another_place() -> None:
    """A floor joint and one on the wall at 1.2 m lie over the same line; neither is a duplicate of the other."""
    assert trace("--layer", "LIMITS", "--take", "1") == 0
    assert trace("--layer", "LIMITS", "--face", "wall", "--height", "1.2", "--take", "1") == 0
    kept = list(job_in("pit", at=now()).joints.values())
    assert [(joint.face, joint.height_m) for joint in kept] == [(Face.FLOOR, 0.0), (Face.WALL, 1.2)]


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ((), 2, "Nothing to trace is given"),
        (("--layer", "DOORS"), 3, "no lines on a layer DOORS; layers with lines are: LIMITS, WALLS"),
        (("--outline", "50000,0"), 3, "No lines close round this place"),
        (("--layer", "LIMITS", "--take", "3"), 2, "The list has 2 lines, so there is no 3."),
        (("--layer", "LIMITS", "--take", "2-1"), 2, '"2-1" are no numbers of a list'),
        (("--layer", "LIMITS", "--kind", "seam"), 2, "--kind"),
        (("--layer", "LIMITS", "--height", "1"), 2, "these lie on the floor"),
        (("--layer", "LIMITS", "--room-side", "left"), 2, "these lie on the floor"),
        (("--layer", "LIMITS", "--least", "-1"), 2, "is no length"),
        (("--layer", "WALLS", "--least", "99", "--take"), 2, "nothing is proposed"),
    ],
)
def test_what_cannot_be_traced(
    words: tuple[str, ...], code: int, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each wrong call is one sentence, and the job stays as it was."""
    assert trace(*words) == code
    printed = capsys.readouterr().err
    assert said in printed
    assert len(printed.strip().splitlines()) == 1
    assert not joints()


def test_new_job_takes_a_layer_with_kind_and_face(capsys: pytest.CaptureFixture[str]) -> None:
    """A line that lies on a joint of the table is left out and said, or taken with --twice; short ones by --least."""
    Path("joints.csv").write_text('ref,sheet,kind,wkt\nJ-7,B2,crack,"LINESTRING (0 1, 6 1)"\n', encoding="utf-8")
    layer = ("--drawing", "b2.dxf", "--unit", "mm", "--sheet", "B2", "--joints-from-layer", "LIMITS")
    table = ("--joints", "joints.csv", "--kind", "contraction")
    capsys.readouterr()
    assert main(["new", "one", *layer, *table]) == 4
    assert "A line of 6.000 m from 0.00, 1.00 on layer LIMITS lies on J-7; it is left out." in capsys.readouterr().out
    kept = list(job_in("one", at=now()).joints.values())
    assert [(joint.ref, joint.kind, joint.length_m) for joint in kept] == [
        ("J-7", Kind.CRACK, 6.0),
        ("J-08", Kind.CONTRACTION, 4.0),
    ]
    assert main(["new", "two", *layer, *table, "--twice"]) == 0
    assert len(job_in("two", at=now()).joints) == 3
    assert main(["new", "wall", *layer, "--face", "wall", "--height", "1.5", "--least", "5"]) == 4
    (joint,) = job_in("wall", at=now()).joints.values()
    assert (joint.face, joint.height_m, joint.length_m) == (Face.WALL, 1.5, 6.0)


def test_what_lines_become_needs_a_layer(capsys: pytest.CaptureFixture[str]) -> None:
    """A kind without --joints-from-layer is a wrong call, and no job is made."""
    assert main(["new", "three", "--drawing", "b2.dxf", "--kind", "crack"]) == 2
    assert (
        "--kind says what lines of a layer become; give the layer with --joints-from-layer." in capsys.readouterr().err
    )
    assert not Path("three.gpkg").exists()


def test_blank_sheet_has_nothing_to_trace(capsys: pytest.CaptureFixture[str]) -> None:
    """It is said in one sentence."""
    Path("joints.csv").write_text('ref,sheet,kind,wkt\nJ-1,B1,crack,"LINESTRING (0 0, 3 0)"\n', encoding="utf-8")
    assert main(["new", "blank", "--joints", "joints.csv"]) == 0
    assert main(["trace", "blank", "--sheet", "B1", "--layer", "WALLS"]) == 2
    assert "B1 has no drawing, so there are no lines to trace." in capsys.readouterr().err


def test_job_that_is_open_elsewhere_can_be_listed(capsys: pytest.CaptureFixture[str]) -> None:
    """While somebody changes the job, proposals are listed all the same; taking is refused."""
    with for_change("pit", at=now()):
        assert trace("--layer", "LIMITS") == 0
        assert trace("--layer", "LIMITS", "--take") == 3
    assert "Nothing was changed" in capsys.readouterr().err
