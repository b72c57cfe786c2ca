"""What can be read in the window: cautions in the words of the reader, and what is new."""

from __future__ import annotations

import pytest

from leakmap.base.measures import Units
from leakmap.issue.cautions import cautions
from leakmap.work.leaflets import cautions_leaflet, changes_leaflet


def said(units: Units) -> str:
    """All that the cautions say."""
    return " ".join(each.paragraphs[0] for each in cautions_leaflet(units).passages)


def test_every_caution_of_the_schedule_is_there() -> None:
    """A metric job reads each caution as the schedule prints it, in the same order, with its source."""
    passages = cautions_leaflet(Units.METRIC).passages
    assert [each.heading for each in passages] == [each.heading for each in cautions()]
    for passage, caution in zip(passages, cautions(), strict=True):
        assert passage.paragraphs[0].startswith(caution.text)
        assert caution.source in passage.paragraphs[0]


def test_limits_of_dust_are_the_published_ones() -> None:
    """29 CFR 1926.1153(a) and (c), read in job.md: action level 25, limit 50 µg/m³ as an 8-hour average; both are said."""
    for units in Units.EACH:
        assert "Action level 25, limit 50 µg/m³ over 8 hours" in said(units)
        assert "29 CFR 1926.1153" in said(units)


def test_a_reader_in_feet_and_inches_gets_words_and_limits_of_the_us() -> None:
    """No limit of another country, no word of it: grooves, ground-fault protection, licensed engineers."""
    metric, imperial = said(Units.METRIC), said(Units.IMPERIAL)
    for words in ("United Kingdom", "EH40", "residual-current", "chartered", "slot"):
        assert words in metric
        assert words not in imperial
    assert "ground-fault protection" in imperial
    assert "before any groove is opened" in imperial


def test_what_is_new_lists_every_change() -> None:
    """Each line of the change record is one paragraph under its release and sort, without signs of the file format."""
    leaflet = changes_leaflet()
    assert leaflet.passages[0].heading == "Unreleased: added"
    paragraphs = [words for passage in leaflet.passages for words in passage.paragraphs]
    assert any(words.startswith("The tape: ") for words in paragraphs)
    assert not any("`" in words or words.startswith("-") for words in paragraphs)
    assert len(paragraphs) == len(set(paragraphs))


@pytest.mark.parametrize("units", Units.EACH)
def test_cautions_are_short(units: Units) -> None:
    """Each is at most three sentences' room: 230 characters with its source."""
    assert max(len(each.paragraphs[0]) for each in cautions_leaflet(units).passages) <= 230
