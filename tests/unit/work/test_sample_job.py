"""The sample job holds one of everything, and its zones are what the rules give by hand."""

from __future__ import annotations

from decimal import Decimal

import ezdxf
import pytest

from leakmap.base.resources import resource
from leakmap.drawings.opening import read_drawing
from leakmap.model.faults import faults
from leakmap.model.grid import crossings
from leakmap.model.job import Job
from leakmap.model.sheet import Source, scale_is_checked
from leakmap.model.words import Face, Kind, Wetness
from leakmap.repair.price import not_priced_words, priced
from leakmap.repair.results import Repairs, Why, Zone
from leakmap.repair.work_out import repairs
from leakmap.work.sample_job import DRAWINGS, sample_job


@pytest.fixture(scope="module")
def job() -> Job:
    """The sample job over sources that are only named."""
    return sample_job(sources={sheet: Source(name=name, sha256="0" * 64) for sheet, name in DRAWINGS.items()})


@pytest.fixture(scope="module")
def found(job: Job) -> Repairs:
    """Its work-out."""
    return repairs(job)


def zone_of(job: Job, found: Repairs, ref: str) -> Zone:
    """The zone that a leak lies in."""
    leak = next(item for item in job.leaks.values() if item.ref == ref)
    return next(
        zone
        for zone in found.zones
        for piece in zone.pieces
        if piece.joint == leak.joint and leak.id in piece.leaks and piece.from_m <= leak.from_m < piece.to_m
    )


def test_it_holds_every_kind_face_and_wetness(job: Job) -> None:
    """A newcomer meets everything that the program knows."""
    assert {joint.kind for joint in job.joints.values()} == set(Kind)
    assert {joint.face for joint in job.joints.values()} == set(Face)
    assert {leak.wetness for leak in job.leaks.values()} == set(Wetness)
    assert any(joint.closed and joint.path is not None for joint in job.joints.values())
    assert any(joint.head_sheet is not None for joint in job.joints.values())
    assert any(joint.blind for joint in job.joints.values())
    assert job.cuts


def test_it_is_sound_and_its_scales_are_checked(job: Job) -> None:
    """It can be issued for work as it is."""
    assert faults(job) == ()
    assert all(scale_is_checked(sheet) for sheet in job.sheets.values())


@pytest.mark.parametrize(
    ("leak", "length"),
    [
        ("L-01", "1.800"),  # 2.80 - 0.30 to 4.00 + 0.30
        ("L-03", "3.800"),  # 1.80 - 0.30 to 4.90 + 0.40: the overruns 3.70 and 3.60 lie over each other
        ("L-05", "1.650"),  # 10.20 - 0.45 to 10.55 + 0.45, and at the node 10.60, 0.05 on, J-06 for 0.40
        ("L-06", "3.200"),  # 15.55 to 17.45, and J-09 from its node to 0.90 + 0.40
        ("L-08", "3.900"),  # 5.20 - 0.40 to 8.40 + 0.30, the gap 7.20 to 7.40 bridged
        ("L-12", "2.400"),  # 7.20 - 0.30 to 9.30, where the clearance of the movement joint begins
        ("L-18", "2.100"),  # foot 0.20 below: J-04 0.20 each way; V-02 from 0 to 1.30 + 0.40
        ("L-22", "1.571"),  # the collar is done whole: π · 0.5
        ("L-23", "1.700"),  # 7.90 - 0.30 through the start to 0.60 + 0.30 on 8.40 round
        ("L-28", "1.000"),  # V-01 3.70 - 0.30 to its head 4.20, and J-18 on B1 for 0.10 each way
    ],
)
def test_zones_are_as_long_as_the_rules_say(job: Job, found: Repairs, leak: str, length: str) -> None:
    """Each worked out by hand from job rules: overrun 0.30, 0.40 at a drip, 0.45 at a run."""
    assert zone_of(job, found, leak).length_m == Decimal(length)


def test_what_each_rule_does_is_there_to_see(job: Job, found: Repairs) -> None:
    """A bridge, a merge, a hidden part, another method, provisional zones and a zone over two levels."""
    whys = {piece.why for zone in found.zones for piece in zone.pieces}
    assert whys == set(Why)
    assert [job.leaks[item.leak].ref for item in found.another_method] == ["L-13"]
    assert {zone_of(job, found, leak).provisional for leak in ("L-17", "L-21", "L-33")} == {True}
    assert len(zone_of(job, found, "L-28").sheets) == 2
    assert zone_of(job, found, "L-14").number != zone_of(job, found, "L-15").number  # the cut at 21.20


def test_saved_by_merging_is_what_overlaps(found: Repairs) -> None:
    """Overlaps of overruns: 0.10 (L-03, L-04), 0.85 (L-06, L-07) and 0.20 (L-14, L-15)."""
    assert found.totals.saved_m == Decimal("1.150")


@pytest.mark.slow
@pytest.mark.parametrize("name", DRAWINGS.values())
def test_its_drawings_open_in_millimetres_without_a_doubt(name: str) -> None:
    """The plans are 31.6 m wide over their outer walls, and nothing of them is lost."""
    drawing = read_drawing(name, resource("sample_plans", name).read_bytes())
    assert drawing.unit.m_per_unit == pytest.approx(0.001)
    assert drawing.findings == ()
    walls = [
        drawing.strokes.polyline(index)
        for index, layer in enumerate(drawing.strokes.layer)
        if drawing.layers[layer].name == "WALLS"
    ]
    assert max(line[:, 0].max() for line in walls) - min(line[:, 0].min() for line in walls) == pytest.approx(31_600)


def test_its_grid_is_that_of_the_drawing(job: Job) -> None:
    """The axes lie on the lines of the drawing's grid, each at its bubble: read apart from the job, from the file."""
    plan = ezdxf.readfile(resource("sample_plans", DRAWINGS["B2"])).modelspace()
    bubbles = {insert.attribs[0].dxf.text: insert.dxf.insert for insert in plan.query('INSERT[name=="GRID_BUBBLE"]')}
    assert job.grid is not None
    found = {(each.letter, each.number): each.at for each in crossings(job.grid)}
    drawn = {
        (letter, number): (bubbles[letter].x / 1000, bubbles[number].y / 1000)
        for letter in "ABCDEF"
        for number in "123456"
    }
    assert found == {key: pytest.approx(at) for key, at in drawn.items()}


def test_its_rates_price_every_zone(job: Job, found: Repairs) -> None:
    """Round figures that are made up. L-01 by hand: 1.800 m × 60 + in a corner 1.800 × 2.50 + setting up 25 = 137.50.

    All, item by item: 3.6 m × 50 + 44.6 × 60 + 12.8 × 100 + wall 1.6 × 2.50 + soffit 1.8 × 7.50 + corner 27.6 × 2.50
    + vertical 3.25 × 5 + 5 relief points × 40 + 30 zones × 25 + 500 = 5688.75.
    """
    prices = priced(job, found)
    assert str(prices.by_ref[zone_of(job, found, "L-01").ref].price) == "137.50"
    assert not_priced_words(prices) == ("1 leak needs another method and is not priced.",)
    assert str(prices.total) == "5688.75"
