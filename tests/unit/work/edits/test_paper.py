"""Deeds on the paper that a drawing lies on: straightened by a line, and its file read in another way."""

from __future__ import annotations

from dataclasses import replace
from math import atan2, degrees, hypot
from uuid import UUID

import pytest

from leakmap.base.errors import BadValue, EditRefused
from leakmap.geometry.placement import Placement
from leakmap.model.job import Job, Numbers
from leakmap.model.sheet import KnownLength, Reading, Source
from leakmap.work.edits.paper import part_added, quarter_turned, read_otherwise, straighten
from leakmap.work.photo_corners import corners_in_order
from tests.helpers.jobs import job_of, line, sheet, sheet_id

PHOTO = Source(name="b1.jpg", sha256="1" * 64, pixel=1.0)
CORNERS = ((10.0, 90.0), (95.0, 88.0), (90.0, 5.0), (12.0, 8.0))
KNOWN = KnownLength(start=(0, 0), end=(100, 0), length_m=2.0)


def photo_job() -> tuple[Job, UUID]:
    """A job with a photo at 20 mm a pixel, a known length, and a joint of 2 m on it."""
    photo = sheet(
        1, source=PHOTO, placement=Placement(x_m_per_unit=0.02, y_m_per_unit=0.02), lengths=(KNOWN,), each_way=True
    )
    return job_of([line((0, 0), (2, 0))], sheets=(photo,), numbers=Numbers(joint=1)), sheet_id(1)


@pytest.mark.parametrize(
    ("end", "along"), [((100, 7), (1, 0)), ((100, -7), (1, 0)), ((-7, 100), (0, 1)), ((-100, 7), (-1, 0))]
)
def test_a_line_is_laid_level_or_upright(end: tuple[float, float], along: tuple[int, int]) -> None:
    """The drawing turns by less than 45° until the line lies along an axis; its start and its length stay."""
    job, key = photo_job()
    edit = straighten(job, sheet=key, start=(10, 20), end=(10 + end[0], 20 + end[1]))
    placement = edit.job.sheets[key].placement
    start, stop = (placement.to_site(point) for point in ((10, 20), (10 + end[0], 20 + end[1])))
    assert start == pytest.approx((0.2, 0.4))
    length = hypot(*end) * 0.02
    assert stop == pytest.approx((0.2 + along[0] * length, 0.4 + along[1] * length))
    assert abs(placement.turn_deg) == pytest.approx(degrees(atan2(7, 100)))
    assert edit.words == "straighten B1"


def test_what_is_drawn_goes_along() -> None:
    """A joint keeps its place on the drawing when that is straightened."""
    job, key = photo_job()
    (joint,) = job.joints.values()
    assert joint.path is not None
    before = [job.sheets[key].placement.to_drawing(point) for point in joint.path.points]
    after = straighten(job, sheet=key, start=(0, 0), end=(100, 10)).job
    (moved,) = after.joints.values()
    assert moved.path is not None
    assert [after.sheets[key].placement.to_drawing(point) for point in moved.path.points] == [
        pytest.approx(point) for point in before
    ]


def test_a_quarter_turn_takes_along_what_is_drawn() -> None:
    """The joint of 2 m along the foot of the photo runs up after a quarter to the left; four quarters are none."""
    job, key = photo_job()
    edit = quarter_turned(job, sheet=key)
    (turned,) = edit.job.joints.values()
    assert turned.path is not None
    start, end = turned.path.points
    assert start == pytest.approx((0, 0))
    assert end == pytest.approx((0, 2))
    assert edit.words == "turn B1 by a quarter"
    turns = []
    for _ in range(4):
        job = quarter_turned(job, sheet=key).job
        turns.append(job.sheets[key].placement.turn_deg)
    assert turns == [90, -180, -90, 0]


def test_two_equal_points_and_a_straight_line_are_refused() -> None:
    """One point shows no direction, and what lies straight is not turned."""
    job, key = photo_job()
    with pytest.raises(EditRefused, match="two points of one grid line"):
        straighten(job, sheet=key, start=(1, 1), end=(1, 1))
    with pytest.raises(EditRefused, match="lies straight already"):
        straighten(job, sheet=key, start=(1, 1), end=(9, 1))


def test_other_corners_take_the_known_lengths_along() -> None:
    """Laid flat, places of the photo are no longer places of the drawing: lengths and turn go, and that is said."""
    job, key = photo_job()
    flat = replace(PHOTO, reading=Reading(corners=CORNERS))
    turned = straighten(job, sheet=key, start=(0, 0), end=(100, 10)).job
    edit = read_otherwise(turned, sheet=key, source=flat)
    new = edit.job.sheets[key]
    assert (new.source, new.lengths, new.placement.turn_deg, new.each_way) == (flat, (), 0.0, True)
    assert edit.words == "lay B1 flat"
    assert edit.said == (
        "The known lengths of B1 were those of the photo; set the scale again.",
        "The joints of B1 stayed where they are: check that they lie on the plan.",
    )
    assert edit.job.joints == turned.joints


@pytest.mark.parametrize(("turned", "kept"), [(2.0, 0.0), (91.5, 90.0), (-90.0, -90.0), (-178.0, -180.0)])
def test_a_photo_turned_by_quarters_stays_so_when_it_is_laid_flat(turned: float, kept: float) -> None:
    """Quarters say which way up the sheet lies and stay; what straightened it goes, as the corners do that."""
    job, key = photo_job()
    old = job.sheets[key]
    turned_sheet = replace(old, placement=replace(old.placement, turn_deg=turned))
    job = replace(job, sheets={key: turned_sheet})
    flat = replace(PHOTO, reading=Reading(corners=CORNERS))
    assert read_otherwise(job, sheet=key, source=flat).job.sheets[key].placement.turn_deg == kept


def test_a_part_keeps_places_and_lengths() -> None:
    """Cropped, the drawing lies where it lay, at the scale that it had."""
    job, key = photo_job()
    part = replace(PHOTO, reading=Reading(crop=(0.0, 0.0, 50.0, 40.0)))
    edit = read_otherwise(job, sheet=key, source=part)
    new, old = edit.job.sheets[key], job.sheets[key]
    assert new == replace(old, source=part)
    assert (edit.words, edit.said) == ("crop B1", ())
    back = read_otherwise(edit.job, sheet=key, source=PHOTO)
    assert (back.job.sheets[key], back.words) == (old, "show all of the drawing of B1")


def test_another_part_makes_another_level_in_the_same_scale() -> None:
    """A level of another part of a file has the placement and the known lengths of the first, as one edit."""
    job, key = photo_job()
    part = replace(PHOTO, reading=Reading(crop=(0.0, 0.0, 50.0, 40.0)))
    edit = part_added(job, sheet=key, source=part, name="B2")
    new = edit.job.sheets[edit.made[0]]
    old = job.sheets[key]
    assert (new.name, new.source) == ("B2", part)
    assert (new.placement, new.lengths, new.each_way) == (old.placement, old.lengths, True)
    assert edit.changed == {("sheets", new.id)}
    with pytest.raises(EditRefused, match="There is a sheet B1 already"):
        part_added(job, sheet=key, source=part, name="B1")


def test_what_was_read_meanwhile_is_not_put_under_another_drawing() -> None:
    """A sheet that shows another file by now, or reads this one so already, stays as it is."""
    job, key = photo_job()
    with pytest.raises(EditRefused, match="shows another drawing by now"):
        read_otherwise(job, sheet=key, source=replace(PHOTO, sha256="2" * 64))
    with pytest.raises(EditRefused, match="read in this way already"):
        read_otherwise(job, sheet=key, source=PHOTO)


@pytest.mark.parametrize("first", range(4))
@pytest.mark.parametrize("way", [1, -1])
def test_corners_may_be_picked_from_any_one_and_either_way_round(first: int, way: int) -> None:
    """Whichever corner is first, the reader gets upper left, upper right, lower right, lower left."""
    ring = [CORNERS[(first + way * step) % 4] for step in range(4)]
    assert corners_in_order((ring[0], ring[1], ring[2], ring[3])) == CORNERS


def test_corners_across_each_other_are_refused() -> None:
    """A way that crosses itself goes round no sheet."""
    a, b, c, d = CORNERS
    with pytest.raises(BadValue, match="one after the other round it"):
        corners_in_order((a, c, b, d))
