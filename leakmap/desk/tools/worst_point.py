"""The worst point of a leak: where the flow is highest, and so where its relief point starts."""

from __future__ import annotations

from uuid import UUID

from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Thing
from leakmap.desk.tools.fields import Fields, Part, TakesFigures
from leakmap.desk.tools.handles import Gesture
from leakmap.desk.tools.places import hand_m, is_upright, leak_at, line_of, point_of, spot_on_staff, tidy_m
from leakmap.desk.tools.tool import Grip, Overlay, OverlayGrip, Pointer
from leakmap.model.faults import in_stretch
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.printed import printed
from leakmap.work.catch import Aim
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.leaks import set_worst_point
from leakmap.work.hits import Target
from leakmap.work.staffs import Height
from leakmap.work.typed import Entry


class WorstPoint(TakesFigures, Gesture):
    """Says where a leak is worst: a click on the leak, then a click on the place, or its chainage typed.

    A leak that is picked when it is taken can be typed about at once; a first click still chooses the leak alone.
    """

    name = "Worst point"
    key = "W"
    along_joints = True

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._leak: UUID | None = None
        self._at_m = 0.0
        self._from_pick = False  # the leak was picked before, and no click has chosen it
        self.fields = Fields(desk, Part(Entry.LENGTH))

    def taken(self) -> None:
        """Begin with the leak that is picked."""
        super().taken()
        keys = [thing.key for thing in self.desk.picked if thing.sort is Sort.LEAK]
        leaks = [leak for leak in self.kept.leaks.values() if leak.id in keys]
        if len(leaks) == 1:
            leak = leaks[0]
            self._leak, self._from_pick = leak.id, True
            self._at_m = leak.from_m if leak.worst_m is None else leak.worst_m

    def sentence(self) -> str:
        """What the next click does."""
        leak = self._chosen()
        if leak is None:
            return "Click the leak whose worst point you know."
        joint = self.kept.joints[leak.joint]
        where = "the place" if line_of(joint, self.desk.staffs) is not None else "its height"
        if self._from_pick:
            unit = "height" if joint.vertical else "chainage"
            return f"Type the {unit} where {leak.ref} flows most and press Enter, or click a leak; Delete forgets it."
        return f"Click {where} on {leak.ref} where the flow is highest, or type it and press Enter; Delete forgets it."

    def overlay(self) -> Overlay:
        """A ring where the worst point would be, with its chainage."""
        leak = self._chosen()
        if leak is None:
            return Overlay()
        joint = self.kept.joints[leak.joint]
        at = point_of(joint, self._at_m, self.desk.staffs)
        unit = self.desk.units.before("up" if joint.vertical else f"along {joint.ref}")
        field = self.fields.live(at, (self.desk.units.shown(self._at_m),), (unit,))
        return Overlay(grips=(OverlayGrip(at=at, grip=Grip.RELIEF, on=Height(joint.id, self._at_m)),), field=field)

    def aim(self) -> Aim:
        """Leaks lie on joints."""
        return Aim(joints_only=True)

    def points_at(self) -> tuple[Target, ...]:
        """The leak that would be chosen."""
        return () if self._leak is not None else (Target.LEAK,)

    def moved(self, pointer: Pointer) -> None:
        """Show the place under the hand."""
        leak = self._chosen()
        if leak is None or self._from_pick or self.fields:
            return
        self._at_m = self._place(leak, pointer)
        self._show()

    def pressed(self, pointer: Pointer) -> None:
        """Choose the leak, then the place on it."""
        leak = self._chosen()
        found = leak_at(self.desk, pointer)
        if leak is None or self._from_pick or (found is not None and found.id != leak.id):
            self._choose(found, pointer)
        elif not pointer.double or found is not None:
            self._at_m = self._place(leak, pointer)
            self._finish()
        self.refresh()

    def taking(self) -> bool:
        """Once a leak is chosen."""
        return self._chosen() is not None

    def figures_changed(self) -> None:
        """What is typed is the chainage."""
        typed_m = self.fields.figure(0)
        self._at_m = self._at_m if typed_m is None else typed_m
        self._show()

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Keep the place."""
        if self._chosen() is None:
            return False
        self._finish()
        self.refresh()
        return True

    def deleted(self) -> bool:
        """Forget the worst point of the leak: nobody knows it."""
        leak = self._chosen()
        if leak is None:
            return False
        self._leak = None
        self.fields.clear()
        self.keep(lambda: set_worst_point(self.kept, leak=leak.id, worst_m=None))
        self.refresh()
        return True

    def escaped(self) -> bool:
        """Step back to choosing the leak."""
        if self._leak is None:
            return False
        self._leak = None
        self.fields.clear()
        self.desk.show(None)
        self.refresh()
        return True

    def let_go(self) -> None:
        """Nothing half-done stays."""
        self._leak = None
        self.fields.clear()
        super().let_go()

    def _chosen(self) -> Leak | None:
        return None if self._leak is None else self.kept.leaks.get(self._leak)

    def _choose(self, leak: Leak | None, pointer: Pointer) -> None:
        self.fields.clear()
        self._from_pick = False
        self._leak = None if leak is None else leak.id
        if leak is None:
            self.desk.show(None)
            self.hint("There is no leak here.")
            return
        self.desk.pick(Thing(Sort.LEAK, leak.id))
        self._at_m = self._place(leak, pointer)
        self._show()

    def _place(self, leak: Leak, pointer: Pointer) -> float:
        """The place of a leak nearest to the hand; on an upright joint, off its staff, its worst point as it is."""
        joint = self.kept.joints[leak.joint]
        if is_upright(joint):
            spot = spot_on_staff(self.kept, self.desk.staffs, pointer)
            if spot is None or spot.joint.id != joint.id:
                return leak.from_m if leak.worst_m is None else leak.worst_m
            return _nearest(joint, leak, spot.at_m)
        return _nearest(joint, leak, tidy_m(joint, hand_m(joint, pointer), pointer))

    def _deed(self) -> Edit:
        assert self._leak is not None
        return set_worst_point(self.kept, leak=self._leak, worst_m=self._at_m)

    def _show(self) -> None:
        self.preview(self._deed)
        self.refresh()

    def _finish(self) -> None:
        leak = self._chosen()
        edit = self.keep(self._deed)
        if edit is not None and leak is not None:
            joint = self.kept.joints[leak.joint]
            self.desk.said.emit(
                f"The worst point of {leak.ref} is at {printed(self.kept, joint, self._at_m)} of {joint.ref}."
            )
            self._leak = None
        self.fields.clear()


def _nearest(joint: Joint, leak: Leak, at_m: float) -> float:
    """The place of a leak nearest to a chainage of its joint."""
    if in_stretch(joint, leak.from_m, leak.to_m, at_m):
        return at_m

    def away(end_m: float) -> float:
        off = abs(end_m - at_m)
        return min(off, joint.length_m - off) if joint.closed else off

    return min((leak.from_m, leak.to_m), key=away)
