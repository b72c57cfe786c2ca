"""The check list before an issue."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from uuid import UUID

import pytest

from leakmap.model.grid import Grid, axes_with_bays
from leakmap.model.job import Job
from leakmap.model.leak import ReliefPoint
from leakmap.model.rates import Rates
from leakmap.model.rules import Suspects
from leakmap.model.sheet import KnownLength
from leakmap.model.words import Face, Kind, Purpose, Side, Wetness
from leakmap.repair.work_out import repairs
from leakmap.work.check_list import (
    NOT_FOR_WORK,
    NOTHING_TO_ISSUE,
    PRICE_ONLY,
    Check,
    Where,
    check_list,
    levels_of,
    next_name,
    open_checks,
    place_of,
)
from leakmap.work.edits.facts import set_clearance, set_cover
from leakmap.work.edits.grid import set_grid
from leakmap.work.edits.marks import add_cut
from leakmap.work.edits.scales import add_known_length
from tests.helpers.small_jobs import DRAWN, issued, one_line, with_leak, with_line


def _checks(job: Job) -> tuple[Check, ...]:
    """The checks of a job whose title blocks are filled in."""
    return check_list(replace(job, legal_owner="Harbour board", approver="M. Reed"), repairs(job))


def _words(job: Job) -> list[str]:
    return [check.words for check in open_checks(_checks(job))]


def test_an_empty_field_of_the_title_block_is_told_and_limits_nothing() -> None:
    """Who is not named is told by the field's caption; with both named the list says that it is in order."""
    job, _ = one_line()
    work = repairs(job)
    told = [
        [
            check.words
            for check in check_list(replace(job, legal_owner=owner, approver=by), work)
            if "itle block" in check.words
        ]
        for owner, by in (("", ""), ("Harbour board", ""), ("Harbour board", "M. Reed"))
    ]
    assert told == [
        ["Title blocks print a dash: no legal owner and no approver is named"],
        ["Title blocks print a dash: no approver is named"],
        ["Title blocks name legal owner and approver"],
    ]
    assert not any(check.limits for check in check_list(job, work) if "itle block" in check.words)


def test_an_unchecked_scale_limits_and_comes_first_and_two_lengths_tick_it() -> None:
    """A sheet on a drawing without known lengths keeps the issue from work; one length each way puts it right."""
    job, joint = one_line(source=DRAWN)
    job, _ = with_leak(job, joint, 1.0, 2.0)
    sheet = job.joints[joint].sheet
    first = _checks(job)[0]
    assert first == Check(
        words="The scale of B2 has not been checked", limits=NOT_FOR_WORK, where=Where("sheet", sheet)
    )
    for end, length_m in (((10.0, 0.0), 10.0), ((0.0, 5.0), 5.0)):
        job = add_known_length(job, sheet=sheet, known=KnownLength(start=(0.0, 0.0), end=end, length_m=length_m)).job
    assert Check(words="Scale checked on two sides", done=True) in _checks(job)
    assert not _words(job)


def test_without_a_leak_there_is_nothing_to_issue() -> None:
    """Joints alone are no repair: the list says so first, until a leak is marked."""
    job, joint = one_line()
    assert _checks(job)[0] == Check(words="No leak is marked", limits=NOTHING_TO_ISSUE)
    job, _ = with_leak(job, joint, 1.0, 2.0)
    assert not _words(job)


def test_a_blank_sheet_says_nothing_of_a_scale() -> None:
    """A sheet without a drawing is true by definition, so that no scale is ticked that nobody checked."""
    job, _ = one_line()
    assert not [check for check in _checks(job) if "scale" in check.words.lower()]


def test_a_zone_of_suspects_is_for_price_only() -> None:
    """A zone that holds only suspects is provisional and says where and why; the suspects are counted."""
    job, joint = one_line()
    job, leak = with_leak(job, joint, 1.0, 2.0, Wetness.SUSPECT)
    found = open_checks(_checks(job))
    assert found[0] == Check(
        words="Z-01 is provisional: it holds only suspects", limits=PRICE_ONLY, where=Where("zone", 1)
    )
    assert found[1] == Check(words="1 suspect stretch is repaired although dry today", where=Where("leak", leak))


def test_places_are_said_from_the_grid() -> None:
    """A suspect from 1 to 2 m along y = 0, A at 0 and 1 at −1 m: it starts at A+1.00, its zone 0.30 m before that."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 1.0, 2.0, Wetness.SUSPECT)
    grid = Grid(
        origin=(0.0, -1.0), letters=axes_with_bays("AB", (6.0,)), numbers=axes_with_bays("12", (4.0,), towards_deg=90)
    )
    found = open_checks(_checks(set_grid(job, grid=grid).job))
    assert [check.at for check in found] == ["A+0.70 / 1+1.00", "A+1.00 / 1+1.00"]


def test_watched_suspects_are_told_in_the_words_of_the_desk() -> None:
    """Where the rules watch suspects, they are told as watched, not repaired."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 1.0, 1.5, Wetness.SUSPECT)
    job, _ = with_leak(job, joint, 3.0, 3.5, Wetness.SUSPECT)
    job = replace(job, rules=replace(job.rules, suspects=Suspects.WATCH))
    assert _words(job) == ["2 suspect stretches are watched, not repaired"]


def test_a_hold_names_its_zone() -> None:
    """A relief point deeper than the cover to steel is a hold with its zone."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 1.0, 2.0, Wetness.JET)
    job = set_cover(job, joint=joint, cover_m=0.070).job
    (hold,) = open_checks(_checks(job))
    assert hold.where == Where("zone", 1)
    assert hold.words.startswith("Z-01: hold, ask the engineer: the relief point on J-01 is 100 mm deep")


@pytest.mark.parametrize(("wetness", "verb"), [(Wetness.RUN, "runs"), (Wetness.JET, "jets")])
def test_flowing_water_without_relief_is_told(wetness: Wetness, verb: str) -> None:
    """A run or jet whose relief point was dropped is told; with its relief point it is not."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 1.0, 2.0, wetness)
    assert not _words(job)
    dropped = ReliefPoint(id=UUID(int=77), joint=joint, at_m=1.5, dropped=True)
    job = replace(job, reliefs={dropped.id: dropped})
    assert _words(job) == [f"Z-01 {verb} and has no relief point"]


def test_a_movement_joint_without_clearance_is_told_once() -> None:
    """A slot that meets a movement joint asks for its clearance, in one line, and ticks it when it is given."""
    job, _ = one_line(((0, 0), (4, 0)))
    job, moving = with_line(job, ((2, -1), (2, 1)), kind=Kind.MOVEMENT)
    job, _ = with_leak(job, next(iter(job.joints)), 1.0, 3.0)
    assert _words(job) == ["No clearance is given for movement joint J-02"]
    job = set_clearance(job, joint=moving, clearance_m=0.1).job
    assert not _words(job)
    assert Check(words="Every movement joint has its clearance", done=True) in _checks(job)


def test_a_corner_joint_asks_for_its_room_side() -> None:
    """A wall-base joint without a room side is told; with one it is ticked."""
    job, joint = one_line(((0, 0), (4, 0)), kind=Kind.WALL_BASE, face=Face.CORNER)
    assert _words(job) == ["No leak is marked", "The room side of J-01 is not known"]
    sided = replace(job, joints={joint: replace(job.joints[joint], room_side=Side.LEFT)})
    assert _words(sided) == ["No leak is marked"]


def test_a_finding_of_the_work_out_is_listed_with_its_place() -> None:
    """A cut that separates nothing is a finding of the engine and leads to its joint."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 1.0, 2.0)
    job = add_cut(job, joint=joint, at_m=6.5).job
    (found,) = open_checks(_checks(job))
    assert found.where == Where("joint", joint)
    assert "separates nothing" in found.words


def test_equal_references_are_told() -> None:
    """Two joints of one name break the tick of unique references."""
    job, joint = one_line()
    assert Check(words="All references are unique", done=True) in _checks(job)
    job, other = with_line(job, ((0, 5), (4, 5)))
    job = replace(job, joints={**job.joints, other: replace(job.joints[other], ref=job.joints[joint].ref)})
    assert "Two things are called J-01" in _words(job)


def test_the_next_revision_counts_on_in_its_series() -> None:
    """After C01 comes C02, while the series for price still starts at P01."""
    job = issued(one_line()[0])
    assert (next_name(job, Purpose.WORK), next_name(job, Purpose.PRICE)) == ("C02", "P01")


def test_places_are_found_by_reference() -> None:
    """A joint, a leak, a level and a zone are found by what people call them; nothing else is."""
    job, joint = one_line()
    job, leak = with_leak(job, joint, 1.0, 2.0)
    found = repairs(job)
    assert place_of(job, found, "J-01") == Where("joint", joint)
    assert place_of(job, found, "L-01") == Where("leak", leak)
    assert place_of(job, found, "B2") == Where("sheet", job.joints[joint].sheet)
    assert place_of(job, found, "Z-01") == Where("zone", 1)
    assert place_of(job, found, "X-99") is None


def test_levels_of_things_are_those_that_they_lie_on() -> None:
    """Joint, leak, zone and sheet of a one-level job all lie on that level; what is gone lies nowhere."""
    job, joint = one_line()
    job, leak = with_leak(job, joint, 1.0, 2.0)
    found, sheet = repairs(job), job.joints[joint].sheet
    for where in (Where("joint", joint), Where("leak", leak), Where("zone", 1), Where("sheet", sheet)):
        assert levels_of(job, found, where) == (sheet,)
    for where in (Where("joint", UUID(int=9)), Where("zone", 9), Where("revision", UUID(int=9))):
        assert levels_of(job, found, where) == ()


def test_zones_without_a_rate_are_told_and_stop_nothing() -> None:
    """Where the job has rates, what no rate is for is told by reason, with the first zone; else the list says that all is."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 1.0, 2.0)
    assert not [words for words in _words(job) if "priced" in words]
    some = replace(job, rates=Rates(currency="EUR", zone=Decimal(1)))
    (check,) = (check for check in _checks(some) if "priced" in check.words)
    assert check == Check(
        words="1 zone is not priced: no rate for slot + plug (Z-01)", where=Where("zone", 1), at=check.at
    )
    every = replace(job, rates=Rates(currency="EUR", slot_plug=Decimal(0)))
    assert Check(words="Every zone is priced", done=True) in _checks(every)
