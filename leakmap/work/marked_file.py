"""A marked drawing as whoever opens it finds it: whether it may hold the job that it was issued from, and that job."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from leakmap.base.counted import many
from leakmap.base.errors import UnusableDrawing, reason_of
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.drawings.kinds import DXF_KINDS, kind_of
from leakmap.issue.marked_dxf.record_name import DICTIONARY
from leakmap.work.from_marked import FromMarked, job_from_marked

_BLOCK: Final = 1 << 22
_SIGN: Final = DICTIONARY.encode("ascii")


def may_hold_record(path: Path, *, progress: Progress = UNWATCHED) -> bool:
    """Whether a file is a DXF in which the name of our record stands; what cannot be read holds none.

    Args:
        path: The file.
        progress: Watches.

    Raises:
        Stopped: The watcher asked to stop.
    """
    try:
        with path.open("rb") as stream:
            size, read, before = path.stat().st_size, 0, b""
            block = stream.read(_BLOCK)
            if kind_of(block) not in DXF_KINDS:
                return False
            while block:
                if _SIGN in before + block:
                    return True
                before, read = block[1 - len(_SIGN) :], read + len(block)
                progress.report(f"Looking into {path.name}", read >> 20, max(size >> 20, 1))
                block = stream.read(_BLOCK)
    except OSError:
        return False
    return False


def job_in_marked_file(path: Path, others: tuple[Path, ...] = (), *, progress: Progress = UNWATCHED) -> FromMarked:
    """The job of a marked drawing that lies in a file, under the name that it has there.

    Args:
        path: The file.
        others: Other marked drawings of the same issue, for the drawings of other levels.
        progress: Watches.

    Raises:
        UnusableDrawing: One cannot be read, is no drawing, holds no record, or one that is damaged or newer; or they
            are not of one issue.
        Stopped: The watcher asked to stop.
    """
    content, *more = (_read(each) for each in (path, *others))
    named = {each.name: data for each, data in zip(others, more, strict=True)}
    try:
        return job_from_marked(path.name, content, others=named, progress=progress)
    except UnusableDrawing as problem:
        raise UnusableDrawing(problem.message, where=problem.where) from problem  # its hint is for a shell


def _read(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as problem:
        raise UnusableDrawing(f"{path.name} could not be read: {reason_of(problem)}.", where=path.name) from None


def taken_words(found: FromMarked, file: str) -> str:
    """What is said once the job of a marked drawing lies on the desk.

    Args:
        found: The job.
        file: Name of the job file that it was put into.
    """
    job = found.job
    counts = f"{many(len(job.sheets), 'level')}, {many(len(job.joints), 'joint')}, {many(len(job.leaks), 'leak')}"
    said = f"{file} is {found.origin} as it was issued: {counts}. Its revisions count anew."
    return " ".join((said, *(finding.text for finding in found.findings)))
