"""The material table of a job as lines of text, and its deeds."""

from __future__ import annotations

from dataclasses import replace

import pytest

from leakmap.base.errors import BadValue, EditRefused
from leakmap.model.materials import Figure, Filling, Materials
from leakmap.records.tables.material_table import planning_materials
from leakmap.work.edits.materials import ENTERED, set_material_figure
from leakmap.work.edits.rules import set_locale
from leakmap.work.material_lines import change_material, material_lines
from leakmap.work.new_job import empty_job
from tests.helpers.small_jobs import one_sheet

JOB = empty_job("pit").job


@pytest.mark.parametrize("locale", ["", "de", "en-US"])
def test_every_line_reads_itself(locale: str) -> None:
    """Typing what a line says changes nothing, and every figure says where it is from or that it is to be entered."""
    job = set_locale(JOB, locale=locale).job
    lines = material_lines(job)
    assert len({line.name for line in lines}) == len(lines)
    for line in lines:
        assert not change_material(job, name=line.name, text=line.text).changed, line.name
        assert line.words.endswith(".")
        assert line.text == line.usual


def test_a_figure_that_is_typed_is_entered_and_goes_back_to_its_origin() -> None:
    """Another figure has the job for its origin; the planning value has its own again."""
    name = "plugging_mortar.parts_powder"
    edit = change_material(JOB, name=name, text="3,2")
    assert edit.job.materials.plugging_mortar.parts_powder == Figure(value=3.2, origin=ENTERED)
    assert edit.words == "change plugging mortar"
    usual = next(line.usual for line in material_lines(edit.job) if line.name == name)
    assert change_material(edit.job, name=name, text=usual).job == JOB
    emptied = change_material(JOB, name=name, text="")
    assert emptied.job.materials.plugging_mortar.parts_powder == Figure()


def test_what_fills_the_slot_is_chosen() -> None:
    """One of two words; another is refused."""
    assert change_material(JOB, name="filling", text="repair mortar").job.materials.filling is Filling.REPAIR_MORTAR
    with pytest.raises(BadValue, match="none of"):
        change_material(JOB, name="filling", text="sand")


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("dry_pack.pail_l", "0"),
        ("dry_pack.air_share", "1"),
        ("dry_pack.pail_l", "ten"),
        ("dry_pack.bulk_kg_per_m3", "4000"),
    ],
)
def test_what_nothing_can_be_reckoned_with_is_refused(name: str, text: str) -> None:
    """A sentence, and the job as it was."""
    with pytest.raises((BadValue, EditRefused), match=r"\.$"):
        change_material(JOB, name=name, text=text)
    with pytest.raises(EditRefused):
        set_material_figure(JOB, material="putty", figure="bag_kg", value=1.0)


def test_a_job_keeps_its_own_table() -> None:
    """A new job has the planning table, one from before has none, and neither changes with the other."""
    assert JOB.materials == planning_materials()
    assert one_sheet()[0].materials == Materials()
    changed = change_material(JOB, name="dry_pack.bag_kg", text="25").job
    assert planning_materials() == JOB.materials != changed.materials
    assert replace(changed, materials=JOB.materials) == JOB
