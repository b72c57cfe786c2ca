"""What the ledger says of materials below the zones."""

from __future__ import annotations

from dataclasses import replace

from leakmap.records.tables.material_table import planning_materials
from leakmap.repair.needs import needs_of
from leakmap.repair.work_out import repairs
from leakmap.work.kept import Kept
from leakmap.work.material_notes import MOST_ZONES, mixed_section, order_section
from tests.helpers.paper_job import paper_job

PLAIN = paper_job()
JOB = replace(PLAIN, materials=planning_materials())
FOUND = repairs(JOB)


def test_the_order_is_of_the_zones_that_are_listed() -> None:
    """The whole job has the sums of its levels, each zone counted on its first level alone."""
    whole = order_section(JOB, FOUND, None, Kept())
    assert whole is not None
    assert whole.heading == "To order"
    plug = sum(
        need.powder_kg or 0
        for zone in FOUND.zones
        for need in needs_of(JOB, zone)
        if need.material == "plugging_mortar"
    )
    assert f"Plugging mortar: {plug} kg powder" in whole.notes[0].words
    many = replace(FOUND, zones=FOUND.zones[:1] * (MOST_ZONES + 1))
    told = order_section(JOB, many, None, Kept())
    assert told is not None
    assert str(MOST_ZONES + 1) in told.notes[0].words
    assert any("what a coat takes is not given" in note.words for note in whole.notes)


def test_what_a_picked_zone_takes_stands_below() -> None:
    """A note for each use in a picked zone; none where nothing is picked."""
    zone = FOUND.zones[0]
    section = mixed_section(JOB, FOUND, frozenset({zone.number}), Kept())
    assert section is not None
    assert section.heading == f"Mixed for {zone.ref}"
    assert len(section.notes) == len(needs_of(JOB, zone))
    assert mixed_section(JOB, FOUND, frozenset(), Kept()) is None


def test_a_job_without_a_table_has_no_section() -> None:
    """Nothing is said of materials where none is known."""
    assert order_section(PLAIN, repairs(PLAIN), None, Kept()) is None
