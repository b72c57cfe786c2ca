"""Other items in words."""

from __future__ import annotations

from dataclasses import replace

from leakmap.base.measures import Units
from leakmap.issue.other_words import quantity_words
from tests.helpers.paper_job import paper_job


def test_an_area_is_read_as_its_job_is() -> None:
    """1 m² is 10.76 square feet (NIST SP 811, B.8, from memory); what is counted has no unit in either system."""
    item = replace(next(iter(paper_job().others.values())), quantity=1.0, unit="m²")
    assert quantity_words(Units.METRIC, item) == ("1", "m²")
    assert quantity_words(Units.IMPERIAL, item) == ("10.76", "sq ft")
    assert quantity_words(Units.IMPERIAL, replace(item, quantity=6, unit="")) == ("6", "")
