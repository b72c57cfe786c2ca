"""A job laid level for one drawing."""

from __future__ import annotations

from math import hypot, pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.geometry.placement import Placement
from leakmap.issue.marked_dxf.level import levelled
from leakmap.model.joint import plan_path
from tests.helpers.marked_job import job_on, key, repairs, sheet_b1, sheet_b2

PLACES = st.floats(-5e6, 5e6)


@pytest.mark.slow
@settings(max_examples=30)
@given(turn=st.floats(-180, 180), x=PLACES, y=PLACES, unit=st.sampled_from([1.0, 0.001, 0.0254]))
def test_level_places_are_the_same_drawing_points(turn: float, x: float, y: float, unit: float) -> None:
    """Whatever the placement, each corner lies on the same drawing point, to 0.01 mm, and no length changes."""
    placement = Placement(origin=(x, y), x_m_per_unit=unit, y_m_per_unit=unit, turn_deg=turn, at_m=(y, x))
    job = job_on([sheet_b2(None, placement), sheet_b1()])
    moved, _, level = levelled(job, repairs(), key("B2"))
    assert level.turn_deg == 0.0
    for joint in job.joints.values():
        before, after = plan_path(joint), plan_path(moved.joints[joint.id])
        if before is None or after is None:
            continue
        for point, other in zip(before.corners, after.corners, strict=True):
            (x0, y0), (x1, y1) = placement.to_drawing(point), level.to_drawing(other)
            assert hypot(x1 - x0, y1 - y0) * unit < 1e-5
        assert after.length_m == pytest.approx(before.length_m, abs=1e-6)


def test_a_turned_pipe_collar_keeps_where_its_chainage_starts() -> None:
    """Chainage 0 of a collar is its top in the site plane, also where the drawing is turned by a quarter."""
    placement = Placement(turn_deg=90.0)
    job = job_on([sheet_b2(None, placement), sheet_b1()])
    moved, _, level = levelled(job, repairs(), key("B2"))
    collar = moved.joints[key("J-07")]
    assert collar.path is not None
    assert collar.length_m == pytest.approx(0.4 * pi)
    top = job.joints[key("J-07")]
    before = plan_path(top)
    assert before is not None
    assert level.to_drawing(collar.path.points[0]) == pytest.approx(placement.to_drawing(before.points[0]))


def test_bands_move_with_their_joints() -> None:
    """The band of a zone turned by a quarter lies on the turned joint, and has the same area."""
    placement = Placement(turn_deg=90.0, at_m=(5.0, 7.0))
    job = job_on([sheet_b2(None, placement), sheet_b1()])
    _, moved, level = levelled(job, repairs(), key("B2"))
    for before, after in zip(repairs().zones, moved.zones, strict=True):
        for band, other in zip(before.bands, after.bands, strict=True):
            for point, turned in zip(band.rings[0][0], other.rings[0][0], strict=True):
                assert level.to_drawing(turned) == pytest.approx(placement.to_drawing(point))
