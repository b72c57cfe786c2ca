"""A register of many jobs: what lies in folders of job files, to be found again when a wall weeps years later.

Job files are read without a trace (``leakmap.records.glance``). One that cannot be used is a finding and stops nothing.
Zones are worked out as of today; from the first issue on their references stay.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Final

from leakmap.base.counted import many
from leakmap.base.errors import UnusableFile
from leakmap.base.findings import Effect, Finding
from leakmap.base.json_text import Json, json_text
from leakmap.base.measures import Units
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.geometry.path import Point
from leakmap.model.grid import Axes, Grid, position_words
from leakmap.model.job import Job
from leakmap.model.joint import plan_point
from leakmap.records.glance import glance
from leakmap.repair.results import Zone
from leakmap.repair.work_out import repairs
from leakmap.work.find.folding import folded
from leakmap.work.find.index import Index, Putting, understood
from leakmap.work.job_names import ENDING

REGISTER_SCHEMA: Final = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneEntry:
    """A zone of a job.

    Attributes:
        number: 7 for Z-07.
        levels: Names of its levels.
        grid: Where it starts; empty without a grid.
        bays: Grid bays that it starts and stops in, such as C4.
        length_m: Measured metres.
    """

    number: int
    ref: str
    levels: tuple[str, ...]
    grid: str
    bays: tuple[str, ...]
    length_m: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class JobEntry:
    """A job of the register.

    Attributes:
        file: Its job file.
        levels: Names of its levels.
        axes: Names of its axes, "A–F by 1–6"; empty without a grid.
        years: Years in which it was issued, or seen where it never was.
        revisions: Names of what was issued.
        units: The system in which people read it.
    """

    file: Path
    name: str
    levels: tuple[str, ...] = ()
    axes: str = ""
    years: tuple[int, ...] = ()
    revisions: tuple[str, ...] = ()
    zones: tuple[ZoneEntry, ...] = ()
    units: Units = Units.METRIC


@dataclass(frozen=True, slots=True, kw_only=True)
class Register:
    """Jobs by name, and what could not be read."""

    jobs: tuple[JobEntry, ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line to choose: a zone of a job, or a job without zones."""

    job: JobEntry
    zone: ZoneEntry | None = None


@dataclass(slots=True)
class Lines:
    """The lines of a register, found by words: site, level, grid spot or bay, zone, year."""

    each: tuple[Line, ...]
    _index: Index = field(init=False)

    def __post_init__(self) -> None:
        """Index every line."""
        put = Putting()
        for line in self.each:
            put.put(*_words(line))
        self._index = Index(put)

    def found(self, query: str) -> tuple[Line, ...]:
        """The lines that all words of a query fit, the best first; without words all of them."""
        words = understood(query, [self._index])
        if not words:
            return self.each
        numbers, _ = self._index.found(words, most=len(self.each))
        return tuple(self.each[number] for number in numbers)


def lines_of(register: Register) -> Lines:
    """The lines of a register: jobs in order, their zones by number."""
    return Lines(tuple(Line(job=job, zone=zone) for job in register.jobs for zone in job.zones or (None,)))


def register_of(folders: Sequence[Path], *, beside: Sequence[Path] = (), progress: Progress = UNWATCHED) -> Register:
    """The register of the job files that lie in some folders.

    Args:
        folders: Folders that are looked through with all within them; one that is not there is a finding.
        beside: Folders of which only what lies in them directly is read.
        progress: Is told of every job; may stop it.

    Raises:
        Stopped: The watcher asked to stop.
    """
    files, findings = _files_in(folders, progress)
    files = list(dict.fromkeys((*files, *(file for folder in beside for file in _jobs_in(folder)))))
    jobs: list[JobEntry] = []
    for number, file in enumerate(files):
        progress.report("Reading jobs", number, len(files))
        try:
            jobs.append(entry_of(file, glance(file)))
        except UnusableFile as problem:
            findings.append(Finding("unreadable-job", str(file), problem.message, Effect.LOST))
    return Register(jobs=tuple(sorted(jobs, key=_order)), findings=tuple(findings))


def register_with_lines(
    folders: Sequence[Path], *, beside: Sequence[Path] = (), progress: Progress = UNWATCHED
) -> tuple[Register, Lines]:
    """The register with its lines, whose index takes long as well where jobs are many.

    Raises:
        Stopped: The watcher asked to stop.
    """
    register = register_of(folders, beside=beside, progress=progress)
    return register, lines_of(register)


def entry_of(file: Path, job: Job) -> JobEntry:
    """What the register says of a job."""
    issued = sorted({revision.at.year for revision in job.revisions.values()})
    seen = sorted({leak.seen.year for leak in job.leaks.values() if leak.seen is not None})
    return JobEntry(
        file=file,
        name=job.name,
        levels=tuple(sheet.name for sheet in job.sheets.values()),
        axes=_axes_words(job.grid) if job.grid is not None else "",
        years=tuple(issued or seen),
        revisions=tuple(revision.name for revision in job.revisions.values()),
        zones=tuple(_zone_entry(job, zone) for zone in repairs(job).zones),
        units=job.units,
    )


def register_text(lines: Iterable[Line]) -> Iterator[Sequence[str]]:
    """Lines as rows of a table with its heading."""
    yield ("job", "zone", "level", "grid", "length", "issued", "file")
    for line in lines:
        job, zone = line.job, line.zone
        levels = zone.levels if zone is not None else job.levels
        length = job.units.with_unit(zone.length_m) if zone is not None else ""
        grid = zone.grid if zone is not None else job.axes
        ref = zone.ref if zone is not None else "no zone"
        yield (job.name, ref, ", ".join(levels), grid, length, issued_words(job), job.file.name)


def issued_words(job: JobEntry) -> str:
    """When a job was issued: its years, or that it never was."""
    years = ", ".join(map(str, job.years))
    return years if job.revisions else f"not issued, {years}".rstrip(", ")


def register_json(register: Register, lines: Iterable[Line]) -> str:
    """Jobs with the zones among some lines as JSON, versioned by its key ``schema``."""
    zones: dict[Path, list[Json]] = {}
    for line in lines:
        kept = zones.setdefault(line.job.file, [])
        if line.zone is not None:
            kept.append(_zone_json(line.zone))
    jobs: list[Json] = [_job_json(job, zones[job.file]) for job in register.jobs if job.file in zones]
    findings: list[Json] = [{"code": one.code, "where": one.where, "text": one.text} for one in register.findings]
    return json_text({"schema": REGISTER_SCHEMA, "jobs": jobs, "findings": findings}) + "\n"


def count_words(register: Register) -> str:
    """How much there is: jobs, zones, files that could not be read."""
    zones = sum(len(job.zones) for job in register.jobs)
    lost = f"; {many(len(register.findings), 'file')} could not be read" if register.findings else ""
    return f"{many(len(register.jobs), 'job')}, {many(zones, 'zone')}{lost}"


def _job_json(job: JobEntry, zones: list[Json]) -> Json:
    return {
        "job": job.name,
        "file": str(job.file),
        "levels": job.levels,
        "grid": job.axes,
        "years": job.years,
        "revisions": job.revisions,
        "zones": zones,
    }


def _zone_json(zone: ZoneEntry) -> Json:
    return {
        "ref": zone.ref,
        "levels": zone.levels,
        "grid": zone.grid,
        "bays": zone.bays,
        "length_m": zone.length_m,
    }


def _files_in(folders: Sequence[Path], progress: Progress) -> tuple[list[Path], list[Finding]]:
    files: dict[Path, None] = {}
    findings = []
    for folder in folders:
        if not folder.is_dir():
            text = f"The folder {folder} is not there, or cannot be read; the others were."
            findings.append(Finding("no-folder", str(folder), text, Effect.LOST))
            continue
        for place, within, _ in os.walk(folder):
            within.sort()
            progress.report("Looking for jobs", len(files), None)
            files |= dict.fromkeys(_jobs_in(Path(place)))
    return list(files), findings


def _jobs_in(folder: Path) -> list[Path]:
    return sorted(file.absolute() for file in folder.glob(f"*{ENDING}") if file.is_file())


def _order(job: JobEntry) -> tuple[str, str]:
    return job.name.casefold(), str(job.file)


def _zone_entry(job: Job, zone: Zone) -> ZoneEntry:
    points = [plan_point(job.joints[row.joint], float(at)) for row in zone.rows for at in (row.from_m, row.to_m)]
    grid = job.grid
    bays = dict.fromkeys(_bay(grid, point) for point in points) if grid is not None else {}
    return ZoneEntry(
        number=zone.number,
        ref=zone.ref,
        levels=tuple(job.sheets[sheet].name for sheet in zone.sheets),
        grid=position_words(grid, points[0], job.units) if grid is not None and points else "",
        bays=tuple(bay for bay in bays if bay),
        length_m=zone.length_m,
    )


def _bay(grid: Grid, point: Point) -> str:
    """The bay that a place lies in, by the axes that it has passed."""
    parts = (part.partition("+")[0].partition("−")[0] for part in position_words(grid, point).split(" / "))
    return "".join(parts)


def _axes_words(grid: Grid) -> str:
    return " by ".join(filter(None, map(_family_words, (grid.letters, grid.numbers))))


def _family_words(axes: Axes) -> str:
    names = [axis.name for axis in axes.each]
    return "–".join(dict.fromkeys((names[0], names[-1]))) if names else ""


def _words(line: Line) -> tuple[tuple[str, ...], tuple[str, ...]]:
    job, zone = line.job, line.zone
    levels = zone.levels if zone is not None else job.levels
    bays = zone.bays if zone is not None else ()
    name = f"{job.name} {zone.ref if zone is not None else ''}"
    about = (*levels, *bays, *map(str, job.years), *job.revisions, job.file.stem)
    return folded(name), folded(" ".join(("zone level", *about)))
