"""Combine two joints whose ends touch, or nearly."""

from __future__ import annotations

from uuid import UUID

from leakmap.base.errors import LeakmapError
from leakmap.base.trade_words import in_trade_words
from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Thing
from leakmap.desk.tools.handles import Gesture
from leakmap.desk.tools.places import spot_at
from leakmap.desk.tools.tool import Grip, Overlay, OverlayGrip, OverlayLine, Pointer
from leakmap.desk.trouble import trouble_of
from leakmap.geometry.path import Point
from leakmap.model.joint import Joint
from leakmap.work.catch import Aim
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.splits import combine_joints, touching_ends


class Combine(Gesture):
    """Combine (C)."""

    name = "Combine"
    key = "C"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.first: UUID | None = None
        self.second: UUID | None = None

    def sentence(self) -> str:
        """What the next click does."""
        first, second = self._joints()
        if first is None:
            stays = "Click the first joint, near the end where the other one goes on; its name and chainages stay."
            return in_trade_words(self.desk.units, stays)
        if second is None:
            return f"Click the joint that becomes part of {first.ref}."
        return f"Press Enter: {second.ref} becomes part of {first.ref}."

    def aim(self) -> Aim:
        """Only joints can be combined."""
        return Aim(joints_only=True)

    def overlay(self) -> Overlay:
        """The ends that will touch, and the piece that closes a gap between them; the joints are picked."""
        ends = self._ends()
        lines = (OverlayLine(points=ends),) if len(set(ends)) > 1 else ()
        return Overlay(lines=lines, grips=tuple(OverlayGrip(at=at, grip=Grip.JUNCTION) for at in ends))

    def pressed(self, pointer: Pointer) -> None:
        """Mark the first joint, then the second; nothing is combined yet."""
        spot = spot_at(self.kept, self.desk.level, pointer)
        if spot is not None:
            self._take(spot.joint.id)
        self.refresh()

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Combine what is marked."""
        first, second = self.first, self.second
        if first is None or second is None:
            return first is not None
        if self.keep(lambda: combine_joints(self.kept, first=first, second=second)) is not None:
            self.first = self.second = None
            self.desk.pick(Thing(Sort.JOINT, first))
        self.refresh()
        return True

    def escaped(self) -> bool:
        """Step back one joint."""
        if self.second is not None:
            self.second = None
        elif self.first is not None:
            self.first = None
        else:
            return False
        self.desk.show(None)
        self.refresh()
        return True

    def erased(self) -> bool:
        """Backspace steps back as well."""
        return self.escaped()

    def let_go(self) -> None:
        """Nothing half-done stays."""
        self.first = self.second = None
        super().let_go()

    def _take(self, joint: UUID) -> None:
        if self.first is None:
            self.first = joint
            self.desk.pick(Thing(Sort.JOINT, joint))
            return
        try:
            self._deed(joint)
        except LeakmapError as problem:
            self.desk.troubled.emit(trouble_of(problem))
            return
        self.second = joint
        self.desk.pick(Thing(Sort.JOINT, self.first), Thing(Sort.JOINT, joint))

    def _deed(self, second: UUID) -> Edit:
        assert self.first is not None
        return combine_joints(self.kept, first=self.first, second=second)

    def _joints(self) -> tuple[Joint | None, Joint | None]:
        if self.desk.open_job is None:
            return None, None
        joints = self.kept.joints
        first = joints.get(self.first) if self.first is not None else None
        return first, joints.get(self.second) if self.second is not None else None

    def _ends(self) -> tuple[Point, ...]:
        """The two ends that will touch, in plan; uprights have none there."""
        first, second = self._joints()
        if first is None or second is None or first.path is None or second.path is None:
            return ()
        return touching_ends(first.path, second.path)
