"""From one thing to the next in the order of the ledger."""

from __future__ import annotations

from leakmap.model.sheet import Source
from leakmap.work.ledger_rows import joint_table, leak_table
from leakmap.work.sample_job import DRAWINGS, sample_job
from leakmap.work.stepping import joints_in_order, leaks_in_order, stepped


def test_the_order_is_that_of_the_ledger() -> None:
    """Joints and leaks of the sample job come in the order in which the ledger lists them."""
    job = sample_job(sources={name: Source(name=file, sha256="0" * 64) for name, file in DRAWINGS.items()})
    listed = [line.where.key for line in joint_table(job, None).lines if line.where is not None]
    assert joints_in_order(job) == listed
    listed = [line.where.key for line in leak_table(job, None).lines if line.where is not None]
    assert leaks_in_order(job) == listed


def test_steps_go_round() -> None:
    """Past the last comes the first, and from what is not listed a step goes to the near end."""
    assert [stepped("abc", present, 1) for present in "abcx"] == ["b", "c", "a", "a"]
    assert [stepped("abc", present, -1) for present in "abcx"] == ["c", "a", "b", "c"]
