"""Writes a job's joints, blind stretches and leaks as tables for machines; reading them gives the same rows.

An open joint that ends where it starts is written like a closed one.
"""

from __future__ import annotations

from leakmap.base.csv_text import number_text, table_text
from leakmap.model.chainage import printed_m
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.records.tables.courses import wkt_of
from leakmap.records.tables.rows import BLIND_COLUMNS, JOINT_COLUMNS, LEAK_COLUMNS, BlindRow, JointRow, LeakRow


def joint_rows(job: Job) -> tuple[JointRow, ...]:
    """Every joint of a job as a row."""
    return tuple(_joint_row(job, joint) for joint in job.joints.values())


def blind_rows(job: Job) -> tuple[BlindRow, ...]:
    """Every blind stretch of a job as a row."""
    return tuple(
        BlindRow(
            joint=joint.ref,
            from_m=printed_m(joint, blind.from_m),
            to_m=printed_m(joint, blind.to_m),
            what=blind.what,
        )
        for joint in job.joints.values()
        for blind in joint.blind
    )


def leak_rows(job: Job) -> tuple[LeakRow, ...]:
    """Every leak of a job as a row."""
    return tuple(_leak_row(job.joints[leak.joint], leak) for leak in job.leaks.values())


def joints_csv(job: Job) -> str:
    """The text of ``joints.csv``."""
    return table_text(JOINT_COLUMNS, map(_joint_cells, joint_rows(job)))


def blind_csv(job: Job) -> str:
    """The text of ``blind.csv``."""
    return table_text(
        BLIND_COLUMNS,
        ((row.joint, number_text(row.from_m), number_text(row.to_m), row.what) for row in blind_rows(job)),
    )


def leaks_csv(job: Job) -> str:
    """The text of ``leaks.csv``."""
    return table_text(LEAK_COLUMNS, map(_leak_cells, leak_rows(job)))


def _joint_row(job: Job, joint: Joint) -> JointRow:
    return JointRow(
        ref=joint.ref,
        sheet=job.sheets[joint.sheet].name,
        kind=joint.kind,
        face=joint.face,
        height_m=joint.height_m,
        room_side=joint.room_side,
        path=joint.path,
        point=joint.point,
        rise_m=joint.rise_m,
        head_sheet="" if joint.head_sheet is None else job.sheets[joint.head_sheet].name,
        diameter_m=joint.diameter_m,
        start_m=joint.start_m,
        dormant=joint.dormant,
        waterstop=joint.waterstop,
    )


def _joint_cells(row: JointRow) -> tuple[str, ...]:
    course = row.path or row.point
    assert course is not None
    return (
        row.ref,
        row.sheet,
        row.kind,
        row.face,
        number_text(row.height_m),
        row.room_side or "",
        wkt_of(course),
        number_text(row.rise_m),
        row.head_sheet,
        number_text(row.diameter_m),
        number_text(row.start_m),
        "yes" if row.dormant else "no",
        row.waterstop,
    )


def _leak_row(joint: Joint, leak: Leak) -> LeakRow:
    return LeakRow(
        ref=leak.ref,
        joint=joint.ref,
        from_m=printed_m(joint, leak.from_m),
        to_m=printed_m(joint, leak.to_m),
        wetness=leak.wetness,
        seen=leak.seen,
        overrun_from_m=leak.overrun_from_m,
        overrun_to_m=leak.overrun_to_m,
        flow_l_min=leak.flow_l_min,
        worst_m=None if leak.worst_m is None else printed_m(joint, leak.worst_m),
        note=leak.note,
    )


def _leak_cells(row: LeakRow) -> tuple[str, ...]:
    return (
        row.ref,
        row.joint,
        number_text(row.from_m),
        number_text(row.to_m),
        str(int(row.wetness)),
        "" if row.seen is None else row.seen.isoformat(),
        number_text(row.overrun_from_m),
        number_text(row.overrun_to_m),
        number_text(row.flow_l_min),
        number_text(row.worst_m),
        row.note,
    )
