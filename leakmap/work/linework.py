"""Which joints lie on the lines of a drawing, so that those which a new revision left behind are found.

A joint *lies on linework* where at least half of its length in plan comes within 20 mm of a line that is
shown (both ours): a joint is drawn along a wall or a pour limit, and snaps to it, but may cross open floor.
Vertical joints and collars drawn as points lie on linework where their point comes within 20 mm.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil
from typing import Final
from uuid import UUID

import numpy as np
import shapely

from leakmap.geometry.cells import FloatArray
from leakmap.model.joint import Joint
from leakmap.work.snap_lines import Lines

NEAR_M: Final = 0.020
LEAST_SHARE: Final = 0.5

_STEP_M: Final = 0.1


def on_linework(joints: Iterable[Joint], lines: Lines) -> frozenset[UUID]:
    """Ids of the joints that lie on lines.

    Args:
        joints: Joints of one sheet.
        lines: Lines of its drawing that are shown, metres of the site plane.
    """
    of_joint = list(joints)
    if not of_joint or not len(lines.start):
        return frozenset()
    samples = [_samples(joint) for joint in of_joint]
    owner = np.repeat(np.arange(len(of_joint)), [len(sample) for sample in samples])
    tree = shapely.STRtree(shapely.linestrings(np.stack((lines.start, lines.end), axis=1)))
    places = shapely.points(np.vstack(samples))
    met = np.unique(tree.query(places, predicate="dwithin", distance=NEAR_M)[0])
    near = np.bincount(owner[met], minlength=len(of_joint)) / np.bincount(owner, minlength=len(of_joint))
    return frozenset(joint.id for joint, share in zip(of_joint, near.tolist(), strict=True) if share >= LEAST_SHARE)


def left_behind(joints: Iterable[Joint], before: Lines, after: Lines) -> tuple[Joint, ...]:
    """Joints that lay on linework of the drawing before and do not on that of the new one, in their order."""
    all_joints = tuple(joints)
    gone = on_linework(all_joints, before) - on_linework(all_joints, after)
    return tuple(joint for joint in all_joints if joint.id in gone)


def _samples(joint: Joint) -> FloatArray:
    """Places along a joint, evenly apart, at the middle of equal parts; its point where it has no course."""
    if joint.path is None:
        assert joint.point is not None
        return np.array([joint.point])
    parts = max(1, ceil(joint.path.length_m / _STEP_M))
    return np.array([joint.path.point_at((part + 0.5) * joint.path.length_m / parts) for part in range(parts)])
