"""Names of job files: their ending, a free name in a folder, and a level's name read off a drawing's."""

from __future__ import annotations

import re
from itertools import count
from pathlib import Path, PurePath
from typing import Final

from leakmap.base.file_names import safe_name

ENDING: Final = ".gpkg"
SAMPLE_NAME: Final = "Tern Quay pumping station"
"""Name of the sample job."""

_LEVEL: Final = re.compile(r"(?:^|[\s_\-.])([A-Za-z]{0,2}\d{1,2})$")
_INSIDE: Final = re.compile(r"(?:^|(?<=[\s_\-.]))[A-Za-z]{1,2}\d{1,2}(?=[\s_\-.])")


def is_job_file(path: PurePath) -> bool:
    """Whether a file is a job file by its name."""
    return path.suffix.lower() == ENDING


def free_path(folder: Path, name: str) -> Path:
    """Where a new job of this name can lie in a folder without taking another's place."""
    plain = safe_name(name)
    names = (plain if number == 1 else f"{plain} {number}" for number in count(1))
    return next(path for path in (folder / f"{each}{ENDING}" for each in names) if not path.exists())


def level_in(drawing: str) -> str:
    """The level that a drawing's name ends in, else the only one inside it; empty where it names none.

    >>> level_in("tern_quay_b2.dxf"), level_in("Pit - B1.dxf"), level_in("plan.dxf")
    ('B2', 'B1', '')
    >>> level_in("kiln-row-B2-scan.pdf"), level_in("from B1 to B2, scanned.pdf"), level_in("12 plans.pdf")
    ('B2', '', '')
    """
    stem = PurePath(drawing).stem
    found = _LEVEL.search(stem)
    if found:
        return found[1].upper()
    inside = {level.upper() for level in _INSIDE.findall(stem.replace(",", " "))}
    return inside.pop() if len(inside) == 1 else ""
