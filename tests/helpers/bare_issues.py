"""Issues without papers: everything else of an issue as the program does it, in a hundredth of the time."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from unittest.mock import patch

from leakmap.model.words import Purpose
from leakmap.work import issuing
from leakmap.work.issuing import Issue
from leakmap.work.open_job import OpenJob
from leakmap.work.papers import Papers


@contextmanager
def without_papers() -> Iterator[None]:
    """No paper is made; each issue has one small text in their stead."""

    def one(*_: object, heading: object, **__: object) -> Papers:
        return Papers(files={f"{getattr(heading, 'revision', '')} note.txt": b"as issued"}, findings=())

    with patch.object(issuing, "papers_of", one):
        yield


def bare_issue(job: OpenJob, purpose: Purpose, folder: Path, *, to_whom: str = "crew 2") -> Issue:
    """Issue the next revision of a job under work, into a folder of its own."""
    with without_papers():
        made, _ = job.issue(purpose=purpose, to_whom=to_whom, folder=folder / str(len(job.job.revisions)))
    return made
