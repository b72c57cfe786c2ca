"""Who has a job file open for change."""

from __future__ import annotations

import ctypes
import os
import subprocess
import sys
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest

from leakmap.base.errors import UnusableJobFile
from leakmap.records import lock
from leakmap.records.job_file import JobFile, open_job_file
from leakmap.records.lock import SILENCE, running
from tests.helpers.job_files import AT, database, later, make, opened
from tests.helpers.open_jobs import leave_lock

MINUTES = SILENCE.total_seconds() / 60


def opened_elsewhere(path: Path, minutes: float = 0.0) -> JobFile:
    """The file opened by another user on another computer, some minutes later."""
    return open_job_file(path, user="B. Teal", host="site-laptop-2", at=later(minutes))


def only_looks(path: Path, minutes: float) -> bool:
    """Whether somebody who opens the file some minutes later can only look."""
    with opened(path, at=later(minutes)) as file:
        return file.look_only


def rename(file: JobFile, name: str, minutes: float) -> None:
    """Save the job under another name."""
    file.save(replace(file.job, name=name), words="Renamed", user="somebody", at=later(minutes))


def test_the_second_opener_looks_only(tmp_path: Path) -> None:
    """Whoever comes second reads the sentence of the desk, sees the job, and cannot change it."""
    path = make(tmp_path)
    with opened_elsewhere(path) as first, opened(path, at=later(1)) as second:
        assert not first.look_only
        assert second.look_only
        assert second.notice == "This job is open on another computer (site-laptop-2). You can look, not change."
        assert second.job == first.job
        with pytest.raises(UnusableJobFile, match="You can look, not change"):
            rename(second, "Pit 2", 1)
        rename(first, "Pit 2", 1)


def test_twice_on_one_computer_is_said_so(tmp_path: Path) -> None:
    """On the same computer the sentence does not speak of another one."""
    path = make(tmp_path)
    with opened(path), opened(path) as second:
        assert second.notice == "This job is already open on this computer. You can look, not change."


def test_closing_lets_the_next_one_in(tmp_path: Path) -> None:
    """After closing nothing is left of the lock."""
    path = make(tmp_path)
    opened_elsewhere(path).close()
    with opened(path, at=later(0.1)) as file:
        assert not file.look_only
        assert file.notice == ""


def test_whoever_looks_does_not_hold_the_file(tmp_path: Path) -> None:
    """Looking keeps nobody out, and the second opener's closing takes no lock away."""
    path = make(tmp_path)
    with opened(path, look_only=True), opened_elsewhere(path) as first:
        assert not first.look_only
        opened(path).close()
        rename(first, "Pit 2", 1)


@pytest.mark.parametrize(("silent", "mine"), [(MINUTES - 0.01, False), (MINUTES, True)])
def test_a_silent_lock_is_taken_over(tmp_path: Path, *, silent: float, mine: bool) -> None:
    """After five minutes of silence, and not before, the next opener has the file, and is told."""
    path = make(tmp_path)
    first = opened_elsewhere(path)
    with opened(path, at=later(silent)) as second:
        assert second.look_only is not mine
        words = "B. Teal on site-laptop-2 left this job open and has fallen silent; you have it now."
        assert (second.notice == words) is mine
    first.close()


def test_a_beat_or_a_save_keeps_the_lock(tmp_path: Path) -> None:
    """Five minutes count from the last sign of life."""
    path = make(tmp_path)
    with opened_elsewhere(path) as first:
        first.beat(later(4))
        assert only_looks(path, 4 + MINUTES - 0.01)
        rename(first, "Pit 2", 8)
        assert only_looks(path, 8 + MINUTES - 0.01)


def test_who_was_taken_over_cannot_save(tmp_path: Path) -> None:
    """A computer that slept and wakes up does not write over what somebody else did meanwhile."""
    path = make(tmp_path)
    first = opened_elsewhere(path)
    with opened(path, at=later(6)) as second:
        rename(second, "Pit 2", 6)
        for deed in (lambda: rename(first, "Pit 3", 7), lambda: first.beat(later(7))):
            with pytest.raises(UnusableJobFile, match=r"taken over by A\. Rook on site-laptop-1 .* was not saved"):
                deed()
        first.close()
        rename(second, "Pit 4", 8)
    with opened(path, at=later(9)) as third:
        assert third.job.name == "Pit 4"


def test_a_clock_that_runs_ahead_keeps_its_lock(tmp_path: Path) -> None:
    """A sign of life from the future is no silence."""
    path = make(tmp_path)
    with opened_elsewhere(path, 120), opened(path) as second:
        assert second.look_only


def test_an_unreadable_lock_holds_nobody_out(tmp_path: Path) -> None:
    """A lock row that says nothing does not lock a job for good."""
    path = make(tmp_path)
    with database(path) as connection:
        connection.execute("INSERT INTO leakmap_lock VALUES (1, 'h', 'u', 1, 'then', 'now')")
    with opened(path, at=AT) as file:
        assert not file.look_only


def test_whether_a_process_runs() -> None:
    """This process runs; one that was started and ended does not, nor does a number that is none."""
    assert running(os.getpid())
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    assert not running(ended.pid)
    assert not any(map(running, (0, -1, 2**70)))


def test_a_process_of_another_user_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    """A process that may not be asked is there."""

    def not_allowed(_process: int, _signal: int) -> None:
        raise PermissionError

    monkeypatch.setattr(lock.os, "kill", not_allowed)
    assert running(4711)


@dataclass
class FakeKernel:
    """Stands in for what Windows is asked about a process: a handle or an error, and an exit code."""

    handle: int
    code: int
    closed: int = 0

    def OpenProcess(self, right: int, inherit: bool, process: int) -> int:  # noqa: FBT001, N802 - as Windows has it
        """A handle, or 0."""
        assert (right, inherit, process) == (0x1000, False, 4711)
        return self.handle

    def GetExitCodeProcess(self, handle: int, code: Any) -> int:  # noqa: ANN401, N802 - as Windows has it
        """Fill in the exit code."""
        assert handle == self.handle
        code._obj.value = self.code
        return 1

    def CloseHandle(self, handle: int) -> None:  # noqa: N802 - as Windows has it
        """Count it."""
        assert handle == self.handle
        self.closed += 1


@pytest.mark.parametrize(
    ("handle", "code", "error", "runs"), [(8, 259, 0, True), (8, 1, 0, False), (0, 0, 87, False), (0, 0, 5, True)]
)
def test_windows_is_asked_and_nothing_is_ended(
    monkeypatch: pytest.MonkeyPatch, *, handle: int, code: int, error: int, runs: bool
) -> None:
    """There a process is asked for its exit code (259 still runs; error 5: not ours to ask); no signal is sent, which would end it.

    The numbers are those of the system's documentation of GetExitCodeProcess and its error codes, from memory.
    """
    kernel = FakeKernel(handle, code)
    monkeypatch.setattr(ctypes, "WinDLL", lambda _name, **_: kernel, raising=False)
    monkeypatch.setattr(ctypes, "get_last_error", lambda: error, raising=False)
    monkeypatch.setattr(lock.sys, "platform", "win32")
    monkeypatch.delattr(lock.os, "kill")
    assert running(4711) is runs
    assert kernel.closed == (handle != 0)


def test_a_dead_process_holds_nothing(tmp_path: Path) -> None:
    """Of a process of this computer that runs no more, the lock is taken at once; of another computer, it is not."""
    path = make(tmp_path)
    leave_lock(path, AT, host="site-laptop-1")
    with opened(path, at=later(1)) as file:
        assert not file.look_only
        assert file.notice == "leakmap stopped at 09:30. Everything up to 09:30 is here."
    leave_lock(path, AT, host="site-laptop-2")
    assert only_looks(path, 1)


def test_where_the_journal_does_not_tell_the_time_of_a_crash_the_heartbeat_does(tmp_path: Path) -> None:
    """The last sign of life counts, whichever it was; no time is made up."""
    path = make(tmp_path)
    leave_lock(path, AT)
    with database(path) as connection:
        connection.execute("DROP TRIGGER journal_no_update")
        connection.execute("UPDATE journal SET at = 'noon'")
    with opened(path, at=later(1)) as file:
        assert file.notice == "leakmap stopped at 09:30. Everything up to 09:30 is here."
