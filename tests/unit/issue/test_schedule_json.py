"""The schedule as JSON and CSV, from results that were written by hand."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import fields
from decimal import Decimal
from uuid import UUID

import jsonschema
import pytest

from leakmap.base.findings import Finding
from leakmap.base.resources import resource
from leakmap.geometry.path import Path
from leakmap.issue.schedule_csv import COLUMNS, schedule_csv
from leakmap.issue.schedule_json import schedule, schedule_json
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.rules import Rules
from leakmap.model.sheet import Sheet
from leakmap.model.words import Face, Kind, Method, Wetness
from leakmap.repair.results import (
    AnotherMethod,
    FillStep,
    Relief,
    Repairs,
    Row,
    Stretch,
    Totals,
    Why,
    Zone,
)

S, J, V, M, P, L1, L2 = (UUID(int=n) for n in range(1, 8))
D = Decimal


def a_job() -> Job:
    """A split floor joint that starts at 10 m, a vertical, a movement joint and a pipe collar."""
    joints = (
        Joint(
            id=J,
            ref="J-05",
            sheet=S,
            kind=Kind.CONSTRUCTION,
            face=Face.FLOOR,
            path=Path(((0.0, 0.0), (4.0, 0.0))),
            start_m=10.0,
        ),
        Joint(id=V, ref="V-01", sheet=S, kind=Kind.CRACK, face=Face.WALL, point=(4.0, 0.0), rise_m=3.2, height_m=0.5),
        Joint(id=M, ref="J-06", sheet=S, kind=Kind.MOVEMENT, face=Face.SOFFIT, path=Path(((0.0, 1.0), (3.0, 1.0)))),
        Joint(id=P, ref="J-07", sheet=S, kind=Kind.PIPE_COLLAR, face=Face.FLOOR, point=(9.0, 9.0), diameter_m=0.2),
    )
    leaks = (
        Leak(id=L1, ref="L-01", joint=J, from_m=0.5, to_m=1.25, wetness=Wetness.RUN, overrun_to_m=0.6),
        Leak(id=L2, ref="L-02", joint=M, from_m=1.0, to_m=1.0, wetness=Wetness.DAMP),
    )
    return Job(
        id=UUID(int=99),
        name="Tern Quay",
        sheets={S: Sheet(id=S, name="B2", storey_height_m=3.4)},
        joints={joint.id: joint for joint in joints},
        leaks={leak.id: leak for leak in leaks},
    )


def stretch(from_m: str, to_m: str, why: Why) -> Stretch:
    """A stretch of J-05 that is 50 mm deep and plugged."""
    leaks = () if why is Why.BRIDGE else (L1,)
    wetness = Wetness.RUN if why is Why.LEAK else None
    return Stretch(
        joint=J, from_m=D(from_m), to_m=D(to_m), depth_mm=D("50.0"), plugged=True, why=why, wetness=wetness, leaks=leaks
    )


def some_repairs() -> Repairs:
    """One zone of four stretches on J-05, and a leak for another method."""
    zone = Zone(
        number=7,
        ref="Z-07",
        issued=False,
        sheets=(S,),
        pieces=(),
        stretches=(
            stretch("0.050", "0.500", Why.OVERRUN),
            stretch("0.500", "1.250", Why.LEAK),
            stretch("1.250", "1.850", Why.MERGED),
            stretch("1.850", "2.05", Why.BRIDGE),
        ),
        rows=(Row(joint=J, from_m=D("0.050"), to_m=D("2.050"), depth_mm=D("37.0"), plugged=True),),
        blind=(),
        ends=(),
        relief=(Relief(joint=J, at_m=0.875, depth_mm=D(75), hole_l=0.0123, wetness=Wetness.RUN, by_hand=False),),
        order=(FillStep(step=1, joint=J, from_m=D("0.050"), to_m=D("0.500")),),
        bands=(),
        method=Method.DEEP_PLUG_RELIEF,
        provisional=False,
        why_provisional="",
        holds=(),
        head_kpa=None,
        length_m=D(2),
        chargeable_m=D("2.0"),
        wet_m=D("0.75"),
        bridged_m=D("0.2"),
        blind_m=D(0),
        coat1_m2=D("0.75"),
        coat2_m2=D("0.65"),
        wash_m2=D("0.65"),
        slot_l=D("2.2"),
        plug_l=D("1.1"),
        drypack_l=D("1.1"),
    )
    names = [item.name for item in fields(Totals)]
    totals = Totals(**dict.fromkeys(names, D("1.5")))
    return Repairs(
        zones=(zone,),
        another_method=(AnotherMethod(leak=L2, joint=M, length_m=D(0), why="It moves."),),
        watched=(),
        findings=(Finding("nearly-meet", "J-05", "J-05 nearly meets J-06."),),
        totals=totals,
    )


def read_back() -> dict:  # type: ignore[type-arg] - plain JSON
    """The JSON text as Python reads it."""
    return json.loads(schedule_json(a_job(), some_repairs()))


def test_it_conforms_to_its_schema() -> None:
    """An independent validator finds nothing against the published schema, which is itself sound."""
    schema = json.loads(resource("resources", "texts", "schedule.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(read_back())


@pytest.mark.parametrize(
    ("path", "keys"),
    [
        ((), "schema job rules joints leaks zones another_method findings totals"),
        (("joints", 0), "ref sheet kind face height_m rise_m repairable length_m path_m"),
        (("leaks", 0), "ref joint from_m to_m wetness overrun_from_m overrun_to_m"),
        (
            ("zones", 0),
            (
                "ref sheets stretches length_m chargeable_m bridged_m blind_m coat1_m2 coat2_m2 slot_l plug_l drypack_l"
                " relief order provisional"
            ),
        ),
        (("zones", 0, "stretches", 0), "joint from_m to_m depth_mm plugged why leaks"),
        (("zones", 0, "relief", 0), "joint at_m depth_mm"),
        (("zones", 0, "order", 0), "step joint from_m to_m"),
        (("another_method", 0), "leak joint why"),
        (("findings", 0), "code where text"),
    ],
)
def test_keys_in_their_order(path: tuple[str | int, ...], keys: str) -> None:
    """Every object has exactly the documented keys in the documented order."""
    value = read_back()
    for step in path:
        value = value[step]
    assert list(value) == keys.split()


def test_totals_and_rules_begin_as_documented() -> None:
    """The documented totals and rules come first; every other total and rule follows."""
    found = read_back()
    first = ["joint_m", "wet_m", "repair_m", "provisional_m", "saved_m", "bridged_m", "chargeable_m"]
    assert list(found["totals"])[:7] == first
    assert set(found["totals"]) == {item.name for item in fields(Totals)}
    assert list(found["rules"])[:3] == ["bridge_m", "junction_m", "tie_m"]
    assert (found["rules"]["junction_m"], found["rules"]["tie_m"]) == (0.01, 0.001)
    assert set(found["rules"]) == {item.name for item in fields(Rules)} | {"junction_m", "tie_m"}


def test_measured_values_have_three_decimals() -> None:
    """Measured figures are JSON numbers with three decimals; depths have no idle zeros."""
    text = schedule_json(a_job(), some_repairs())
    assert '"length_m": 2.000' in text
    assert '"from_m": 10.050, "to_m": 10.500, "depth_mm": 50,' in text
    assert '"at_m": 10.875, "depth_mm": 75' in text
    assert '"repair_m": 1.500' in text


def test_chainages_are_printed_ones() -> None:
    """A joint that starts at 10 m has its leaks, stretches, relief points and steps from there."""
    found = read_back()
    assert (found["leaks"][0]["from_m"], found["leaks"][0]["to_m"]) == (10.5, 11.25)
    zone = found["zones"][0]
    assert [(s["from_m"], s["to_m"]) for s in zone["stretches"]][-1] == (11.85, 12.05)
    assert zone["order"][0]["from_m"] == 10.05


def test_merged_is_written_as_overrun() -> None:
    """The three documented reasons are the only ones."""
    assert [s["why"] for s in read_back()["zones"][0]["stretches"]] == ["overrun", "leak", "overrun", "bridge"]


def test_overruns_are_those_in_force() -> None:
    """A hand-set overrun is given as set, the other by the rule of its wetness (run: 0.45 m)."""
    leak, other = read_back()["leaks"]
    assert (leak["overrun_from_m"], leak["overrun_to_m"]) == (0.45, 0.6)
    assert (other["overrun_from_m"], other["overrun_to_m"]) == (0.3, 0.3)


def test_joints_by_their_course() -> None:
    """A line gives its points, a vertical joint one point and its rise, a collar in the floor a closed ring."""
    line, vertical, movement, collar = read_back()["joints"]
    assert (line["path_m"], line["rise_m"], line["repairable"]) == ([[0, 0], [4, 0]], None, True)
    assert (vertical["path_m"], vertical["rise_m"], vertical["height_m"]) == ([[4, 0]], 3.2, 0.5)
    assert (movement["repairable"], movement["height_m"]) == (False, 3.4)
    assert collar["path_m"][0] == collar["path_m"][-1]
    assert collar["length_m"] == 0.628  # π · 0.2


def test_csv_has_one_row_for_each_printed_row() -> None:
    """Columns stay, chainages are printed ones and lengths have three decimals."""
    found = list(csv.DictReader(io.StringIO(schedule_csv(a_job(), some_repairs()))))
    assert tuple(found[0]) == COLUMNS
    assert list(found[0].values()) == [
        "Z-07", "B2", "J-05", "10.050", "12.050", "2.000", "37", "yes", "deep slot + plug + relief", "no",
    ]  # fmt: skip


def test_the_value_is_what_the_text_says() -> None:
    """The text holds the same numbers as the value that it is made from."""
    value = schedule(a_job(), some_repairs())
    assert value["totals"] == {
        name: D(str(number)).quantize(D("0.001")) for name, number in read_back()["totals"].items()
    }
