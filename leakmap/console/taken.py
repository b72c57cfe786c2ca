"""A table in a file, taken into a job by a command."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from leakmap.console.opened import for_change
from leakmap.console.outcome import Outcome, done
from leakmap.model.job import Job
from leakmap.work.edits.edit import Edit
from leakmap.work.here import now, user


def take_table(job: str, path: str, deed: Callable[[Job, Path], Edit]) -> Outcome:
    """Take a table as one step of undo, and print what was taken and what was not.

    Args:
        job: The job file, as the command names it.
        path: The table.
        deed: What takes it; the first that it says is what was taken, the rest what was left out.

    Raises:
        UnusableTable: It is no such table.
        UnusableJobFile: The job file cannot be changed.
        OSError: The table cannot be read.
    """
    with for_change(job, at=now()) as file:
        edit = deed(file.job, Path(path))
        if edit.changed:
            file.save(edit.job, words=edit.words, user=user(), at=now())
    print("\n".join(edit.said))
    return done(edit.said[1:])
