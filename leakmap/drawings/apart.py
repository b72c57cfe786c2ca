"""Reading a drawing in a process of its own, for who has no window: the window has its own way to start one.

The process is ``leakmap.drawings.worker``; if it breaks, one sentence says so and nothing else happens.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable, Generator
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final, TypeVar

import leakmap
from leakmap.base.errors import LockedDrawing, UnusableDrawing
from leakmap.base.file_names import safe_name
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.drawings.asked import LOCKED, Asked, ask
from leakmap.drawings.packed import unpacked
from leakmap.model.drawing import Drawing
from leakmap.model.sheet import Reading

_WORKER: Final = "leakmap.drawings.worker"
Made = TypeVar("Made")


def read_apart(
    name: str,
    data: bytes,
    *,
    m_per_unit: float | None,
    reading: Reading,
    password: str | None,
    progress: Progress = UNWATCHED,
) -> Drawing:
    """The drawing in a file, read by another process; see ``leakmap.drawings.opening.read_drawing``.

    Raises:
        LockedDrawing: It opens with a password only, or with another one.
        UnusableDrawing: Nothing of it could be used, or the process broke off; one sentence says so.
        Stopped: The watcher asked to stop.
    """
    asked = Asked(m_per_unit=m_per_unit, reading=reading, password=password)
    return made_apart(_WORKER, name, data, asked, take=lambda file: unpacked(file.read_bytes()), progress=progress)


def made_apart(
    worker: str,
    name: str,
    data: bytes,
    asked: Asked,
    *,
    take: Callable[[Path], Made],
    progress: Progress = UNWATCHED,
) -> Made:
    """What another process makes of a file.

    Args:
        worker: The module that it runs; it is given the file and a folder, and tells as ``leakmap.base.telling`` says.
        name: Name of the file, for messages.
        data: Its content.
        asked: How it is to be read.
        take: Makes the value of the file that the process names last.
        progress: Watches.

    Raises:
        LockedDrawing: It opens with a password only, or with another one.
        UnusableDrawing: Nothing of it could be used, or the process broke off; one sentence says so.
        Stopped: The watcher asked to stop.
    """
    with TemporaryDirectory(prefix="leakmap-") as place:
        file, folder = Path(place, safe_name(name)), Path(place, "shared")
        folder.mkdir()
        file.write_bytes(data)
        ask(folder, asked)
        told: dict[str, Any] = {}
        with closing(_told(worker, file, folder)) as lines:
            for told in lines:
                if "at" in told:
                    words, done, total, _ = told["at"]
                    progress.report(words, done, total)
        if "done" in told:
            return take(folder / told["done"])
        trouble = LockedDrawing if (folder / LOCKED).exists() else UnusableDrawing
    raise trouble(told.get("failed", _broken(name)), where=name)


def _told(worker: str, file: Path, folder: Path) -> Generator[dict[str, Any]]:
    """What the process says, until it ends; it is ended when nobody listens any more."""
    path = [str(Path(leakmap.__path__[0]).parent), *filter(None, [os.environ.get("PYTHONPATH")])]
    command = [sys.executable, "-P", "-m", worker, str(file), str(folder)]
    with subprocess.Popen(  # noqa: S603 - our own program
        command,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(path)},
    ) as process:
        assert process.stdout is not None
        try:
            for line in process.stdout:
                yield json.loads(line)
        finally:
            process.kill()


def _broken(name: str) -> str:
    return (
        f"{name or 'The file'} could not be read: the reading broke off, as a badly damaged file can make it;"
        " export it again."
    )
