"""The drawings of an open job: fetched as they were read, or read again, each once and held in memory."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress

from leakmap.base.errors import LeakmapError, UnusableDrawing
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.model.drawing import Drawing
from leakmap.model.job import Job
from leakmap.model.sheet import Source
from leakmap.records.job_file import JobFile
from leakmap.work.job_drawings import JobDrawings, NewDrawing, as_read, kept_as_read, markable


def sources_of(job: Job) -> tuple[Source, ...]:
    """What the sheets of a job show, each once."""
    return tuple(dict.fromkeys(sheet.source for sheet in job.sheets.values() if sheet.source is not None))


class HeldDrawings:
    """Drawings of a job file that are in memory, and why others cannot be.

    Args:
        file: The job file that they are fetched from.
    """

    def __init__(self, file: JobFile) -> None:
        self._file = file
        self._held: dict[Source, Drawing] = {}
        self._unreadable: dict[Source, str] = {}

    def drawing(self, source: Source, *, progress: Progress = UNWATCHED) -> Drawing:
        """A drawing as read.

        Raises:
            UnusableJobFile: It is missing from the file, or damaged.
            UnusableDrawing: It cannot be read any more.
            Stopped: The watcher asked to stop.
        """
        found = self._held.get(source)
        if found is None:
            if source in self._unreadable:
                raise UnusableDrawing(self._unreadable[source], where=source.name)
            found = self._held[source] = as_read(self._file, source, progress=progress)
        return found

    def at_hand(self, source: Source) -> Drawing | None:
        """A drawing that is in memory; None where it would have to be fetched or read first."""
        return self._held.get(source)

    def content_apart(self, source: Source) -> bytes:
        """The file of a drawing, by a connection of its own: to be called in any thread.

        Raises:
            UnusableJobFile: It is missing from the job file, or damaged.
        """
        return self._file.blob_apart(source.sha256)

    def fetch(self, sources: Iterable[Source]) -> tuple[Source, ...]:
        """Take every drawing that is kept as read; gives those that must be read again from their files.

        What cannot be had at all is told of where it is asked for.
        """
        wanted = tuple(sources)
        for source in wanted:
            with suppress(LeakmapError):
                drawing = kept_as_read(self._file, source)
                if drawing is not None:
                    self._held[source] = drawing
        return tuple(source for source in wanted if source not in self._held)

    def take(self, new: NewDrawing) -> None:
        """Take a drawing that was read now, kept or not."""
        self._held[new.source] = new.drawing

    def give_up(self, source: Source, sentence: str) -> None:
        """Take note that a drawing cannot be read any more, and why, so that nobody tries again and again."""
        self._unreadable[source] = sentence

    @property
    def unreadable(self) -> tuple[str, ...]:
        """Why drawings cannot be read any more, a sentence for each."""
        return tuple(self._unreadable.values())

    def for_papers(self, sources: Iterable[Source], *, progress: Progress = UNWATCHED) -> JobDrawings:
        """Drawings as bytes and as read: what papers are made from.

        Raises:
            UnusableJobFile: One is missing from the file, or damaged.
            UnusableDrawing: One cannot be read any more.
            Stopped: The watcher asked to stop.
        """
        wanted = tuple(sources)
        return JobDrawings(
            sources={source.sha256: markable(source, self._file.blob(source.sha256)) for source in wanted},
            drawings={source: self.drawing(source, progress=progress) for source in wanted},
        )
