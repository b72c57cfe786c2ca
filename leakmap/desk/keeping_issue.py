"""Keeping an issue that was made: sealed in the job on the desk, its papers put into a folder, and told to every pane."""

from __future__ import annotations

from pathlib import Path

from leakmap.base.errors import UnusableFile, reason_of
from leakmap.desk.state import Desk
from leakmap.work.issuing import Issue
from leakmap.work.recent import with_recipient


def keep_issue(desk: Desk, made: Issue, folder: Path) -> tuple[Path, ...]:
    """Keep an issue and put its papers into a folder; gives where they are. The revision is begun no more.

    Raises:
        LeakmapError: It could not be kept, or a paper could not be put there; it says which.
    """
    open_job = desk.open_job
    assert open_job is not None
    before = open_job.job
    try:
        return open_job.keep_issue(made, folder)
    except OSError as problem:
        raise UnusableFile(
            f"{folder} cannot be written ({reason_of(problem)}), so nothing was issued; choose another."
        ) from problem
    finally:
        after = open_job.job
        if after is not before:
            desk.show(None)
            desk.draft_changed.emit()
            desk.remember(lambda old: with_recipient(old, made.revision.to_whom))
            issued = {("issued", key) for key in {*before.issued, *after.issued}}
            desk.settle(frozenset({("revisions", made.revision.id), ("job", after.id), *issued}))
