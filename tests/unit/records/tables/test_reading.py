"""Reading the three tables: defaults, findings row by row, and reading back what was written."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from uuid import UUID

import pytest

from leakmap.base.errors import UnusableTable
from leakmap.geometry.path import Path
from leakmap.model.chainage import printed_m, raw_m
from leakmap.model.job import Job
from leakmap.model.joint import Blind, Joint
from leakmap.model.leak import Leak
from leakmap.model.sheet import Sheet
from leakmap.model.words import Face, Kind, Side, Waterstop, Wetness
from leakmap.records.tables.reading import read_blind, read_joints, read_leaks
from leakmap.records.tables.rows import JointRow, LeakRow
from leakmap.records.tables.writing import (
    blind_csv,
    blind_rows,
    joint_rows,
    joints_csv,
    leak_rows,
    leaks_csv,
)

B2, B1, J, V, P, L = (UUID(int=n) for n in range(1, 7))


def tern_quay() -> Job:
    """A job with every kind of course and awkward names."""
    sheets = {B2: Sheet(id=B2, name=" B2, unter; Flur"), B1: Sheet(id=B1, name='B1 "öst"')}
    line = Path(((0.1, 0.2), (12.3456789, 0.2), (12.3456789, 1 / 3)), closed=True)
    joints = (
        Joint(
            id=J,
            ref="J/1 – alt",
            sheet=B2,
            kind=Kind.WALL_BASE,
            face=Face.CORNER,
            path=line,
            room_side=Side.LEFT,
            start_m=10.1,
            blind=(Blind(from_m=0.2, to_m=0.7, what="tank\nno. 2"),),
        ),
        Joint(
            id=V,
            ref="V-01",
            sheet=B2,
            kind=Kind.CRACK,
            face=Face.WALL,
            point=(3.0, 4.0),
            rise_m=3.2,
            head_sheet=B1,
            dormant=True,
        ),
        Joint(
            id=P,
            ref="=P",
            sheet=B1,
            kind=Kind.PIPE_COLLAR,
            face=Face.WALL,
            point=(0.0, 0.0),
            diameter_m=0.2,
            height_m=1.1,
            waterstop=Waterstop.NONE,
        ),
    )
    leak = Leak(
        id=L,
        ref="L-7a",
        joint=J,
        from_m=0.3,
        to_m=1 / 7,
        wetness=Wetness.RUN,
        seen=date(2026, 3, 4),
        worst_m=0.1,
        flow_l_min=2.5,
        overrun_from_m=0.0,
        note="drops; \"slow\", 'warm'",
    )
    return Job(id=UUID(int=9), name="Tern Quay", sheets=sheets, joints={j.id: j for j in joints}, leaks={L: leak})


def test_what_is_written_is_read_back_equal() -> None:
    """Every row of a job with awkward names and numbers comes back equal, without findings."""
    job = tern_quay()
    assert read_joints(joints_csv(job).encode()) == (joint_rows(job), ())
    assert read_blind(blind_csv(job).encode()) == (blind_rows(job), ())
    assert read_leaks(leaks_csv(job).encode()) == (leak_rows(job), ())
    assert len(joint_rows(job)) == 3


def test_chainages_in_tables_are_printed_chainages() -> None:
    """A joint that starts at 10.1 m has its first metre from 10.1 m, and coming back loses no bit."""
    job = tern_quay()
    joint = job.joints[J]
    assert blind_rows(job)[0].from_m == Decimal("10.3")
    assert raw_m(joint, printed_m(joint, 1 / 7)) == 1 / 7


def test_least_columns_of_joints() -> None:
    """Reference, sheet, kind and course are enough: the rest means its default."""
    rows, findings = read_joints(
        b'ref,sheet,kind,wkt\nA,B2,wall-base,"LINESTRING (0 0, 1 0)"\nB,B2,crack,POINT (1 2)\n'
    )
    assert findings == ()
    assert rows[0] == JointRow(
        ref="A", sheet="B2", kind=Kind.WALL_BASE, face=Face.CORNER, path=Path(((0.0, 0.0), (1.0, 0.0)))
    )
    assert (rows[1].face, rows[1].point, rows[1].where) == (Face.WALL, (1.0, 2.0), "row 3 of joints.csv")


def test_least_columns_of_leaks() -> None:
    """Joint, chainages and wetness are enough, and wetness may be a number or its word."""
    rows, findings = read_leaks(b"joint,from_m,to_m,wetness\nJ-1,1,2.5,3\nJ-1,3,3,Jet\n")
    assert findings == ()
    assert rows[0] == LeakRow(ref="", joint="J-1", from_m=Decimal(1), to_m=Decimal("2.5"), wetness=Wetness.DRIP)
    assert rows[1].wetness is Wetness.JET


def test_a_leak_by_position() -> None:
    """A row may give sheet, x and y instead of a joint; a table of such rows needs no other columns."""
    rows, findings = read_leaks(b"sheet,x,y,wetness\nB2,1.5,-2,damp\n")
    assert findings == ()
    assert (rows[0].sheet, rows[0].at, rows[0].from_m) == ("B2", (1.5, -2.0), None)


def test_a_bad_row_is_left_out_and_the_rest_kept() -> None:
    """Each bad row gives one sentence that names row, table, column and value; good rows stay."""
    table = (
        "ref,joint,from_m,to_m,wetness,seen,sheet,x,y\n"
        "L-1,J-1,0,1,2,,,,\n"
        "L-1,J-1,2,3,2,,,,\n"
        "L-2,J-1,nan,3,2,,,,\n"
        "L-3,J-1,0,,2,,,,\n"
        "L-4,J-1,0,1,9,,,,\n"
        "L-5,J-1,0,1,2,yesterday,,,\n"
        "L-6,,,,2,,,1,2\n"
        "L-7,,,,2,,B2,1,\n"
        'L-8,J-1,"0,5",1,2,,,,\n'
        "L-9,J-1,0,1,2,,,,\n"
    )
    rows, findings = read_leaks(table.encode())
    assert [row.ref for row in rows] == ["L-1", "L-9"]
    assert [finding.where for finding in findings] == [f"row {n} of leaks.csv" for n in range(3, 11)]
    texts = [finding.text for finding in findings]
    assert texts[0] == "Row 3 of leaks.csv: L-1 is there already. The row is left out."
    assert all(text.endswith("The row is left out.") for text in texts)
    for text, words in zip(
        texts,
        ("already", '"nan"', "to_m is empty", '"9"', "2026-11-25", "neither a joint", "y is empty", "decimal comma"),
        strict=True,
    ):
        assert words in text


def test_bad_joints_are_left_out() -> None:
    """A joint without reference, with an unknown kind or without course is left out with its reason."""
    table = (
        "ref,sheet,kind,wkt,start_m\n"
        ',B2,crack,"LINESTRING (0 0, 1 0)",\n'
        'A,B2,seam,"LINESTRING (0 0, 1 0)",\n'
        'B,B2,,"LINESTRING (0 0, 1 0)",\n'
        "C,B2,crack,LINESTRING (0 0),\n"
        'D,B2,crack,"LINESTRING (0 0, 1 0)",inf\n'
        'E,B2,crack,"LINESTRING (0 0, 1 0)",2\n'
    )
    rows, findings = read_joints(table.encode())
    assert [row.ref for row in rows] == ["E"]
    assert len(findings) == 5


@pytest.mark.parametrize(
    ("read", "heading"),
    [
        (read_joints, b"ref,sheet,kind\n"),
        (read_blind, b"joint,from_m\n"),
        (read_leaks, b"joint,from_m,wetness\n"),
        (read_leaks, b"sheet,x,y\n"),
    ],
)
def test_columns_that_must_be_there(read, heading: bytes) -> None:  # noqa: ANN001 - three functions of three types
    """A table without a column that it needs is refused as a whole."""
    with pytest.raises(UnusableTable, match="lacks columns"):
        read(heading)
