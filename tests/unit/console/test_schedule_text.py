"""The schedule on a terminal."""

from __future__ import annotations

from leakmap.base.findings import Effect, Finding
from leakmap.console.schedule_text import findings_text


def test_many_findings_are_counted() -> None:
    """Forty are printed in full and the rest is counted."""
    lines = list(findings_text([Finding("x", "", f"Look at {n}.") for n in range(42)]))
    assert lines[0] == "To look at (42):"
    assert lines[1] == "  Look at 0."
    assert lines[-1] == "  and 2 more."
    assert len(lines) == 42


def test_no_findings_no_lines() -> None:
    """Nothing is printed where nothing is to be looked at."""
    assert list(findings_text([])) == []


def test_what_is_merely_told_stands_apart() -> None:
    """What nobody needs to look at is under a heading of its own, below what somebody does."""
    told, look = Finding("x", "", "All is as it was.", Effect.TOLD), Finding("y", "", "Look here.")
    assert list(findings_text([told, look])) == [
        "To look at (1):",
        "  Look here.",
        "For the record (1):",
        "  All is as it was.",
    ]
