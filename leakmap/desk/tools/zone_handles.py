"""The ends of the picked zone as handles: dragged, or nudged by arrow keys.

An end is the place where a zone stops on one joint; the overrun of one side of one leak decides it. A drag
follows the network: through junctions into joints that meet, and up and down the staffs of vertical ones.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Thing
from leakmap.desk.tools.handles import Handle, HandleTool, end_sentence
from leakmap.desk.tools.leak_handles import along_by
from leakmap.desk.tools.places import (
    Spot,
    across_at,
    hand_m,
    line_of,
    on_level,
    point_of,
    spot_at,
)
from leakmap.desk.tools.tool import Grip, LiveField, Overlay, OverlayGrip, Pointer
from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.repair.results import End, Repairs, Zone
from leakmap.work.catch import Aim
from leakmap.work.edits.edit import Edit, joint_of, refused, together
from leakmap.work.edits.ends import EndSide, drag_end, side_of_end
from leakmap.work.edits.leaks import set_overrun
from leakmap.work.staffs import Height

_DECIMALS: Final = 2
"""Decimals of a dragged overrun: centimetres."""

_STEP_M: Final = 0.01


def zone_of_number(repairs: Repairs, number: object) -> Zone | None:
    """The zone of a number."""
    return next((zone for zone in repairs.zones if zone.number == number), None)


def zone_of_leak(repairs: Repairs, leak: object) -> Zone | None:
    """The zone that a leak lies in."""
    return next((zone for zone in repairs.zones for piece in zone.pieces if leak in piece.leaks), None)


class ZoneHandles(HandleTool[End]):
    """A tool with handles at the ends of the picked zone."""

    along_joints = True

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._end: End | None = None
        self._goal: Spot | None = None  # where the end in hand was last dragged to

    def aim(self) -> Aim:
        """Zones end on joints."""
        return Aim(joints_only=True)

    @property
    def end(self) -> End | None:
        """The end that is picked, to be typed at; None when it is no longer there."""
        return self._end if self._end in self.ends() else None

    def picked_zone(self) -> Zone | None:
        """The zone that was picked last, as kept."""
        numbers = [thing.key for thing in self.desk.picked if thing.sort is Sort.ZONE]
        return zone_of_number(self.kept_repairs, numbers[-1]) if numbers else None

    def ends(self) -> tuple[End, ...]:
        """Ends of the picked zone on this level that an overrun decides."""
        zone = self.picked_zone()
        here = {joint.id for joint in on_level(self.kept, self.desk.level)}
        return () if zone is None else tuple(end for end in zone.ends if end.owner is not None and end.joint in here)

    def handles(self) -> tuple[Handle[End], ...]:
        """A bar across each end; those on neither a line nor a staff are on the tape alone."""
        if self.desk.open_job is None:
            return ()
        staffs = self.desk.staffs
        return tuple(
            Handle(
                key=end,
                at=point_of(joint, end.at_m, staffs),
                across=across_at(joint, end.at_m, staffs),
                beside=joint.vertical,
                fine=joint.vertical,
                on=Height(joint.id, end.at_m),
                seen=line_of(joint, staffs) is not None,
            )
            for end in self.ends()
            for joint in (self.kept.joints[end.joint],)
        )

    def pressed(self, pointer: Pointer) -> None:
        """A drag starts on the joint of its end."""
        self._goal = None
        super().pressed(pointer)

    def goal(self, end: End, pointer: Pointer) -> Spot:
        """Where a drag leads: the joint that it was on, while the hand stays near, else another one under the hand."""
        job, staffs = self.kept, self.desk.staffs
        here = joint_of(job, end.joint if self._goal is None else self._goal.joint.id)
        spot = spot_at(job, self.desk.level, pointer, here.id, staffs)
        if spot is None or (spot.joint.id == here.id and not here.vertical):
            spot = Spot(here, hand_m(here, pointer, staffs))
        self._goal = spot
        return spot

    def in_hand(self) -> End | None:
        """The end that is dragged, nudged or typed at; None while the job is shown as it is kept."""
        if self.dragging and self.held is not None:
            return self.held.key
        return self.end if self.desk.dragging else None

    def dragged_to(self, handle: Handle[End], pointer: Pointer) -> Edit:
        """Move an end; the overrun comes out in whole centimetres."""
        end, zone = handle.key, self.picked_zone()
        if zone is None:
            raise refused("This zone is not there any more.")
        goal = self.goal(end, pointer)
        if goal.joint.id == end.joint:
            return self._along(end, zone, goal.joint, goal.at_m)
        edit = drag_end(self.kept, end=end, on=goal.joint.id, to_m=goal.at_m, step_m=_STEP_M, network=self.network)
        return replace(edit, words=f"move end of {zone.ref}", said=edit.said if len(edit.said) > 1 else ())

    def _along(self, end: End, zone: Zone, joint: Joint, at_m: float) -> Edit:
        """Move an end along its own joint."""
        side = side_of_end(self.kept, end=end, network=self.network)
        if side is not None and not joint.closed:
            out = 1.0 if end.up else -1.0
            overrun_m = max(round(side.overrun_m + (at_m - end.at_m) * out, _DECIMALS), 0.0)
            at_m = min(max(end.at_m + (overrun_m - side.overrun_m) * out, 0.0), joint.length_m)
            if overrun_m > side.overrun_m:
                edit = set_overrun(self.kept, leak=side.leak, end=side.end, overrun_m=overrun_m)
                return replace(edit, words=f"move end of {zone.ref}")
        edit = drag_end(self.kept, end=end, to_m=at_m, network=self.network)
        several = edit.said if len(edit.said) > 1 else ()  # one is in the live field already
        return replace(edit, words=f"move end of {zone.ref}", said=several)

    def handle_picked(self, handle: Handle[End]) -> None:
        """Pick an end, so that its overrun can be typed."""
        self._end = handle.key

    def handle_dropped(self, handle: Handle[End], edit: Edit) -> None:  # noqa: ARG002 - the base tool's argument
        """The dragged end stays picked, whatever the zone is called now."""
        end = handle.key
        self.follow(end, self._goal)

    def nudging(self, across_m: float, up_m: float) -> bool:
        """Show the picked end moved along its joint by an arrow key that is held."""
        deed = self._nudge(across_m, up_m)
        if deed is not None:
            self.preview(deed)
            self.refresh()
        elif self.end is not None:
            ref = self.kept.joints[self.end.joint].ref
            self.hint(f"This end moves along {ref} only; press an arrow that points along it.")
        return self.end is not None

    def nudged(self, across_m: float, up_m: float) -> bool:
        """Move the picked end along its joint, as one step."""
        end, deed = self.end, self._nudge(across_m, up_m)
        if end is not None and deed is not None:
            if self.keep(deed) is not None:
                self.follow(end)
            self.refresh()
        return end is not None

    def _nudge(self, across_m: float, up_m: float) -> Callable[[], Edit] | None:
        """The deed of an arrow key; None where no end is picked, or it points square to the joint."""
        end, zone = self.end, self.picked_zone()
        if end is None or zone is None:
            return None
        joint = self.kept.joints[end.joint]
        by_m = along_by(joint, end.at_m, across_m, up_m)
        if not by_m:
            return None
        to_m = end.at_m + by_m
        return lambda: self._along(end, zone, joint, to_m if joint.closed else min(max(to_m, 0.0), joint.length_m))

    def follow(self, end: End, goal: Spot | None = None) -> None:
        """Pick the zone that holds an end's leak after a deed, and the end nearest to where it was or was dragged."""
        zone = zone_of_leak(self.kept_repairs, end.owner)
        self._end = None
        if zone is None:
            return
        self.desk.pick(Thing(Sort.ZONE, zone.number))
        self._end = _end_at(zone, end, goal)

    def deleted(self) -> bool:
        """Give the picked end back to the rule."""
        end, zone = self.end, self.picked_zone()
        if end is None or zone is None:
            return False
        words = f"give overrun of {zone.ref} back to the rule"
        if self.keep(lambda: self.set_at(self.kept, (end,), None, words)) is not None:
            self.follow(end)
        self.refresh()
        return True

    def set_at(self, job: Job, ends: tuple[End, ...], overrun_m: float | None, words: str) -> Edit:
        """The deed that sets the overrun at some ends; None gives them back to the rule.

        Raises:
            EditRefused: No overrun decides them, or it is negative.
        """
        sides = [side for end in ends if (side := side_of_end(job, end=end, network=self.network)) is not None]
        if not sides:
            raise refused("No overrun decides this end of the zone, so none can be set.")
        edits: list[Edit] = []
        for leak, end in dict.fromkeys((side.leak, side.end) for side in sides):
            edits.append(set_overrun(job, leak=leak, end=end, overrun_m=overrun_m))
            job = edits[-1].job
        return together(edits, words=words)

    def shown_grips(self) -> tuple[OverlayGrip, ...]:
        """Handles, and while one is moved the ends as they would be."""
        moved, staffs = self.in_hand(), self.desk.staffs
        if moved is None or self.desk.repairs is None:
            return self.grips(self.end)
        zone = zone_of_leak(self.desk.repairs, moved.owner)
        in_hand = None if zone is None else _end_at(zone, moved, self._goal if self.dragging else None)
        return tuple(
            OverlayGrip(
                at=point_of(joint, end.at_m, staffs),
                grip=Grip.END,
                across=across_at(joint, end.at_m, staffs),
                beside=joint.vertical,
                picked=end == in_hand,
                on=Height(joint.id, end.at_m),
                seen=line_of(joint, staffs) is not None,
            )
            for end in (zone.ends if zone is not None else ())
            if end.owner is not None
            for joint in (self.kept.joints[end.joint],)
        )

    def moved_field(self) -> LiveField | None:
        """The overrun at the end that is dragged or nudged."""
        end = self.in_hand()
        side = self.side_at(end) if end is not None else None
        if end is None or side is None or self.desk.job is None:
            return None
        leak = self.desk.job.leaks[side.leak]
        shown = leak.overrun_from_m if side.end == "from" else leak.overrun_to_m
        overrun_m = side.overrun_m if shown is None else shown
        at = self.pointer.at if self.dragging and self.pointer is not None else self.place_of(end)
        return LiveField(
            at=at, texts=(self.desk.units.shown(overrun_m),), units=(self.desk.units.before(f"past {leak.ref}"),)
        )

    def place_of(self, end: End) -> Point:
        """Where an end lies on the plan."""
        return point_of(self.kept.joints[end.joint], end.at_m, self.desk.staffs)

    def side_at(self, end: End) -> EndSide | None:
        """The end of a leak whose overrun decides an end."""
        return side_of_end(self.kept, end=end, network=self.network)


def _end_at(zone: Zone, end: End, goal: Spot | None) -> End | None:
    """The end of a zone that an end became: the nearest to where it was dragged on another joint, or to where it was."""
    owned = [other for other in zone.ends if other.owner is not None]
    if goal is None or goal.joint.id == end.joint:
        near = [
            (abs(other.at_m - end.at_m), other) for other in owned if (other.joint, other.up) == (end.joint, end.up)
        ]
    else:
        near = [(abs(other.at_m - goal.at_m), other) for other in owned if other.joint == goal.joint.id]
    return min(near, key=lambda found: found[0], default=(0.0, None))[1]


class ZoneAtRest(ZoneHandles):
    """What the hand does in stage Repair with no tool: clicks pick, and ends of the picked zone can be dragged."""

    def sentence(self) -> str:
        """What can be done with the picked zone."""
        if self.end is not None:
            return end_sentence(self.desk.units)
        if self.picked_zone() is not None:
            return "Drag an end of the band, or press O to type its overrun and M for its method."
        return "Click a band to pick its zone."

    def overlay(self) -> Overlay:
        """Handles of the picked zone."""
        return Overlay(grips=self.shown_grips(), field=self.moved_field())

    def clicked(self, pointer: Pointer) -> None:  # noqa: ARG002 - wherever it is
        """A click beside the handles means no end."""
        self._end = None

    def escaped(self) -> bool:
        """Let go of what is dragged, then of the end that is picked."""
        if super().escaped():
            return True
        had, self._end = self.end, None
        self.refresh()
        return had is not None
