"""From bytes to ezdxf's document: the plain reader first, the recovering reader on failure.

ezdxf's plain reader takes binary files and refuses damaged ones; its recovering reader takes damaged
text files and refuses binary ones. Neither tells how far it is, so the bytes are handed over by a
stream that reports, and the entities by lists that report.
"""

from __future__ import annotations

import gc
import io
import logging
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any, Final

import ezdxf
from ezdxf.audit import Auditor, ErrorEntry
from ezdxf.document import Drawing as Document
from ezdxf.entitydb import EntityDB
from ezdxf.lldxf import loader, tagger
from ezdxf.recover import Recover, bytes_loader, synced_bytes_loader

from leakmap.base.errors import UnusableDrawing
from leakmap.base.findings import Effect, Finding
from leakmap.base.progress import Progress
from leakmap.drawings.dxf.dimensions import draw_missing_pictures
from leakmap.drawings.dxf.troubles import TROUBLE, Troubles, words_of
from leakmap.drawings.kinds import FileKind

_CHUNK: Final = 1 << 16
_TAGS: Final = 1 << 14
_ENTITIES: Final = 1 << 9
_REMOVED: Final = ("removed", "deleted", "destroyed", "invalid entity")
_HANDLE: Final = re.compile(r"\(#([0-9A-F]+)\)")
_log: Final = logging.getLogger("ezdxf")


def loaded(data: bytes, kind: FileKind, name: str, *, troubles: Troubles, progress: Progress) -> Document:
    """The document that a DXF file holds.

    Args:
        data: The file.
        kind: DXF as text or binary.
        name: Its name, for messages.
        troubles: Takes what was repaired, lost or warned of.
        progress: Watches.

    Raises:
        UnusableDrawing: Neither reader could make sense of the file.
        Stopped: The watcher asked to stop.
    """
    with _overheard(troubles):
        try:
            document = _from_sections(_sections(data, kind, progress), progress)
        except TROUBLE as trouble:
            if kind is FileKind.DXF_BINARY:
                raise _hopeless(name, trouble) from trouble
            document = _repaired(data, name, troubles, progress)
        _audit(document, troubles)
    return document


def placed_in_file(finding: Finding, document: Document) -> Finding:
    """A finding without its place where that is a handle that the file itself does not have."""
    invented: set[str] = getattr(document.entitydb, "invented", set())
    return replace(finding, where="") if finding.where.removeprefix("#") in invented else finding


@contextmanager
def no_collecting() -> Iterator[None]:
    """Keep Python from searching for lost memory again and again while millions of tags are made.

    Reading takes about a third less time so. What was lost meanwhile is found later.
    """
    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collecting:
            gc.enable()


def _hopeless(name: str, trouble: BaseException) -> UnusableDrawing:
    text = f"{name or 'The drawing'} is too damaged to be read ({words_of(trouble)}); export it again as DXF."
    return UnusableDrawing(text, where=name)


def _sections(data: bytes, kind: FileKind, progress: Progress) -> dict[str, Any]:
    tags: Iterator[Any]
    if kind is FileKind.DXF_BINARY:
        tags = _watched_tags(tagger.binary_tags_loader(data), progress)
    else:
        start = io.TextIOWrapper(io.BytesIO(data), encoding="utf-8", errors="ignore")
        encoding = ezdxf.filemanagement.dxf_stream_info(start).encoding
        stream = io.BufferedReader(_WatchedBytes(data, progress), _CHUNK)
        tags = tagger.ascii_tags_loader(io.TextIOWrapper(stream, encoding=encoding, errors="surrogateescape"))
    return dict(loader.load_dxf_structure(tagger.tag_compiler(tags)))


def _from_sections(sections: dict[str, Any], progress: Progress) -> Document:
    """Build the document; the same door that ezdxf's recovering reader takes into its document."""
    sections.pop("THUMBNAILIMAGE", None)
    watched: dict[str, Any] = {name: _WatchedList(section, progress) for name, section in sections.items()}
    document = Document()
    document.entitydb = _WatchedDatabase(progress)
    document._load_section_dict(watched)  # noqa: SLF001 - ezdxf has no public way to watch its loading
    return document


def _repaired(data: bytes, name: str, troubles: Troubles, progress: Progress) -> Document:
    """The document by the recovering reader; if need be by the one that skips whatever makes no sense."""
    try:
        document = _recovered(data, bytes_loader, troubles, progress)
    except TROUBLE as trouble:
        try:
            document = _recovered(data, synced_bytes_loader, troubles, progress)
        except TROUBLE:
            raise _hopeless(name, trouble) from trouble
        text = "The file is badly damaged and parts of it are certainly missing; compare it with the original."
        troubles.note("file-damaged", text)
        return document
    text = "The file is damaged; what could be made out of it was read. Compare it with the original."
    troubles.note("file-repaired", text, effect=Effect.FIXED)
    return document


def _recovered(data: bytes, tag_loader: Callable[..., Any], troubles: Troubles, progress: Progress) -> Document:
    stream = io.BufferedReader(_WatchedBytes(data, progress), _CHUNK)
    recover = Recover.run(stream, loader=tag_loader)
    document = _from_sections(dict(recover.section_dict), progress)
    for code, message in (*recover.errors, *recover.fixes):
        _note(ErrorEntry(code, message), Effect.FIXED, troubles)
    return document


def _audit(document: Document, troubles: Troubles) -> None:
    auditor = Auditor(document)
    try:
        draw_missing_pictures(document, troubles)
        auditor.run()
    except TROUBLE as trouble:
        text = f"The check of the file broke off ({type(trouble).__name__}); parts of it may be missing."
        troubles.note("file-fault", text, effect=Effect.LOOK)
    for entry in auditor.errors:
        _note(entry, Effect.LOST, troubles)
    for entry in auditor.fixes:
        _note(entry, Effect.FIXED, troubles)


def _note(entry: ErrorEntry, effect: Effect, troubles: Troubles) -> None:
    """Note a fault of the file by its kind; the words are those of the first case."""
    message = entry.message
    if message.lower().startswith(_REMOVED) or " deleted" in message:
        effect = Effect.LOST
    named = _HANDLE.search(message)  # the entity itself may be gone
    where = f"#{named[1]}" if named else ""
    kind = getattr(entry.code, "name", str(entry.code)).replace("_", " ").lower()
    troubles.note_first("file-fault", f"{kind} ({effect})", message, where=where, effect=effect)


class _WatchedBytes(io.RawIOBase):
    """Bytes that report how much of them was read."""

    def __init__(self, data: bytes, progress: Progress) -> None:
        super().__init__()
        self._data = memoryview(data)
        self._at = 0
        self._progress = progress

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: Any) -> int:  # noqa: ANN401 - the buffer protocol has no name in 3.11
        self._progress.report("Reading the file", self._at, len(self._data))
        part = self._data[self._at : self._at + len(buffer)]
        buffer[: len(part)] = part
        self._at += len(part)
        return len(part)


class _WatchedList(list[Any]):
    """A list that reports how much of it was walked through."""

    def __init__(self, items: list[Any], progress: Progress) -> None:
        super().__init__(items)
        self._progress = progress

    def __iter__(self) -> Iterator[Any]:
        for index, item in enumerate(super().__iter__()):
            if index % _ENTITIES == 0:
                self._progress.report("Building the drawing", index, len(self))
            yield item


class _WatchedDatabase(EntityDB):
    """All entities of a document; walking through them, as loading and audit do, reports."""

    def __init__(self, progress: Progress) -> None:
        super().__init__()
        self._progress = progress
        self.invented: set[str] = set()

    def next_handle(self) -> str:
        """A handle for what the file gives none."""
        handle = super().next_handle()
        self.invented.add(handle)
        return handle

    def items(self) -> Iterator[tuple[str, Any]]:
        for index, pair in enumerate(super().items()):
            if index % _ENTITIES == 0:
                self._progress.report("Checking the drawing", index, len(self))
            yield pair


def _watched_tags(tags: Iterator[Any], progress: Progress) -> Iterator[Any]:
    for index, tag in enumerate(tags):
        if index % _TAGS == 0:
            progress.report("Reading the file", index, None)
        yield tag


class _Ear(logging.Handler):
    """Hears what ezdxf warns of, instead of the terminal."""

    def __init__(self, troubles: Troubles) -> None:
        super().__init__(logging.WARNING)
        self._troubles = troubles

    def emit(self, record: logging.LogRecord) -> None:
        self._troubles.note_first("file-warning", str(record.msg)[:12], record.getMessage(), effect=Effect.LOOK)


@contextmanager
def _overheard(troubles: Troubles) -> Iterator[None]:
    ear, passing = _Ear(troubles), _log.propagate
    _log.addHandler(ear)
    _log.propagate = False
    try:
        yield
    finally:
        _log.removeHandler(ear)
        _log.propagate = passing
