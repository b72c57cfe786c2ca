"""Move, add and remove the bends of a joint."""

from __future__ import annotations

from typing import Final
from uuid import UUID

from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Thing
from leakmap.desk.tools.fields import Fields, Part, TakesFigures
from leakmap.desk.tools.handles import Handle, HandleTool
from leakmap.desk.tools.places import Spot, spot_at
from leakmap.desk.tools.tool import Grip, LiveField, Overlay, Pointer
from leakmap.geometry.path import Point
from leakmap.model.joint import Joint
from leakmap.work.catch import Aim
from leakmap.work.edits.bends import add_bend, move_bend, remove_bend
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.facts import move_point
from leakmap.work.typed import Entry

_X, _Y = 0, 1
_TO_NEXT: Final = ",;"


class BendPoints(TakesFigures, HandleTool[int]):
    """Bend points (B)."""

    name = "Bend points"
    key = "B"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.bend: int | None = None  # the bend picked
        self.touched = False  # whether a click of this tool has picked the joint
        self.fields = Fields(desk, Part(Entry.LEVEL, "x"), Part(Entry.LEVEL, "y"))

    # What is said and seen -------------------------------------------------------------------------

    @property
    def joint(self) -> Joint | None:
        """The joint whose bends are shown: the last one picked."""
        job = self.desk.job
        picked = [thing.key for thing in self.desk.picked if thing.sort is Sort.JOINT]
        key = picked[-1] if picked else None
        return job.joints.get(key) if job is not None and isinstance(key, UUID) else None

    def sentence(self) -> str:
        """What the next click does."""
        joint = self.joint
        if joint is None:
            return "Click the joint whose bends you want to move."
        if self.bend is not None:
            near, far = self.desk.units.nudge_words
            return f"Arrows move it {near}, Shift {far}; or type x, y and press Enter. Delete removes it."
        if joint.path is None:
            return f"Drag the square of {joint.ref}, or click it to pick it; it is a point and has no bends."
        return f"Drag a square of {joint.ref}, or click one to pick it. A click on the line adds a bend."

    def overlay(self) -> Overlay:
        """Open squares at the bends, and the position of the one in hand."""
        joint = self.joint
        if joint is None:
            return Overlay()
        return Overlay(grips=self.grips(self._in_hand), field=self._field(joint))

    def aim(self) -> Aim:
        """A bend in hand is not caught on its own joint."""
        joint = self.joint
        return Aim(without=frozenset({joint.id})) if joint is not None and self.held is not None else Aim()

    def handles(self) -> tuple[Handle[int], ...]:
        """One square for each corner, or one at a point."""
        joint = self.joint
        if joint is None or joint.sheet != self.desk.level:
            return ()
        return tuple(Handle(key=key, at=at, grip=Grip.BEND) for key, at in enumerate(_corners(joint)))

    @property
    def _in_hand(self) -> int | None:
        return self.held.key if self.held is not None else self.bend

    def _field(self, joint: Joint) -> LiveField | None:
        key = self._in_hand
        corners = _corners(joint)
        if key is None or key >= len(corners):
            return None
        x, y = corners[key]
        return self.fields.live((x, y), (self.desk.units.shown(x), self.desk.units.shown(y)))

    # What the hand does ----------------------------------------------------------------------------

    def dragged_to(self, handle: Handle[int], pointer: Pointer) -> Edit:
        """Move the bend to the hand."""
        return self._moved(handle.key, pointer.at)

    def handle_picked(self, handle: Handle[int]) -> None:
        """Pick the bend, for arrows and typed positions."""
        self.bend, self.touched = handle.key, True
        self.fields.clear()

    def handle_dropped(self, handle: Handle[int], edit: Edit) -> None:  # noqa: ARG002 - the deed is kept already
        """The bend dragged stays picked."""
        self.handle_picked(handle)

    def clicked(self, pointer: Pointer) -> None:
        """Pick a joint, or add a bend to the one picked here before."""
        joint, spot = self.joint, spot_at(self.kept, self.desk.level, pointer, self.joint.id if self.joint else None)
        self.bend = None
        self.fields.clear()
        if spot is None:
            self.desk.pick()
            self.touched = False
        elif joint is None or spot.joint.id != joint.id or not self.touched:
            self.desk.pick(Thing(Sort.JOINT, spot.joint.id))
            self.touched = True
        elif spot.joint.path is not None:
            self._add(spot)
        self.refresh()

    def nudging(self, across_m: float, up_m: float) -> bool:
        """Show the picked bend moved by an arrow key that is held."""
        at, bend = self._picked_at(), self.bend
        if at is None or bend is None:
            return False
        self.preview(lambda: self._moved(bend, _by(at, across_m, up_m)))
        self.refresh()
        return True

    def nudged(self, across_m: float, up_m: float) -> bool:
        """Move the picked bend by an arrow key."""
        at, bend = self._picked_at(), self.bend
        if at is None or bend is None:
            return False
        self.keep(lambda: self._moved(bend, _by(at, across_m, up_m)))
        self.refresh()
        return True

    def deleted(self) -> bool:
        """Remove the picked bend."""
        joint, bend = self.joint, self.bend
        if joint is None or bend is None:
            return False
        if self.keep(lambda: remove_bend(self.kept, joint=joint.id, bend=bend)) is not None:
            self.bend = None
        self.refresh()
        return True

    def typed(self, text: str) -> bool:
        """A typed position: a comma goes from x to y."""
        if self.bend is None:
            return False
        if text in _TO_NEXT and self.fields.active == _X and self.fields.texts[_X]:
            self.fields.next()
        elif not (text == " " and self.fields) and not self.fields.typed(text):
            return False
        self.refresh()
        return True

    def taking(self) -> bool:
        """Once a bend is picked."""
        return self.bend is not None

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Move the picked bend to the typed position; what is not typed stays."""
        at, bend = self._picked_at(), self.bend
        if at is None or bend is None:
            return False
        x, y = self.fields.figure(_X), self.fields.figure(_Y)
        if x is not None or y is not None:
            to = (at[0] if x is None else x, at[1] if y is None else y)
            self.keep(lambda: self._moved(bend, to))
        self.fields.clear()
        self.refresh()
        return True

    def escaped(self) -> bool:
        """Step back: the drag, what was typed, the bend, the joint."""
        if super().escaped():
            return True
        if self.fields:
            self.fields.clear()
        elif self.bend is not None:
            self.bend = None
        elif self.joint is not None and self.touched:
            self.touched = False
            self.desk.pick()
        else:
            return False
        self.refresh()
        return True

    def let_go(self) -> None:
        """Another level, another tool: no bend is picked."""
        self.bend, self.touched = None, False
        self.fields.clear()
        super().let_go()

    # Steps -----------------------------------------------------------------------------------------

    def _picked_at(self) -> Point | None:
        joint = self.joint and self.kept.joints.get(self.joint.id)
        corners = _corners(joint) if joint is not None else ()
        return corners[self.bend] if self.bend is not None and self.bend < len(corners) else None

    def _moved(self, bend: int, to: Point) -> Edit:
        assert self.joint is not None
        if self.joint.point is not None:
            return move_point(self.kept, joint=self.joint.id, to=to)
        return move_bend(self.kept, joint=self.joint.id, bend=bend, to=to)

    def _add(self, spot: Spot) -> None:
        joint = spot.joint
        assert joint.path is not None
        after = joint.path.piece_at(spot.at_m)
        at = joint.path.point_at(spot.at_m)
        if self.keep(lambda: add_bend(self.kept, joint=joint.id, after=after, at=at)) is not None:
            self.bend = after + 1


def _by(point: Point, across_m: float, up_m: float) -> Point:
    """A point moved, free of what adding leaves behind the ninth decimal."""
    return round(point[0] + across_m, 9), round(point[1] + up_m, 9)


def _corners(joint: Joint) -> tuple[Point, ...]:
    """Corners of a line, or the one point of an upright joint or a collar."""
    if joint.path is not None:
        return joint.path.points
    assert joint.point is not None
    return (joint.point,)
