"""All papers of a job under one heading, and putting them into a folder."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from shutil import rmtree

from leakmap.base.errors import UnusableFile
from leakmap.base.file_names import neighbour, safe_name
from leakmap.base.findings import Finding
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.issue.changes import changes_csv
from leakmap.issue.heading import Heading, as_told
from leakmap.issue.listed_words import listed_csv
from leakmap.issue.need_words import needs_csv
from leakmap.issue.price_words import price_csv
from leakmap.issue.schedule_csv import schedule_csv
from leakmap.issue.schedule_json import schedule_json
from leakmap.model.drawing import Drawing
from leakmap.model.job import Job
from leakmap.model.revision import SCHEDULE_JSON
from leakmap.model.sheet import Source
from leakmap.records.frozen import frozen_text
from leakmap.records.tables.writing import blind_csv, joints_csv, leaks_csv
from leakmap.repair.results import Repairs
from leakmap.repair.sides import Differences


@dataclass(frozen=True, slots=True, kw_only=True)
class Papers:
    """Papers by file name, and what a person should know of them."""

    files: Mapping[str, bytes]
    findings: tuple[Finding, ...]


def papers_of(
    job: Job,
    repairs: Repairs,
    *,
    heading: Heading,
    sources: Mapping[str, bytes],
    drawings: Mapping[Source, Drawing],
    since: Differences | None = None,
    frozen: str | None = None,
    progress: Progress = UNWATCHED,
) -> Papers:
    """Every paper of a job; the same input gives the same bytes.

    Args:
        job: The job.
        repairs: Its work-out.
        heading: What every paper says of itself.
        sources: Bytes of the source drawings by their SHA-256.
        drawings: The same drawings as read.
        since: What changed since an earlier revision; None: the papers say nothing of it.
        frozen: The job as the issue freezes it, which the marked drawing keeps; None: as it is.
        progress: Watches.

    Raises:
        Stopped: The watcher asked to stop.
    """
    from leakmap.issue.marked_dxf.write import marked_dxf  # noqa: PLC0415 - large libraries, which no window waits for
    from leakmap.issue.plan_set.plan_set import plan_set  # noqa: PLC0415
    from leakmap.issue.schedule_pdf.schedule import schedule_pdf  # noqa: PLC0415
    from leakmap.issue.workbook.workbook import workbook_xlsx  # noqa: PLC0415

    job, since = as_told(job, since, heading)
    stem = f"{safe_name(job.name)} {safe_name(heading.revision)}"
    machine = {f"{stem} {name}": text.encode("utf-8") for name, text in _machine_copies(job, repairs, since).items()}
    schedule = schedule_pdf(
        job, repairs, drawings=drawings, heading=heading, attached=machine, since=since, progress=progress
    )
    plans = plan_set(job, repairs, drawings=drawings, heading=heading, progress=progress)
    progress.report("Marking the drawing", 0, None)
    marked = marked_dxf(
        job, repairs, sources=sources, drawings=drawings, heading=heading, frozen=frozen or frozen_text(job)
    )
    files = {
        f"{stem} repair schedule.pdf": schedule.data,
        f"{stem} repair schedule archive.pdf": schedule.archive(),
        f"{stem} plan set.pdf": plans.data,
        **marked.files,
        f"{stem} workbook.xlsx": workbook_xlsx(job, repairs, heading, since),
        **machine,
    }
    return Papers(files=files, findings=(*schedule.findings, *plans.findings, *marked.findings))


def _machine_copies(job: Job, repairs: Repairs, since: Differences | None) -> dict[str, str]:
    """What programs read, by the end of each file's name."""
    texts = {
        SCHEDULE_JSON: schedule_json(job, repairs),
        "schedule.csv": schedule_csv(job, repairs),
        "joints.csv": joints_csv(job),
        "blind.csv": blind_csv(job),
        "leaks.csv": leaks_csv(job),
    }
    if job.materials.known:
        texts["materials.csv"] = needs_csv(job, repairs)
    if job.rates.known:
        texts["price.csv"] = price_csv(job, repairs)
    if since is not None:
        texts["changes.csv"] = changes_csv(since)
        texts["changed values.csv"] = listed_csv(since.listed)
    return texts


def can_take_papers(folder: Path) -> bool:
    """Whether a folder, or the nearest above it that is there, may be written, as far as that is known beforehand."""
    whole = folder.absolute()
    try:
        there = next((path for path in (whole, *whole.parents) if path.exists()), whole)
        return there.is_dir() and os.access(there, os.W_OK | os.X_OK)
    except OSError:  # not even that may be asked
        return False


def refuse_to_replace(folder: Path, names: Iterable[str]) -> None:
    """Refuse to write papers over others of the same name.

    Raises:
        UnusableFile: One of them is there already.
    """
    there = [name for name in names if (folder / name).exists()]
    if there:
        raise UnusableFile(
            f"{folder / there[0]} is there already and is not replaced; give another folder.",
            where=str(folder / there[0]),
        )


@contextmanager
def staged(folder: Path, files: Mapping[str, bytes]) -> Iterator[Callable[[], tuple[Path, ...]]]:
    """Write files into a hidden folder inside a folder, ready to be moved out in an instant.

    Gives the function that moves them to their places, over files of the same name; without its call
    nothing is left behind.

    Raises:
        OSError: The folder or a file cannot be written.
    """
    whole = folder.absolute()
    new = [path for path in (whole, *whole.parents) if not path.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    beside = neighbour(folder / "papers")
    beside.mkdir()

    def placed() -> tuple[Path, ...]:
        return tuple((beside / name).replace(folder / name) for name in files)

    try:
        for name, content in files.items():
            (beside / name).write_bytes(content)
        yield placed
    finally:
        rmtree(beside, ignore_errors=True)
        with suppress(OSError):  # papers lie in it
            for path in new:
                path.rmdir()
