"""Values of the model refuse what no job can hold."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date
from decimal import Decimal
from math import pi
from typing import Any
from uuid import UUID

import pytest

from leakmap.base.errors import BadValue
from leakmap.geometry.path import Path
from leakmap.model.job import Job, OtherItem, WaterLevel
from leakmap.model.joint import Blind, Joint, Signed, height_of, plan_path
from leakmap.model.leak import Cut, Leak, Parted, ReliefPoint
from leakmap.model.revision import Revision
from leakmap.model.rules import Rules
from leakmap.model.sheet import KnownLength, Reading, Sheet, Source, disagreement, scale_is_checked
from leakmap.model.words import Face, Kind, Purpose, Series, Wetness, reference

SHEET = UUID(int=1)
ONE = UUID(int=2)
TWO = UUID(int=3)
NAN = float("nan")


def joint(**given: Any) -> Joint:  # noqa: ANN401 - any field of a joint
    """A floor joint of 5 m unless said otherwise."""
    course = {} if "point" in given else {"path": Path(((0, 0), (5, 0)))}
    facts: dict[str, Any] = {
        "id": ONE,
        "ref": "J-01",
        "sheet": SHEET,
        "kind": Kind.CONSTRUCTION,
        "face": Face.FLOOR,
        **course,
        **given,
    }
    return Joint(**facts)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"ref": " "}, "needs a reference"),
        ({"path": None}, "either a line or a point"),
        ({"point": (0, 0)}, "either a rise or a diameter"),
        ({"point": (0, 0), "rise_m": 2.0, "diameter_m": 0.2}, "either a rise or a diameter"),
        ({"rise_m": 2.0}, "neither a rise nor a diameter"),
        ({"point": (NAN, 0), "rise_m": 2.0}, "position of J-01"),
        ({"point": (0, 0), "rise_m": 0.0}, "rise of J-01"),
        ({"point": (0, 0), "diameter_m": -0.2}, "diameter of J-01"),
        ({"height_m": NAN}, "height of J-01"),
        ({"cover_m": 0.0}, "cover to steel"),
        ({"clearance_m": -0.1}, "clearance of J-01"),
        ({"blind": (Blind(from_m=4, to_m=6, what="tank"),)}, "lies past its end"),
    ],
)
def test_a_joint_that_no_job_can_hold_is_refused(given: dict[str, Any], words: str) -> None:
    """Each refusal is one sentence that says what is wrong."""
    with pytest.raises(BadValue, match=words):
        joint(**given)


def test_a_joint_is_as_long_as_its_course() -> None:
    """A line's length, a vertical joint's rise, π times a collar's diameter."""
    assert joint().length_m == 5
    assert joint(point=(1, 2), rise_m=4.2).length_m == 4.2
    assert joint(point=(1, 2), diameter_m=0.5).length_m == pytest.approx(0.5 * pi)


def test_a_collar_in_a_floor_is_a_ring_of_its_true_length() -> None:
    """The ring starts at the top, runs clockwise and is π times the diameter long."""
    path = plan_path(joint(kind=Kind.PIPE_COLLAR, point=(1, 2), diameter_m=0.5))
    assert path is not None
    assert path.closed
    assert path.length_m == pytest.approx(0.5 * pi, abs=1e-12)
    assert path.points[0] == pytest.approx((1, 2.25), abs=1e-4)
    assert path.points[1][0] > 1


def test_what_is_a_point_in_plan_has_no_course_there() -> None:
    """A vertical joint, and a pipe collar in a wall."""
    assert plan_path(joint(point=(1, 2), rise_m=4.2)) is None
    assert plan_path(joint(point=(1, 2), diameter_m=0.2, face=Face.WALL)) is None


@pytest.mark.parametrize(
    ("face", "height"), [(Face.FLOOR, 0.0), (Face.CORNER, 0.0), (Face.SOFFIT, 3.6), (Face.WALL, 2.1)]
)
def test_height_follows_from_the_face(face: Face, height: float) -> None:
    """0 on the floor and in the corner, the storey height at the soffit, as given on a wall."""
    assert height_of(joint(face=face, height_m=2.1), 3.6) == height


@pytest.mark.parametrize("name", ["from_m", "to_m", "worst_m", "flow_l_min", "overrun_from_m", "overrun_to_m"])
@pytest.mark.parametrize("value", [-0.1, NAN, float("inf")])
def test_numbers_of_a_leak_are_never_negative_nor_none(name: str, value: float) -> None:
    """Every number of a leak is refused with its reference."""
    given: dict[str, Any] = {"from_m": 1.0, "to_m": 2.0, name: value}
    with pytest.raises(BadValue, match="L-01"):
        Leak(id=ONE, ref="L-01", joint=TWO, wetness=Wetness.DRIP, **given)


def test_marks_on_a_joint_refuse_places_that_are_none() -> None:
    """Cuts, relief points, parted junctions and blind stretches."""
    for make in (
        lambda: Cut(id=ONE, joint=TWO, at_m=-1),
        lambda: ReliefPoint(id=ONE, joint=TWO, at_m=NAN),
        lambda: Parted(id=ONE, joint=TWO, at_m=1, other=TWO, other_at_m=1),
        lambda: Blind(from_m=1, to_m=1, what="tank"),
        lambda: Signed(name="", reason="dry joint", on=date(2026, 11, 2)),
        lambda: OtherItem(id=ONE, sheet=SHEET, what="tie holes", quantity=NAN, unit="no."),
        lambda: WaterLevel(level_m=NAN),
        lambda: Leak(id=ONE, ref="", joint=TWO, from_m=0, to_m=1, wetness=Wetness.DAMP),
    ):
        with pytest.raises(BadValue):
            make()


def test_a_job_is_closed_against_change() -> None:
    """Its mappings cannot be written to, and the dictionary given is not kept."""
    given = {ONE: joint()}
    job = Job(id=TWO, name="Tern Quay", joints=given)
    given.clear()
    assert list(job.joints) == [ONE]
    with pytest.raises(TypeError):
        job.joints[TWO] = joint()  # type: ignore[index] - the refusal is the point
    with pytest.raises(BadValue, match="needs a name"):
        replace(job, name=" ")


@pytest.mark.parametrize(
    "given",
    [
        {"overrun_m": (0.3, 0.3, 0.3)},
        {"overrun_m": (0.3, 0.3, 0.3, 0.4, 0.45, -0.1)},
        {"bridge_m": NAN},
        {"slot_width_m": 0.0},
        {"run_relief_depth_m": -0.1},
        {"plug_share": 1.1},
        {"coat_margin_m": -0.1},
        {"measuring_step_m": Decimal(0)},
        {"chargeable_step_m": Decimal("-0.1")},
    ],
)
def test_rules_that_cannot_be_worked_to_are_refused(given: dict[str, Any]) -> None:
    """Each is refused with a sentence."""
    with pytest.raises(BadValue, match=r"\.$"):
        Rules(**given)


def test_every_rule_names_its_unit_origin_and_words() -> None:
    """Rules are declared once; papers print them from the declaration."""
    for item in fields(Rules):
        assert set(item.metadata) == {"unit", "origin", "words"}
        assert item.metadata["origin"]
        assert item.metadata["words"]


def test_the_default_band_is_325_millimetres_wide() -> None:
    """0.15 + 0.025 + 0.15 m. Source: common practice, no published source."""
    assert Rules().band_m == pytest.approx(0.325)


def sheet(*lengths: KnownLength, source: bool = True) -> Sheet:
    """A sheet drawn in metres."""
    drawing = Source(name="b2.dxf", sha256="0" * 64) if source else None
    return Sheet(id=SHEET, name="B2", source=drawing, lengths=lengths)


def known(end: tuple[float, float], length_m: float) -> KnownLength:
    """A known length from the origin."""
    return KnownLength(start=(0, 0), end=end, length_m=length_m)


def test_a_scale_is_checked_by_two_lengths_across_each_other() -> None:
    """One length, or two along the same way, do not check a scale; one each way do."""
    assert not scale_is_checked(sheet())
    assert not scale_is_checked(sheet(known((31.2, 0), 31.2)))
    assert not scale_is_checked(sheet(known((31.2, 0), 31.2), known((-10, 0.1), 10)))
    assert scale_is_checked(sheet(known((31.2, 0), 31.2), known((0, 21.6), 21.6)))


def test_a_length_that_disagrees_by_more_than_half_a_percent_leaves_the_scale_unchecked() -> None:
    """21.60 m drawn against 21.48 m on site is 0.56 % too long; against 21.50 m 0.47 %."""
    far, near = known((0, 21.6), 21.48), known((0, 21.6), 21.5)
    assert disagreement(sheet(), far) == pytest.approx(0.0056, abs=5e-5)
    assert not scale_is_checked(sheet(known((31.2, 0), 31.2), far))
    assert scale_is_checked(sheet(known((31.2, 0), 31.2), near))


def test_a_blank_sheet_needs_no_check() -> None:
    """Its metres are true by definition."""
    assert scale_is_checked(sheet(source=False))


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: known((0, 0), 1), "same point"),
        (lambda: known((1, 0), 0), "greater than zero"),
        (lambda: known((NAN, 0), 1), "finite"),
        (lambda: Sheet(id=SHEET, name=""), "needs a name"),
        (lambda: Sheet(id=SHEET, name="B2", storey_height_m=0), "storey height of B2"),
        (lambda: Sheet(id=SHEET, name="B2", floor_level_m=NAN), "floor level of B2"),
    ],
)
def test_sheets_and_known_lengths_refuse_what_is_none(make: Any, words: str) -> None:  # noqa: ANN401 - a table of makers
    """Each refusal says which value."""
    with pytest.raises(BadValue, match=words):
        make()


def test_references_have_two_digits_and_more_where_needed() -> None:
    """Z-07 and J-112; P01 and C02 for revisions."""
    assert reference(Series.VERTICAL, 2) == "V-02"
    assert reference(Series.JOINT, 112) == "J-112"
    facts: dict[str, Any] = {
        "id": ONE,
        "to_whom": "crew",
        "by": "site",
        "at": None,
        "job_sha256": "",
        "schedule_sha256": "",
    }
    assert Revision(number=2, purpose=Purpose.WORK, **facts).name == "C02"
    assert Revision(number=1, purpose=Purpose.PRICE, **facts).name == "P01"


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"page": -1}, "counted from the first"),
        ({"crop": (0, 0, 0, 5)}, "no extent"),
        ({"crop": (0, 5, 4, 1)}, "no extent"),
        ({"crop": (0, 0, NAN, 1)}, "edge of the part"),
        ({"corners": ((0, 0), (1, 0), (1, NAN), (0, 1))}, "edge of the part"),
    ],
)
def test_a_reading_that_cannot_be_done_is_refused(given: dict[str, Any], words: str) -> None:
    """A page before the first, and a part without extent, are no reading of a file."""
    with pytest.raises(BadValue, match=words):
        Reading(**given)


def test_a_pixel_has_an_extent() -> None:
    """A picture of pixels of no size is refused."""
    with pytest.raises(BadValue, match="size of a pixel"):
        Source(name="b2.tif", sha256="0" * 64, pixel=0.0)
