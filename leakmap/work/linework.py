"""Which joints lie on the lines of a drawing, so that those which a new revision left behind are found.

A place of a joint lies on linework where it comes within 20 mm of a line that is shown; joints are drawn along walls and
pour limits, and snap to them, but may cross open floor. A joint is *left behind* where half a metre of it, or half of a
shorter one, lay on linework before and does not now: a corner joint whose one leg went is to be looked at, even if
most of it lies where it did. It lies *wholly* on linework where nine tenths of it do. All these are ours. Vertical joints
and collars drawn as points have one place only.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import ceil
from typing import Final, NamedTuple
from uuid import UUID

import numpy as np
import numpy.typing as npt
import shapely

from leakmap.base.progress import UNWATCHED, Progress
from leakmap.geometry.cells import FloatArray, IntArray
from leakmap.model.joint import Joint
from leakmap.work.snap_lines import Lines

NEAR_M: Final = 0.020
LEAST_GONE_M: Final = 0.5
LEAST_GONE_SHARE: Final = 0.5
WHOLLY_SHARE: Final = 0.9

_STEP_M: Final = 0.1
_AT_ONCE: Final = 10_000


class _Places(NamedTuple):
    """Places along joints, evenly apart along each.

    Attributes:
        xy: ``(n, 2)`` metres of the site plane.
        owner: ``(n,)`` number of the joint of each.
        stands_for_m: ``(n,)`` length of the joint that each stands for; 1 for a joint that is a point.
    """

    xy: FloatArray
    owner: IntArray
    stands_for_m: FloatArray


def left_behind(
    joints: Iterable[Joint], before: Lines, after: Lines, *, progress: Progress = UNWATCHED
) -> tuple[Joint, ...]:
    """Joints that lay on linework of the drawing before and do not on that of the new one, in their order.

    Args:
        joints: Joints of one sheet.
        before: Lines of the drawing before that are shown, metres of the site plane.
        after: The same of the new one.
        progress: Watches.

    Raises:
        Stopped: The watcher asked to stop.
    """
    of_joint = tuple(joints)
    if not of_joint:
        return ()
    places = _places(of_joint)
    gone = _length_m(places, _near(places, before, progress) & ~_near(places, after, progress))
    least = np.minimum(LEAST_GONE_M, LEAST_GONE_SHARE * _length_m(places))
    return tuple(joint for joint, left in zip(of_joint, gone >= least, strict=True) if left)


def wholly_on_linework(joints: Iterable[Joint], lines: Lines) -> frozenset[UUID]:
    """Ids of the joints that lie wholly on lines.

    Args:
        joints: Joints of one sheet.
        lines: Lines of its drawing that are shown, metres of the site plane.
    """
    of_joint = tuple(joints)
    if not of_joint:
        return frozenset()
    places = _places(of_joint)
    on = _length_m(places, _near(places, lines)) >= WHOLLY_SHARE * _length_m(places)
    return frozenset(joint.id for joint, lies in zip(of_joint, on, strict=True) if lies)


def _places(joints: Sequence[Joint]) -> _Places:
    """Places along joints: the middles of equal parts, or the point of one that has no course."""
    xy = [_samples(joint) for joint in joints]
    length_m = [1.0 if joint.path is None else joint.path.length_m for joint in joints]
    counts = np.array([len(each) for each in xy])
    owner = np.repeat(np.arange(len(joints), dtype=np.int64), counts)
    return _Places(np.vstack(xy), owner, (np.array(length_m) / counts)[owner])


def _samples(joint: Joint) -> FloatArray:
    if joint.path is None:
        assert joint.point is not None
        return np.array([joint.point])
    parts = max(1, ceil(joint.path.length_m / _STEP_M))
    return np.array([joint.path.point_at((part + 0.5) * joint.path.length_m / parts) for part in range(parts)])


def _near(places: _Places, lines: Lines, progress: Progress = UNWATCHED) -> npt.NDArray[np.bool_]:
    """Which places come near a line; lines are looked at some at a time, so that a window goes on meanwhile."""
    near = np.zeros(len(places.xy), dtype=np.bool_)
    tree = shapely.STRtree(shapely.points(places.xy))
    for at in range(0, len(lines.start), _AT_ONCE):
        progress.report("Looking for joints on lines", at, len(lines.start))
        some = np.stack((lines.start[at : at + _AT_ONCE], lines.end[at : at + _AT_ONCE]), axis=1)
        near[tree.query(shapely.linestrings(some), predicate="dwithin", distance=NEAR_M)[1]] = True
    return near


def _length_m(places: _Places, chosen: npt.NDArray[np.bool_] | None = None) -> FloatArray:
    """Length of each joint, or of its part whose places are chosen."""
    weights = places.stands_for_m if chosen is None else places.stands_for_m * chosen
    counted = np.bincount(places.owner, weights=weights, minlength=int(places.owner[-1]) + 1)
    return np.asarray(counted, dtype=np.float64)
