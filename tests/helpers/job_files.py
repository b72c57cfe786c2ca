"""Job files for tests: a job in which every field is filled, and files made and opened with fixed names and times."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from pathlib import Path
from uuid import UUID

from leakmap.base.measures import System, Units
from leakmap.geometry.placement import Placement
from leakmap.model.grid import Grid, axes_with_bays
from leakmap.model.job import Job, Numbers, OtherItem, WaterLevel
from leakmap.model.joint import Blind, Signed
from leakmap.model.leak import IssuedStretch, ReliefPoint
from leakmap.model.rates import Per, Rates
from leakmap.model.revision import Paper, Revision
from leakmap.model.rules import PlugExtent, Rules, Suspects
from leakmap.model.sheet import KnownLength, Reading, Source
from leakmap.model.words import Face, Kind, Method, Purpose, Side, Waterstop
from leakmap.records.blobs import ParsedKey, sha256_of
from leakmap.records.frozen import frozen_text
from leakmap.records.job_file import JobFile, create_job_file, open_job_file
from leakmap.records.tables.material_table import planning_materials
from tests.helpers.jobs import collar, cut, job_of, leak, line, parted, sheet, sheet_id, upright
from tests.helpers.small_jobs import photo

AT = datetime(2026, 11, 2, 9, 30, tzinfo=UTC)
DRAWING = b"0\nSECTION\n0\nENDSEC\n0\nEOF\n"
PARSED = b"strokes as read"
PHOTOS = (b"a.jpg", b"b.jpg")
KEY = ParsedKey(source_sha256=sha256_of(DRAWING), reader="dxf 1", options="unit=mm")
PAPERS = {"Pit P01 schedule.pdf": b"%PDF-1.7 schedule", "Pit P01 B1.dxf": b"0\nEOF\n"}
SCHEDULE = '{"schema": 1, "zones": []}'


def later(minutes: float) -> datetime:
    """Some minutes after ``AT``."""
    return AT + timedelta(minutes=minutes)


def full_job() -> Job:
    """A job in which every field that can be filled is, and most of them oddly; nothing was issued yet."""
    known = KnownLength(start=(0.1, 2.0), end=(1e-300, 1 / 3), length_m=0.1 + 0.2)
    placement = Placement(
        origin=(512_345.678, 1e-9), x_m_per_unit=0.001, y_m_per_unit=1 / 997, turn_deg=359.99, at_m=(-3.0, 7.1)
    )
    drawn = sheet(
        1,
        name='B1 "lower" — 下',
        source=Source(
            name="b1.dxf",
            sha256=sha256_of(DRAWING),
            unit=0.001,
            reading=Reading(page=1, crop=(0.0, 0.0, 6e4, 4.2e4), codepage="cp1252"),
        ),
        placement=placement,
        floor_level_m=-3.05,
        storey_height_m=3.2,
        north_deg=12.5,
        lengths=(known, replace(known, length_m=5.0)),
        each_way=True,
        left_behind=(((0.0, 0.5), (2000.0, 0.5)), ((10.0, 20.0),)),
        shown=(("walls; old", True), ("texts", False)),
    )
    sheets = [drawn, sheet(2), sheet(3, name="empty")]
    joints = [
        line(
            (0, 0),
            (4, 0),
            (4, 1 / 3),
            (5, 1 / 3),
            height_m=0.15,
            room_side=Side.LEFT,
            face=Face.CORNER,
            kind=Kind.WALL_BASE,
            start_m=-12.5,
            blind=(Blind(from_m=0.5, to_m=1.0, what="tank"), Blind(from_m=2, to_m=3, what="plant", cleared_by="us")),
            thickness_m=0.6,
            cover_m=0.05,
            waterstop=Waterstop.AT_DEPTH,
            waterstop_depth_m=0.3,
            tendons=False,
            seen_from="floor",
            repaired_from="scaffold",
            access="permit\nneeded",
        ),
        line((1, 1), (3, 1), (3, 3), closed=True, blind=(Blind(from_m=6, to_m=0.5, what="over the start"),)),
        line((0, 5), (2, 5), (2, 7), (0, 5)),  # open, yet it ends where it starts
        upright((4.0, 0.0), 3.2, head=2, kind=Kind.CONTRACTION, dormant=True),
        collar((2.5, 2.5), 0.3, on=2),
        collar((9.0, 9.0), 0.5, face=Face.WALL, height_m=1.2),
        line(
            (0, 8),
            (9, 8),
            kind=Kind.MOVEMENT,
            clearance_m=0.1,
            repair_anyway=Signed(name="A. Rook", reason="agreed", on=date(2024, 2, 29)),
        ),
    ]
    leaks = [
        leak(
            1,
            0.25,
            1.75,
            5,
            seen=date(2026, 10, 31),
            worst_m=1.0,
            flow_l_min=2.5,
            overrun_from_m=0.0,
            overrun_to_m=0.45,
            method=Method.DEEP_PLUG_RELIEF,
            note='He said "wet"; \x00 and 滴',
            photos=(photo("a.jpg"), photo("b.jpg")),
        ),
        leak(2, 6.0, 0.5, 3),
        leak(2, 0.0, joints[1].length_m, 1),
        leak(3, 2.0),
        leak(4, 0.0, 3.2, 4),
        leak(5, 0.1, 0.2, 0),
        leak(6, 0.3),
        leak(7, 8.0, 9.0),
    ]
    job = job_of(
        joints,
        leaks,
        cuts=[cut(1, 2.0), cut(7, 0.1)],
        parted=[parted(1, 4.0, 4, 0.0), parted(3, 0.0, 3, 4.8)],
        sheets=sheets,
        rules=Rules(
            overrun_m=(0.3, 0.31, 0.32, 0.4, 0.45, 1 / 3),
            suspects=Suspects.WATCH,
            plug_extent=PlugExtent.WET,
            measuring_step_m=Decimal("0.0010"),
            chargeable_step_m=None,
            water_contact="24 h",
        ),
        numbers=Numbers(joint=7, vertical=4, leak=8, zone=3),
        water=WaterLevel(level_m=-1.25, seen=date(2026, 10, 1), source="pipe 3"),
    )
    reliefs = [
        ReliefPoint(id=UUID(int=0x600 + n), joint=list(job.joints)[n], at_m=0.5, dropped=n == 1) for n in range(2)
    ]
    others = [OtherItem(id=UUID(int=0x700), sheet=sheet_id(2), what="tie holes", quantity=12, unit="no", note="x")]
    issued = [IssuedStretch(id=UUID(int=0x800), zone=3, joint=next(iter(job.joints)), from_m=0.0, to_m=2.0)]
    return replace(
        job,
        reliefs={item.id: item for item in reliefs},
        others={item.id: item for item in others},
        grid=Grid(
            origin=(-0.1, 1 / 3),
            letters=axes_with_bays("AB", (7.2,), towards_deg=12.5),
            numbers=axes_with_bays("12", (4.2,), towards_deg=-77.0),
        ),
        issued={item.id: item for item in issued},
        units=Units(System.METRIC, "de-AT"),
        materials=planning_materials(),
        rates=Rates(currency="CHF", per=Per.FOOT, slot=Decimal(0), slot_plug=Decimal("61.2345"), job=Decimal(950)),
        legal_owner="Tern Quay Trust",
        approver="B. Heron",
    )


def issued_job(job: Job, *, at: datetime = AT) -> Job:
    """The job with one revision more, of ``PAPERS`` and ``SCHEDULE``."""
    number = len(job.revisions) + 1
    revision = Revision(
        id=UUID(int=0x900 + number),
        number=number,
        purpose=Purpose.PRICE,
        to_whom="The client",
        by="A. Rook",
        at=at.astimezone(timezone(timedelta(hours=5, minutes=30))),
        job_sha256=sha256_of(frozen_text(job).encode()),
        schedule_sha256=sha256_of(SCHEDULE.encode()),
        papers=tuple(Paper(name=name, sha256=sha256_of(data), size=len(data)) for name, data in PAPERS.items()),
    )
    return replace(job, revisions={**job.revisions, revision.id: revision})


def make(folder: Path, job: Job | None = None, name: str = "pit.gpkg") -> Path:
    """A job file of a job (the full one unless said otherwise), with its drawing and the drawing as read."""
    path = folder / name
    create_job_file(path, job or full_job(), user="A. Rook", at=AT, sources=[DRAWING, *PHOTOS], parsed={KEY: PARSED})
    return path


def opened(path: Path, *, at: datetime = AT, look_only: bool = False) -> JobFile:
    """A job file opened on one computer."""
    return open_job_file(path, user="A. Rook", host="site-laptop-1", at=at, look_only=look_only)


def store(file: JobFile, job: Job, *, at: datetime = AT) -> Job:
    """Issue a job: the job with its new revision, stored."""
    new = issued_job(job, at=at)
    file.store_issue(
        new,
        frozen_job=frozen_text(job),
        schedule_json=SCHEDULE,
        papers=PAPERS,
        words=f"Issued {list(new.revisions.values())[-1].name}",
        user="A. Rook",
        at=at,
    )
    return new


@contextmanager
def database(path: Path) -> Iterator[sqlite3.Connection]:
    """The file as any other program opens it; keys between tables are not watched."""
    connection = sqlite3.connect(path, isolation_level=None)
    try:
        yield connection
    finally:
        connection.close()
