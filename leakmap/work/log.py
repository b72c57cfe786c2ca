"""The log file that holds what a user never sees: how a mistake of leakmap came about."""

from __future__ import annotations

import os
import sys
import tempfile
import traceback
from datetime import datetime
from pathlib import Path


def log_folder() -> Path:
    """Where programs of this system keep their logs."""
    home = Path.home()
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", home / "AppData" / "Local")) / "leakmap"
    if sys.platform == "darwin":
        return home / "Library" / "Logs" / "leakmap"
    return Path(os.environ.get("XDG_STATE_HOME") or home / ".local" / "state") / "leakmap"


def write_log(problem: BaseException) -> Path | None:
    """Append how a problem came about to the log; None when it cannot be written anywhere."""
    text = f"{datetime.now().astimezone().isoformat()} leakmap {program_version()}\n{''.join(traceback.format_exception(problem))}\n"
    for folder in (log_folder, _spare_folder):
        try:
            path = folder() / "leakmap.log"
            path.parent.mkdir(parents=True, exist_ok=True)
            with path.open("a", encoding="utf-8", errors="backslashreplace") as log:
                log.write(text)
        except (OSError, RuntimeError):  # no such place, or no home at all
            continue
        return path
    return None


def program_version() -> str:
    """The installed version."""
    from importlib.metadata import PackageNotFoundError, version  # noqa: PLC0415 - late: it reads mail headers

    try:
        return version("leakmap")
    except PackageNotFoundError:
        return "not installed"


def _spare_folder() -> Path:
    return Path(tempfile.gettempdir())
