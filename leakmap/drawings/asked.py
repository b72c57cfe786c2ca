"""What a reading process is asked for, put into the folder that it shares with the one that started it, and answered.

A password passes that way, as every user of a machine can see the words that a process was started with; the file
is gone as soon as it was read. Where a file opens with a password only, or with another one, the folder holds an
empty file ``locked`` in the end.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final, cast

from leakmap.base.errors import LockedDrawing
from leakmap.base.telling import Teller, done_apart
from leakmap.model.sheet import Corners, Reading

LOCKED: Final = "locked"
_FILE: Final = "asked.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """How a drawing file is to be read.

    Attributes:
        m_per_unit: Metres of one drawing unit, when the user knows it.
        reading: Which part of the file is read, and how.
        password: What opens the file; None for none.
    """

    m_per_unit: float | None = None
    reading: Reading = Reading()
    password: str | None = field(default=None, repr=False)


def ask(folder: Path, asked: Asked) -> None:
    """Put into a folder how the file is to be read; the folder must be its user's alone."""
    reading = asked.reading
    words = {
        "m_per_unit": asked.m_per_unit,
        "page": reading.page,
        "crop": reading.crop,
        "codepage": reading.codepage,
        "corners": reading.corners,
        "password": asked.password,
    }
    (folder / _FILE).write_text(json.dumps(words), encoding="utf-8")


def asked_in(folder: Path) -> Asked:
    """Take from a folder how the file is to be read; as it is, where nobody asked for more."""
    file = folder / _FILE
    if not file.is_file():
        return Asked()
    words: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
    file.unlink()
    crop, corners = words["crop"], words["corners"]
    picked = None if corners is None else cast("Corners", tuple(map(tuple, corners)))
    reading = Reading(
        page=words["page"],
        crop=None if crop is None else tuple(crop),
        codepage=words["codepage"],
        corners=picked,
    )
    return Asked(m_per_unit=words["m_per_unit"], reading=reading, password=words["password"])


def answered(arguments: list[str], answer: Callable[[Path, Path, Teller, Asked], str]) -> int:
    """Do in this process what the one that started it asks for; gives the exit code of ``done_apart``.

    Args:
        arguments: The file, and the folder that both share.
        answer: Takes these two, who tells how far it is, and what is asked for; gives the name of what came out.
    """
    file, folder = Path(arguments[0]), Path(arguments[1])
    asked = asked_in(folder)

    def work(teller: Teller) -> str:
        try:
            return answer(file, folder, teller, asked)
        except LockedDrawing:
            (folder / LOCKED).touch()
            raise

    return done_apart(folder, work)
