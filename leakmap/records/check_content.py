"""Checks what a job file holds against our own rules: rows, files, the journal, and the job itself."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing
from typing import Any, Final
from uuid import UUID

from leakmap.base.errors import UnusableJobFile
from leakmap.base.findings import Finding
from leakmap.model.faults import faults
from leakmap.model.job import Job
from leakmap.model.revision import Revision
from leakmap.records.blobs import sha256_of
from leakmap.records.codec import value_of
from leakmap.records.differences import Places
from leakmap.records.frozen import job_of_frozen
from leakmap.records.geopackage import points_of
from leakmap.records.journal import KINDS, Entry, entries, row_text
from leakmap.records.layout import ITEM_TABLES, LEAKS, OWN, OwnFields
from leakmap.records.rows import (
    Unreadable,
    item_of,
    item_rows,
    own_fields,
    part_of,
    part_rows,
    part_table_rows,
    read_job,
    read_own,
    read_parts,
)

_JOINTS: Final = next(table for table in ITEM_TABLES if table.name == "joints")


def content_findings(connection: sqlite3.Connection) -> tuple[list[Iterator[Finding]], bool]:
    """What is broken in the content, as steps to run, and whether the job could be read, so that its faults are told."""
    steps = [_single_row_findings(connection), _blob_findings(connection), _parsed_findings(connection)]
    try:
        job, places = read_job(connection)
    except (Unreadable, sqlite3.Error):
        return [*steps, _row_findings(connection), _journal_findings(connection, None, {})], False
    return [
        *steps,
        iter(faults(job)),
        _shape_findings(connection, job, places),
        _source_findings(connection, job),
        _photo_findings(connection, job),
        _revision_findings(connection, job),
        _journal_findings(connection, job, places),
    ], True


def _broken(problem: Unreadable) -> Finding:
    where = problem.table if problem.place is None else f"{problem.table}, row {problem.place}"
    return Finding("row", where, f"This cannot be read: {problem}.")


def _single_row_findings(connection: sqlite3.Connection) -> Iterator[Finding]:
    for table in ("leakmap_schema", "leakmap_lock", "leakmap_begun"):
        number = connection.execute(f'SELECT count(*) FROM "{table}"').fetchone()[0]  # noqa: S608 - our own names
        if number > 1:
            yield Finding("row", table, f"The table {table} holds {number} rows instead of one.")


def _row_findings(connection: sqlite3.Connection) -> Iterator[Finding]:
    """Every row that holds nothing readable."""
    for table in ITEM_TABLES:
        for part in table.parts:
            for row in part_table_rows(connection, part):
                try:
                    part_of(part, row)
                except Unreadable as problem:
                    yield _broken(problem)
        try:
            parts = read_parts(connection, table)
        except Unreadable:
            parts = {part.name: {} for part in table.parts}
        for row in item_rows(connection, table):
            try:
                item_of(table, row, parts)
            except Unreadable as problem:
                if not _geometry_is_it(table.name, row):
                    yield _broken(problem)
    try:
        read_own(connection)
    except Unreadable as problem:
        yield _broken(problem)


def _geometry_is_it(table: str, row: tuple[Any, ...]) -> bool:
    """Whether a joint cannot be read because of its geometry, which has a finding of its own."""
    if table != _JOINTS.name:
        return False
    try:
        points_of(row[-1])
    except ValueError:
        return True
    return False


def _shape_findings(connection: sqlite3.Connection, job: Job, places: Places) -> Iterator[Finding]:
    """Geometries of leaks and blind stretches that are not those of their chainages."""
    shapes = _shapes(connection, "leaks", "fid")
    for key, leak in job.leaks.items():
        shape = shapes.get(places["leaks"][key])
        if leak.joint in job.joints and LEAKS.shape is not None and _differs(shape, LEAKS.shape(job, leak)):
            yield Finding("shape", leak.ref, f"{leak.ref} is drawn elsewhere than its chainages say.")
    (blind,) = _JOINTS.parts
    drawn = _shapes(connection, blind.name, "joint, place")
    for joint in job.joints.values():
        for shape, owner, place, *_ in part_rows(job, blind, joint):
            if _differs(drawn.get((owner, place)), shape):
                yield Finding("shape", joint.ref, f"A blind stretch of {joint.ref} is not drawn where it is.")


def _shapes(connection: sqlite3.Connection, table: str, key: str) -> dict[Any, Any]:
    rows = connection.execute(f"SELECT geom, {key} FROM {table}")  # noqa: S608 - our own names
    return {keys[0] if len(keys) == 1 else tuple(keys): shape for shape, *keys in rows}


def _differs(found: object, wanted: bytes) -> bool:
    """Whether a geometry is sound but not the one wanted; what is not sound has a finding of its own."""
    if found == wanted:
        return False
    try:
        points_of(found)
    except ValueError:
        return False
    return True


def _blob_findings(connection: sqlite3.Connection) -> Iterator[Finding]:
    with closing(connection.execute("SELECT fid, sha256, size, content FROM blobs ORDER BY fid")) as rows:
        for key, sha256, size, content in rows:
            if not isinstance(content, bytes) or sha256_of(content) != sha256:
                yield Finding("file-damaged", sha256, f"File {key} inside the job is not what its SHA-256 says.")
            elif len(content) != size:
                yield Finding("file-damaged", sha256, f"File {key} inside the job has not the size that is noted.")


def _parsed_findings(connection: sqlite3.Connection) -> Iterator[Finding]:
    kept = _hashes(connection)
    with closing(connection.execute("SELECT fid, source_sha256, sha256, content FROM parsed_drawings")) as rows:
        for key, source, sha256, content in rows:
            if not isinstance(content, bytes) or sha256_of(content) != sha256:
                yield Finding("kept-drawing", source, f"Drawing {key} as read is damaged; it is read anew when needed.")
            if source not in kept:
                yield Finding("kept-drawing", source, f"Drawing {key} as read belongs to no file in the job.")


def _hashes(connection: sqlite3.Connection) -> dict[str, int]:
    """Sizes of the files in the job by hash."""
    return dict(connection.execute("SELECT sha256, size FROM blobs"))


def _source_findings(connection: sqlite3.Connection, job: Job) -> Iterator[Finding]:
    kept = _hashes(connection)
    for sheet in job.sheets.values():
        if sheet.source is not None and sheet.source.sha256 not in kept:
            yield Finding("missing-file", sheet.name, f"The drawing of {sheet.name}, {sheet.source.name}, is missing.")


def _photo_findings(connection: sqlite3.Connection, job: Job) -> Iterator[Finding]:
    kept = _hashes(connection)
    for leak in job.leaks.values():
        for photo in leak.photos:
            if photo.sha256 not in kept:
                yield Finding("missing-file", leak.ref, f"A photo of {leak.ref}, {photo.name}, is missing.")


def _revision_findings(connection: sqlite3.Connection, job: Job) -> Iterator[Finding]:
    """Files of revisions that are missing, or cannot be what they should be."""
    kept = _hashes(connection)
    for revision in job.revisions.values():
        for paper in revision.papers:
            if paper.sha256 not in kept:
                yield _missing(revision, f"the paper {paper.name}")
            elif kept[paper.sha256] != paper.size:
                yield Finding("issued-file", revision.name, f"{paper.name} of {revision.name} has another size.")
        for what, sha256, read in (
            ("frozen job", revision.job_sha256, job_of_frozen),
            ("schedule", revision.schedule_sha256, value_of),
        ):
            if sha256 not in kept:
                yield _missing(revision, f"the {what}")
            elif not _reads(connection, sha256, read):
                yield Finding("issued-file", revision.name, f"The {what} of {revision.name} cannot be read.")


def _missing(revision: Revision, what: str) -> Finding:
    return Finding("missing-file", revision.name, f"Of {revision.name} {what} is missing.")


def _reads(connection: sqlite3.Connection, sha256: str, read: Any) -> bool:  # noqa: ANN401 - any reader of a text
    """Whether a file can be read; one that is damaged has a finding of its own."""
    (content,) = connection.execute("SELECT content FROM blobs WHERE sha256 = ?", (sha256,)).fetchone()
    if not isinstance(content, bytes) or sha256_of(content) != sha256:
        return True
    try:
        read(content.decode("utf-8"))
    except (UnusableJobFile, ValueError):
        return False
    return True


def _journal_findings(connection: sqlite3.Connection, job: Job | None, places: Places) -> Iterator[Finding]:
    """Entries that are missing or unreadable, and rows that are not what the latest entry made of them."""
    numbers = [number for (number,) in connection.execute("SELECT fid FROM journal ORDER BY fid")]
    for before, number in zip([0, *numbers], numbers, strict=False):
        if number != before + 1:
            yield Finding("journal-gap", str(number), f"The journal lacks what was done before entry {number}.")
    if not numbers:
        yield Finding("journal-gap", "", "The journal is empty.")
    latest: dict[tuple[str, str], tuple[Entry, Any]] = {}
    try:
        for entry in entries(connection):
            latest |= {(name, key): (entry, row) for name, rows in entry.after.items() for key, row in rows.items()}
    except Unreadable as problem:
        yield _broken(problem)
        return
    if job is not None:
        yield from _outside_findings(job, places, latest)


def _outside_findings(
    job: Job, places: Places, latest: Mapping[tuple[str, str], tuple[Entry, Any]]
) -> Iterator[Finding]:
    for (name, key), (entry, row) in latest.items():
        if _now(job, places, name, UUID(key)) != row:
            label = row["item"].get("ref", "") if row else ""
            what = label or f"An item of {name}"
            yield Finding(
                "changed-outside", label, f"{what} was changed by another program after entry {entry.sequence}."
            )


def _now(job: Job, places: Places, name: str, key: UUID) -> Any:  # noqa: ANN401 - a plain JSON value
    """An item and its place as the journal would keep them now; None where it is not in the job."""
    if name == OWN:
        return value_of(row_text(OwnFields, own_fields(job), None))
    items = getattr(job, name)
    return value_of(row_text(KINDS[name], items[key], places[name][key])) if key in items else None
