"""A job file whose program was killed in mid-save is whole: it holds the job before or the job after."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from random import Random

import pytest

from leakmap.records.check import check_job_file
from tests.helpers.job_files import later, make, opened

ROOT = Path(__file__).resolve().parents[3]

# Saves the job under a new name, again and again, and dies at a statement of a save.
AT_A_STATEMENT = """
import os, signal, sys
from dataclasses import replace
from pathlib import Path
from tests.helpers.job_files import later, opened

left = int(sys.argv[2])

def count_down(statement):
    global left
    left -= 1
    if left < 0:
        os.kill(os.getpid(), signal.SIGKILL) if hasattr(signal, "SIGKILL") else os._exit(9)

file = opened(Path(sys.argv[1]))
file._connection.execute("PRAGMA cache_size = 1")  # pages go to the file before the save is done
file._connection.set_trace_callback(count_down)
for number in range(100):
    leaks = {key: replace(leak, note=f"{number} " * 3000) for key, leak in file.job.leaks.items()}
    file.save(replace(file.job, name=f"Pit {number}", leaks=leaks), words="Renamed", user="A. Rook", at=later(1))
"""

# Saves without end, and says so before each save, so that it can be killed from outside.
FROM_OUTSIDE = """
import sys
from dataclasses import replace
from pathlib import Path
from tests.helpers.job_files import later, opened

file = opened(Path(sys.argv[1]))
number = 0
while True:
    number += 1
    leaks = {key: replace(leak, note=f"{number} " * 3000) for key, leak in file.job.leaks.items()}
    print(number, flush=True)
    file.save(replace(file.job, name=f"Pit {number}", leaks=leaks), words="Renamed", user="A. Rook", at=later(1))
"""


def prove_whole(path: Path) -> str:
    """The job's name, after checking that the file is whole and can be taken over."""
    assert check_job_file(path) == ()
    with opened(path, at=later(10)) as file:
        notes = {leak.note.split(" ")[0] for leak in file.job.leaks.values()}
        if file.job.name != "Test job":
            assert notes == {file.job.name.removeprefix("Pit ")}
        assert not file.look_only
        return file.job.name


@pytest.mark.slow
def test_a_program_that_dies_in_a_save_leaves_a_whole_file(tmp_path: Path) -> None:
    """Killed at any statement of a save, the file holds one job and its journal, never half of one."""
    chance = Random(20261102)  # noqa: S311 - not for secrets
    for number in range(6):
        path = make(tmp_path, name=f"{number}.gpkg")
        command = [sys.executable, "-c", AT_A_STATEMENT, str(path), str(chance.randrange(3, 60))]
        ended = subprocess.run(command, cwd=ROOT, check=False, capture_output=True)
        assert ended.returncode in {-9, 9}, ended.stderr.decode()
        prove_whole(path)


@pytest.mark.slow
def test_a_program_that_is_killed_leaves_a_whole_file(tmp_path: Path) -> None:
    """Killed from outside while it saves, the program leaves the last job that it saved, or the one that it was saving."""
    chance = Random(20261103)  # noqa: S311 - not for secrets
    path = make(tmp_path)
    for _ in range(4):
        with subprocess.Popen(
            [sys.executable, "-c", FROM_OUTSIDE, str(path)], cwd=ROOT, stdout=subprocess.PIPE, env=dict(os.environ)
        ) as child:
            assert child.stdout is not None
            said = [int(child.stdout.readline()) for _ in range(chance.randrange(2, 9))]
            child.kill()
            said += [int(line) for line in child.stdout]
        assert prove_whole(path) in {f"Pit {said[-1]}", f"Pit {said[-1] - 1}"}
        path = make(tmp_path, name=f"{said[-1]}-{chance.random()}.gpkg")
