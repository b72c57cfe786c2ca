"""What tools share: showing a deed before it is kept, and handles that are dragged along a joint.

A press on a handle takes it; moving with the button down shows what it would do; letting go keeps that
as one deed. A press that does not move only picks the handle, so that its figure can be typed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import hypot, inf
from typing import Final, Generic, TypeVar

from leakmap.base.errors import LeakmapError
from leakmap.base.measures import Units
from leakmap.desk.larger import reach_of
from leakmap.desk.state import Desk
from leakmap.desk.tools.tool import BESIDE_PX, Grip, OverlayGrip, Pointer, Tool
from leakmap.desk.trouble import Trouble
from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.repair.network import Network
from leakmap.repair.results import Repairs
from leakmap.work.edits.edit import Edit
from leakmap.work.staffs import Height

DRAG_PX: Final = 4.0
"""How far the hand moves before a press is a drag."""

FINE_DRAG_PX: Final = 1.5
"""The same on a staff."""

Key = TypeVar("Key")


def end_sentence(units: Units) -> str:
    """What arrows do with an end that is picked."""
    near, far = units.nudge_words
    return f"Arrows move this end along the joint, {near} or with Shift {far}; Esc lets go of it."


class Gesture(Tool):
    """A tool that shows a deed before it keeps it."""

    @property
    def kept(self) -> Job:
        """The job as kept, without what a drag shows."""
        assert self.desk.open_job is not None
        return self.desk.open_job.job

    @property
    def kept_repairs(self) -> Repairs:
        """The work-out of the job as kept."""
        assert self.desk.open_job is not None
        return self.desk.open_job.repairs

    @property
    def network(self) -> Network:
        """The network of the job as kept."""
        assert self.desk.open_job is not None
        return self.desk.open_job.network

    def taken(self) -> None:
        """What is half-done belongs to the level on the plan."""
        self.desk.level_changed.connect(self.let_go)

    def dropped(self) -> None:
        """Nothing half-done stays."""
        self.desk.level_changed.disconnect(self.let_go)
        self.let_go()

    def let_go(self) -> None:
        """Forget what is half-done."""
        if self.desk.open_job is not None and self.desk.dragging:
            self.desk.show(None)

    def hint(self, sentence: str) -> None:
        """Say in the band why a click did nothing; the next hint takes its place."""
        self.desk.troubled.emit(Trouble(sentence=sentence, grave=False))

    def preview(self, deed: Callable[[], Edit]) -> Edit | None:
        """Show what a deed would do; the kept job, and None, where it would be refused."""
        try:
            edit = deed()
        except LeakmapError:
            self.desk.show(None)
            return None
        self.desk.show(edit)
        return edit

    def keep(self, deed: Callable[[], Edit]) -> Edit | None:
        """Keep a deed; None where it was refused, which the band says."""
        done: list[Edit] = []

        def run() -> None:
            edit = deed()
            self.desk.do(edit)
            done.append(edit)

        self.desk.show(None)
        self.desk.attempt(run)
        return done[0] if done else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Handle(Generic[Key]):
    """A handle on the plan.

    Attributes:
        key: What it moves.
        at: Where it lies.
        across: Unit vector along which its bar lies.
        beside: Whether it stands beside its place, along ``across``.
        fine: Whether a small move is meant: it lies on a staff, where a pixel stands for centimetres.
        on: Its place on a joint, by which it is found on the tape; None: it is on the plan alone.
        seen: Whether it is on the plan; else on the tape alone.
    """

    key: Key
    at: Point
    across: Point = (0.0, 1.0)
    grip: Grip = Grip.END
    beside: bool = False
    fine: bool = False
    on: Height | None = None
    seen: bool = True

    def distance_m(self, pointer: Pointer) -> float:
        """How far the hand is from it, or from its place; on the tape, along its joint."""
        if pointer.on is not None:
            same = self.on is not None and self.on.joint == pointer.on.joint
            return abs(self.on.at_m - pointer.on.at_m) if self.on is not None and same else inf
        if not self.seen:
            return inf
        away = BESIDE_PX * pointer.m_per_px if self.beside else 0.0
        stands = self.at[0] + self.across[0] * away, self.at[1] + self.across[1] * away
        return min(_apart(self.at, pointer.raw), _apart(stands, pointer.raw))


class ByClicks(Gesture):
    """A tool of clicks, one after the other: what is half-done goes along with the hand."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.pointer: Pointer | None = None

    @property
    def begun(self) -> bool:
        """Whether something half-done is shown that ends at the hand."""
        raise NotImplementedError

    def moved(self, pointer: Pointer) -> None:
        """Show what is half-done as far as the hand."""
        self.pointer = pointer
        if self.begun:
            self.refresh()

    def dragged(self, pointer: Pointer) -> None:
        """A press that wanders is still a click."""
        self.moved(pointer)

    def erased(self) -> bool:
        """Step back, as Esc does."""
        return self.escaped()


class HandleTool(Gesture, Generic[Key]):
    """A tool with handles."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.held: Handle[Key] | None = None  # pressed, and the button is still down
        self.dragging = False
        self.pointer: Pointer | None = None
        self._pressed: Pointer | None = None

    # What a tool says of its handles ---------------------------------------------------------------

    def handles(self) -> tuple[Handle[Key], ...]:
        """Its handles on this level."""
        return ()

    def dragged_to(self, handle: Handle[Key], pointer: Pointer) -> Edit:
        """The deed that moves a handle to where the hand is.

        Raises:
            EditRefused: It cannot lie there.
        """
        raise NotImplementedError

    def handle_picked(self, handle: Handle[Key]) -> None:
        """A handle was pressed and let go without a drag."""

    def handle_dropped(self, handle: Handle[Key], edit: Edit) -> None:
        """A handle was dragged, and the deed is kept."""

    def clicked(self, pointer: Pointer) -> None:
        """The plan was pressed where there is no handle."""

    def holds(self, pointer: Pointer) -> bool:
        """Whether there is a handle under the hand."""
        return self._handle_at(pointer) is not None

    # What the hand does ------------------------------------------------------------------------------

    def moved(self, pointer: Pointer) -> None:
        """Take note of where the hand is."""
        self.pointer = pointer

    def pressed(self, pointer: Pointer) -> None:
        """Take a handle, or click the plan."""
        self.pointer = pointer
        self.held, self.dragging, self._pressed = self._handle_at(pointer), False, pointer
        if self.held is None:
            self.clicked(pointer)

    def dragged(self, pointer: Pointer) -> None:
        """Show where the handle in hand would go."""
        self.pointer = pointer
        if self.held is None:
            return
        slip_px = FINE_DRAG_PX if self.held.fine and pointer.on is None else DRAG_PX
        self.dragging = self.dragging or self._moved_m(pointer) > slip_px * pointer.m_per_px
        if self.dragging:
            self.show_drag(self.held, pointer)
            self.refresh()

    def _moved_m(self, pointer: Pointer) -> float:
        """How far the hand is from where it pressed; on the tape, along the joint."""
        start = self._pressed
        if start is None:
            return 0.0
        if pointer.on is None or start.on is None:
            return _apart(pointer.raw, start.raw)
        return inf if pointer.on.joint != start.on.joint else abs(pointer.on.at_m - start.on.at_m)

    def show_drag(self, handle: Handle[Key], pointer: Pointer) -> None:
        """Show what letting go here would do; where it would be refused, what was shown before stays."""
        try:
            edit = self.dragged_to(handle, pointer)
        except LeakmapError:
            return
        self.desk.show(edit)

    def released(self, pointer: Pointer) -> None:
        """Keep where the handle was dragged to, or pick it."""
        self.pointer = pointer
        handle, self.held = self.held, None
        if handle is None:
            return
        if not self.dragging:
            self.handle_picked(handle)
        else:
            self.dragging = False
            edit = self.keep(lambda: self.dragged_to(handle, pointer))
            if edit is not None:
                self.handle_dropped(handle, edit)
        self.refresh()

    def let_go(self) -> None:
        """Let go of a handle in hand."""
        self.held, self.dragging = None, False
        super().let_go()

    def escaped(self) -> bool:
        """Let go of a handle in hand; it is where it was."""
        if self.held is None:
            return False
        self.held, self.dragging = None, False
        self.desk.show(None)
        self.refresh()
        return True

    def grips(self, picked: Key | None = None) -> tuple[OverlayGrip, ...]:
        """Its handles for the overlay."""
        return tuple(
            OverlayGrip(
                at=handle.at,
                grip=handle.grip,
                across=handle.across,
                picked=handle.key == picked,
                beside=handle.beside,
                on=handle.on,
                seen=handle.seen,
            )
            for handle in self.handles()
        )

    def _handle_at(self, pointer: Pointer) -> Handle[Key] | None:
        near = [(handle.distance_m(pointer), handle) for handle in self.handles()]
        distance, nearest = min(near, key=lambda found: found[0], default=(inf, None))
        return nearest if distance <= reach_of(self.desk.settings).handle_px * pointer.m_per_px else None


def _apart(a: Point, b: Point) -> float:
    return hypot(a[0] - b[0], a[1] - b[1])
