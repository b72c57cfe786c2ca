"""The check of a job file: each thing that is broken on purpose is one finding."""

from __future__ import annotations

import struct
from dataclasses import replace
from pathlib import Path

import pytest

from leakmap.base.errors import UnusableJobFile
from leakmap.records.check import check_job_file
from leakmap.records.geopackage import blob_of
from tests.helpers.job_files import database, later, make, opened, store
from tests.helpers.jobs import leak_id

DROPPED_TRIGGERS = "DROP TRIGGER journal_no_delete; DROP TRIGGER journal_no_update;"


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """Bytes of a whole job file with everything in it: edits, an issue with its papers, a drawing as read."""
    path = make(tmp_path_factory.mktemp("whole"))
    with opened(path) as file:
        noted = {**file.job.leaks, leak_id(2): replace(file.job.leaks[leak_id(2)], note="again")}
        file.save(replace(file.job, leaks=noted), words="Noted", user="A. Rook", at=later(1))
        job = store(file, file.job, at=later(2))
        file.save(replace(job, name="Pit 2"), words="Renamed", user="A. Rook", at=later(3))
    return path.read_bytes()


@pytest.fixture
def path(whole: bytes, tmp_path: Path) -> Path:
    """A copy of the whole job file."""
    copy = tmp_path / "pit.gpkg"
    copy.write_bytes(whole)
    return copy


def broken(path: Path, harm: str) -> list[str]:
    """Codes of what the check finds after some statements."""
    with database(path) as connection:
        connection.executescript(harm)
    return [finding.code for finding in check_job_file(path)]


def drawn(table: str, row: int, blob: bytes) -> str:
    """The statement that gives a row another geometry."""
    return f"UPDATE {table} SET geom = x'{blob.hex()}' WHERE fid = {row}"  # noqa: S608 - a test's own words


def test_a_whole_file_has_no_finding(path: Path) -> None:
    """A file that went through making, editing and issuing is whole, open or closed."""
    assert check_job_file(path) == ()
    with opened(path, at=later(4)):
        assert check_job_file(path) == ()


def test_checking_changes_nothing(path: Path) -> None:
    """The check reads only."""
    before = path.read_bytes()
    check_job_file(path)
    assert path.read_bytes() == before
    assert [each.name for each in path.parent.iterdir()] == ["pit.gpkg"]


LINE = blob_of([(0.0, 0.0), (4.0, 0.0), (4.0, 1 / 3)])

MARKS = {
    "PRAGMA application_id = 0": "application-id",
    "PRAGMA user_version = 1": "user-version",
    "PRAGMA journal_mode = WAL": "second-file",
}
LAYOUT = {
    "CREATE TABLE notes (fid INTEGER PRIMARY KEY)": "added-table",
    "CREATE VIEW wet AS SELECT * FROM leaks": "added-table",
    "CREATE TRIGGER dry AFTER UPDATE ON leaks BEGIN UPDATE leaks SET wetness = 0; END": "added-trigger",
    "DROP TRIGGER journal_no_delete": "missing-part",
    "DROP INDEX leaks_joint": "missing-part",
    "ALTER TABLE cuts ADD COLUMN colour TEXT": "changed-layout",
    "DROP TABLE gpkg_extensions": "missing-part",
    "DROP TABLE parsed_drawings": "missing-part",
}
REGISTER = {
    "DELETE FROM gpkg_spatial_ref_sys WHERE srs_id = 4326": "reference-system",
    "UPDATE gpkg_spatial_ref_sys SET definition = 'flat' WHERE srs_id = -1": "reference-system",
    "UPDATE gpkg_spatial_ref_sys SET organization_coordsys_id = 31370 WHERE srs_id = 4326": "reference-system",
    "DELETE FROM gpkg_contents WHERE table_name = 'cuts'": "contents",
    "UPDATE gpkg_contents SET data_type = 'features' WHERE table_name = 'cuts'": "contents",
    "UPDATE gpkg_contents SET srs_id = 4326 WHERE table_name = 'leaks'": "contents",
    "UPDATE gpkg_contents SET last_change = '2 November' WHERE table_name = 'cuts'": "contents",
    "UPDATE gpkg_contents SET min_x = -1 WHERE table_name = 'joints'": "extent",
    "UPDATE gpkg_contents SET min_x = NULL WHERE table_name = 'leaks'": "extent",
    "DELETE FROM gpkg_geometry_columns WHERE table_name = 'leaks'": "geometry-column",
    "UPDATE gpkg_geometry_columns SET z = 1 WHERE table_name = 'leaks'": "geometry-column",
    "UPDATE gpkg_geometry_columns SET geometry_type_name = 'POINT' WHERE table_name = 'joints'": "geometry-column",
    "DELETE FROM gpkg_extensions WHERE table_name = 'leakmap_lock'": "extension",
    "UPDATE gpkg_extensions SET scope = 'none' WHERE table_name = 'leakmap_schema'": "extension",
}
GEOMETRIES = {
    "UPDATE joints SET geom = x'4750' WHERE fid = 1": "geometry",
    "UPDATE leaks SET geom = x'4750' WHERE fid = 1": "geometry",
    drawn("joints", 1, LINE[:-8]): "geometry",
    drawn("joints", 1, LINE[:4] + struct.pack("<i", 0) + LINE[8:]): "geometry",
    drawn("joints", 3, LINE[:8] + struct.pack("<d", 0.1) + LINE[16:]): "geometry",
    drawn("leaks", 4, blob_of([(1.0, 1.0)])): "shape",
    drawn("blind_stretches", 1, blob_of([(1.0, 1.0)])): "extent shape",
}
ROWS = {
    "UPDATE leaks SET wetness = 9 WHERE fid = 1": "row",
    "UPDATE leaks SET seen = 'yesterday' WHERE fid = 1": "row",
    "UPDATE leaks SET photos = 'none' WHERE fid = 1": "row",
    "UPDATE joints SET kind = 'seam' WHERE fid = 1": "row",
    "UPDATE joints SET closed = 2 WHERE fid = 1": "row",
    "UPDATE joints SET closed = 1 WHERE fid = 1": "row",
    "UPDATE sheets SET placement = '{}' WHERE fid = 1": "row",
    "UPDATE known_lengths SET length_m = 0 WHERE fid = 1": "row",
    "UPDATE blind_stretches SET from_m = 'here' WHERE fid = 1": "row",
    "UPDATE revisions SET at = '2026-11-02T09:30:00'": "row",
    "UPDATE rules SET value = '-1' WHERE name = 'bridge_m'": "row",
    "DELETE FROM rules WHERE name = 'bridge_m'": "row",
    "DELETE FROM job": "row",
    "INSERT INTO job SELECT 2, name, id, numbers, water, grid, units, materials, rates, legal_owner, approver FROM job": "row",
    "INSERT INTO leakmap_schema VALUES (2, 1)": "row",
}
REFERENCES = {
    "DELETE FROM revisions": "changed-outside dangling dangling",
    "UPDATE blind_stretches SET joint = 'nobody' WHERE fid = 1": "dangling",
    "UPDATE leaks SET joint = '00000000-0000-0000-0000-000000000000' WHERE fid = 1": "unknown-joint",
    "UPDATE other_items SET sheet = '00000000-0000-0000-0000-000000000000'": "unknown-sheet",
}
FAULTS = {
    "UPDATE cuts SET at_m = 99 WHERE fid = 1": "past-end",
    "UPDATE leaks SET ref = 'L-02' WHERE fid = 1": "equal-references",
    """UPDATE job SET numbers = '{"joint":7,"vertical":4,"leak":7,"zone":3}'""": "changed-outside number-behind",
}
FILES = {
    "UPDATE blobs SET content = x'00' WHERE fid = 1": "file-damaged",
    "UPDATE blobs SET size = 1 WHERE fid = 1": "file-damaged",
    "UPDATE parsed_drawings SET content = x'00'": "kept-drawing",
    "UPDATE parsed_drawings SET source_sha256 = '00'": "kept-drawing",
    "UPDATE papers SET size = 1 WHERE fid = 1": "changed-outside issued-file",
    "UPDATE papers SET sha256 = '00' WHERE fid = 1": "changed-outside missing-file",
    "UPDATE revisions SET job_sha256 = '00'": "changed-outside missing-file",
    "UPDATE revisions SET schedule_sha256 = '00'": "changed-outside missing-file",
    "UPDATE revisions SET job_sha256 = schedule_sha256": "changed-outside issued-file",
    "UPDATE revisions SET schedule_sha256 = (SELECT sha256 FROM papers WHERE fid = 1)": "changed-outside issued-file",
    "UPDATE sheets SET source = json_set(source, '$.sha256', '00') WHERE fid = 1": "missing-file",
    """UPDATE leaks SET photos = '[{"name": "a.jpg", "sha256": "00"}]' WHERE fid = 3""": "missing-file",
}
OUTSIDE = {
    "UPDATE leaks SET note = 'by a map program' WHERE fid = 2": "changed-outside",
    "DELETE FROM leaks WHERE fid = 2": "changed-outside",
    "UPDATE job SET name = 'Pit 3'": "changed-outside",
}


@pytest.mark.parametrize(
    ("harm", "codes"),
    [
        pair
        for group in (MARKS, LAYOUT, REGISTER, GEOMETRIES, ROWS, REFERENCES, FAULTS, FILES, OUTSIDE)
        for pair in group.items()
    ],
)
def test_each_thing_broken_is_found_once(path: Path, harm: str, codes: str) -> None:
    """What was broken on purpose is found, and nothing else; rows that the journal knows are found changed too."""
    assert sorted(broken(path, harm)) == codes.split()


@pytest.mark.parametrize(
    ("harm", "code"),
    [
        ("DELETE FROM journal WHERE fid = 2", "journal-gap"),
        ("DELETE FROM journal WHERE fid = 1", "journal-gap"),
        ("UPDATE journal SET after = '{' WHERE fid = 2", "row"),
        ("UPDATE journal SET at = 'noon' WHERE fid = 2", "row"),
        ("DELETE FROM journal", "journal-gap"),
    ],
)
def test_a_broken_journal_is_found(path: Path, harm: str, code: str) -> None:
    """An entry that is missing or unreadable is found, besides the triggers that somebody took away to do it."""
    assert broken(path, DROPPED_TRIGGERS + harm) == ["missing-part", "missing-part", code]


def test_two_things_broken_are_two_findings(path: Path) -> None:
    """An unreadable row does not hide another one, nor a damaged file."""
    harm = (
        "UPDATE leaks SET wetness = 9 WHERE fid IN (1, 3); UPDATE joints SET kind = 'seam' WHERE fid = 2;"
        "UPDATE blobs SET content = x'00' WHERE fid = 1"
    )
    assert sorted(broken(path, harm)) == ["file-damaged", "row", "row", "row"]


def scratched(path: Path, table: str, at: int, length: int) -> None:
    """Overwrite bytes of the first page of a table; pages have 4096 bytes."""
    with database(path) as connection:
        query = "SELECT rootpage FROM sqlite_master WHERE name = ? UNION SELECT 1"
        page = max(connection.execute(query, (table,)).fetchall())[0]
    data = bytearray(path.read_bytes())
    start = (page - 1) * 4096 + at
    data[start : start + length] = b"\xff" * length
    path.write_bytes(data)


@pytest.mark.parametrize("table", ["leaks", "blobs", "journal", "gpkg_contents", "leakmap_schema"])
@pytest.mark.parametrize(("at", "length", "code"), [(0, 8, "unreadable"), (1, 2, "integrity")])
def test_a_damaged_page_is_found(path: Path, table: str, at: int, length: int, code: str) -> None:
    """Bytes of a table that changed on the disk are found, and do not stop the check."""
    scratched(path, table, at, length)
    assert code in {finding.code for finding in check_job_file(path)}


def test_a_file_without_its_first_page_gets_one_sentence(path: Path) -> None:
    """Where the page that tells where everything is was damaged, nothing can be checked."""
    scratched(path, "sqlite_master", 100, 64)
    with pytest.raises(UnusableJobFile, match="damaged"):
        check_job_file(path)


def test_a_name_that_map_programs_refuse_is_found(path: Path) -> None:
    """Requirement 3: a GeoPackage's name ends in .gpkg."""
    other = path.rename(path.with_suffix(".job"))
    assert [finding.code for finding in check_job_file(other)] == ["file-name"]


def test_every_finding_is_a_sentence(path: Path) -> None:
    """What a person reads names the place and ends with a full stop."""
    broken(path, ";".join(harm for group in (REGISTER, ROWS, FILES) for harm in group))
    for finding in check_job_file(path):
        assert finding.text.endswith(".")
        assert finding.text[0].isupper()


def test_what_is_no_job_file_is_refused(tmp_path: Path) -> None:
    """There is nothing to check in a file that is not there."""
    with pytest.raises(UnusableJobFile, match="is not there"):
        check_job_file(tmp_path / "pit.gpkg")


def test_the_full_job_is_checked(path: Path) -> None:
    """The file of these tests holds at least one row in every table, so that each can be broken."""
    with database(path) as connection:
        names = [name for (name,) in connection.execute("SELECT table_name FROM gpkg_contents")]
        empty = [name for name in names if connection.execute(f"SELECT count(*) FROM {name}").fetchone() == (0,)]  # noqa: S608 - our own names
    assert empty == []
