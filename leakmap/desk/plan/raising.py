"""Raised staffs: a vertical joint that is picked or pointed at shows its staff, though it is dry, while a tool wants it."""

from __future__ import annotations

from math import dist
from uuid import UUID

from leakmap.desk.plan.scene import Scene
from leakmap.desk.state import Desk
from leakmap.desk.things import Sort
from leakmap.desk.tools.places import REACH_PX
from leakmap.desk.tools.tool import Tool
from leakmap.geometry.path import Point
from leakmap.issue.marks.signs import Staff
from leakmap.model.joint import Joint


class Raising:
    """Says which staffs are raised.

    A staff that the pointer raised at the joint's sign stays while the pointer is on its way to it.
    """

    def __init__(self, desk: Desk, scene: Scene) -> None:
        self.desk, self.scene = desk, scene

    def look(self, tool: Tool | None, at: Point | None, m_per_px: float) -> bool:
        """Raise what the hand may mean; whether anything differs.

        Args:
            tool: What works now; None: nothing.
            at: Where the pointer is, metres of the site plane; None: elsewhere.
            m_per_px: Metres of one pixel.
        """
        raised = self._meant(at, REACH_PX * m_per_px) if tool is not None and tool.along_joints else frozenset()
        if raised == self.scene.raised:
            return False
        self.scene.raised = raised
        return True

    def _meant(self, at: Point | None, reach_m: float) -> frozenset[UUID]:
        job = self.desk.job
        places = self.scene.level.places
        if job is None or not places:
            return frozenset()
        picked = {thing.key for thing in self.desk.picked if thing.sort is Sort.JOINT}
        return frozenset(
            key
            for key, staff in places.items()
            if key in picked
            or (at is not None and key in job.joints and self._near(job.joints[key], staff, at, reach_m))
        )

    def _near(self, joint: Joint, staff: Staff, at: Point, reach_m: float) -> bool:
        assert joint.point is not None
        if joint.id not in self.scene.raised:
            return dist(joint.point, at) <= reach_m
        points = (joint.point, *staff.path.corners)
        xs, ys = [x for x, _ in points], [y for _, y in points]
        across, up = at
        return min(xs) - reach_m <= across <= max(xs) + reach_m and min(ys) - reach_m <= up <= max(ys) + reach_m
