"""Object coordinate systems: flat entities that lie turned over or slanted in space."""

from __future__ import annotations

import numpy as np
from ezdxf.math import OCS, Vec3

from leakmap.model.drawing import FloatArray


def to_world(flat: FloatArray, elevation: float, extrusion: Vec3) -> FloatArray:
    """World points ``(n, 3)`` of points ``(n, 2)`` that lie in an object's own system."""
    points = np.column_stack((flat, np.full(len(flat), float(elevation))))
    ocs = OCS(extrusion)
    if not ocs.transform:
        return points
    turned: FloatArray = points @ np.array((ocs.ux.xyz, ocs.uy.xyz, ocs.uz.xyz))
    return turned
