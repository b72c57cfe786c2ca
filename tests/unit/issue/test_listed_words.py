"""Facts of joints, leaks and rules before and now, in words of either trade and for programs."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import date

import pytest

from leakmap.base.measures import System, Units
from leakmap.issue.listed_words import listed_csv, listed_json, listed_words
from leakmap.model.job import Job
from leakmap.model.joint import Blind
from leakmap.model.materials import Figure, Filling, Material, Materials
from leakmap.model.rules import Rules, Suspects
from leakmap.model.words import Face, Kind, Wetness
from leakmap.repair.listed_changes import listed_changes
from tests.helpers.small_jobs import one_line, photo, with_leak


@pytest.fixture(scope="module")
def jobs() -> tuple[Job, Job]:
    """A job, and the same with a fact of every type changed: of its joint, its leak and its rules."""
    old, joint = one_line(((0, 0), (12, 0)))
    old, leak = with_leak(old, joint, 2.0, 3.0)
    was, wet = old.joints[joint], old.leaks[leak]
    now = replace(
        was,
        kind=Kind.WALL_BASE,
        face=Face.SOFFIT,
        cover_m=0.04,
        dormant=True,
        blind=(Blind(from_m=8.0, to_m=9.5, what="tank"),),
        access="slot in the lid",
    )
    wetter = replace(
        wet,
        from_m=1.5,
        to_m=3.25,
        wetness=Wetness.RUN,
        seen=date(2026, 11, 2),
        flow_l_min=1.5,
        photos=(photo("a"), photo("b")),
    )
    rules = replace(
        old.rules,
        overrun_m=(0.3, 0.3, 0.3, 0.4, 0.6096, 0.45),
        bridge_m=0.6096,
        suspects=Suspects.WATCH,
        chargeable_step_m=None,
        water_contact="after 2 days",
    )
    return old, replace(old, joints={joint: now}, leaks={leak: wetter}, rules=rules)


def test_each_fact_is_said_with_its_values_before_and_now(jobs: tuple[Job, Job]) -> None:
    """One line a fact; lengths as papers print them, days and yes or no in words, what nobody said is "none"."""
    said = [listed_words(Units.METRIC, each) for each in listed_changes(*jobs)]
    assert said == [
        "joint J-01, kind: construction, now wall-base",
        "joint J-01, face: floor, now soffit",
        "joint J-01, dormant: no, now yes",
        "joint J-01, blind: none, now 8.000 to 9.500 tank",
        "joint J-01, cover: none, now 0.040 m",
        "joint J-01, access: none, now slot in the lid",
        "leak L-01, from: 2.000 m, now 1.500 m",
        "leak L-01, to: 3.000 m, now 3.250 m",
        "leak L-01, length: 1.000 m, now 1.750 m",
        "leak L-01, wetness: 2 seep, now 4 run",
        "leak L-01, seen: none, now 02 Nov 2026",
        "leak L-01, flow: none, now 1.50 L/min",
        "leak L-01, photos: 0, now 2",
        "rule overrun, run, value: 450 mm, now 609.6 mm",
        "rule longest sound gap that is taken into a zone, value: 300 mm, now 609.6 mm",
        "rule what is done with suspect stretches, value: repair, now watch",
        "rule step that a zone's chargeable length is rounded up to, value: 100 mm, now none",
        "rule earliest water contact, from the data sheet, value: none, now after 2 days",
    ]


def test_an_imperial_job_says_feet_and_its_own_words(jobs: tuple[Job, Job]) -> None:
    """Lengths in feet and inches, rules too, where 0.3 m is no whole eighth; words of the US trade, but not what was typed."""
    steps = {"measuring_step_m": Units.IMPERIAL.step_m, "chargeable_step_m": None}
    old, new = (replace(job, units=Units.IMPERIAL, rules=replace(job.rules, **steps)) for job in jobs)
    said = [listed_words(Units.IMPERIAL, each) for each in listed_changes(old, new)]
    for words in (
        "joint J-01, kind: construction, now cove",
        "joint J-01, face: floor, now underside",
        "joint J-01, access: none, now slot in the lid",
        "leak L-01, from: 6' 6 3/4\", now 4' 11\"",
        "leak L-01, flow: none, now 0.40 gpm",
        'rule longest sound gap that is taken into a zone, value: 300 mm (11 3/4"), now 2\' 0"',
    ):
        assert words in said


def test_programs_get_metric_values(jobs: tuple[Job, Job]) -> None:
    """JSON holds figures, days and lists; CSV the same in text, a figure with its unit beside it."""
    listed = listed_changes(*jobs)
    found = {(each.name, each.what): listed_json(each) for each in listed}
    assert (found["L-01", "wetness"]["before"], found["L-01", "wetness"]["after"]) == (2, 4)
    assert found["J-01", "kind"]["after"] == "wall-base"
    assert found["L-01", "seen"]["after"] == "2026-11-02"
    assert [*map(str, (found["L-01", "from"]["before"], found["L-01", "from"]["unit"]))] == ["2.000", "m"]
    assert found["J-01", "dormant"]["before"] is False
    rows = {(row["name"], row["what"]): row for row in csv.DictReader(io.StringIO(listed_csv(listed)))}
    assert len(rows) == len(listed)
    assert (rows["L-01", "to"]["after"], rows["L-01", "to"]["unit"]) == ("3.250", "m")
    assert rows["J-01", "blind"]["after"] == "8.000 to 9.500 tank"


def test_facts_of_the_job_its_levels_and_materials_are_told() -> None:
    """Owner, approver, locale, units and north before and now; a material's figure with its unit, and its origin as typed.

    A material that is known in neither job, or alike in both, is not told.
    """
    old, _ = one_line()
    sheet = next(iter(old.sheets.values()))
    mortar = Material(pot_life_min=Figure(value=3.0, origin="data sheet"), bag_kg=Figure(value=25.0))
    old = replace(old, materials=Materials(plugging_mortar=mortar), approver="A. Stone")
    quicker = replace(mortar, pot_life_min=Figure(value=2.5, origin="tried on site"))
    new = replace(
        old,
        legal_owner="Heron Estates",
        approver="",
        units=Units(System.METRIC, "de"),
        sheets={sheet.id: replace(sheet, north_deg=12.5)},
        materials=Materials(plugging_mortar=quicker, filling=Filling.REPAIR_MORTAR),
    )
    listed = listed_changes(old, new)
    assert [listed_words(Units.METRIC, each) for each in listed] == [
        f"job {new.name}, legal owner: none, now Heron Estates",
        f"job {new.name}, approver: A. Stone, now none",
        f"job {new.name}, locale: none, now de",
        f"job {new.name}, what fills the slot: dry-pack, now repair mortar",
        f"level {sheet.name}, true north: none, now 12.5°",
        "material plugging mortar, pot life: 3 min, now 2.5 min",
        "material plugging mortar, pot life, origin: data sheet, now tried on site",
    ]
    assert listed_words(new.units, listed[-2]).endswith("now 2,5 min")
    assert (listed_json(listed[4])["after"], listed_json(listed[5])["unit"]) == (12.5, "min")
    assert "material,plugging mortar,pot life,3.0,2.5,min" in listed_csv(listed)
    in_feet = listed_changes(old, replace(old, units=Units.IMPERIAL, rules=_whole_inches(old)))
    assert listed_words(Units.IMPERIAL, in_feet[0]) == f"job {old.name}, units: metric, now imperial"


def _whole_inches(job: Job) -> Rules:
    return replace(job.rules, measuring_step_m=Units.IMPERIAL.step_m, chargeable_step_m=None)


def test_a_leak_that_went_or_came_says_where(jobs: tuple[Job, Job]) -> None:
    """The joint, its printed chainages and the wetness, before for one that is gone and after for an added one."""
    wet, _ = jobs
    dry = replace(wet, leaks={})
    for old, new, what, side in ((wet, dry, "gone", "before"), (dry, wet, "added", "after")):
        (each,) = listed_changes(old, new)
        assert listed_words(Units.METRIC, each) == f"leak L-01, {what}: J-01 2.000 to 3.000, 2 seep"
        assert listed_json(each)[side] == {"joint": "J-01", "from_m": 2.0, "to_m": 3.0, "wetness": 2}
        assert listed_csv((each,)).splitlines()[1].count("J-01 2.000 to 3.000, 2 seep") == 1
