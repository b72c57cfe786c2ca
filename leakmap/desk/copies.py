"""Copies of files that the job keeps, for other programs to open; they are gone when the window is."""

from __future__ import annotations

import tempfile
import weakref
from pathlib import Path
from shutil import rmtree

from leakmap.base.errors import UnusableFile, reason_of
from leakmap.base.file_names import safe_name


class Copies:
    """A folder of copies that lives as long as this does."""

    def __init__(self) -> None:
        self._folder: Path | None = None

    def put(self, name: str, content: bytes, sha256: str) -> Path:
        """Put a copy where programs can read it.

        Args:
            name: Name of the file.
            content: What it holds.
            sha256: What tells files of one name apart.

        Raises:
            UnusableFile: It could not be written.
        """
        try:
            if self._folder is None:
                self._folder = Path(tempfile.mkdtemp(prefix="leakmap-copies-"))
                weakref.finalize(self, rmtree, self._folder, ignore_errors=True)
            folder = self._folder / sha256[:12]
            folder.mkdir(exist_ok=True)
            path = folder / safe_name(name)
            path.write_bytes(content)
        except OSError as problem:
            raise UnusableFile(
                f"{name} could not be copied to look at it ({reason_of(problem)}); the job is whole."
            ) from problem
        return path
