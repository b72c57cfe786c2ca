"""What is picked in stage Leaks: handles at its ends, and keys that change it.

With no tool in hand 0 to 5 change how wet the picked leaks are, arrows move them along their joints, or one
end that was clicked, and Delete removes them.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final
from uuid import UUID

from leakmap.desk.state import Desk
from leakmap.desk.tools.handles import Handle, HandleTool, end_sentence
from leakmap.desk.tools.places import across_at, hand_m, is_upright, line_of, on_level, point_of, tidy_m
from leakmap.desk.tools.tool import Choice, LiveField, Overlay, Pointer
from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.words import Wetness
from leakmap.work.catch import Aim
from leakmap.work.edits.edit import Edit, leak_of, together
from leakmap.work.edits.leaks import LeakEnd, move_leak_ends, remove_leak, set_wetness, shift_leak
from leakmap.work.edits.places import stretch_length_m
from leakmap.work.staffs import Height


def wetness_choices(chosen: Wetness | None, take: Callable[[Wetness], None]) -> tuple[Choice, ...]:
    """The row of wetness cells."""
    return tuple(
        Choice(
            key=str(wetness.value),
            words=f"{wetness.value} {wetness.word}",
            sign=f"wetness-{wetness.value}",
            chosen=wetness is chosen,
            take=lambda wetness=wetness: take(wetness),  # type: ignore[misc] # a default keeps the value of each turn
        )
        for wetness in Wetness
    )


def wetness_of(text: str) -> Wetness | None:
    """The wetness that a digit stands for.

    >>> wetness_of("3"), wetness_of("7")
    (<Wetness.DRIP: 3>, None)
    """
    return Wetness(int(text)) if len(text) == 1 and text in "012345" else None


LeakEndKey = tuple[UUID, LeakEnd]

_SQUARE: Final = 0.38
"""Cosine below which an arrow points square to a joint: 67.5°, so that on a slant both pairs of arrows move."""


class LeakHandles(HandleTool[LeakEndKey]):
    """A tool with handles at the ends of the picked leaks."""

    def aim(self) -> Aim:
        """Leaks lie on joints."""
        return Aim(joints_only=True)

    def picked_leaks(self) -> tuple[Leak, ...]:
        """Leaks that are picked and on this level."""
        job = self.desk.job
        if job is None:
            return ()
        here = {joint.id for joint in on_level(job, self.desk.level)}
        leaks = [
            job.leaks[thing.key] for thing in self.desk.picked if isinstance(thing.key, UUID) and thing.key in job.leaks
        ]
        return tuple(leak for leak in leaks if leak.joint in here)

    def handles(self) -> tuple[Handle[LeakEndKey], ...]:
        """Both ends of each picked leak; those on neither a line nor a staff are on the tape alone."""
        job, staffs = self.desk.job, self.desk.staffs
        if job is None:
            return ()
        return tuple(
            Handle(
                key=(leak.id, end),
                at=point_of(joint, at_m, staffs),
                across=across_at(joint, at_m, staffs),
                beside=joint.vertical,
                fine=joint.vertical,
                on=Height(joint.id, at_m),
                seen=line_of(joint, staffs) is not None,
            )
            for leak in self.picked_leaks()
            for joint in (job.joints[leak.joint],)
            for end, at_m in ((LeakEnd.FROM, leak.from_m), (LeakEnd.TO, leak.to_m))
        )

    def dragged_to(self, handle: Handle[LeakEndKey], pointer: Pointer) -> Edit:
        """Move an end of a leak; dragged past its other end, it becomes that."""
        key, end = handle.key
        leak = leak_of(self.kept, key)
        joint = self.kept.joints[leak.joint]
        at_m = tidy_m(joint, hand_m(joint, pointer, self.desk.staffs), pointer)
        from_m, to_m = (at_m, leak.to_m) if end is LeakEnd.FROM else (leak.from_m, at_m)
        if from_m > to_m and not joint.closed:
            from_m, to_m = to_m, from_m
        return move_leak_ends(
            self.kept,
            leak=key,
            from_m=None if from_m == leak.from_m else from_m,
            to_m=None if to_m == leak.to_m else to_m,
        )

    def dragged_field(self) -> LiveField | None:
        """The length of the leak whose end is dragged."""
        job = self.desk.job
        if not self.dragging or self.held is None or self.pointer is None or job is None:
            return None
        leak = job.leaks.get(self.held.key[0])
        if leak is None:
            return None
        length_m = stretch_length_m(job.joints[leak.joint], leak.from_m, leak.to_m)
        return LiveField(
            at=self.pointer.at,
            texts=(self.desk.units.shown(length_m),),
            units=(self.desk.units.before(leak.wetness.word),),
        )

    def deleted(self) -> bool:
        """Remove the picked leaks, as one step."""
        leaks = self.picked_leaks()
        if not leaks:
            return False
        self.keep(lambda: self._each(leaks, lambda job, leak: remove_leak(job, leak=leak.id), "remove"))
        self.refresh()
        return True

    def change_wetness(self, wetness: Wetness) -> bool:
        """Say how wet the picked leaks are, as one step; False when none is picked."""
        leaks = self.picked_leaks()
        if not leaks:
            return False
        self.keep(
            lambda: self._each(
                leaks, lambda job, leak: set_wetness(job, leak=leak.id, wetness=wetness), "set wetness of"
            )
        )
        self.refresh()
        return True

    def _each(self, leaks: tuple[Leak, ...], deed: Callable[..., Edit], words: str) -> Edit:
        job, edits = self.kept, []
        for leak in leaks:
            edits.append(deed(job, leak))
            job = edits[-1].job
        return together(edits, words=f"{words} {' and '.join(leak.ref for leak in leaks)}")


class LeakAtRest(LeakHandles):
    """What the hand does in stage Leaks with no tool: clicks pick, and what is picked can be changed."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._end: LeakEndKey | None = None

    @property
    def end(self) -> LeakEndKey | None:
        """The end that arrows move; None: they move the whole leak."""
        return self._end if self._end in {handle.key for handle in self.handles()} else None

    def sentence(self) -> str:
        """What can be done with the picked leak."""
        leaks = self.picked_leaks()
        if self.end is not None:
            return end_sentence(self.desk.units)
        if leaks:
            seen = "F2 its date, flow and note" if len(leaks) == 1 else "F2 date, flow and note of the last"
            return f"0 to 5 change its wetness, {seen}; drag an end, or arrows move it; Delete removes it."
        return "Click a leak to pick it, or press L to mark one."

    def choices(self) -> tuple[Choice, ...]:
        """The wetness of the picked leak."""
        found = {leak.wetness for leak in self.picked_leaks()}
        if not found:
            return ()
        return wetness_choices(next(iter(found)) if len(found) == 1 else None, self._take)

    def _take(self, wetness: Wetness) -> None:
        self.change_wetness(wetness)

    def overlay(self) -> Overlay:
        """Handles at the ends of the picked leaks."""
        return Overlay(grips=self.grips(self.end), field=self.dragged_field())

    def typed(self, text: str) -> bool:
        """A digit changes how wet the picked leaks are."""
        wetness = wetness_of(text)
        return wetness is not None and self.change_wetness(wetness)

    def clicked(self, pointer: Pointer) -> None:  # noqa: ARG002 - wherever it is
        """A click beside the handles means no end."""
        self._end = None

    def handle_picked(self, handle: Handle[LeakEndKey]) -> None:
        """Pick an end, for the arrows."""
        self._end = handle.key

    def handle_dropped(self, handle: Handle[LeakEndKey], edit: Edit) -> None:  # noqa: ARG002 - the deed is kept already
        """The end that was dragged stays picked, unless it became the other one."""
        self._end = handle.key if self._end == handle.key else None

    def escaped(self) -> bool:
        """Let go of what is dragged, then of the end that is picked."""
        if super().escaped():
            return True
        had, self._end = self.end, None
        self.refresh()
        return had is not None

    def nudging(self, across_m: float, up_m: float) -> bool:
        """Show what is picked moved along its joint."""
        deed = self._nudge(across_m, up_m)
        if deed is not None:
            self.preview(deed)
        elif self.picked_leaks():
            self.hint(self._square_words())
        return bool(self.picked_leaks())

    def nudged(self, across_m: float, up_m: float) -> bool:
        """Move the picked end, or else the picked leaks, along their joints, as one step."""
        deed = self._nudge(across_m, up_m)
        if deed is not None:
            self.keep(deed)
            self.refresh()
        return bool(self.picked_leaks())

    def _nudge(self, across_m: float, up_m: float) -> Callable[[], Edit] | None:
        """The deed of an arrow key; None where it points square to every joint."""
        ends = {} if self.end is None else dict([self.end])
        leaks = [self.kept.leaks[leak.id] for leak in self.picked_leaks() if not ends or leak.id in ends]
        steps = {leak.id: along_by(self.kept.joints[leak.joint], leak.from_m, across_m, up_m) for leak in leaks}
        moving = tuple(leak for leak in leaks if steps[leak.id])
        if not moving:
            return None
        if self.end is not None:
            end = self.end
            return lambda: nudge_end(self.kept, *end, steps[end[0]])
        return lambda: self._each(moving, lambda job, leak: shift_leak(job, leak=leak.id, by_m=steps[leak.id]), "move")

    def _square_words(self) -> str:
        leak = self.picked_leaks()[0]
        return f"{leak.ref} moves along {self.kept.joints[leak.joint].ref} only; press an arrow that points along it."


def along_by(joint: Joint, at_m: float, across_m: float, up_m: float) -> float:
    """How far along a joint arrow keys move: each as far as it says, one square to the joint not at all.

    On an upright joint, up is up.
    """
    if is_upright(joint):
        return up_m
    x, y = across_at(joint, at_m)
    parts = ((across_m, y), (up_m, -x))
    return sum(part if share > 0 else -part for part, share in parts if abs(share) > _SQUARE)


def arrow_along(joint: Joint, at_m: float, by_m: float) -> Point:
    """The way of arrow keys, across and up, that moves so far along a joint: what ``along_by`` reads back."""
    if is_upright(joint):
        return 0.0, by_m
    x, y = across_at(joint, at_m)
    return (by_m if y > 0 else -by_m, 0.0) if abs(y) >= abs(x) else (0.0, by_m if x < 0 else -by_m)


def nudge_end(job: Job, leak: UUID, end: LeakEnd, by_m: float) -> Edit:
    """The edit that moves an end of a leak, no farther than its other end and the end of the joint.

    Raises:
        EditRefused: The leak is not in the job any more.
    """
    old = leak_of(job, leak)
    joint = job.joints[old.joint]
    at_m = round((old.from_m if end is LeakEnd.FROM else old.to_m) + by_m, 9)
    if joint.closed:
        at_m %= joint.length_m
    elif end is LeakEnd.FROM:
        at_m = min(max(at_m, 0.0), old.to_m)
    else:
        at_m = min(max(at_m, old.from_m), joint.length_m)
    if end is LeakEnd.FROM:
        return move_leak_ends(job, leak=leak, from_m=at_m)
    return move_leak_ends(job, leak=leak, to_m=at_m)
