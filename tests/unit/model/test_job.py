"""A job as a value."""

from __future__ import annotations

import pickle

from tests.helpers.job_files import full_job


def test_a_job_passes_between_processes_unchanged() -> None:
    """A job in which every field is filled comes out of pickling equal, and closed against change as before."""
    job = full_job()
    again = pickle.loads(pickle.dumps(job))  # noqa: S301 - written a moment ago
    assert again == job
    assert type(again.joints) is type(job.joints)
    assert list(again.joints) == list(job.joints)
