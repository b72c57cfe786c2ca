"""Relief points: dragged along the wet part, added, dropped, and given back to the rule.

A ring is dragged like any handle. Delete drops one that the rules made, and gives one that a person set
back to the rules. A click on a wet leak shows a new one; a second click there, or Enter, keeps it. Where
one was dropped, that click takes the dropping back.
"""

from __future__ import annotations

from dataclasses import replace

from leakmap.desk.state import Desk
from leakmap.desk.tools.handles import Handle, HandleTool
from leakmap.desk.tools.places import (
    REACH_PX,
    Spot,
    hand_m,
    is_upright,
    leak_at,
    line_of,
    on_level,
    point_of,
    spot_on_staff,
    tidy_m,
)
from leakmap.desk.tools.tool import Grip, LiveField, Overlay, OverlayGrip, Pointer
from leakmap.geometry.tolerance import TIE_M
from leakmap.model.faults import in_stretch
from leakmap.model.leak import ReliefPoint
from leakmap.model.printed import chainage_m, printed
from leakmap.model.words import Wetness
from leakmap.repair.results import Relief
from leakmap.work.catch import Aim
from leakmap.work.edits.edit import Edit, joint_of, refused
from leakmap.work.edits.marks import drop_relief_point, give_relief_back, move_relief_point, set_relief_point
from leakmap.work.hits import Target
from leakmap.work.staffs import Height


class ReliefTool(HandleTool[Relief]):
    """Moves, adds and drops relief points."""

    name = "Relief point"
    key = "R"
    along_joints = True

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._ring: Relief | None = None
        self._new: Spot | None = None

    def aim(self) -> Aim:
        """Relief points lie on joints."""
        return Aim(joints_only=True)

    def sentence(self) -> str:
        """What the next click does."""
        if self._new is not None:
            place = f"{printed(self.kept, self._new.joint, self._new.at_m)} of {self._new.joint.ref}"
            back = self._dropped_at(self._new) is not None
            what = "give the dropped relief point back" if back else f"let the water out at {place}"
            return f"Click again or press Enter to {what}; Esc leaves it."
        if self.ring is not None:
            what = "give it back to the rules" if self.ring.by_hand else "drop it"
            return f"Drag the ring along the wet part, or press Delete to {what}."
        return "Drag a ring along the wet part, click a ring to pick it, or click a wet leak to add one."

    @property
    def ring(self) -> Relief | None:
        """The relief point that is picked; None when it is no longer there."""
        return self._ring if self._ring in [handle.key for handle in self.handles()] else None

    def handles(self) -> tuple[Handle[Relief], ...]:
        """A ring at each relief point on this level; those on neither a line nor a staff are on the tape alone."""
        if self.desk.open_job is None:
            return ()
        staffs = self.desk.staffs
        here = {joint.id for joint in on_level(self.kept, self.desk.level)}
        return tuple(
            Handle(
                key=relief,
                at=point_of(self.kept.joints[relief.joint], relief.at_m, staffs),
                grip=Grip.RELIEF,
                fine=relief.joint in staffs,
                on=Height(relief.joint, relief.at_m),
                seen=line_of(self.kept.joints[relief.joint], staffs) is not None,
            )
            for zone in self.kept_repairs.zones
            for relief in zone.relief
            if relief.joint in here
        )

    def points_at(self) -> tuple[Target, ...]:
        """The leak that would be let out."""
        return () if self._new is not None else (Target.LEAK,)

    def overlay(self) -> Overlay:
        """Every ring, the one in hand where it would be, and its chainage."""
        held = self.held is not None and self.held.key.joint in self.kept.joints
        if held and self.held is not None and self.dragging and self.pointer is not None:
            at_m = self._place(self.held.key, self.pointer)
            return self._shown(Spot(self.kept.joints[self.held.key.joint], at_m))
        if self._new is not None:
            return self._shown(self._new)
        return Overlay(grips=self.grips(self.ring))

    def _shown(self, spot: Spot) -> Overlay:
        at = point_of(spot.joint, spot.at_m, self.desk.staffs)
        units = self.kept.units
        place = units.measured(chainage_m(self.kept, spot.joint, spot.at_m))
        field = LiveField(at=at, texts=(place,), units=(units.before(f"of {spot.joint.ref}"),))
        return Overlay(
            grips=(OverlayGrip(at=at, grip=Grip.RELIEF, picked=True, on=Height(spot.joint.id, spot.at_m)),), field=field
        )

    def dragged_to(self, handle: Handle[Relief], pointer: Pointer) -> Edit:
        """Move a relief point; one that the rules made is set by hand from now on."""
        relief, at_m = handle.key, self._place(handle.key, pointer)
        stored = self._stored(relief)
        if stored is not None:
            return move_relief_point(self.kept, relief=stored.id, at_m=at_m)
        edit = set_relief_point(self.kept, joint=relief.joint, at_m=at_m)
        return replace(edit, words=f"move relief point of {self.kept.joints[relief.joint].ref}")

    def handle_picked(self, handle: Handle[Relief]) -> None:
        """Pick a ring."""
        self._ring, self._new = handle.key, None
        self.desk.show(None)

    def handle_dropped(self, handle: Handle[Relief], edit: Edit) -> None:  # noqa: ARG002 - the base tool's argument
        """The ring that was dragged stays picked."""
        at_m = self._place(handle.key, self.pointer) if self.pointer is not None else handle.key.at_m
        same = [other.key for other in self.handles() if other.key.joint == handle.key.joint]
        self._ring = min(same, key=lambda relief: abs(relief.at_m - at_m), default=None)

    def clicked(self, pointer: Pointer) -> None:
        """Show a relief point on the leak under the hand, or keep the one shown."""
        self._ring = None
        spot = self._wet_spot(pointer)
        if spot is None:
            self._new = None
            self.desk.show(None)
            self.hint("There is no wet leak here; a relief point needs one.")
        elif self._new is not None and self._same(spot, self._new, pointer):
            self._finish()
        else:
            self._new = spot
            self.preview(lambda: self._deed(spot))
        self.refresh()

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Keep the relief point that is shown."""
        if self._new is None:
            return False
        self._finish()
        self.refresh()
        return True

    def deleted(self) -> bool:
        """Drop the picked ring; one that was set by hand goes back to the rules."""
        ring = self.ring
        if ring is None:
            return False
        self._ring = None
        self.keep(lambda: self._without(ring))
        self.refresh()
        return True

    def escaped(self) -> bool:
        """Step back: the ring in hand, the one shown, the one picked."""
        if super().escaped():
            return True
        if self._new is None and self.ring is None:
            return False
        self._new, self._ring = None, None
        self.desk.show(None)
        self.refresh()
        return True

    def let_go(self) -> None:
        """Nothing half-done stays."""
        self._new, self._ring = None, None
        super().let_go()

    def _place(self, relief: Relief, pointer: Pointer) -> float:
        joint = joint_of(self.kept, relief.joint)
        return tidy_m(joint, hand_m(joint, pointer, self.desk.staffs), pointer)

    def _wet_spot(self, pointer: Pointer) -> Spot | None:
        leak = leak_at(self.desk, pointer)
        if leak is None or leak.wetness is Wetness.SUSPECT:
            return None
        joint = self.kept.joints[leak.joint]
        on_staff = spot_on_staff(self.kept, self.desk.staffs, pointer)
        if is_upright(joint) and on_staff is None:
            return Spot(joint, leak.from_m)
        at_m = tidy_m(joint, hand_m(joint, pointer), pointer) if on_staff is None else on_staff.at_m
        if not in_stretch(joint, leak.from_m, leak.to_m, at_m):
            at_m = min((leak.from_m, leak.to_m), key=lambda end: abs(end - at_m))
        return Spot(joint, at_m)

    def _same(self, spot: Spot, other: Spot, pointer: Pointer) -> bool:
        staff = self.desk.staffs.get(spot.joint.id) if pointer.on is None else None
        reach_m = REACH_PX * pointer.m_per_px / (staff.share if staff is not None else 1.0)
        return spot.joint.id == other.joint.id and abs(spot.at_m - other.at_m) <= reach_m

    def _deed(self, spot: Spot) -> Edit:
        back = self._dropped_at(spot)
        if back is not None:
            return give_relief_back(self.kept, relief=back.id)
        return set_relief_point(self.kept, joint=spot.joint.id, at_m=spot.at_m)

    def _dropped_at(self, spot: Spot) -> ReliefPoint | None:
        """The dropping that lies on a leak at a place."""
        leaks = [
            leak
            for leak in self.kept.leaks.values()
            if leak.joint == spot.joint.id and in_stretch(spot.joint, leak.from_m, leak.to_m, spot.at_m)
        ]
        return next(
            (
                point
                for point in self.kept.reliefs.values()
                if point.dropped and point.joint == spot.joint.id
                if any(in_stretch(spot.joint, leak.from_m, leak.to_m, point.at_m) for leak in leaks)
            ),
            None,
        )

    def _finish(self) -> None:
        spot = self._new
        assert spot is not None
        self._new = None
        self.keep(lambda: self._deed(spot))

    def _stored(self, relief: Relief) -> ReliefPoint | None:
        """The point set by hand that a relief point comes from."""
        if not relief.by_hand:
            return None
        own = [point for point in self.kept.reliefs.values() if point.joint == relief.joint and not point.dropped]
        return min(own, key=lambda point: abs(point.at_m - relief.at_m), default=None)

    def _without(self, relief: Relief) -> Edit:
        if not relief.by_hand:
            return drop_relief_point(self.kept, joint=relief.joint, at_m=self._wet_near(relief))
        stored = self._stored(relief)
        if stored is None:
            raise refused("This relief point is not in the job any more.")
        return give_relief_back(self.kept, relief=stored.id)

    def _wet_near(self, relief: Relief) -> float:
        """A place of the relief point's leak: a hidden stretch may have moved the point by a hair."""
        joint = self.kept.joints[relief.joint]
        leaks = [leak for leak in self.kept.leaks.values() if leak.joint == joint.id and leak.wetness > Wetness.SUSPECT]
        if any(in_stretch(joint, leak.from_m, leak.to_m, relief.at_m) for leak in leaks):
            return relief.at_m
        ends = [end for leak in leaks for end in (leak.from_m, leak.to_m)]
        near = min(ends, key=lambda end: abs(end - relief.at_m), default=relief.at_m)
        return near if abs(near - relief.at_m) <= TIE_M else relief.at_m
