"""Reads ``joints.csv``, ``blind.csv`` and ``leaks.csv``: rows of values, and a finding for every row left out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal
from typing import Final, TypeVar

from leakmap.base.errors import BadValue
from leakmap.base.findings import Finding
from leakmap.geometry.path import Path
from leakmap.model.words import Face, Kind, Side, Waterstop, Wetness
from leakmap.records.tables.courses import Course, course_of
from leakmap.records.tables.rows import (
    BLIND_COLUMNS,
    JOINT_COLUMNS,
    LEAK_COLUMNS,
    PLACE_COLUMNS,
    BlindRow,
    JointRow,
    LeakRow,
)
from leakmap.records.tables.table import Cells, Table, left_out, read_table

Row = TypeVar("Row")
_WETNESS: Final = {word: wetness for wetness in Wetness for word in (wetness.word, str(int(wetness)))}


def read_joints(content: bytes, name: str = "joints.csv") -> tuple[tuple[JointRow, ...], tuple[Finding, ...]]:
    """Rows of a table of joints; of two rows with one reference the first is kept.

    Raises:
        UnusableTable: It is no table, or lacks ref, sheet, kind or wkt.
    """
    table = read_table(content, name, columns=JOINT_COLUMNS, needed=[("ref", "sheet", "kind", "wkt")])
    return _rows(table, _joint, lambda row: row.ref)


def read_blind(content: bytes, name: str = "blind.csv") -> tuple[tuple[BlindRow, ...], tuple[Finding, ...]]:
    """Rows of a table of blind stretches.

    Raises:
        UnusableTable: It is no table, or lacks joint, from_m or to_m.
    """
    table = read_table(content, name, columns=BLIND_COLUMNS, needed=[("joint", "from_m", "to_m")])
    return _rows(table, _blind, lambda _: "")


def read_leaks(content: bytes, name: str = "leaks.csv") -> tuple[tuple[LeakRow, ...], tuple[Finding, ...]]:
    """Rows of a table of leaks; of two rows with one reference the first is kept.

    Raises:
        UnusableTable: It is no table, or lacks wetness, or both joint, from_m, to_m and sheet, x, y.
    """
    columns: Sequence[str] = (*LEAK_COLUMNS, *PLACE_COLUMNS)
    needed = [("joint", "from_m", "to_m", "wetness"), ("sheet", "x", "y", "wetness")]
    return leaks_in(read_table(content, name, columns=columns, needed=needed))


def leaks_in(table: Table) -> tuple[tuple[LeakRow, ...], tuple[Finding, ...]]:
    """Rows of a table of leaks that is cut into cells already."""
    return _rows(table, _leak, lambda row: row.ref)


def _rows(
    table: Table, made: Callable[[Cells], Row], ref_of: Callable[[Row], str]
) -> tuple[tuple[Row, ...], tuple[Finding, ...]]:
    kept: list[Row] = []
    findings = list(table.findings)
    refs: set[str] = set()
    for cells in table.rows:
        try:
            row = made(cells)
            ref = ref_of(row).strip()
            if ref in refs:
                raise BadValue(f"{ref} is there already.")  # noqa: TRY301 - every bad row takes one way out
        except BadValue as problem:
            findings.append(left_out(cells, problem))
            continue
        kept.append(row)
        refs |= {ref} - {""}
    return tuple(kept), tuple(findings)


def _joint(cells: Cells) -> JointRow:
    ref, sheet = cells.named("ref"), cells.named("sheet")
    cells.named("kind")
    kind = cells.word("kind", Kind)
    assert kind is not None
    course = course_of(cells.named("wkt"))
    line, point = (course, None) if isinstance(course, Path) else (None, course)
    return JointRow(
        where=cells.where,
        ref=ref,
        sheet=sheet,
        kind=kind,
        face=cells.word("face", Face) or _usual_face(kind, course),
        height_m=cells.number("height_m") or 0.0,
        room_side=cells.word("room_side", Side),
        path=line,
        point=point,
        rise_m=cells.number("rise_m"),
        head_sheet=cells.text("head_sheet"),
        diameter_m=cells.number("diameter_m"),
        start_m=cells.number("start_m") or 0.0,
        dormant=cells.yes("dormant"),
        waterstop=cells.word("waterstop", Waterstop) or Waterstop.UNKNOWN,
    )


def _usual_face(kind: Kind, course: Course) -> Face:
    """Corner for a wall-base joint, wall for what is a point in plan, floor for the rest."""
    if kind is Kind.WALL_BASE and isinstance(course, Path):
        return Face.CORNER
    return Face.FLOOR if isinstance(course, Path) else Face.WALL


def _blind(cells: Cells) -> BlindRow:
    return BlindRow(
        where=cells.where,
        joint=cells.named("joint"),
        from_m=_given(cells, "from_m"),
        to_m=_given(cells, "to_m"),
        what=cells.text("what"),
    )


def _leak(cells: Cells) -> LeakRow:
    by_joint = bool(cells.text("joint").strip())
    return LeakRow(
        where=cells.where,
        ref=cells.text("ref") if cells.text("ref").strip() else "",
        joint=cells.text("joint") if by_joint else "",
        from_m=_given(cells, "from_m") if by_joint else None,
        to_m=_given(cells, "to_m") if by_joint else None,
        sheet="" if by_joint else _place(cells),
        at=None if by_joint else (float(_given(cells, "x")), float(_given(cells, "y"))),
        wetness=_wetness(cells),
        seen=cells.day("seen"),
        overrun_from_m=cells.number("overrun_from_m"),
        overrun_to_m=cells.number("overrun_to_m"),
        flow_l_min=cells.number("flow_l_min"),
        worst_m=cells.exact("worst_m"),
        note=cells.text("note"),
    )


def _place(cells: Cells) -> str:
    if not cells.text("sheet").strip():
        raise BadValue("it has neither a joint nor a sheet with x and y.")
    return cells.text("sheet")


def _given(cells: Cells, column: str) -> Decimal:
    value = cells.exact(column)
    if value is None:
        raise BadValue(f"{column} is empty.")
    return value


def _wetness(cells: Cells) -> Wetness:
    word = cells.named("wetness").strip().lower()
    if word not in _WETNESS:
        raise BadValue(f'wetness is "{word}"; it must be 0 to 5, or suspect, damp, seep, drip, run or jet.')
    return _WETNESS[word]
