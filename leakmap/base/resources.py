"""Where the files that ship with leakmap are: fonts, texts, tables, sample plans."""

from __future__ import annotations

from pathlib import Path
from typing import Final

_PACKAGE: Final = Path(__file__).resolve().parent.parent


def resource(*parts: str) -> Path:
    """Path of a shipped file or folder, such as ``resource("resources", "fonts")``.

    An installed package carries the folders inside itself; a working copy has them beside it.

    Raises:
        FileNotFoundError: The installation is incomplete.
    """
    for root in (_PACKAGE, _PACKAGE.parent):
        path = root.joinpath(*parts)
        if path.exists():
            return path
    raise FileNotFoundError(f"leakmap is not completely installed: {'/'.join(parts)} is missing.")
