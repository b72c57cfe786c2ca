"""Cells of the ledger, metric and imperial."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from pytestqt.qtbot import QtBot

from leakmap.base.measures import Units
from leakmap.desk.faces import load_faces, text
from leakmap.desk.ledger.columns import Money, columns_of, widths_of
from leakmap.desk.ledger.models import LedgerModel
from leakmap.desk.ledger.row_look import around
from leakmap.desk.pens import width_of
from leakmap.desk.things import Stage
from leakmap.desk.tokens import BODY_TYPE, COMPACT, WIDE
from leakmap.model.words import Wetness
from leakmap.repair.work_out import repairs
from leakmap.work.check_list import Where
from leakmap.work.edits.leaks import add_leak
from leakmap.work.edits.rules import set_units
from leakmap.work.ledger_cells import edit_of
from leakmap.work.ledger_lines import Line, Table
from leakmap.work.ledger_rows import leak_table
from leakmap.work.settings import Role
from tests.helpers.small_jobs import one_line

MEASURED = (Stage.JOINTS, Stage.LEAKS, Stage.REPAIR)
ROOM_PX = {False: 436, True: 352}


@pytest.mark.parametrize(
    ("units", "cells"),
    [
        (Units.METRIC, ["L-01", "J-01", "31.20", "drip"]),
        (Units.IMPERIAL, ["L-01", "J-01", "102' 4 3/8\"", "drip"]),
    ],
)
def test_a_cell_says_its_length_in_the_units_of_the_job(units: Units, cells: list[str]) -> None:
    """31.20 m are 102' 4 3/8"; the heading names the metre, feet and inches carry their signs."""
    values = {"ref": "L-01", "on": "J-01", "length": Decimal("31.2"), "wetness": Wetness.DRIP}
    columns = columns_of(Stage.LEAKS, Role.ESTIMATOR, compact=False, units=units)
    assert [column.cell(values[column.name]) for column in columns] == cells
    assert columns[2].title == ("Length m" if units == Units.METRIC else "Length")


def test_areas_and_volumes_are_square_and_cubic_feet() -> None:
    """1 m² is 10.76 sq ft, 1 L 0.0353 cu ft; one decimal less is shown until one looks closely."""
    columns = columns_of(Stage.REPAIR, Role.ESTIMATOR, compact=False, units=Units.IMPERIAL)
    area, volume = (column for column in columns if column.name in {"area", "litres"})
    assert (area.title, area.cell(Decimal(1)), area.cell(Decimal(1), closely=True)) == ("sq ft", "10.8", "10.76")
    assert (volume.title, volume.cell(Decimal(1)), volume.cell(Decimal(1), closely=True)) == (
        "cu ft",
        "0.035",
        "0.0353",
    )


@pytest.mark.parametrize("compact", [False, True])
@pytest.mark.parametrize("units", Units.EACH)
@pytest.mark.parametrize("money", [None, Money("EUR")])
def test_columns_leave_room_for_words(units: Units, money: Money | None, *, compact: bool) -> None:
    """Whatever the role, the units and prices, 76 pixels at least are left for the column that holds words."""
    for stage in (*MEASURED, Stage.ISSUE):
        for role in Role if stage in MEASURED else (Role.ESTIMATOR,):
            columns = columns_of(stage, role, compact=compact, units=units, room=ROOM_PX[compact], money=money)
            assert ROOM_PX[compact] - sum(column.px for column in columns) >= 76, (stage, role)


@pytest.mark.parametrize(
    ("units", "room", "names"),
    [
        (Units.METRIC, 352, "zone method chargeable price"),
        (Units.METRIC, 436, "zone method measured chargeable area price"),
        (Units.METRIC, 540, "zone method measured chargeable area litres price"),
        (Units.IMPERIAL, 352, "zone method chargeable price"),
        (Units.IMPERIAL, 436, "zone method measured chargeable price"),
    ],
)
def test_the_price_has_room_for_a_million_with_cents(units: Units, room: int, names: str) -> None:
    """What is left out beside it depends on the room; 1,234,567.89 takes 78 px, and 16 of air; the length it asks for stays."""
    columns = columns_of(Stage.REPAIR, Role.ESTIMATOR, compact=room < 400, units=units, room=room, money=Money("EUR"))
    assert [column.name for column in columns] == names.split()
    assert columns[-1].title == "Price EUR"
    assert widths_of(columns, room)[-1] >= 94
    assert {column.name for column in columns_of(Stage.REPAIR, Role.ESTIMATOR, compact=False)}.isdisjoint({"price"})


def cut(stage: Stage, role: Role, room: int, words: dict[str, str]) -> dict[str, bool]:
    """Which of some columns a ledger of so many pixels shows in feet, and whether it cuts the longest words there."""
    columns = columns_of(stage, role, compact=room < 400, units=Units.IMPERIAL, room=room)
    widths = widths_of(columns, room)
    return {
        column.name: width_of(words[column.name], text(BODY_TYPE)) > px - around(column, number, column is columns[-1])
        for number, (column, px) in enumerate(zip(columns, widths, strict=True))
        if column.name in words
    }


def test_positions_in_feet_are_whole_or_left_out(qtbot: QtBot) -> None:
    """A ledger of 570 px shows both ends of a joint whole, a usual one the start alone; neither cuts kinds or methods."""
    del qtbot
    load_faces()
    place = "C+22' 11 5/8\" / 4+13' 11 5/8\""
    words = {"kind": "Construction", "from_grid": place, "to_grid": place}
    assert cut(Stage.JOINTS, Role.ENGINEER, WIDE.ledger, words) == {"kind": False, "from_grid": False}
    assert cut(Stage.JOINTS, Role.ENGINEER, 570, words) == dict.fromkeys(words, False)
    words = {"method": "Groove + plug", "measured": "102' 11 7/8\""}
    assert cut(Stage.REPAIR, Role.ESTIMATOR, WIDE.ledger, words) == dict.fromkeys(words, False)
    assert cut(Stage.REPAIR, Role.ARCHIVIST, COMPACT.ledger - 1, words) == dict.fromkeys(words, False)
    words = {"method": "Groove + plug", "grid": place}
    assert cut(Stage.REPAIR, Role.ENGINEER, 590, words) == dict.fromkeys(words, False)


@pytest.mark.parametrize(("units", "copied"), [(Units.METRIC, "1.235"), (Units.IMPERIAL, "4' 0 5/8\"")])
def test_copied_figures_have_all_their_decimals(units: Units, copied: str) -> None:
    """Copied rows say what papers print, and days as machines write them."""
    model = LedgerModel()
    values = {"ref": "L-01", "length": Decimal("1.2345"), "wetness": Wetness.SEEP, "seen": date(2026, 11, 2)}
    table = Table(lines=(Line(values=values),))
    cells: dict[str, str] = {}
    for role in (Role.ESTIMATOR, Role.ARCHIVIST):
        model.show(columns_of(Stage.LEAKS, role, compact=False, units=units), table, (), compact=False)
        headings, row = (line.split("\t") for line in model.text_of([0]).splitlines())
        cells |= dict(zip(headings, row, strict=True))
    assert [cells[units.heading(name)] for name in ("Length m", "Seen on", "Wetness")] == [copied, "2026-11-02", "seep"]


@pytest.mark.parametrize("typed", ["1' 11 5/8\"", "60 cm", "0,60 m", "600mm"])
def test_a_chainage_is_typed_in_either_system(typed: str) -> None:
    """What is typed in a cell is read with its unit, whatever the job is read in; 1' 11 5/8" are 0.600 m to 1/8 inch."""
    job, joint = one_line()
    marked = add_leak(set_units(job, units=Units.IMPERIAL).job, joint=joint, from_m=1.0, to_m=2.0, wetness=Wetness.SEEP)
    job, key = marked.job, marked.made[0]
    edit = edit_of(job, repairs(job), [Where("leak", key)], "from", typed)
    assert edit.job.leaks[key].from_m == pytest.approx(0.6, abs=0.0016)
    (line,) = leak_table(edit.job, None).lines
    assert isinstance(line.values["from"], Decimal)
    assert edit.job.units.shown(line.values["from"]) == "1' 11 5/8\""
