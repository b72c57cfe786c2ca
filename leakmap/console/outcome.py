"""How a command ends: its exit code."""

from __future__ import annotations

from enum import IntEnum


class Outcome(IntEnum):
    """Exit codes of the console."""

    DONE = 0
    BROKEN = 1  # a mistake in leakmap itself; written to the log
    WRONG_CALL = 2
    UNUSABLE_FILE = 3
    FINDINGS = 4  # done, and there is something to look at
    STOPPED = 130  # by the user, as shells say it


def done(findings: object) -> Outcome:
    """Done, with or without findings."""
    return Outcome.FINDINGS if findings else Outcome.DONE
