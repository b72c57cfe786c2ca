"""A job as canonical text."""

from __future__ import annotations

import json
from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.base.errors import UnusableJobFile
from leakmap.records import frozen
from leakmap.records.frozen import frozen_text, job_of_frozen
from tests.helpers.job_files import full_job, issued_job
from tests.helpers.random_edits import random_job


def test_a_full_job_comes_back() -> None:
    """Every field survives, and collections keep their order."""
    job = issued_job(full_job())
    again = job_of_frozen(frozen_text(job))
    assert again == job
    assert [list(again.joints), list(again.leaks)] == [list(job.joints), list(job.leaks)]


@given(st.integers(0, 2**32))
@settings(max_examples=15)
def test_a_random_job_comes_back_to_the_same_text(seed: int) -> None:
    """Reading a frozen text and freezing again gives the same text."""
    text = frozen_text(random_job(Random(seed)))  # noqa: S311 - not for secrets
    assert frozen_text(job_of_frozen(text)) == text


def test_equal_jobs_have_equal_texts() -> None:
    """Neither a whole number in a float field nor the sign of a zero makes another text."""
    job = full_job()
    water = replace(job.water, level_m=0.0) if job.water else None
    one, other = replace(job, water=water), replace(job, water=replace(water, level_m=-0.0) if water else None)
    assert one == other
    assert frozen_text(one) == frozen_text(other)


def test_the_order_of_items_is_part_of_the_text() -> None:
    """Sheets in another order are another text, as people list them otherwise."""
    job = full_job()
    turned = replace(job, sheets=dict(reversed(job.sheets.items())))
    assert frozen_text(turned) != frozen_text(job)
    assert list(job_of_frozen(frozen_text(turned)).sheets) == list(turned.sheets)


def test_the_schema_number_stands_in_the_text() -> None:
    """The text carries the number by which a newer leakmap knows how to read it."""
    assert json.loads(frozen_text(full_job()))["schema"] == frozen.FROZEN_SCHEMA


def test_a_newer_text_is_refused() -> None:
    """A text of a newer leakmap is refused with a sentence that says what to do."""
    text = frozen_text(full_job()).replace('"schema":1', '"schema":2', 1)
    with pytest.raises(UnusableJobFile, match=r"newer leakmap .* update leakmap"):
        job_of_frozen(text)


def test_an_older_text_is_brought_up_to_date(monkeypatch: pytest.MonkeyPatch) -> None:
    """A text of an older schema is changed step by step in memory before it is read."""

    def give_a_name(job: dict[str, object]) -> dict[str, object]:
        return {**job, "name": job["title"] if "title" in job else job["name"]}

    older = frozen_text(full_job())
    monkeypatch.setattr(frozen, "FROZEN_SCHEMA", 2)
    monkeypatch.setattr(frozen, "STEPS", {1: lambda job: {**give_a_name(job), "name": "Renamed"}})
    assert job_of_frozen(older).name == "Renamed"


@pytest.mark.parametrize(
    "text",
    ["", "{}", "[]", '{"schema":1}', '{"schema":"1","job":{}}', '{"schema":0,"job":{}}', '{"schema":1,"job":{}}'],
)
def test_a_damaged_text_gets_one_sentence(text: str) -> None:
    """What is no frozen job is refused with one sentence."""
    with pytest.raises(UnusableJobFile, match="damaged"):
        job_of_frozen(text)
