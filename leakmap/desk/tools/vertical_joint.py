"""Draw a vertical joint: a point, its height, and which way it runs."""

from __future__ import annotations

from enum import StrEnum
from typing import Final
from uuid import UUID

from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Thing
from leakmap.desk.tools.fields import Fields, Part, TakesFigures
from leakmap.desk.tools.handles import Gesture
from leakmap.desk.tools.kinds import UPRIGHT_KINDS, kind_choices, taken_by_key
from leakmap.desk.tools.tool import Choice, Grip, Overlay, OverlayGrip, Pointer
from leakmap.geometry.path import Point
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, within
from leakmap.model.job import Job
from leakmap.model.words import Kind
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.joints import Direction, draw_through_joint, draw_vertical_joint
from leakmap.work.typed import Entry, typed_length

_HEIGHT, _WAY = 0, 1


class Way(StrEnum):
    """Which way it runs from this level's floor."""

    UP = "up"
    DOWN = "down"
    THROUGH = "through"


_WAYS: Final = tuple(Way)


class VerticalJoint(TakesFigures, Gesture):
    """Vertical joint (V)."""

    name = "Vertical joint"
    key = "V"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.point: Point | None = None
        self.way = Way.UP
        self.fields = Fields(desk, Part(Entry.LENGTH), Part(Entry.AXIS))

    # What is said and seen -------------------------------------------------------------------------

    def sentence(self) -> str:
        """What the next click does."""
        if self.desk.level is None:
            return "Import a drawing or make a level first; joints lie on a level."
        if self.point is None:
            return "Press 1 to 5 for the kind, then click where it stands."
        return "Type its height, Tab, then 1 up, 2 down or 3 through, and press Enter."

    def choices(self) -> tuple[Choice, ...]:
        """Kinds before the click, ways after it."""
        if self.point is None:
            return kind_choices(UPRIGHT_KINDS, self._kind, self._take_kind, self.desk.units)
        return tuple(
            Choice(
                key=str(number),
                words=f"{number} {way.value}",
                chosen=way is self.way,
                take=lambda way=way: self._take_way(way),  # type: ignore[misc]
            )
            for number, way in enumerate(_WAYS, 1)
        )

    def overlay(self) -> Overlay:
        """The point with its live field."""
        if self.point is None:
            return Overlay()
        usual = self.kept.sheets[self.desk.level].storey_height_m if self.desk.level is not None else 0.0
        field = self.fields.live(self.point, (self.desk.units.shown(usual), self.way.value))
        return Overlay(grips=(OverlayGrip(at=self.point, grip=Grip.JUNCTION),), field=field)

    # What the hand does ----------------------------------------------------------------------------

    def pressed(self, pointer: Pointer) -> None:
        """Stand it here; a later click moves it."""
        if self.desk.level is None:
            self.desk.said.emit(self.sentence())
            return
        self.point = pointer.at
        self._show()

    def typed(self, text: str) -> bool:
        """Digits choose the kind, then are the height, then the way."""
        if self.point is None or self.fields.active == _WAY:
            return taken_by_key(self.choices(), text)
        used = self.fields.typed(text)
        if used:
            self._show()
        return used

    def taking(self) -> bool:
        """Once the point is set."""
        return self.point is not None

    def figures_changed(self) -> None:
        """The joint follows."""
        self._show()

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Draw it."""
        if self.point is None:
            return False
        edit = self.keep(self._deed)
        if edit is not None:
            self._step_back()
            self.desk.pick(*(Thing(Sort.JOINT, key) for key in edit.made))
        self.refresh()
        return True

    @property
    def half_done(self) -> bool:
        """Whether the point is clicked."""
        return self.point is not None

    def escaped(self) -> bool:
        """Step back: first what was typed, then the point."""
        if self.point is None:
            return False
        if self.fields:
            self.fields.clear()
            self._show()
        else:
            self._step_back()
            self.desk.show(None)
        self.refresh()
        return True

    def let_go(self) -> None:
        """Nothing half-done stays."""
        self._step_back()
        super().let_go()

    # Steps -----------------------------------------------------------------------------------------

    @property
    def _kind(self) -> Kind:
        return self.desk.kind if self.desk.kind in UPRIGHT_KINDS else Kind.CONSTRUCTION

    def _take_kind(self, kind: Kind) -> None:
        self.desk.kind, self.desk.face = kind, None
        self.refresh()

    def _take_way(self, way: Way) -> None:
        self.way = way
        self._show()

    def _step_back(self) -> None:
        self.point, self.way = None, Way.UP
        self.fields.clear()

    def _show(self) -> None:
        self.preview(self._deed)
        self.refresh()

    def _deed(self) -> Edit:
        assert self.point is not None
        assert self.desk.level is not None
        job, level, rise = self.kept, self.desk.level, typed_length(self.fields.texts[_HEIGHT], self.desk.units)
        if self.way is Way.DOWN:
            return draw_vertical_joint(
                job, sheet=level, kind=self._kind, point=self.point, rise_m=rise, direction=Direction.DOWN
            )
        head = met_above(job, level, rise)
        if self.way is Way.THROUGH:
            return draw_through_joint(
                job, sheet=level, kind=self._kind, point=self.point, up_m=rise, head_sheet=head
            )  # fmt: skip
        return draw_vertical_joint(job, sheet=level, kind=self._kind, point=self.point, rise_m=rise, head_sheet=head)


def met_above(job: Job, level: UUID, rise_m: float | None) -> UUID | None:
    """The level whose floor a joint that rises from this one's floor just reaches; None where there is none.

    Args:
        job: The job.
        level: The level of its foot.
        rise_m: Its length; None: the storey height.
    """
    here = job.sheets[level]
    if here.floor_level_m is None:
        return None
    head_m = here.floor_level_m + (here.storey_height_m if rise_m is None else rise_m)
    levels = ((sheet.id, sheet.floor_level_m) for sheet in job.sheets.values() if sheet.id != level)
    return next(
        (key for key, at_m in levels if at_m is not None and within(abs(at_m - head_m), DRAWING_TOLERANCE_M)), None
    )
