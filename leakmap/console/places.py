"""Where a job file is: the name that the user gave, with or without its ending."""

from __future__ import annotations

from pathlib import Path

from leakmap.base.errors import BadValue, UnusableFile
from leakmap.work.job_names import ENDING


def with_ending(words: str) -> Path:
    """The path of a job file; the ending may be left out.

    >>> with_ending("pit").name, with_ending("pit.gpkg").name, with_ending("pit.v2").name
    ('pit.gpkg', 'pit.gpkg', 'pit.v2.gpkg')
    """
    path = Path(words)
    if path.name in {"", "..", ENDING}:
        raise BadValue(f'"{words}" is no name of a file; give the job file a name, such as pit{ENDING}.')
    return path if path.suffix.lower() == ENDING else path.with_name(path.name + ENDING)


def new_job_path(words: str) -> Path:
    """The path of a job file to be made.

    Raises:
        BadValue: It has no name.
        UnusableFile: It is there already, or its folder is not.
    """
    path = with_ending(words)
    if path.exists():
        raise UnusableFile(f"{path} is there already and is not replaced; give another name.", where=str(path))
    if not path.parent.is_dir():
        raise UnusableFile(f"The folder {path.parent} is not there; make it first.", where=str(path.parent))
    return path


def job_path(words: str) -> Path:
    """The path of a job file that is there; the ending may be left out."""
    path = Path(words)
    return path if path.is_file() else with_ending(words)
