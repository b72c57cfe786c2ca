"""The ledger's rows and sums as values."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from uuid import UUID

import pytest

from leakmap.base.measures import Units
from leakmap.model.grid import Grid, axes_with_bays
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import IssuedStretch
from leakmap.model.revision import Begun
from leakmap.model.sheet import KnownLength, Source
from leakmap.model.words import Kind, Purpose, Wetness
from leakmap.repair.local import work_out, work_out_again
from leakmap.repair.results import Repairs
from leakmap.repair.work_out import repairs
from leakmap.work.check_list import Where
from leakmap.work.edits.leaks import LeakEnd, move_leak_ends, set_overrun
from leakmap.work.edits.rules import set_units
from leakmap.work.edits.scales import add_known_length
from leakmap.work.issuing import numbered
from leakmap.work.kept import Kept
from leakmap.work.ledger_copied import copied
from leakmap.work.ledger_lines import SPOT, Line, Table
from leakmap.work.ledger_order import in_order_of
from leakmap.work.ledger_rows import (
    joint_table,
    leak_table,
    place_words,
    revision_table,
    scale_words,
    sheet_table,
)
from leakmap.work.ledger_totals import ledger_totals
from leakmap.work.ledger_zones import as_built_table, zone_table
from leakmap.work.sample_job import DRAWINGS, sample_job
from tests.helpers.random_edits import random_edits, random_job, seeded
from tests.helpers.small_jobs import DRAWN, issued, joint_named, leak_named, one_line, one_sheet, with_leak, with_line


@pytest.fixture(scope="module")
def sample() -> tuple[Job, Repairs]:
    """The sample job and its work-out."""
    job = sample_job(sources={name: Source(name=file, sha256="0" * 64) for name, file in DRAWINGS.items()})
    return job, repairs(job)


def _levels(job: Job) -> tuple[UUID | None, ...]:
    return (*job.sheets, None)


def _column(lines: tuple[Line, ...], name: str) -> Decimal:
    return sum((line.values[name] for line in lines if line.values.get(name, SPOT) != SPOT), Decimal(0))


def _total(table: Table, name: str) -> Decimal:
    value = table.sums[-1].values[name]
    assert isinstance(value, Decimal)
    return value


def test_every_total_is_the_sum_of_the_rows_above_it(sample: tuple[Job, Repairs]) -> None:
    """On each level and in the whole job, totals of joints, leaks and zones are exact sums of the rows shown."""
    job, found = sample
    for sheet in _levels(job):
        for table, names in (
            (joint_table(job, sheet), ("length",)),
            (leak_table(job, sheet), ("length",)),
            (zone_table(job, found, sheet), ("measured", "chargeable", "area", "litres")),
        ):
            assert table.lines
            for name in names:
                assert _total(table, name) == _column(table.lines, name)
                assert len(table.sums) == 1 or _total(table, name) == _column(table.sums[:-1], name)


def test_the_foot_agrees_with_the_tables(sample: tuple[Job, Repairs]) -> None:
    """The foot's joints and repair are the totals of the tables, on each level and in the whole job."""
    job, found = sample
    for sheet in _levels(job):
        totals = ledger_totals(job, found, sheet)
        assert totals.joint_m == _total(joint_table(job, sheet), "length")
        assert totals.repair_m == _total(zone_table(job, found, sheet), "measured")


def test_levels_add_up_to_the_job(sample: tuple[Job, Repairs]) -> None:
    """Joints, wet and repair metres of the levels sum to those of the work-out, to the millimetre."""
    job, found = sample
    levels = [ledger_totals(job, found, sheet) for sheet in job.sheets]
    assert sum(level.joint_m for level in levels) == found.totals.joint_m
    assert sum(level.wet_m for level in levels) == found.totals.wet_m
    assert sum(level.repair_m for level in levels) == found.totals.repair_m


def test_a_zone_over_two_levels_is_listed_on_both_and_counted_once(sample: tuple[Job, Repairs]) -> None:
    """The zone at the head of V-01 has figures on B2; on B1 it is listed, points at B2 and has none."""
    job, found = sample
    zone = next(zone for zone in found.zones if len(zone.sheets) == 2)
    lower, upper = job.sheets
    on = {
        sheet: next(line for line in zone_table(job, found, sheet).lines if line.where == Where("zone", zone.number))
        for sheet in job.sheets
    }
    assert on[lower].values["measured"] == zone.length_m
    assert "measured" not in on[upper].values
    assert on[upper].elsewhere == "B2"
    assert on[upper].values["method"] == "counted on B2"
    counted = {sheet: zone_table(job, found, sheet).sums[-1].values["method"] for sheet in _levels(job)}
    assert counted == {lower: "24 zones", upper: "6 zones", None: "30 zones"}


def test_joints_have_subtotals_by_kind() -> None:
    """Two construction joints of 4 m and 3 m and a crack of 2 m: 7 m, 2 m, and 9 m in all."""
    job, _ = one_line(((0, 0), (4, 0)))
    job, _ = with_line(job, ((0, 2), (3, 2)))
    job, _ = with_line(job, ((0, 4), (2, 4)), kind=Kind.CRACK)
    table = joint_table(job, None)
    assert [line.values["ref"] for line in table.lines] == ["J-01", "J-02", "J-03"]
    assert [(line.values["kind"], line.values["length"]) for line in table.sums] == [
        ("Construction, 2", Decimal(7)),
        ("Crack, 1", Decimal(2)),
        ("3 joints", Decimal(9)),
    ]


def test_joints_of_one_kind_have_no_subtotal_beside_their_total() -> None:
    """A subtotal that would repeat the total is left out."""
    assert len(joint_table(one_line()[0], None).sums) == 1


def test_empty_tables_have_no_sums() -> None:
    """Where nothing is listed nothing is summed."""
    job, sheet = one_sheet()
    assert joint_table(job, sheet) == leak_table(job, sheet) == zone_table(job, repairs(job), sheet) == Table(lines=())


def test_leaks_lie_in_the_order_of_joints_and_chainages_with_printed_chainages() -> None:
    """A later leak at a smaller chainage comes first; chainages count from the joint's start value; a spot says so."""
    job, joint = one_line(start_m=10.0)
    job, _ = with_leak(job, joint, 5.0, 6.25)
    job, _ = with_leak(job, joint, 1.0, 1.0, seen=date(2026, 11, 2))
    first, second = leak_table(job, None).lines
    assert (first.values["ref"], second.values["ref"]) == ("L-02", "L-01")
    assert (first.values["from"], first.values["length"]) == (Decimal(11), "spot")
    assert (second.values["from"], second.values["to"]) == (Decimal(15), Decimal("16.25"))
    assert first.values["seen"] == date(2026, 11, 2)
    assert "seen" not in second.values


def test_a_spot_counts_as_the_shortest_leak() -> None:
    """A spot adds nothing to the total and comes before every stretch when leaks are sorted by length."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 5.0, 6.25)
    job, _ = with_leak(job, joint, 1.0, 1.0)
    table = leak_table(job, None)
    assert table.sums[-1].values["length"] == Decimal("1.250")
    assert [line.values["length"] for line in in_order_of(table.lines, "length")] == ["spot", Decimal("1.250")]


def test_a_leak_past_the_start_of_a_closed_joint_has_its_true_length(sample: tuple[Job, Repairs]) -> None:
    """L-23 runs from 7.90 over the start at 8.40 to 0.60 on J-14: 1.10 m."""
    job, _ = sample
    line = next(line for line in leak_table(job, None).lines if line.values["ref"] == "L-23")
    assert joint_named(job, "J-14").length_m == pytest.approx(8.4)
    assert line.values["length"] == Decimal("1.100")


def test_provisional_zones_are_summed_apart(sample: tuple[Job, Repairs]) -> None:
    """Firm and provisional metres are subtotals; the provisional one is that of the work-out."""
    job, found = sample
    firm, loose, total = zone_table(job, found, None).sums
    assert (firm.values["method"], loose.values["method"], total.values["zone"]) == (
        "Firm, 27",
        "Provisional, 3",
        "Total",
    )
    assert loose.values["measured"] == found.totals.provisional_m
    assert firm.values["measured"] == found.totals.repair_m - found.totals.provisional_m


def test_what_was_set_by_hand_is_said() -> None:
    """An overrun set by hand marks the leak and its zone, and the zone's rule says so."""
    job, joint = one_line()
    job, leak = with_leak(job, joint, 2.0, 3.0)
    (line,) = zone_table(job, repairs(job), None).lines
    assert (line.by_hand, line.values["rule"]) == ("", "by rule")
    job = set_overrun(job, leak=leak, end=LeakEnd.FROM, overrun_m=0.5).job
    (line,) = zone_table(job, repairs(job), None).lines
    assert (line.by_hand, line.values["rule"]) == ("overrun", "overrun by hand")
    assert leak_table(job, None).lines[0].by_hand == "overrun"


def test_a_zone_says_where_it_starts_and_stops() -> None:
    """A seep at 2 to 3 m with overruns of 0.30 m lies from 1.70 to 3.30; its start is told from the grid."""
    job, joint = one_line(((0, 0), (7, 0)))
    job, _ = with_leak(job, joint, 2.0, 3.0)
    grid = Grid(letters=axes_with_bays("AB", (6.0,)), numbers=axes_with_bays("12", (4.0,), towards_deg=90))
    job = replace(job, grid=grid)
    values = zone_table(job, repairs(job), None).lines[0].values
    assert (values["from"], values["to"], values["grid"]) == ("J-01 1.70", "J-01 3.30", "A+1.70 / 1")


def test_places_without_a_grid_are_metres() -> None:
    """Where no grid is set, a place is said by its site metres."""
    job, _ = one_line()
    assert place_words(job, (22.2, 15.3)) == "22.20, 15.30"


def test_levels_say_how_their_scale_is_known() -> None:
    """No length, one, two that cross, and one that disagrees have their own words; a blank sheet is true."""
    job, sheet = one_sheet(source=DRAWN)
    said = [scale_words(job.sheets[sheet])]
    for end, length_m in (((10.0, 0.0), 10.0), ((0.0, 5.0), 5.0), ((0.0, 8.0), 8.5)):
        known = KnownLength(start=(0.0, 0.0), end=end, length_m=length_m)
        job = add_known_length(job, sheet=sheet, known=known).job
        said.append(scale_words(job.sheets[sheet]))
    assert said == ["not checked", "one way only", "2 lengths agree", "lengths disagree"]
    (line,) = sheet_table(job).lines
    assert (line.values["ready"], line.alarm) == ("not yet", frozenset({"scale", "ready"}))
    (blank,) = sheet_table(one_sheet()[0]).lines
    assert (blank.values["scale"], blank.values["ready"], "file" in blank.values) == ("blank sheet", "yes", False)


def test_the_revision_to_come_stands_below_those_issued() -> None:
    """C01 as issued, then C02, which is not issued and cannot be looked up."""
    first, second = revision_table(issued(one_line()[0]), Begun(purpose=Purpose.WORK, to_whom="the site office")).lines
    assert (first.values["rev"], first.values["date"], first.values["what"]) == ("C01", date(2024, 5, 2), "for work")
    assert len(revision_table(issued(one_line()[0]), None).lines) == 1
    assert (second.values["rev"], second.values["date"], second.where) == ("C02", "not issued", None)
    assert (second.draft, second.values["whom"]) == (True, "the site office")


def test_columns_sort_by_what_they_hold() -> None:
    """References sort by number, metres by size, wetness by degree; empty cells stay last either way."""
    lines = [
        Line(values={"ref": "J-10", "length": Decimal("9.5"), "wetness": Wetness.JET}),
        Line(values={"ref": "J-2", "length": Decimal("10.5"), "wetness": Wetness.DAMP}),
        Line(values={"ref": "J-1"}),
    ]

    def refs(column: str, *, falling: bool = False) -> list[str]:
        return [str(line.values["ref"]) for line in in_order_of(lines, column, falling=falling)]

    assert refs("ref") == ["J-1", "J-2", "J-10"]
    assert refs("length") == ["J-10", "J-2", "J-1"]
    assert refs("length", falling=True) == ["J-2", "J-10", "J-1"]
    assert refs("wetness") == ["J-2", "J-10", "J-1"]


def test_positions_sort_by_where_they_are() -> None:
    """Along the letters first, then along the numbers, by distance: +1.20 lies past +0.50, as -0.50 before both."""
    job, _ = one_line(((7.2, 1.0), (9, 1)))
    for x, y in ((6.5, 1.0), (5.5, 1.0), (12.5, 0.0), (6.5, -3.0)):
        job, _ = with_line(job, ((x, y), (x, y + 0.5)))
    grid = Grid(letters=axes_with_bays("ABC", (6.0, 6.0)), numbers=axes_with_bays("12", (4.2,), towards_deg=90))
    for changed in (job, replace(job, grid=grid)):
        lines = in_order_of(joint_table(changed, None).lines, "from_grid")
        assert [line.values["ref"] for line in lines] == ["J-03", "J-05", "J-02", "J-01", "J-04"]


def test_zones_sort_by_chainage() -> None:
    """Zones at 2.20 and 10.70 of one joint come in that order, and fall the other way, in feet and inches too."""
    job, line = one_line(((0, 0), (20, 0)))
    job, _ = with_leak(job, line, 11.0, 12.0)
    job, _ = with_leak(job, line, 2.5, 3.0)
    for units in Units.EACH:
        read = set_units(job, units=units).job
        lines = zone_table(read, repairs(read), None).lines
        for falling in (False, True):
            found = [line.ranks["from"][-1][1] for line in in_order_of(lines, "from", falling=falling)]
            assert found == sorted(found, reverse=falling)


def test_copied_rows_are_parted_by_tabs() -> None:
    """The heading comes first; what would part a cell in two is a space."""
    text = copied(("Ref", "On", "To"), [("L-01", "a\tb", "1.200"), ("L-02", "", "2' 6\"")])
    assert text == "Ref\tOn\tTo\nL-01\ta b\t1.200\nL-02\t\t2' 6\"\n"


@pytest.mark.parametrize("cell", ["=1+1", "+1 m", "-1+1", "@now", "\t=1", "\r\n-x", "−=1"])
def test_copied_words_are_never_formulas(cell: str) -> None:
    """Words that begin like a formula get an apostrophe in front; numbers below zero stay numbers."""
    (words,) = copied((), [(cell,)]).splitlines()[1:]
    assert words.startswith("'")
    assert copied((), [("−3.600",)]).splitlines()[1] == "-3.600"


def test_what_was_issued_is_listed_for_its_record() -> None:
    """A zone issued from 1.70 to 3.30 has 1.60 m; what was really done is not known, so it has no value."""
    job, line = one_line()
    stretch = IssuedStretch(id=UUID(int=9), zone=7, joint=line, from_m=1.7, to_m=3.3)
    table = as_built_table(replace(job, issued={stretch.id: stretch}), repairs(job), None)
    assert [dict(line.values) for line in table.lines] == [{"zone": "Z-07", "issued": Decimal("1.600")}]
    assert as_built_table(job, repairs(job), None).lines == ()


def test_what_was_just_issued_has_the_metres_of_its_zones(sample: tuple[Job, Repairs]) -> None:
    """Right after an issue every zone of the sample job is listed with the metres that its papers print."""
    job, found = sample
    made = numbered(job, found)
    listed = {str(line.values["zone"]): line.values["issued"] for line in as_built_table(made, found, None).lines}
    assert listed == {zone.ref: zone.length_m for zone in found.zones}


def test_a_vertical_joint_keeps_its_kind(sample: tuple[Job, Repairs]) -> None:
    """V-04 is vertical and a contraction joint; its row says both, and that it goes up."""
    job, _ = sample
    joint: Joint = joint_named(job, "V-04")
    line = next(line for line in joint_table(job, joint.sheet).lines if line.where == Where("joint", joint.id))
    assert (line.values["kind"], line.upright, line.kind) == ("Vertical, contraction", True, Kind.CONTRACTION)
    assert line.values["to_grid"] == "goes up"


def test_rows_know_the_level_that_they_lie_on(sample: tuple[Job, Repairs]) -> None:
    """A leak of B1 carries B1, so that picking its row can show that level."""
    job, _ = sample
    leak = leak_named(job, "L-34")
    line = next(line for line in leak_table(job, None).lines if line.where == Where("leak", leak.id))
    assert line.sheet is not None
    assert job.sheets[line.sheet].name == "B1"


@pytest.mark.parametrize("seed", [2, 9, 17])
def test_rows_that_are_taken_over_are_those_made_anew(seed: int) -> None:
    """Through 40 random edits, tables and totals made with what was kept before equal those made from nothing."""
    chance, kept = seeded(seed), Kept()
    out = work_out(random_job(chance))
    for edit in random_edits(out.job, chance, 40):
        out = work_out_again(out, edit.job, edit.changed)
        job, worked = out.job, out.repairs
        for sheet in (None, *job.sheets):
            assert joint_table(job, sheet, kept) == joint_table(job, sheet)
            assert leak_table(job, sheet, kept) == leak_table(job, sheet)
            assert zone_table(job, worked, sheet, kept) == zone_table(job, worked, sheet)
            assert ledger_totals(job, worked, sheet, kept) == ledger_totals(job, worked, sheet)


def test_rows_of_what_a_deed_left_alone_are_the_very_same() -> None:
    """Of two leaks one is made longer: the row of the other is the same value, its own is another."""
    job, line = one_line(((0, 0), (9, 0)))
    job, first = with_leak(job, line, 1.0, 2.0, Wetness.SEEP)
    job, _ = with_leak(job, line, 6.0, 7.0, Wetness.SEEP)
    kept = Kept()
    before = leak_table(job, None, kept)
    after = leak_table(move_leak_ends(job, leak=first, to_m=2.5).job, None, kept)
    assert [one is other for one, other in zip(before.lines, after.lines, strict=True)] == [False, True]
