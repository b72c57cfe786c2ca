"""What keys do in stage Joints while no tool is in hand: the joints that are picked are changed or removed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final
from uuid import UUID

from leakmap.base.trade_words import in_trade_words
from leakmap.desk.things import Sort, Thing
from leakmap.desk.tools.handles import HandleTool
from leakmap.desk.tools.kinds import KINDS, after
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.words import Face, Kind, Side
from leakmap.work.edits.bends import shift_joint
from leakmap.work.edits.edit import Edit, together
from leakmap.work.edits.facts import set_dormant, set_face, set_kind, set_room_side
from leakmap.work.edits.joints import remove_joint
from leakmap.work.edits.redrawing import accept_joint
from leakmap.work.left_behind import joints_left_behind

FACE_KEY: Final = "7"
SIDE_KEY: Final = "8"
DORMANT_KEY: Final = "9"
ACCEPT_KEY: Final = "0"
_SIDES: Final = (None, Side.LEFT, Side.RIGHT)
_MAY_SLEEP: Final = frozenset({Kind.CONTRACTION, Kind.CRACK})


class JointAtRest(HandleTool[int]):
    """What the hand does in stage Joints with no tool: clicks pick, and what is picked can be changed."""

    def picked_joints(self) -> tuple[Joint, ...]:
        """Joints that are picked, as kept."""
        joints = self.kept.joints
        keys = [thing.key for thing in self.desk.picked if thing.sort is Sort.JOINT]
        return tuple(joints[key] for key in keys if isinstance(key, UUID) and key in joints)

    def sentence(self) -> str:
        """What can be done with the picked joints."""
        joints = self.picked_joints()
        if not joints:
            return ""
        names = joints[0].ref if len(joints) == 1 else f"{len(joints)} joints"
        more = f", {FACE_KEY} its face"
        if any(joint.face is Face.CORNER for joint in joints):
            more += f", {SIDE_KEY} the side of the room"
        if any(joint.kind in _MAY_SLEEP for joint in joints):
            more += f", {DORMANT_KEY} whether it is confirmed dormant"
        rename = "F2 its name and figures, " if len(joints) == 1 else ""
        if len(joints) == 1 and joints[0] in self._left_behind(joints[0]):
            return (
                f"{names} lay on a line that is gone: arrows move it, B its bends; {ACCEPT_KEY} says that it is right."
            )
        return f"{names}: 1 to 6 change the kind{more}; {rename}arrows move it, Delete removes it."

    def typed(self, text: str) -> bool:
        """A digit changes the picked joints."""
        joints = self.picked_joints()
        if text == ACCEPT_KEY and len(joints) == 1 and joints[0] in self._left_behind(joints[0]):
            self._accept(joints[0])
            return True
        if not joints or text not in {"1", "2", "3", "4", "5", "6", FACE_KEY, SIDE_KEY, DORMANT_KEY}:
            return False
        deed, words = self._change(text, joints)
        if joints := tuple(joint for joint in joints if text != DORMANT_KEY or joint.kind in _MAY_SLEEP):
            self._each(joints, deed, words)
        return True

    def deleted(self) -> bool:
        """Remove the picked joints, as one step."""
        joints = self.picked_joints()
        if not joints:
            return False
        self._each(joints, lambda job, joint: remove_joint(job, joint=joint.id), "remove")
        return True

    def nudging(self, across_m: float, up_m: float) -> bool:
        """Show the picked joints moved as a whole, with what lies on them."""
        joints = self.picked_joints()
        if joints:
            self.preview(lambda: self._moved(joints, across_m, up_m))
        return bool(joints)

    def nudged(self, across_m: float, up_m: float) -> bool:
        """Move the picked joints as a whole, as one step."""
        joints = self.picked_joints()
        if joints:
            self.keep(lambda: self._moved(joints, across_m, up_m))
        self.refresh()
        return bool(joints)

    def _left_behind(self, joint: Joint) -> tuple[Joint, ...]:
        """Joints that a new drawing of a joint's level left behind."""
        return joints_left_behind(self.kept, sheet=joint.sheet)

    def _accept(self, joint: Joint) -> None:
        """Leave a joint where it is, and go on to the next that was left behind."""
        behind = self._left_behind(joint)
        at = behind.index(joint)
        if self.keep(lambda: accept_joint(self.kept, joint=joint.id)) is None:
            return
        still = {each.id for each in self._left_behind(joint)}
        following = next((each for each in (*behind[at + 1 :], *behind[:at]) if each.id in still), None)
        if following is None:
            self.desk.said.emit(f"{joint.ref} was the last joint that the new drawing left behind.")
        else:
            self.desk.pick(Thing(Sort.JOINT, following.id))
            self.desk.look_at.emit(Thing(Sort.JOINT, following.id))
        self.refresh()

    def _moved(self, joints: tuple[Joint, ...], across_m: float, up_m: float) -> Edit:
        return self._together(
            joints, lambda job, joint: shift_joint(job, joint=joint.id, across_m=across_m, up_m=up_m), "move"
        )

    def _change(self, key: str, joints: tuple[Joint, ...]) -> tuple[Callable[[Job, Joint], Edit], str]:
        """What a digit does with each joint; the first joint decides what comes next."""
        first = joints[0]
        if key == FACE_KEY:
            face = after(tuple(Face), first.face)
            return lambda job, joint: set_face(job, joint=joint.id, face=face), "set face of"
        if key == SIDE_KEY:
            side = after(_SIDES, first.room_side)
            return lambda job, joint: set_room_side(job, joint=joint.id, room_side=side), "set room side of"
        if key == DORMANT_KEY:
            dormant = not next((joint.dormant for joint in joints if joint.kind in _MAY_SLEEP), True)
            return lambda job, joint: set_dormant(job, joint=joint.id, dormant=dormant), "set dormant of"
        kind = KINDS[int(key) - 1]
        return lambda job, joint: set_kind(job, joint=joint.id, kind=kind), "set kind of"

    def _each(self, joints: tuple[Joint, ...], deed: Callable[[Job, Joint], Edit], words: str) -> None:
        edit = self.keep(lambda: self._together(joints, deed, words))
        if edit is not None:
            self._say(joints, edit.job)
        self.refresh()

    def _together(self, joints: tuple[Joint, ...], deed: Callable[[Job, Joint], Edit], words: str) -> Edit:
        job, edits = self.kept, []
        for joint in joints:
            edits.append(deed(job, job.joints[joint.id]))
            job = edits[-1].job
        return together(edits, words=f"{words} {' and '.join(joint.ref for joint in joints)}")

    def _say(self, joints: tuple[Joint, ...], job: Job) -> None:
        """Say what cannot be seen on the plan: face, room side, dormant."""
        for old in joints:
            new = job.joints.get(old.id)
            if new is None:
                continue
            if new.face is not old.face:
                face = in_trade_words(job.units, new.face)
                self.desk.said.emit(f"{new.ref} is repaired on the {face} now.")
            if new.room_side is not old.room_side and new.face is Face.CORNER:
                side = f"on the {new.room_side} of {new.ref}, looking the way it was drawn" if new.room_side else ""
                self.desk.said.emit(
                    f"The room lies {side}." if side else f"The side of the room at {new.ref} is not known."
                )
            if new.dormant is not old.dormant:
                still = "confirmed not to move" if new.dormant else "not confirmed to be dormant"
                self.desk.said.emit(f"{new.ref} is {still}.")
