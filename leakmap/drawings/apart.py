"""Reading a drawing in a process of its own, for who has no window: the window has its own way to start one.

The process is ``leakmap.drawings.worker``; if it breaks, one sentence says so and nothing else happens.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Generator
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final

import leakmap
from leakmap.base.errors import LockedDrawing, UnusableDrawing
from leakmap.base.file_names import safe_name
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.drawings.asked import Asked, ask
from leakmap.drawings.packed import unpacked
from leakmap.drawings.worker import LOCKED
from leakmap.model.drawing import Drawing
from leakmap.model.sheet import Reading

_WORKER: Final = "leakmap.drawings.worker"


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
    with TemporaryDirectory(prefix="leakmap-") as place:
        file, folder = Path(place, safe_name(name)), Path(place, "shared")
        folder.mkdir()
        file.write_bytes(data)
        ask(folder, Asked(m_per_unit=m_per_unit, reading=reading, password=password))
        told: dict[str, Any] = {}
        with closing(_told(file, folder)) as lines:
            for told in lines:
                if "at" in told:
                    words, done, total, _ = told["at"]
                    progress.report(words, done, total)
        if "done" in told:
            return unpacked((folder / told["done"]).read_bytes())
        trouble = LockedDrawing if (folder / LOCKED).exists() else UnusableDrawing
    raise trouble(told.get("failed", _broken(name)), where=name)


def _told(file: Path, folder: Path) -> Generator[dict[str, Any]]:
    """What the process says, until it ends; it is ended when nobody listens any more."""
    path = [str(Path(leakmap.__path__[0]).parent), *filter(None, [os.environ.get("PYTHONPATH")])]
    command = [sys.executable, "-P", "-m", _WORKER, str(file), str(folder)]
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
