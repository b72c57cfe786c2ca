"""What can go wrong, as a tree of exceptions whose message a user can read.

    LeakmapError
    ├── BadValue (also ValueError)      a value that no job can hold, refused when it is made
    ├── EditRefused (also ValueError)   a deed that cannot be done on this job
    ├── UnusableFile                    a file that could not be used at all
    │   ├── UnusableDrawing
    │   │   └── LockedDrawing           a drawing that opens with a password only
    │   ├── UnusableTable
    │   └── UnusableJobFile
    │       └── NotWritten              a change that could not be written now, but may be later
    └── Stopped                         the user stopped long work

A message is one sentence: what happened, what was kept, what to do.
"""

from __future__ import annotations


class LeakmapError(Exception):
    """Base of everything that leakmap raises on purpose.

    Args:
        message: One sentence for the user, ends with a full stop.
        hint: What to do next, when the message does not say it.
        where: The reference, file, line or cell that the message is about.
    """

    def __init__(self, message: str, *, hint: str = "", where: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint
        self.where = where

    def __str__(self) -> str:
        return " ".join(part for part in (self.message, self.hint) if part)


def reason_of(problem: OSError) -> str:
    """Why the system refused a file, in its own words, as part of a sentence.

    >>> reason_of(OSError(28, "No space left on device")), reason_of(OSError())
    ('No space left on device', 'the system gave no reason')
    """
    return problem.strerror or "the system gave no reason"


class BadValue(LeakmapError, ValueError):
    """A value that no job can hold: not a number, infinite, out of its range."""


class EditRefused(LeakmapError, ValueError):
    """A deed that cannot be done on this job; the job is as it was."""


class UnusableFile(LeakmapError):
    """A file of which nothing could be used."""


class UnusableDrawing(UnusableFile):
    """A drawing of which nothing could be used."""


class LockedDrawing(UnusableDrawing):
    """A drawing that opens with a password only, or with another one than was given."""


class UnusableTable(UnusableFile):
    """A table (CSV) of which nothing could be used."""


class UnusableJobFile(UnusableFile):
    """A job file that could not be opened."""


class NotWritten(UnusableJobFile):
    """A change that could not be written to a job file now; the next try may succeed.

    Args:
        message: One sentence for the user.
        why: What stands in the way, in two or three words, such as "disk full".
        where: The file.
    """

    def __init__(self, message: str, *, why: str, where: str = "") -> None:
        super().__init__(message, where=where)
        self.why = why


class Stopped(LeakmapError):
    """The user stopped long work; nothing was changed."""

    def __init__(self) -> None:
        super().__init__("Stopped. Nothing was changed.")
