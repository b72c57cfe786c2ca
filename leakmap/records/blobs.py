"""Files in a job file, by their SHA-256, and drawings as read, by what they were read from."""

from __future__ import annotations

import hashlib
import sqlite3
from dataclasses import dataclass
from typing import Final

from leakmap.base.errors import UnusableJobFile

_SLICE: Final = 1024**2


@dataclass(frozen=True, slots=True, kw_only=True)
class ParsedKey:
    """What a drawing as read depends on.

    Attributes:
        source_sha256: Hash of the source file.
        reader: Name and version of the reader.
        options: Its options as text; the same options always give the same text.
    """

    source_sha256: str
    reader: str
    options: str = ""


def sha256_of(content: bytes) -> str:
    """SHA-256 of some bytes, 64 hex digits in lower case."""
    return hashlib.sha256(content).hexdigest()


def put_blob(connection: sqlite3.Connection, content: bytes) -> str:
    """Keep a file, once, and give its hash."""
    sha256 = sha256_of(content)
    connection.execute(
        "INSERT INTO blobs (sha256, size, content) VALUES (?, ?, ?) ON CONFLICT (sha256) DO NOTHING",
        (sha256, len(content), content),
    )
    return sha256


def blob_named(connection: sqlite3.Connection, sha256: str) -> bytes:
    """The file of a hash, checked against it.

    Raises:
        UnusableJobFile: It is not there, or damaged.
    """
    row = connection.execute("SELECT content FROM blobs WHERE sha256 = ?", (sha256,)).fetchone()
    if row is None:
        raise UnusableJobFile(f"A file that belongs to this job is missing from it (SHA-256 {sha256}).", where=sha256)
    content: bytes = row[0]
    if not isinstance(content, bytes) or sha256_of(content) != sha256:
        raise UnusableJobFile(f"A file inside this job is damaged (SHA-256 {sha256}); go back to a copy.", where=sha256)
    return content


def put_parsed(connection: sqlite3.Connection, key: ParsedKey, content: bytes) -> None:
    """Keep a drawing as read; what another version of the reader left for it is dropped."""
    connection.execute(
        "DELETE FROM parsed_drawings WHERE source_sha256 = ? AND options = ?", (key.source_sha256, key.options)
    )
    connection.execute(
        "INSERT INTO parsed_drawings (source_sha256, reader, options, sha256, content) VALUES (?, ?, ?, ?, ?)",
        (key.source_sha256, key.reader, key.options, sha256_of(content), content),
    )


def parsed(connection: sqlite3.Connection, key: ParsedKey) -> bytes | None:
    """A drawing as read; None where it is not kept or damaged, so that the source must be read again.

    It is read in slices: one of 100 MB, taken in one go, would hold the interpreter, and a window with it, for as long.
    """
    row = connection.execute(
        "SELECT rowid, sha256, typeof(content) FROM parsed_drawings"
        " WHERE source_sha256 = ? AND reader = ? AND options = ?",
        (key.source_sha256, key.reader, key.options),
    ).fetchone()
    if row is None or row[2] != "blob":
        return None
    slices, digest = [], hashlib.sha256()
    with connection.blobopen("parsed_drawings", "content", row[0], readonly=True) as content:
        while part := content.read(_SLICE):
            slices.append(part)
            digest.update(part)
    return b"".join(slices) if digest.hexdigest() == row[1] else None
