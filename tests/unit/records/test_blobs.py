"""Files inside a job file."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import strategies as st

from leakmap.base.errors import UnusableJobFile
from leakmap.records.blobs import ParsedKey, sha256_of
from tests.helpers.job_files import (
    AT,
    DRAWING,
    KEY,
    PARSED,
    PHOTOS,
    database,
    make,
    opened,
)

NUMBERS = st.floats(0, 1e15)


def table(path: Path, name: str) -> list[Any]:
    """Rows of a table of a file."""
    with database(path) as connection:
        return connection.execute(f"SELECT * FROM {name} ORDER BY 1").fetchall()  # noqa: S608 - a test's own names


def test_files_are_kept_once_by_their_hash(tmp_path: Path) -> None:
    """A file put in twice is kept once, and comes back byte for byte."""
    with opened(make(tmp_path)) as file:
        assert [file.put_blob(b"photo", at=AT) for _ in range(2)] == [sha256_of(b"photo")] * 2
        assert file.blob(sha256_of(b"photo")) == b"photo"
        assert file.blob(sha256_of(DRAWING)) == DRAWING
    assert len(table(tmp_path / "pit.gpkg", "blobs")) == 2 + len(PHOTOS)


def test_a_file_that_is_missing_or_damaged_is_not_given(tmp_path: Path) -> None:
    """Asking for a file never gives other bytes than those of its hash."""
    path = make(tmp_path)
    with database(path) as connection:
        connection.execute("UPDATE blobs SET content = ?", (DRAWING + b"\n",))
    with opened(path) as file:
        with pytest.raises(UnusableJobFile, match="damaged"):
            file.blob(sha256_of(DRAWING))
        with pytest.raises(UnusableJobFile, match="missing"):
            file.blob("0" * 64)


def test_drawings_as_read_are_kept_by_what_they_depend_on(tmp_path: Path) -> None:
    """Another file, option or reader finds nothing; a newer reader's reading takes the place of an older one's."""
    newer = replace(KEY, reader="dxf 2")
    with opened(make(tmp_path)) as file:
        assert file.parsed(KEY) == PARSED
        for key in (newer, replace(KEY, options=""), ParsedKey(source_sha256="0" * 64, reader="dxf 1")):
            assert file.parsed(key) is None
        file.put_parsed(newer, b"better", at=AT)
        assert (file.parsed(newer), file.parsed(KEY)) == (b"better", None)


@pytest.mark.parametrize("size", [0, 1, 1024**2, 2 * 1024**2 + 1])
def test_a_drawing_as_read_comes_back_whole(tmp_path: Path, size: int) -> None:
    """Whatever its size, empty or of several slices, every byte of it comes back in its place."""
    kept = bytes(number % 251 for number in range(size))
    with opened(make(tmp_path)) as file:
        file.put_parsed(KEY, kept, at=AT)
        assert file.parsed(KEY) == kept


@pytest.mark.parametrize("content", [b"x", "words"])
def test_a_damaged_drawing_as_read_is_read_anew(tmp_path: Path, content: bytes | str) -> None:
    """A kept reading whose bytes are not those that were kept, or that is no bytes at all, is as good as none."""
    path = make(tmp_path)
    with database(path) as connection:
        connection.execute("UPDATE parsed_drawings SET content = ?", (content,))
    with opened(path) as file:
        assert file.parsed(KEY) is None
