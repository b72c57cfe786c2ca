"""File names that every system takes, and files written whole or not at all."""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Final
from uuid import uuid4

_REFUSED: Final = re.compile(r'[<>:"/\\|?*\x00-\x1f\x7f]+')
_DEVICES: Final = re.compile(r"(con|prn|aux|nul|com[0-9]|lpt[0-9])(\..*)?", re.IGNORECASE)
_LONGEST_BYTES: Final = 120


def safe_name(words: str) -> str:
    """Words as a part of a file name on Windows, macOS and Linux; never empty.

    Characters that a system refuses become a hyphen; devices of Windows, outer dots and spaces and
    more than 120 bytes are avoided.

    >>> safe_name("Tern Quay: pit 1/2"), safe_name("con"), safe_name(" ... ")
    ('Tern Quay- pit 1-2', '_con', '_')
    """
    name = _REFUSED.sub("-", words).strip(". ")
    name = name.encode("utf-8", "replace")[:_LONGEST_BYTES].decode("utf-8", "ignore").rstrip(". ")
    return f"_{name}" if not name or _DEVICES.fullmatch(name) else name


def neighbour(path: Path) -> Path:
    """A name beside a file, in the same folder, that nothing has yet."""
    return path.with_name(f".{uuid4().hex}.part")


def write_whole(path: Path, content: bytes) -> None:
    """Write a file through a neighbour that takes its place, so that no half file is ever there.

    Raises:
        OSError: It cannot be written; what was there before is untouched.
    """
    beside = neighbour(path)
    try:
        with beside.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)
