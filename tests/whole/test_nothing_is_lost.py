"""A program that is killed in the middle of its work loses nothing that was done: twenty times over."""

from __future__ import annotations

import subprocess
import sys
from contextlib import suppress
from pathlib import Path
from random import Random

import pytest

from leakmap.model.job import Job
from leakmap.records.check import check_job_file
from leakmap.work.open_job import opened
from tests.helpers.open_jobs import hand, new_job
from tests.helpers.small_jobs import one_line, with_leak

ROOT = Path(__file__).resolve().parents[2]
KILLS = 20
PER_PROCESS = """
import sys
from pathlib import Path
from leakmap.work.edits.leaks import set_note
from leakmap.work.open_job import opened
from tests.helpers.open_jobs import hand

job = opened(Path(sys.argv[1]), hand())
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
"""
"""Counts up in the note of a leak, a deed each, now and then back and forth, and says each number that is on disk."""


def note_of(job: Job) -> int:
    """The number that the job has come to."""
    return int(next(iter(job.leaks.values())).note)


def killed(path: Path, chance: Random) -> int:
    """The last number that a program said was on disk before it was killed."""
    with subprocess.Popen(
        [sys.executable, "-c", PER_PROCESS, str(path)], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as child:
        assert child.stdout is not None
        assert child.stderr is not None
        said = [child.stdout.readline() for _ in range(chance.randrange(1, 12))]
        with suppress(subprocess.TimeoutExpired):
            child.wait(chance.random() * 0.01)  # somewhere in the next deed or two
        child.kill()
        said += child.stdout.readlines()
        assert all(said), child.stderr.read().decode()
    return int([line for line in said if line.endswith(b"\n")][-1])


@pytest.mark.slow
def test_killed_again_and_again_it_goes_on_where_it_was(tmp_path: Path) -> None:
    """After each kill the job is that of the last deed or of the one in hand, the sentence says so, and undo still works."""
    chance = Random(20261125)  # noqa: S311 - repeatable chance is what a test needs
    made, joint = one_line()
    job = new_job(tmp_path, with_leak(made, joint, 1.0, 2.0, note="0")[0])
    path = job.file.path
    job.close()
    for _ in range(KILLS):
        said = killed(path, chance)
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
