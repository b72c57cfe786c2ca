"""Split a joint in two at a clicked place or a typed length."""

from __future__ import annotations

from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Thing
from leakmap.desk.tools.fields import Fields, Part, TakesFigures
from leakmap.desk.tools.handles import Gesture
from leakmap.desk.tools.places import REACH_PX, Spot, across_at, point_of, spot_at
from leakmap.desk.tools.tool import Overlay, OverlayLine, Pointer
from leakmap.work.catch import Aim
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.splits import split_joint
from leakmap.work.staffs import Height
from leakmap.work.typed import Entry

_FIRST, _SECOND = 0, 1


class Split(TakesFigures, Gesture):
    """Split (S)."""

    name = "Split"
    key = "S"
    along_joints = True

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.spot: Spot | None = None
        self.m_per_px = 0.01
        self.fields = Fields(desk, Part(Entry.LENGTH), Part(Entry.LENGTH))

    def sentence(self) -> str:
        """What the next click does."""
        if self.spot is None:
            return "Click the joint where it should be split."
        return f"Type either length of {self.spot.joint.ref} if it matters, then press Enter. Another click moves the place."

    def aim(self) -> Aim:
        """Only joints can be split."""
        return Aim(joints_only=True)

    def overlay(self) -> Overlay:
        """A bar across the joint with both lengths."""
        if self.spot is None:
            return Overlay()
        joint, at_m = self.spot.joint, self._at_m(self.spot)
        staffs = self.desk.staffs
        (x, y), (dx, dy) = point_of(joint, at_m, staffs), across_at(joint, at_m, staffs)
        half = REACH_PX * self.m_per_px
        bar = OverlayLine(points=((x - dx * half, y - dy * half), (x + dx * half, y + dy * half)))
        field = self.fields.live((x, y), (self.desk.units.shown(at_m), self.desk.units.shown(joint.length_m - at_m)))
        return Overlay(lines=(bar,), field=field, on=(Height(joint.id, at_m),))

    def pressed(self, pointer: Pointer) -> None:
        """Mark the place; nothing is split yet."""
        self.m_per_px = pointer.m_per_px
        chosen = self.spot.joint.id if self.spot else None
        spot = spot_at(self.kept, self.desk.level, pointer, chosen, self.desk.staffs)
        if spot is not None:
            self.spot = spot
            self.fields.clear()
            self.desk.pick(Thing(Sort.JOINT, spot.joint.id))
        self.refresh()

    def typed(self, text: str) -> bool:
        """A length of either part."""
        if self.spot is None or not self.fields.typed(text):
            return False
        self.fields.texts[1 - self.fields.active] = ""  # one length decides the other
        self.refresh()
        return True

    def taking(self) -> bool:
        """Once the joint is picked."""
        return self.spot is not None

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Split it."""
        spot = self.spot
        if spot is None:
            return False
        edit = self.keep(lambda: self._deed(spot))
        if edit is not None:
            self._step_back()
            self.desk.pick(*(Thing(Sort.JOINT, key) for key in edit.made if key in self.kept.joints))
        self.refresh()
        return True

    @property
    def half_done(self) -> bool:
        """Whether the place is clicked."""
        return self.spot is not None

    def escaped(self) -> bool:
        """Step back: first what was typed, then the place."""
        if self.spot is None:
            return False
        if self.fields:
            self.fields.clear()
        else:
            self._step_back()
        self.refresh()
        return True

    def let_go(self) -> None:
        """Nothing half-done stays."""
        self._step_back()
        super().let_go()

    def _step_back(self) -> None:
        self.spot = None
        self.fields.clear()

    def _at_m(self, spot: Spot) -> float:
        """The chainage: typed from the start, typed from the end, or clicked."""
        first, second = self.fields.figure(_FIRST), self.fields.figure(_SECOND)
        if first is not None:
            return first
        return spot.at_m if second is None else spot.joint.length_m - second

    def _deed(self, spot: Spot) -> Edit:
        return split_joint(self.kept, joint=spot.joint.id, at_m=self._at_m(spot))
