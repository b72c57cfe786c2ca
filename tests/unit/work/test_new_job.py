"""Composing a job from a drawing and tables."""

from __future__ import annotations

from uuid import UUID

import pytest

from leakmap.geometry.path import Path
from leakmap.model.drawing import UnitHint
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.sheet import Source
from leakmap.model.words import Face, Kind
from leakmap.records.tables.reading import read_blind, read_joints, read_leaks
from leakmap.records.tables.writing import (
    blind_csv,
    blind_rows,
    joint_rows,
    joints_csv,
    leak_rows,
    leaks_csv,
)
from leakmap.work.new_job import Composed, empty_job, with_drawing, with_lines, with_rows

JOINTS = """\
ref,sheet,kind,face,height_m,room_side,wkt,rise_m,head_sheet,diameter_m,start_m,dormant,waterstop
J-05,B2,construction,floor,,,"LINESTRING (0 0, 10 0)",,,,100.5,,
K 1,B2,wall-base,,,left,"LINESTRING (0 0, 4 0, 4 3, 0 3, 0 0)",,,,,,none
V-02,B2,crack,,0.2,,POINT (10 0),3.1,B1,,,yes,
P-1,B1,pipe collar,,1.5,,POINT (2 2),,,0.3,,,
S,B2,construction,soffit,,,"LINESTRING (0 6, 10 6)",,,,,,
"""
BLIND = "joint,from_m,to_m,what\nJ-05,101,102.5,tank\nK 1,13.5,0.5,plant\n"
LEAKS = """\
ref,joint,from_m,to_m,wetness,seen,overrun_from_m,overrun_to_m,flow_l_min,worst_m,note
,J-05,103,104,run,2026-05-06,,0.6,1.5,103.25,warm
L-01,K 1,13,1,2,,,,,,
L-07,V-02,0,0,1,,,,,,
"""


def composed(
    joints: str = JOINTS, blind: str = "joint,from_m,to_m\n", leaks: str = "joint,from_m,to_m,wetness\n"
) -> Composed:
    """A job made of three tables, which must read without findings."""
    rows, noticed = zip(
        read_joints(joints.encode()), read_blind(blind.encode()), read_leaks(leaks.encode()), strict=True
    )
    assert noticed == ((), (), ())
    return with_rows(empty_job("Tern Quay"), joints=rows[0], blind=rows[1], leaks=rows[2])


def joint(job: Job, ref: str) -> Joint:
    """The joint of a reference."""
    return next(item for item in job.joints.values() if item.ref == ref)


def sheet(job: Job, name: str) -> UUID:
    """The id of a sheet."""
    return next(item.id for item in job.sheets.values() if item.name == name)


def test_tables_become_a_job() -> None:
    """Sheets in the order named, joints by their course, raw chainages, and numbers that no row bears for the rest."""
    made = composed(blind=BLIND, leaks=LEAKS)
    job = made.job
    assert made.findings == ()
    assert [item.name for item in job.sheets.values()] == ["B2", "B1"]
    assert joint(job, "K 1").closed
    assert joint(job, "K 1").face is Face.CORNER
    assert (joint(job, "V-02").vertical, joint(job, "V-02").head_sheet) == (True, sheet(job, "B1"))
    assert joint(job, "P-1").kind is Kind.PIPE_COLLAR
    leaks = {leak.ref: leak for leak in job.leaks.values()}
    assert set(leaks) == {"L-01", "L-07", "L-08"}
    assert (leaks["L-08"].from_m, leaks["L-08"].to_m, leaks["L-08"].worst_m) == (2.5, 3.5, 2.75)
    assert [(blind.from_m, blind.to_m) for blind in joint(job, "J-05").blind] == [(0.5, 2.0)]


def test_what_a_job_writes_makes_the_same_job() -> None:
    """Tables of a job, read and composed again, give the same rows."""
    job = composed(blind=BLIND, leaks=LEAKS).job
    again = composed(joints_csv(job), blind_csv(job), leaks_csv(job)).job
    assert joint_rows(again) == joint_rows(job)
    assert blind_rows(again) == blind_rows(job)
    assert leak_rows(again) == leak_rows(job)


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ('X,B2,crack,"LINESTRING (0 0, 1 0)",3,,', "LINESTRING: it has no rise_m"),
        ("X,B2,crack,POINT (0 0),,,", "either rise_m or diameter_m"),
        ("X,B2,pipe collar,POINT (0 0),3,,0.2", "either rise_m or diameter_m"),
        ("X,B2,crack,POINT (0 0),,,0.2", "must be pipe collar"),
        ("X,B2,crack,POINT (0 0),-3,,", "rise"),
        ('X,B2,crack,"LINESTRING (0 0, 0.004 0)",,,', "longer than 10 mm"),
    ],
)
def test_joints_that_cannot_be_drawn(row: str, words: str) -> None:
    """A joint without a single course, or with measures that do not fit, is left out with its reason."""
    good = 'J-01,B2,crack,"LINESTRING (0 0, 1 0)",,,'
    made = composed(f"ref,sheet,kind,wkt,rise_m,head_sheet,diameter_m\n{row}\n{good}\n")
    assert [item.ref for item in made.job.joints.values()] == ["J-01"]
    (finding,) = made.findings
    assert finding.where == "row 2 of joints.csv"
    assert finding.text.startswith("Row 2 of joints.csv: ")
    assert words in finding.text
    assert finding.text.endswith("The row is left out.")


def test_leaks_that_lie_on_nothing() -> None:
    """An unknown joint, a chainage past the end or before the printed start, and a backward stretch are left out."""
    made = composed(
        leaks="joint,from_m,to_m,wetness\nJ-99,0,1,1\nJ-05,110,111,1\nJ-05,0,1,1\nJ-05,104,103,1\nJ-05,103,103.5,1\n"
    )
    assert [finding.where for finding in made.findings] == [f"row {n} of leaks.csv" for n in (2, 3, 4, 5)]
    assert "no joint J-99" in made.findings[0].text
    assert "past the end" in made.findings[1].text
    assert len(made.job.leaks) == 1


def test_no_leak_reference_is_given_twice() -> None:
    """A reference that differs by outer spaces alone is the same, and a row that bears none gets a free number."""
    leaks = 'ref,joint,from_m,to_m,wetness\n,J-05,101,101,1\n"L-01",J-05,102,102,1\n"L-01 ",J-05,103,103,1\n'
    rows, noticed = read_leaks(leaks.encode())
    assert len(noticed) == 1
    made = with_rows(composed(), leaks=rows)
    assert sorted(leak.ref for leak in made.job.leaks.values()) == ["L-01", "L-02"]
    again = with_rows(made, leaks=rows)
    assert [finding.where for finding in again.findings] == ["row 3 of leaks.csv"]
    assert sorted(leak.ref for leak in again.job.leaks.values()) == ["L-01", "L-02", "L-03"]


def test_the_nearest_joint_within_half_a_metre_takes_a_leak() -> None:
    """0.5 m is near enough and 0.51 m is not; the chainage is that of the foot on the joint."""
    made = composed(leaks="sheet,x,y,wetness\nB2,7,-0.5,3\nB2,7,-0.51,3\nB9,7,0,3\n")
    (leak,) = made.job.leaks.values()
    assert (leak.joint, leak.from_m, leak.to_m) == (joint(made.job, "J-05").id, 7.0, 7.0)
    assert "No joint lies within 0.5 m" in made.findings[0].text
    assert [finding.where for finding in made.findings] == ["row 3 of leaks.csv", "row 4 of leaks.csv"]


def test_a_leak_as_near_to_two_joints_is_said() -> None:
    """On a junction the first joint takes the leak, and a person is told of the other."""
    made = composed(leaks="sheet,x,y,wetness\nB2,2,0.1,3\n")
    assert "J-05 takes the leak; K 1 lies just as near." in made.findings[0].text
    assert len(made.job.leaks) == 1


def test_a_vertical_joint_takes_a_leak_at_its_foot() -> None:
    """A plan position says nothing of height, so the foot is taken and a person is told."""
    made = composed("ref,sheet,kind,wkt,rise_m\nV-01,B2,crack,POINT (5 5),3\n", leaks="sheet,x,y,wetness\nB2,5,5.2,2\n")
    (leak,) = made.job.leaks.values()
    assert leak.from_m == 0.0
    assert "foot" in made.findings[0].text


def test_a_drawing_is_placed_by_its_unit() -> None:
    """The user's unit counts before the reader's hint; with neither, 1 unit is 1 m and that is a finding."""
    hint = UnitHint(0.001, "the header says millimetre")
    source = Source(name="b2.dxf", sha256="0" * 64)

    def scale(source: Source, hint: UnitHint) -> tuple[float, int]:
        made = with_drawing(empty_job("x"), sheet="B2", source=source, hint=hint)
        (only,) = made.job.sheets.values()
        return only.placement.x_m_per_unit, len(made.findings)

    assert scale(source, hint) == (0.001, 0)
    assert scale(Source(name="b2.dxf", sha256="0" * 64, unit=0.0254), hint) == (0.0254, 0)
    assert scale(source, UnitHint(None, "the header has no unit")) == (1.0, 1)


def test_lines_of_a_layer_become_joints() -> None:
    """Each line is a construction joint in the floor; one that is too short is a finding."""
    made = with_drawing(
        empty_job("x"), sheet="B2", source=Source(name="a.dxf", sha256="0" * 64), hint=UnitHint(1.0, "metre")
    )
    lines = [
        Path(((0.0, 0.0), (3.0, 0.0))),
        Path(((0.0, 0.0), (0.005, 0.0))),
        Path(((0.0, 0.0), (1.0, 0.0), (1.0, 1.0)), closed=True),
    ]
    made = with_lines(made, sheet="B2", lines=lines)
    assert [(item.ref, item.kind, item.face, item.closed) for item in made.job.joints.values()] == [
        ("J-01", Kind.CONSTRUCTION, Face.FLOOR, False),
        ("J-02", Kind.CONSTRUCTION, Face.FLOOR, True),
    ]
    assert [finding.code for finding in made.findings] == ["line-left-out"]
