"""Drawings of a job that is being opened which are not kept as read: read again apart, watched, and kept then."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from leakmap.base.errors import LeakmapError
from leakmap.desk.one_aside import OneAside
from leakmap.desk.state import Desk
from leakmap.desk.trouble import trouble_of
from leakmap.model.sheet import Source
from leakmap.work.job_drawings import NewDrawing
from leakmap.work.open_job import OpenJob

_WHY: Final = "This version of leakmap reads {name} anew."


class Fetching:
    """Reads what another version of leakmap has left, one drawing after the other.

    Args:
        desk: Shows the work, and asks.
        asides: What is done aside with whole files.
        left: What follows when the job is not opened after all.
    """

    def __init__(self, desk: Desk, asides: OneAside, left: Callable[[], object]) -> None:
        self._desk, self._asides, self._left = desk, asides, left
        self._open_job: OpenJob | None = None

    def start(self, open_job: OpenJob, unread: tuple[Source, ...], then: Callable[[], object]) -> None:
        """Read drawings of a job again, if there are any, before what follows."""
        self._open_job = open_job
        self._fetch(open_job, unread, then)

    def _fetch(self, open_job: OpenJob, unread: tuple[Source, ...], then: Callable[[], object]) -> None:
        """Read the drawings again that another version of leakmap has left, one after the other, and keep them."""
        if not unread:
            self._open_job = None
            then()
            return
        from leakmap.desk.reading_again import read_again  # noqa: PLC0415 - late

        source = unread[0]

        def go_on() -> None:
            if self._open_job is open_job:  # else it was left meanwhile
                self._fetch(open_job, unread[1:], then)

        def leave() -> None:
            if self._open_job is open_job:
                self.leave()

        def take(new: NewDrawing) -> None:
            if self._open_job is not open_job:
                return
            open_job.held.take(new)
            if open_job.look_only or not self._desk.attempt(lambda: self._keep_again(open_job, new, go_on)):
                go_on()

        def failed(sentence: str) -> None:
            open_job.held.give_up(source, sentence)
            go_on()

        why = _WHY.format(name=source.name)
        read_again(self._desk, open_job, source, source.reading, take, failed=failed, left=leave, why=why)

    def _keep_again(self, open_job: OpenJob, new: NewDrawing, then: Callable[[], object]) -> None:
        def kept(_outcome: object) -> None:
            open_job.end_keeping(new)
            then()

        def leave(problem: LeakmapError) -> None:
            self._desk.troubled.emit(trouble_of(problem))
            open_job.end_keeping(None)
            then()

        self._asides.go(open_job.begin_keeping(new), kept, leave)

    def leave(self) -> None:
        """The job that is being opened is not opened."""
        open_job, self._open_job = self._open_job, None
        if open_job is not None:
            self._desk.attempt(open_job.close)
        self._left()
