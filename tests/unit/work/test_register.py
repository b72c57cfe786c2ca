"""The register of many jobs: what is listed, what words find, and that job files are left as they are."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import UTC, date, datetime
from hashlib import sha256
from pathlib import Path

import pytest

from leakmap.base.errors import Stopped
from leakmap.base.progress import StopAfter
from leakmap.console.main import main
from leakmap.model.grid import Grid, axes_with_bays
from leakmap.model.job import Job
from leakmap.model.words import Wetness
from leakmap.records.job_file import create_job_file, open_job_file
from leakmap.work.edits.grid import set_grid
from leakmap.work.register import JobEntry, Lines, Register, lines_of, register_json, register_of
from tests.helpers.small_jobs import issued, one_line, with_leak

AT = datetime(2026, 11, 25, 14, 0, tzinfo=UTC)


def wharf(name: str, seen: date) -> Job:
    """J-01, 7 m long, over axes A, B and 1, 2, with a drip at 1 to 2 m: zone Z-01 from 0.60 to 2.40 m."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 1.0, 2.0, Wetness.DRIP, seen=seen)
    grid = Grid(letters=axes_with_bays("AB", (2.0,)), numbers=axes_with_bays("12", (4.2,), towards_deg=90.0))
    return replace(set_grid(job, grid=grid).job, name=name)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two jobs, one of them issued and in a folder within; one damaged, one newer, one that is no job, one that is empty."""
    top = tmp_path_factory.mktemp("jobs")
    (top / "2024").mkdir()
    create_job_file(top / "2024" / "heron.gpkg", issued(wharf("Heron Wharf", date(2024, 3, 1))), user="ann", at=AT)
    create_job_file(top / "osprey.gpkg", wharf("Osprey Lock", date(2026, 11, 2)), user="ann", at=AT)
    whole = (top / "osprey.gpkg").read_bytes()
    (top / "damaged.gpkg").write_bytes(whole[: len(whole) // 2])
    (top / "note.gpkg").write_text("no job", encoding="utf-8")
    (top / "empty.gpkg").write_bytes(b"")
    (top / "newer.gpkg").write_bytes(whole)
    with closing(sqlite3.connect(top / "newer.gpkg")) as newer:
        newer.execute("UPDATE leakmap_schema SET schema = 999")
        newer.commit()
    return top


@pytest.fixture(scope="module")
def register(folder: Path) -> Register:
    """The register of the folder."""
    return register_of([folder])


def found(lines: Lines, query: str) -> list[tuple[str, str]]:
    """Names of the jobs and references of the zones that a query finds."""
    return [(line.job.name, line.zone.ref if line.zone is not None else "") for line in lines.found(query)]


def test_jobs_are_listed_with_levels_grid_years_and_zones(register: Register) -> None:
    """Each job says its levels, axes, years and revisions; its zone its metres (1.0 + 2 × 0.40) and its bays."""
    heron, osprey = register.jobs
    assert (heron.name, heron.levels, heron.axes, heron.years) == ("Heron Wharf", ("B2",), "A–B by 1–2", (2024,))
    assert (heron.revisions, osprey.revisions, osprey.years) == (("C01",), (), (2026,))
    (zone,) = osprey.zones
    assert (zone.ref, str(zone.length_m), zone.grid, zone.bays) == ("Z-01", "1.800", "A+0.60 / 1", ("A1", "B1"))


def test_files_that_cannot_be_used_are_findings(register: Register) -> None:
    """The damaged, the newer, the empty one and the note are each named with a sentence; nothing stops."""
    texts = {Path(finding.where).name: finding.text for finding in register.findings}
    assert set(texts) == {"damaged.gpkg", "newer.gpkg", "note.gpkg", "empty.gpkg"}
    assert "newer leakmap" in texts["newer.gpkg"]
    assert "no job file" in texts["note.gpkg"]
    assert "damaged" in texts["damaged.gpkg"]
    missing = register_of([Path("nowhere at all")])
    assert [finding.code for finding in missing.findings] == ["no-folder"]


@pytest.mark.parametrize(
    ("query", "jobs"),
    [
        ("", ["Heron Wharf", "Osprey Lock"]),
        ("osprey", ["Osprey Lock"]),
        ("ospery", ["Osprey Lock"]),
        ("z1", ["Heron Wharf", "Osprey Lock"]),
        ("2024", ["Heron Wharf"]),
        ("b2 a1 2026", ["Osprey Lock"]),
        ("heron Z-01 B1 C01", ["Heron Wharf"]),
        ("heron 2026", []),
        ("z-02", []),
    ],
)
def test_words_narrow_the_list(register: Register, query: str, jobs: list[str]) -> None:
    """Site, level, grid bay, zone, year and revision in any order, every one of which must fit."""
    assert [name for name, _ in found(lines_of(register), query)] == jobs


def test_a_job_file_is_left_as_it_is(folder: Path, tmp_path: Path) -> None:
    """Reading changes no byte and takes no lock: who has the job open goes on saving, and nothing is left beside."""
    path = tmp_path / "open.gpkg"
    path.write_bytes((folder / "osprey.gpkg").read_bytes())
    with open_job_file(path, user="ann", host="site", at=AT) as file:
        before = sha256(path.read_bytes()).hexdigest()
        register = register_of([tmp_path])
        assert [job.name for job in register.jobs] == ["Osprey Lock"]
        assert sha256(path.read_bytes()).hexdigest() == before
        file.save(replace(file.job, name="Osprey Lock 2"), words="renamed", user="ann", at=AT)
    assert [child.name for child in tmp_path.iterdir()] == ["open.gpkg"]


def test_a_file_that_is_being_written_is_a_finding(folder: Path, tmp_path: Path) -> None:
    """Another program that holds the file for itself is waited for half a second and named."""
    path = tmp_path / "held.gpkg"
    path.write_bytes((folder / "osprey.gpkg").read_bytes())
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        register = register_of([tmp_path])
    assert register.jobs == ()
    assert "written by another program" in register.findings[0].text


def test_reading_can_be_stopped(folder: Path) -> None:
    """The watcher is asked before each job."""
    with pytest.raises(Stopped):
        register_of([folder], progress=StopAfter(2))


def test_json_says_what_the_table_says(register: Register) -> None:
    """A versioned key, jobs with their zones in metres to three decimals, and the findings."""
    said = json.loads(register_json(register, lines_of(register).found("osprey")))
    assert (said["schema"], len(said["findings"])) == (1, 4)
    (job,) = said["jobs"]
    assert (job["job"], job["levels"], job["years"]) == ("Osprey Lock", ["B2"], [2026])
    assert job["zones"][0]["length_m"] == 1.8
    assert '"length_m": 1.800' in register_json(register, lines_of(register).found("osprey"))


def test_the_command_prints_a_table(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Lines that fit, a count, findings and exit code 4; a folder that is none is refused with 3."""
    assert main(["register", str(folder), "--find", "heron"]) == 4
    printed = capsys.readouterr().out.splitlines()
    assert printed[0].split()[:3] == ["job", "zone", "level"]
    assert printed[1].startswith("Heron Wharf  Z-01  B2     A+0.60 / 1  1.80 m  2024")
    assert "2 jobs, 2 zones; 4 files could not be read." in printed
    assert main(["register", str(folder / "nowhere")]) == 3
    assert main(["register", str(folder), "--find", "xyzzyx"]) == 4
    assert "No zone fits all of that" in capsys.readouterr().out


def test_a_job_without_zones_has_a_line() -> None:
    """It can be found and opened as well."""
    lines = lines_of(Register(jobs=(JobEntry(file=Path("a.gpkg"), name="Bare Pit"),)))
    assert found(lines, "bare") == [("Bare Pit", "")]
