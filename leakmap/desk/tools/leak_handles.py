"""What is picked in stage Leaks: handles at its ends, and keys that change it.

With no tool in hand 0 to 5 change how wet the picked leaks are, and Delete removes them.
"""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

from leakmap.desk.tools.handles import Handle, HandleTool
from leakmap.desk.tools.places import across_at, along, is_upright, on_level, point_of, shown_m, tidy_m
from leakmap.desk.tools.tool import Choice, LiveField, Overlay, Pointer
from leakmap.model.leak import Leak
from leakmap.model.words import Wetness
from leakmap.work.catch import Aim
from leakmap.work.edits.edit import Edit, leak_of, together
from leakmap.work.edits.leaks import LeakEnd, move_leak_ends, remove_leak, set_wetness
from leakmap.work.edits.places import stretch_length_m


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
        """Both ends of each picked leak on a line."""
        assert self.desk.job is not None
        return tuple(
            Handle(key=(leak.id, end), at=point_of(joint, at_m), across=across_at(joint, at_m))
            for leak in self.picked_leaks()
            if not is_upright(joint := self.desk.job.joints[leak.joint])
            for end, at_m in ((LeakEnd.FROM, leak.from_m), (LeakEnd.TO, leak.to_m))
        )

    def dragged_to(self, handle: Handle[LeakEndKey], pointer: Pointer) -> Edit:
        """Move an end of a leak; dragged past its other end, it becomes that."""
        key, end = handle.key
        leak = leak_of(self.kept, key)
        joint = self.kept.joints[leak.joint]
        at_m = tidy_m(joint, along(joint, pointer.at), pointer)
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
        return LiveField(at=self.pointer.at, texts=(shown_m(length_m),), units=(f"m {leak.wetness.word}",))

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

    def sentence(self) -> str:
        """What can be done with the picked leak."""
        if self.picked_leaks():
            return "Drag an end, press 0 to 5 for its wetness, or Delete to remove it."
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
        return Overlay(grips=self.grips(), field=self.dragged_field())

    def typed(self, text: str) -> bool:
        """A digit changes how wet the picked leaks are."""
        wetness = wetness_of(text)
        return wetness is not None and self.change_wetness(wetness)
