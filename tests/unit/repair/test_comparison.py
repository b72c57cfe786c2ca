"""Two jobs compared: what is added, longer, shorter and gone, and metres that add up whatever was done between."""

from __future__ import annotations

from decimal import Decimal
from uuid import UUID

import pytest
import shapely

from leakmap.model.job import Job
from leakmap.model.revision import Fate, ZoneFate
from leakmap.model.words import Wetness
from leakmap.repair.compared import Change, Comparison
from leakmap.repair.comparison import comparison
from leakmap.repair.listed_changes import listed_changes
from leakmap.repair.work_out import repairs
from leakmap.work.edits import joints, leaks, rules, scales, splits
from leakmap.work.issuing import numbered
from tests.helpers.random_edits import fresh_ids, random_edits, random_job, seeded
from tests.helpers.small_jobs import one_line, with_leak, with_line

TEN = ((0.0, 0.0), (30.0, 0.0))


def as_issued(job: Job) -> Job:
    """The job with its zones numbered for good."""
    return numbered(job, repairs(job))


def compared(old: Job, new: Job) -> Comparison:
    """The comparison of two jobs."""
    return comparison(old, repairs(old), new, repairs(new))


def changed(found: Comparison) -> list[tuple[str, int, str]]:
    """Change, zone and metres of each stretch that is not as it was."""
    return [(each.change.value, each.shown.zone, str(each.shown.length_m)) for each in found.changes]


def add_up(found: Comparison, old: Job, new: Job) -> None:
    """Printed metres add up zone by zone and in all, and rows of both jobs are each taken once."""
    for zone in found.zones:
        assert zone.before_m + zone.added_m - zone.gone_m + zone.passed_m + zone.anew_m == zone.after_m
    assert found.sum_of("passed_m") == 0
    for job, side in ((old, "before"), (new, "after")):
        parts = [part for each in found.stretches if (part := getattr(each, side)) is not None]
        assert all(part.length_m > 0 for part in parts)
        assert sum((part.length_m for part in parts), Decimal()) == repairs(job).totals.repair_m


def test_every_change_is_told_by_its_own_word() -> None:
    """Zones of 1.60 m: one grows by 0.80 m, one shrinks by 0.30 m, one goes, one comes, one stays."""
    job, joint = one_line(TEN)
    made = [with_leak(job, joint, 2.0, 3.0)]
    for at in (8.0, 14.0, 20.0):
        made.append(with_leak(made[-1][0], joint, at, at + 1.0))
    old = as_issued(made[-1][0])
    _, (_, shrinks), (_, goes), _ = made
    new = leaks.move_leak_ends(old, leak=made[0][1], to_m=3.8).job
    new = leaks.move_leak_ends(new, leak=shrinks, to_m=8.7).job
    new = leaks.remove_leak(new, leak=goes).job
    new, _ = with_leak(new, joint, 26.0, 27.0)
    found = compared(old, new)
    assert changed(found) == [
        ("longer", 1, "0.800"),
        ("shorter", 2, "0.300"),
        ("gone", 3, "1.600"),
        ("added", 5, "1.600"),
    ]
    assert found.fates == (ZoneFate(Fate.GONE, 3),)
    add_up(found, old, new)
    listed = {(each.sort.value, each.name, each.what) for each in listed_changes(old, new)}
    assert listed == {
        ("leak", "L-01", "to"),
        ("leak", "L-01", "length"),
        ("leak", "L-02", "to"),
        ("leak", "L-02", "length"),
        ("leak", "L-03", "gone"),
        ("leak", "L-05", "added"),
    }


def test_zones_join_and_part() -> None:
    """2 joins 1 when the gap between gets wet; taken dry again, the later job parts 1 into 1 and a new number."""
    job, joint = one_line(TEN)
    job, first = with_leak(job, joint, 2.0, 6.0)
    old = as_issued(with_leak(job, joint, 8.0, 9.0)[0])
    joined = leaks.move_leak_ends(old, leak=first, to_m=8.0).job
    found = compared(old, joined)
    assert found.fates == (ZoneFate(Fate.JOINED, 2, (1,)),)
    assert [(str(zone.passed_m), str(zone.after_m)) for zone in found.zones] == [("1.600", "7.600"), ("-1.600", "0")]
    add_up(found, old, joined)
    issued = as_issued(joined)
    parted = leaks.move_leak_ends(issued, leak=first, to_m=6.0).job
    assert compared(issued, parted).fates == (ZoneFate(Fate.PARTED, 1, (1, 3)),)


def test_a_split_or_a_combined_joint_changes_no_metre() -> None:
    """A joint split in the midst of a zone, then combined again: every stretch is kept; the leak's halves have names."""
    job, joint = one_line(((0, 0), (4, 0), (4, 3)))
    old = as_issued(with_leak(job, joint, 1.0, 5.0)[0])
    split = splits.split_joint(old, joint=joint, at_m=2.5).job
    assert not compared(old, split).changes
    other = next(key for key in split.joints if key != joint)
    whole = splits.combine_joints(split, first=other, second=joint).job
    found = compared(split, whole)
    assert not found.changes
    assert found.sum_of("anew_m") == 0
    add_up(found, split, whole)


def test_a_deeper_slot_is_a_change_without_metres() -> None:
    """A drip that runs now keeps its metres and is cut deeper; the overrun of 0.45 m instead of 0.40 adds twice 0.05 m."""
    job, joint = one_line(TEN)
    job, leak = with_leak(job, joint, 4.0, 6.0, Wetness.DRIP)
    old = as_issued(job)
    found = compared(old, leaks.set_wetness(old, leak=leak, wetness=Wetness.RUN).job)
    assert changed(found) == [("longer", 1, "0.050"), ("kept", 1, "2.000"), ("longer", 1, "0.050")]


def test_another_scale_measures_anew() -> None:
    """Twice the scale makes a leak of 2 m one of 4 m; what was opened is kept, and says that it is measured anew."""
    job = random_job(seeded(3), 4)
    sheet = next(key for key, sheet in job.sheets.items() if sheet.source)
    job, joint = with_line(job, TEN, sheet=sheet)
    old = as_issued(with_leak(job, joint, 4.0, 6.0)[0])
    placement = old.sheets[sheet].placement
    twice = type(placement)(x_m_per_unit=placement.x_m_per_unit * 2, y_m_per_unit=placement.y_m_per_unit * 2)
    new = scales.place_sheet(old, sheet=sheet, placement=twice).job
    found = compared(old, new)
    add_up(found, old, new)
    assert found.sum_of("anew_m") > Decimal("1.9")
    assert {each.change for each in found.changes} <= {Change.SHORTER, Change.LONGER}


def test_rules_that_changed_are_listed() -> None:
    """Another bridge is told with the value before and now; a joint that came is listed by its reference."""
    old, _ = one_line()
    new = rules.set_rule(old, name="bridge_m", value=0.5).job
    new = joints.draw_joint(new, sheet=next(iter(new.sheets)), kind="crack", points=[(0, 5), (3, 5)]).job  # type: ignore[arg-type]
    found = [(each.sort.value, each.name, each.what) for each in listed_changes(old, new)]
    assert found[0] == ("joint", "J-02", "added")
    assert found[1][0] == "rule"
    listed = listed_changes(old, new)[1]
    assert (listed.what, listed.before, listed.after, listed.unit) == ("value", 0.3, 0.5, "m")


@pytest.mark.parametrize("seed", range(12))
def test_metres_add_up_whatever_was_done(seed: int) -> None:
    """After 25 random deeds of any sort, old + added − gone + from other zones + measured anew = new, zone by zone."""
    chance = seeded(seed)
    old = random_job(chance, 40)
    old = numbered(old, repairs(old), new_id=fresh_ids(chance))
    for at, edit in enumerate(random_edits(old, chance, 25)):
        if at % 8 == 0 or at == 24:
            add_up(compared(old, edit.job), old, edit.job)
    assert not compared(old, old).changes


def test_lengths_agree_with_differences_of_lines() -> None:
    """Against shapely: on joints that stayed, what is added is the length of new lines less old ones, and the reverse."""
    chance = seeded(7)
    job, keys = one_line(((0.0, 0.0), (12.0, 0.0), (12.0, 9.0)))[0], []
    for points in (((0, 0), (0, 9), (12, 9)), ((3, 0), (3, 9)), ((6, 9), (6, 0))):
        job, _ = with_line(job, points)
    keys = list(job.joints)
    for turn in range(8):
        at = round(chance.uniform(0, 7), 1)
        job, _ = with_leak(job, chance.choice(keys), at, at + 0.7, Wetness(1 + turn % 5))
    old = as_issued(job)
    new = old
    for turn in range(6):
        at = round(chance.uniform(0, 7), 1)
        new, _ = with_leak(new, chance.choice(keys), at, at + 0.5)
        new = leaks.remove_leak(new, leak=list(new.leaks)[turn]).job
    found = compared(old, new)
    before, after = (_lines(job) for job in (old, new))
    added = sum(float(each.shown.length_m) for each in found.stretches if each.change in {Change.ADDED, Change.LONGER})
    gone = sum(float(each.shown.length_m) for each in found.stretches if each.change in {Change.GONE, Change.SHORTER})
    assert added > 1
    assert gone > 1
    assert added == pytest.approx(_left(after, before), abs=1e-6)
    assert gone == pytest.approx(_left(before, after), abs=1e-6)
    add_up(found, old, new)


def _lines(job: Job) -> dict[UUID, shapely.Geometry]:
    """What is opened of each joint, as lines in plan."""
    found: dict[UUID, list[shapely.Geometry]] = {}
    for zone in repairs(job).zones:
        for row in zone.rows:
            path = job.joints[row.joint].path
            assert path is not None
            found.setdefault(row.joint, []).append(shapely.LineString(path.part(float(row.from_m), float(row.to_m))))
    return {key: shapely.union_all(parts) for key, parts in found.items()}


def _left(of: dict[UUID, shapely.Geometry], without: dict[UUID, shapely.Geometry]) -> float:
    """Length of lines that others, widened by 1 nm for the last bits, leave."""
    nothing = shapely.LineString()
    return sum(
        float(shapely.difference(line, shapely.buffer(without.get(key, nothing), 1e-9)).length)
        for key, line in of.items()
    )
