"""A program that is killed in the middle of its work loses nothing that was done: twenty times over."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from random import Random
from threading import Event

import pytest

from leakmap.model.job import Job
from leakmap.records.check import check_job_file
from leakmap.work.open_job import opened
from tests.helpers.open_jobs import hand, new_job
from tests.helpers.small_jobs import one_line, with_leak

ROOT = Path(__file__).resolve().parents[2]
KILLS = 20
AT_WORK = """
import os, sys
from pathlib import Path
from leakmap.work.edits.leaks import set_note
from leakmap.work.open_job import opened
from tests.helpers.open_jobs import hand

def work(path):
    job = opened(path, hand())
    assert not job.look_only, job.notice
    leak = next(iter(job.job.leaks))
    number = int(job.job.leaks[leak].note)
    print(number, flush=True)
    while True:
        number += 1
        job.do(set_note(job.job, leak=leak, note=str(number)))
        if number % 5 == 0:
            job.undo()
            job.redo()
        print(number, flush=True)

for line in sys.stdin:
    worker = os.fork()
    if not worker:
        work(Path(line.strip()))
    print("worker", worker, flush=True)
    os.waitpid(worker, 0)
    print("gone", flush=True)
"""
"""For each path that it reads, starts a process that works on that file until it is killed.

The worker counts up in the note of a leak, a deed each, now and then back and forth, and says each number
that is on disk. All workers come from one process, so that each has its modules already.
"""


def note_of(job: Job) -> int:
    """The number that the job has come to."""
    return int(next(iter(job.leaks.values())).note)


@contextmanager
def workers() -> Iterator[subprocess.Popen[str]]:
    """What starts a worker for each path that it is told."""
    with subprocess.Popen(
        [sys.executable, "-c", AT_WORK], cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as starter:
        yield starter
        assert starter.stdin is not None
        starter.stdin.close()
        assert starter.wait(20) == 0


def killed(starter: subprocess.Popen[str], path: Path, chance: Random) -> int:
    """The last number that a worker said was on disk before it was killed."""
    assert starter.stdin is not None
    assert starter.stdout is not None
    print(path, file=starter.stdin, flush=True)
    worker, said, wanted = 0, -1, chance.randrange(1, 12)
    while not worker or wanted > 0:
        words = starter.stdout.readline().split()
        if words[0] == "worker":
            worker = int(words[1])
        else:
            said, wanted = int(words[0]), wanted - 1
    Event().wait(chance.random() * 0.01)  # somewhere in the next deed or two
    os.kill(worker, signal.SIGKILL)
    while (word := starter.stdout.readline().strip()) != "gone":
        said = int(word)
    return said


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system cannot fork; another test kills whole programs there")
def test_killed_again_and_again_it_goes_on_where_it_was(tmp_path: Path) -> None:
    """After each kill the job is that of the last deed or of the one in hand, the sentence says so, and undo still works."""
    chance = Random(20261125)  # noqa: S311 - repeatable chance is what a test needs
    made, joint = one_line()
    job = new_job(tmp_path, with_leak(made, joint, 1.0, 2.0, note="0")[0])
    path = job.file.path
    job.close()
    with workers() as starter:
        for _ in range(KILLS):
            said = killed(starter, path, chance)
            job = opened(path, hand())
            assert not job.look_only
            assert job.notice.startswith("leakmap stopped at ")
            found = note_of(job.job)
            assert found in {said, said + 1}
            if found > 0:
                job.undo()
                assert note_of(job.job) == found - 1
                job.redo()
            assert note_of(job.job) == found
            job.close()
            assert check_job_file(path) == ()
    job = opened(path, hand())
    assert job.notice == ""
    for number in reversed(range(note_of(job.job))):
        job.undo()
        assert note_of(job.job) == number
    assert job.undo_words is None
    job.close()
