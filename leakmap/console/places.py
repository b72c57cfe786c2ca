"""Where a job file is: the name that the user gave, with or without its ending."""

from __future__ import annotations

from pathlib import Path
from typing import Final

ENDING: Final = ".gpkg"


def new_job_path(words: str) -> Path:
    """The path of a job file to be made; the ending may be left out.

    >>> new_job_path("pit").name, new_job_path("pit.gpkg").name
    ('pit.gpkg', 'pit.gpkg')
    """
    path = Path(words)
    return path if path.suffix.lower() == ENDING else path.with_name(path.name + ENDING)


def job_path(words: str) -> Path:
    """The path of a job file that is there; the ending may be left out."""
    path = Path(words)
    return path if path.exists() else new_job_path(words)
