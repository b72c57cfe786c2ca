"""Photos of leaks: read off their files, with a small picture of each, and looked at again out of the job file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Final

from leakmap.base.counted import many
from leakmap.base.errors import UnusableFile, reason_of
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.model.leak import Photo
from leakmap.records.blobs import ParsedKey

PHOTO_ENDINGS: Final = (".jpg", ".jpeg", ".png", ".tif", ".tiff")
"""How the name of a photo may end; what a file is, its content decides."""

LARGEST_BYTES: Final = 64 * 2**20
"""A larger file is no photo of a leak, and would swell the job (ours)."""

_READER: Final = "small 1"


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPhoto:
    """A photo on its way into a job.

    Attributes:
        photo: What the leak says of it.
        content: Its file.
        small: A small picture of it, a JPEG file.
    """

    photo: Photo
    content: bytes
    small: bytes

    @property
    def parsed(self) -> Mapping[ParsedKey, bytes]:
        """The small picture as the job file keeps it."""
        return {small_key(self.photo): self.small}


def small_key(photo: Photo) -> ParsedKey:
    """Under what the job file keeps the small picture of a photo."""
    return ParsedKey(source_sha256=photo.sha256, reader=_READER, options="")


def read_photos(paths: tuple[Path, ...], *, progress: Progress = UNWATCHED) -> tuple[NewPhoto, ...]:
    """Read photos; all of them or none.

    Args:
        paths: Their files.
        progress: Told each.

    Raises:
        UnusableFile: One cannot be read, is too large, or is no picture.
        Stopped: The watcher asked to stop.
    """
    found = []
    for number, path in enumerate(paths):
        progress.report(f"Reading {many(len(paths), 'photo')}", number, len(paths))
        found.append(_read(path))
    return tuple(found)


def _read(path: Path) -> NewPhoto:
    from leakmap.drawings.scan.small import small_picture  # noqa: PLC0415 - a large library, in the reading process alone

    try:
        if path.stat().st_size > LARGEST_BYTES:
            most = f"{LARGEST_BYTES >> 20} MB"
            raise UnusableFile(f"{path.name} is larger than {most}, so it was not added; make it smaller first.")
        content = path.read_bytes()
    except OSError as problem:
        raise UnusableFile(
            f"{path.name} could not be read: {reason_of(problem)}. Nothing was added.", where=path.name
        ) from None
    small = small_picture(content, path.name)
    return NewPhoto(photo=Photo(name=path.name, sha256=sha256(content).hexdigest()), content=content, small=small)
