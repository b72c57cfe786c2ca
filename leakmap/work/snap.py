"""What the pointer is caught on: places of joints, of the grid and of the imported drawing.

Everything within the radius is looked at, and the first sort that has a place there takes the
pointer, at its nearest place:

1. a place of what is being drawn
2. a height on a vertical joint's staff, where only joints catch
3. a joint's end
4. a joint's bend
5. where joints cross
6. the foot square to a joint
7. a place on a joint
8. a point of grid or drawing: a grid crossing, a corner, an end of a line, a crossing of two lines
9. a line of grid or drawing

Axes run close beside walls, so within the last two sorts the nearest place counts; where two are one
place, the grid is named first.

Places are gathered once and asked for at every move of the pointer. Those of a drawing take the
longest (half a second for a million lines) and change only with the drawing, its placement or its
layers: gather them beside the window's own work and keep them over changes of the job.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import hypot
from uuid import UUID

from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.work.catch import ANYTHING, NOTHING, Aim, Catch, Caught, Ray, nearest, on_ray
from leakmap.work.snap_drawing import DrawingPlaces, caught_on_drawing, drawing_places
from leakmap.work.snap_grid import GridPlaces, caught_on_grid, grid_places
from leakmap.work.snap_joints import JointPlaces, caught_on_joints, caught_on_staffs, joint_places
from leakmap.work.staffs import NO_STAFFS, Staffs

__all__ = [
    "ANYTHING",
    "NOTHING",
    "Aim",
    "Catch",
    "DrawingPlaces",
    "Ray",
    "SnapPlaces",
    "drawing_places",
    "snap",
    "snap_on_ray",
    "snap_places",
]


@dataclass(frozen=True, slots=True, eq=False)
class SnapPlaces:
    """Every place of a level that the pointer can be caught on."""

    joints: JointPlaces
    grid: GridPlaces
    drawing: DrawingPlaces | None = None


def snap_places(job: Job, level: UUID, drawing: DrawingPlaces | None = None) -> SnapPlaces:
    """The places of a level.

    Args:
        job: The job.
        level: The sheet on the plan.
        drawing: What ``drawing_places`` gathered of its drawing; None: not yet, or a blank sheet.
    """
    return SnapPlaces(joint_places(job, level), grid_places(job.grid), drawing)


def snap(
    places: SnapPlaces,
    at: Point,
    *,
    radius_m: float,
    aim: Aim = ANYTHING,
    staffs: Staffs = NO_STAFFS,
) -> Catch | None:
    """What the pointer is caught on; None when nothing lies within the radius.

    Args:
        places: The places of the level on the plan.
        at: The pointer, metres of the site plane.
        radius_m: How near a place must lie: 14 px in metres.
        aim: What the tool in hand wants.
        staffs: Staffs that are seen beside vertical joints.
    """
    own = [(hypot(catch.at[0] - at[0], catch.at[1] - at[1]), number) for number, catch in enumerate(aim.own)]
    if own and min(own)[0] <= radius_m:
        return aim.own[min(own)[1]]
    if staffs and aim.joints_only and not aim.drawing_only:
        height = caught_on_staffs(places.joints, staffs, at, radius_m, aim)
        if height is not None:
            return height
    joint = None if aim.drawing_only else caught_on_joints(places.joints, at, radius_m, aim)
    if joint is not None or aim.joints_only:
        return joint
    grid = Caught() if aim.drawing_only else caught_on_grid(places.grid, at, radius_m, aim)
    drawing = Caught() if places.drawing is None else caught_on_drawing(places.drawing, at, radius_m, aim)
    return nearest((grid.point, drawing.point), at) or nearest((grid.line, drawing.line), at)


def snap_on_ray(places: SnapPlaces, at: Point, ray: Ray, *, radius_m: float, aim: Aim = ANYTHING) -> Catch | None:
    """What a pointer is caught on that is kept on a ray; None when nothing lies within the radius.

    A place near the pointer itself is taken level; else what is near its place on the ray, a line where the
    ray crosses it.

    Args:
        places: The places of the level on the plan.
        at: The pointer, metres of the site plane.
        ray: Where it is kept.
        radius_m: How near a place must lie.
        aim: What the tool in hand wants.
    """
    aim = replace(aim, origin=None, across=ray.way)  # the ray itself is square to something
    near = snap(places, at, radius_m=radius_m, aim=aim)
    if near is None or near.line is not None:
        near = snap(places, ray.foot(at), radius_m=radius_m, aim=aim)
    return None if near is None else on_ray(near, ray)
