"""Small files of the user's, apart from every job, in JSON. One that says nothing of use is kept beside as ``.bad``."""

from __future__ import annotations

import json
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any, TypeVar

from leakmap.base.file_names import write_whole

Said = TypeVar("Said")


def read_user_file(path: Path, of_value: Callable[[Any], Said], nothing: Said) -> Said:
    """What a file says.

    Args:
        path: The file.
        of_value: Gives what a value says; raises ValueError, TypeError or LookupError where it is no such file's.
        nothing: What is said where there is no such file, or it cannot be read.
    """
    try:
        return of_value(json.loads(path.read_text(encoding="utf-8")))
    except OSError:
        return nothing
    except (ValueError, TypeError, LookupError, RecursionError):
        with suppress(OSError):
            path.replace(path.with_name(f"{path.name}.bad"))
        return nothing


def write_user_file(path: Path, value: object) -> None:
    """Put a value into a file, whose folder is made where there is none.

    Raises:
        OSError: It cannot be written; what was there before is untouched.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(path, json.dumps(value, indent=1).encode("ascii"))
