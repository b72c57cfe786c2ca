"""Field sheets out and their filled table in: blank strips and a table to fill, and the leaks of a table that comes back.

What is read is judged before anything is taken: a row that cannot be a leak is left out and said, one that was marked
already too; the rest is one step of undo.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import Final
from uuid import UUID, uuid4

from leakmap.base.counted import many
from leakmap.base.errors import BadValue
from leakmap.base.file_names import safe_name
from leakmap.base.findings import Effect, Finding
from leakmap.base.length_text import metres_of
from leakmap.base.locales import ungrouped
from leakmap.base.measures import FLOW, Units
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.base.rounding import decimal_of
from leakmap.base.sentences import capital
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M
from leakmap.model.job import Job
from leakmap.model.leak import Leak
from leakmap.model.printed import printed
from leakmap.records.tables.book_table import is_workbook, read_book
from leakmap.records.tables.reading import leaks_in
from leakmap.records.tables.rows import LeakRow
from leakmap.records.tables.table import Cells, Table, left_out, read_table
from leakmap.repair.results import Repairs
from leakmap.work.edits.edit import Changes, Edit, edited
from leakmap.work.new_job import Composed, with_rows
from leakmap.work.papers import Papers
from leakmap.work.typed import day_of

COLUMNS: Final = ("joint", "from", "to", "wetness", "seen", "flow", "note")
_ASKED: Final = COLUMNS[1:]
_OFFICE_DAY_0: Final = date(1899, 12, 30)
"""Day 0 of the numbers by which office programs keep days (from memory)."""

_OFFICE_DAYS: Final = range(36_526, 73_051)
"""Numbers of days that are taken for days: those of 2000 to 2099."""

_PLACES: Final = Decimal("0.000000001")


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldRows:
    """A filled table as read.

    Attributes:
        name: Of its file.
        rows: Rows that could be leaks.
        findings: What was noticed, of rows that could not among others.
    """

    name: str
    rows: tuple[LeakRow, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldLeaks:
    """What taking a table would do.

    Attributes:
        edit: The deed; None where no row can be taken.
        leaks: The leaks that it makes.
        findings: What a person should know before it is done.
    """

    edit: Edit | None
    leaks: tuple[Leak, ...]
    findings: tuple[Finding, ...]


def field_papers(
    job: Job, repairs: Repairs, *, at: datetime, paper: str | None = None, progress: Progress = UNWATCHED
) -> Papers:
    """Blank sheets and the table to fill, by file name.

    Args:
        job: The job.
        repairs: Its work-out.
        at: When, with time zone.
        paper: What they are printed on; None: the small paper of the office.
        progress: Watches.

    Raises:
        Stopped: The watcher asked to stop.
    """
    from leakmap.issue.field_sheets.entry import entry_xlsx  # noqa: PLC0415 - large libraries, which no window waits for
    from leakmap.issue.field_sheets.field_sheets import field_sheets  # noqa: PLC0415

    progress.report("Drawing the field sheets", 0, None)
    sheets = field_sheets(job, repairs, at=at, paper=paper)
    stem = safe_name(job.name)
    files = {f"{stem} field sheets.pdf": sheets.data, f"{stem} field table.xlsx": entry_xlsx(job, at=at, paper=paper)}
    return Papers(files=files, findings=sheets.findings)


def read_field(content: bytes, name: str, units: Units, *, progress: Progress = UNWATCHED) -> FieldRows:
    """Read a filled table, workbook or CSV; rows in which only the joint stands are none.

    Args:
        content: The file.
        name: Its name.
        units: What figures without a unit are in.
        progress: Watches.

    Raises:
        UnusableTable: It is no table of leaks, or too large.
        Stopped: The watcher asked to stop.
    """
    progress.report(f"Reading {name}", 0, None)
    table = (
        read_book(content, name, columns=COLUMNS)
        if is_workbook(content)
        else read_table(content, name, columns=COLUMNS, needed=[("joint", "from", "wetness")])
    )
    plain: list[Cells] = []
    findings = list(table.findings)
    for cells in table.rows:
        if not any(cells.text(column).strip() for column in _ASKED):
            continue
        try:
            plain.append(_plain(cells, units, findings))
        except BadValue as problem:
            findings.append(left_out(cells, problem))
    rows, noticed = leaks_in(Table(name, tuple(plain)))
    return FieldRows(name=name, rows=rows, findings=(*findings, *noticed))


def leaks_from(job: Job, read: FieldRows, *, new_id: Callable[[], UUID] = uuid4) -> FieldLeaks:
    """What taking a table would do to a job; nothing is done yet.

    Args:
        job: The job.
        read: The table as read.
        new_id: Gives ids.
    """
    fresh: list[LeakRow] = []
    findings = list(read.findings)
    by_ref = {joint.ref: joint.id for joint in job.joints.values()}
    marked = [(leak.ref, leak.joint, *_ends(job, leak)) for leak in job.leaks.values()]
    for row in read.rows:
        joint, (start, end) = by_ref.get(row.joint.strip()), _row_ends(row)
        on = [(ref, a, b) for ref, key, a, b in marked if key == joint]
        same = next((ref for ref, a, b in on if _near(a, start) and _near(b, end)), None)
        if same is not None:
            findings.append(
                _finding(row, f"{row.joint} is marked there already as {same}. The row is left out.", lost=True)
            )
            continue
        over = next((ref for ref, a, b in on if min(b, end) - max(a, start) > DRAWING_TOLERANCE_M), None)
        if over is not None:
            findings.append(_finding(row, f"it lies over {over} in part; the wettest counts."))
        fresh.append(row)
        if joint is not None:
            marked.append((row.where, joint, start, end))
    made = with_rows(Composed(job=job), leaks=fresh)
    new = {key: leak for key, leak in made.job.leaks.items() if key not in job.leaks}
    findings += made.findings
    if not new:
        return FieldLeaks(edit=None, leaks=(), findings=tuple(findings))
    leaks = {leak.id: leak for leak in (replace(leak, id=new_id()) for leak in new.values())}
    edit = edited(
        job, Changes(leaks=leaks), words=f"take {many(len(leaks), 'leak')} from {read.name}",
        made=leaks, numbers=made.job.numbers,
    )  # fmt: skip
    return FieldLeaks(edit=edit, leaks=tuple(leaks.values()), findings=tuple(findings))


def told(job: Job, found: FieldLeaks) -> Iterator[str]:
    """The leaks that would be taken, a line for each."""
    for leak in found.leaks:
        joint = job.joints[leak.joint]
        start, stop = printed(job, joint, leak.from_m), printed(job, joint, leak.to_m)
        ends = f"spot at {start}" if leak.from_m == leak.to_m else f"{start} to {stop}"
        yield f"{leak.ref}  {joint.ref}  {ends}  {leak.wetness.word}"


def _plain(cells: Cells, units: Units, findings: list[Finding]) -> Cells:
    """A row in the words of ``leaks.csv``: exact metres, a plain day, litres a minute.

    Raises:
        BadValue: A length, a day or a flow cannot be read.
    """
    joint, from_m = cells.named("joint"), _metres(cells, "from", units)
    assert from_m
    said = {
        "joint": joint,
        "from_m": from_m,
        "to_m": _metres(cells, "to", units) or from_m,
        "wetness": _wetness(cells.text("wetness")),
        "seen": _day(cells, units, findings),
        "flow_l_min": _flow(cells, units),
        "note": cells.text("note"),
    }
    return Cells(cells.row, cells.table, said)


def _metres(cells: Cells, column: str, units: Units) -> str:
    words = (cells.named(column) if column == "from" else cells.text(column)).strip()
    if not words:
        return ""
    return f"{decimal_of(metres_of(words, units)).quantize(_PLACES).normalize():f}"


def _wetness(words: str) -> str:
    """A wetness without the word that a list puts behind its number.

    >>> _wetness("3 drip"), _wetness("jet"), _wetness("7")
    ('3', 'jet', '7')
    """
    number, _, rest = words.strip().partition(" ")
    return number if number.isdecimal() and rest.strip().isalpha() else words


def _day(cells: Cells, units: Units, findings: list[Finding]) -> str:
    words = cells.text("seen").strip()
    if not words:
        return ""
    if words.isdecimal() and int(words) in _OFFICE_DAYS:
        day = _OFFICE_DAY_0 + timedelta(days=int(words))
        text = f"seen is the number {words}, by which office programs keep a day; {day.isoformat()} is taken."
        findings.append(Finding("day-as-number", cells.where, f"{capital(cells.where)}: {text}", Effect.FIXED))
        return day.isoformat()
    return day_of(words, units.locale).isoformat()


def _flow(cells: Cells, units: Units) -> str:
    words = cells.text("flow").strip()
    if not words:
        return ""
    try:
        figure = Decimal(ungrouped(words, units.locale).replace(",", "."))
        kept = FLOW[units].kept(figure) if figure.is_finite() else None
    except (InvalidOperation, OverflowError):
        kept = None
    if kept is None:
        raise BadValue(f'flow is "{words}", which is not a number.')
    return f"{Decimal(repr(kept)):f}"


def _ends(job: Job, leak: Leak) -> tuple[float, float]:
    start = Fraction(job.joints[leak.joint].start_m)
    return float(Fraction(leak.from_m) + start), float(Fraction(leak.to_m) + start)


def _row_ends(row: LeakRow) -> tuple[float, float]:
    assert row.from_m is not None
    assert row.to_m is not None
    return float(row.from_m), float(row.to_m)


def _near(one: float, other: float) -> bool:
    return abs(one - other) <= DRAWING_TOLERANCE_M


def _finding(row: LeakRow, text: str, *, lost: bool = False) -> Finding:
    code, effect = ("marked-already", Effect.LOST) if lost else ("lies-over", Effect.LOOK)
    return Finding(code, row.where, f"{capital(row.where)}: {text}", effect)
