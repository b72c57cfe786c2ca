"""The repair schedule before it is issued, read back with another library."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from leakmap.base.errors import Stopped
from leakmap.base.progress import StopAfter
from leakmap.model.words import Purpose
from leakmap.repair.sides import Side
from leakmap.work.edits.rules import set_locale
from leakmap.work.previews import changes_preview, plan_set_preview, schedule_preview
from leakmap.work.revisions import NOW
from tests.helpers.page_texts import page_texts
from tests.helpers.priced_job import EUR, priced_job
from tests.helpers.small_jobs import one_line, with_leak

AT = datetime(2026, 11, 25, 14, 0, tzinfo=UTC)


@pytest.mark.slow
def test_a_preview_is_the_schedule_marked_as_not_issued() -> None:
    """A seep of 1 m with 0.30 m on both sides measures 1.600 m; the front page says that nothing is issued."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 2, 3)
    data = schedule_preview(job, purpose=Purpose.WORK, at=AT, drawings={})
    texts = page_texts(data)
    words, front = " ".join(texts), texts[0]
    assert "Not issued" in front
    assert "provisional, not for work" in front
    assert "1.600" in words


@pytest.mark.parametrize("preview", [schedule_preview, plan_set_preview])
def test_a_preview_writes_its_day_as_the_paper_will(preview: Callable[..., bytes]) -> None:
    """25 November in a job read in Turkish is 25 Kas on every paper that is looked at (month names of the CLDR)."""
    job = set_locale(one_line()[0], locale="tr").job
    assert "25 Kas 2026" in page_texts(preview(job, purpose=None, at=AT, drawings={}))[0]


def test_a_preview_can_be_stopped() -> None:
    """The watcher's word stops it before a page is made."""
    job, _ = one_line()
    with pytest.raises(Stopped):
        schedule_preview(job, purpose=None, at=AT, drawings={}, progress=StopAfter(1))


@pytest.mark.slow
def test_a_comparison_tells_prices_where_neither_side_was_for_work() -> None:
    """Since P01 both sums stand there, since C01 none does: 1049.94 without suspects, and 450 less without moving in."""
    was, now = priced_job(replace(EUR, slot=None)), priced_job(replace(EUR, slot=None, job=None))
    since = {
        name: " ".join(page_texts(changes_preview(Side(name, was), Side(NOW, now), at=AT, drawings={})))
        for name in ("P01", "C01")
    }
    assert "1049.94 −450.00 599.94" in since["P01"]
    assert "EUR" not in since["C01"]
