"""Lay a level over another: places that both show are clicked on each, and the first level moves.

The level clicked first is the one that moves. One place shifts it; more turn it as well. Places come in pairs, and the
tool goes from level to level by itself; the level that is not on the plan lies over it in blue, as it would lie.
"""

from __future__ import annotations

from collections.abc import Iterator
from uuid import UUID

from leakmap.base.errors import LeakmapError
from leakmap.base.progress import Progress
from leakmap.desk.state import Desk
from leakmap.desk.tools.laid import Laid, Lays
from leakmap.desk.tools.offer_grid import look_through
from leakmap.desk.tools.tool import Choice, Grip, Overlay, OverlayGrip, OverlayLine, Pointer
from leakmap.geometry.fit import Fit
from leakmap.geometry.path import Point
from leakmap.model.drawing import Drawing
from leakmap.model.joint import plan_path
from leakmap.model.sheet import Sheet
from leakmap.work.catch import Aim
from leakmap.work.drawing_fits import crossings_shown
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.laying import Place, laid, lay_over


class LayOver(Lays):
    """Lay over: reached from New level (N)."""

    name = "New level"
    key = "N"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.moving: UUID | None = None
        self.over: UUID | None = None
        self.places: list[Place] = []
        self.here: Point | None = None  # clicked on the level that moves, and not yet on the other
        self.there: Point | None = None  # clicked on the other, and not yet on the level that moves

    # What is said and seen -------------------------------------------------------------------------

    def sentence(self) -> str:
        """What the next click does."""
        moving, here = self._name(self.moving), self._name(self.desk.level)
        if self.moving is None:
            if len(self.kept.sheets) < 2:
                return "There is no other level to lay this one over; type N and the name of one first."
            return (
                f"Click a place on {here} that another level shows too; {here} moves. Again at any time: N, lay over."
            )
        if self.there is not None:
            return f"Click the same place on {moving}."
        if self.here is not None:
            if self.desk.level == self.moving:
                return f"Page Up or Page Down goes to the level that {moving} lies over; click the same place there."
            return f"Click the same place on {here}."
        return self._ready(moving, self._name(self.over))

    def _ready(self, moving: str, over: str) -> str:
        fit = self._fit()
        if fit is None or len(self.places) == 1:
            return f"Enter moves {moving} so. Or click a second place on {over}, far from the first, to turn it too."
        out = self.kept.units.out_by(fit.worst_m)
        if fit.agrees:
            return f"Enter lays {moving} so: its {len(self.places)} places are out by {out} at most. Or click another."
        return f"Places are out by {out}: Esc takes the last back, or check both scales. Enter lays {moving} so."

    def choices(self) -> tuple[Choice, ...]:
        """The grid that both drawings show can be taken instead of clicks."""
        drawn = [sheet for sheet in self.kept.sheets.values() if sheet.source is not None]
        return (Choice(key="B", words="B by the grid", take=self._by_grid),) if len(drawn) > 1 else ()

    def aim(self) -> Aim:
        """The grid is that of all levels, so it says nothing of how they lie; drawings and joints do."""
        sheet = self._sheet(self.desk.level)
        return Aim(drawing_only=sheet is not None and sheet.source is not None)

    def laid(self) -> Laid | None:
        """The level that lies over the one on the plan in blue, as it would lie; None for none."""
        moving, level = self._sheet(self.moving), self.desk.level
        if moving is None or level is None:
            return None
        fit = self._fit()
        shown = moving.placement if fit is None else fit.placement
        if level != self.moving:
            return Laid(sheet=moving.id, kept=moving.placement, shown=shown)
        if self.over is None or not self.places:
            return None
        return Laid(sheet=self.over, kept=shown, shown=moving.placement)

    def overlay(self) -> Overlay:
        """The joints of the level in blue, its vertical ones as squares, and the places picked."""
        level, blue = self.desk.level, self.laid()
        lines = tuple(self._joints(blue)) if blue is not None else ()
        on_moving = level == self.moving
        spots = [here if on_moving else there for here, there in self.places]
        hand = self.here if on_moving else self.there
        if not on_moving and self.here is not None and self.pointer is not None:
            hand = self.pointer.at
        marks = [*spots, *((hand,) if hand is not None else ())]
        upright = self._uprights(blue) if blue is not None else ()
        grips = [OverlayGrip(at=at, grip=Grip.BEND) for at in upright]
        grips += [OverlayGrip(at=at, grip=Grip.JUNCTION) for at in marks]
        return Overlay(lines=lines, grips=tuple(grips))

    # What the hand does ----------------------------------------------------------------------------

    @property
    def begun(self) -> bool:
        """Whether the level goes along with the hand."""
        return self.here is not None

    def pressed(self, pointer: Pointer) -> None:
        """Take a place on the level that moves, or on the other."""
        level, self.pointer = self.desk.level, pointer
        if level is None:
            return
        if self.moving is None or level == self.moving:
            self.moving, self.here = level, pointer.at
        elif self.places and level != self.over:
            self.hint(
                f"{self._name(self.moving)} is being laid over {self._name(self.over)}; click on one of these two."
            )
            return
        else:
            self.over, self.there = level, pointer.at
        self._pair_up()
        self.refresh()

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Move the level."""
        if not self.places or self.here is not None or self.there is not None:
            return self.moving is not None
        moving = self.moving
        assert moving is not None
        if self.keep(self._deed) is not None:
            self._forget()
            self.desk.show_level(moving)
        self.refresh()
        return True

    @property
    def half_done(self) -> bool:
        """Whether a place is clicked."""
        return bool(self.places) or self.here is not None or self.there is not None

    def escaped(self) -> bool:
        """Step back click by click."""
        if self.moving is None:
            return False
        if self.here is not None or self.there is not None:
            self.here = self.there = None
            self._go(self.over if self.places else self.moving)
        else:
            here, there = self.places.pop()
            self.here, self.there = (None, there) if self.places else (here, None)
            self._go(self.moving if self.places else self.over)
        if self.here is None and self.there is None and not self.places:
            self._forget()
        self.refresh()
        return True

    def dropped(self) -> None:
        """Nothing half-done stays."""
        self._forget()
        super().dropped()

    def let_go(self) -> None:
        """Going to the other level is a step of this tool, so nothing is forgotten then."""

    # Steps -----------------------------------------------------------------------------------------

    def _forget(self) -> None:
        self.moving = self.over = self.here = self.there = None
        self.places = []

    def _pair_up(self) -> None:
        """Keep a place that is clicked on both levels; else go to the level where it is still to be clicked."""
        if self.here is not None and self.there is not None:
            self.places.append((self.here, self.there))
            self.here = self.there = None
            self._go(self.over)
        elif self.there is not None:
            self._go(self.moving)
        else:
            others = [key for key in self.kept.sheets if key != self.moving]
            self._go(self.over or (others[0] if len(others) == 1 else None))

    def _go(self, level: UUID | None) -> None:
        if level is not None:
            self.desk.show_level(level)

    def _by_grid(self) -> None:
        """Look for every crossing that both drawings show; each is taken as a place, if nothing was clicked meanwhile.

        Where no level was clicked that it lies over, it is the first with axes of the same names.
        """
        moving = self._sheet(self.moving or self.desk.level)
        here = self._drawing(moving.id) if moving is not None else None
        if moving is None or here is None:
            return
        others = [self.over] if self.over is not None else [key for key in self.kept.sheets if key != moving.id]
        over = [(self.kept.sheets[key], drawing) for key in others if (drawing := self._drawing(key)) is not None]
        clicked = self._clicked

        def search(progress: Progress) -> tuple[UUID, list[Place]] | None:
            found = crossings_shown(here, moving, progress=progress)
            for sheet, drawing in over if len(found) > 1 else ():
                there = crossings_shown(drawing, sheet, progress=progress)
                places = [(at, there[name]) for name, at in found.items() if name in there]
                if len(places) > 1:
                    return sheet.id, places
            return None

        def take(found: tuple[UUID, list[Place]] | None) -> None:
            if self._clicked == clicked:
                self._take_crossings(moving.id, found, [sheet.name for sheet, _ in over])

        words = f"Looking for the grids of {moving.name} and of {over[0][0].name if len(over) == 1 else 'other levels'}"
        look_through(self.desk, words, [here, *(drawing for _, drawing in over)], search, take)

    @property
    def _clicked(self) -> tuple[object, ...]:
        """All that was clicked so far."""
        return self.moving, self.over, self.here, self.there, *self.places

    def _take_crossings(self, moving: UUID, found: tuple[UUID, list[Place]] | None, others: list[str]) -> None:
        if found is None:
            of = others[0] if len(others) == 1 else "any other level"
            self.hint(
                f"{self._name(moving)} shows no grid with axes of the same names as {of}; click the places instead."
            )
            return
        self._forget()
        self.moving, (self.over, self.places) = moving, found
        self._go(self.over)
        self.refresh()

    def _fit(self) -> Fit | None:
        """The placement by the places, with the one in hand; None where they say none."""
        sheet = self._sheet(self.moving)
        if sheet is None:
            return None
        hand = self.pointer.at if self.pointer is not None and self.desk.level != self.moving else None
        more = [(self.here, hand)] if self.here is not None and hand is not None else []
        for places in ([*self.places, *more], self.places):
            try:
                return laid(sheet, places, with_scale=self._scale_open(sheet) and len(places) > 1)
            except LeakmapError:
                continue
        return None

    def _scale_open(self, sheet: Sheet) -> bool:
        """Whether neither a known length, the user nor the file says anything of a drawing's scale."""
        if sheet.source is None or sheet.lengths or sheet.source.unit is not None:
            return False
        drawing = self._drawing(sheet.id)
        return drawing is not None and drawing.unit.m_per_unit is None

    def _drawing(self, level: UUID) -> Drawing | None:
        assert self.desk.open_job is not None
        try:
            return self.desk.open_job.drawing(level)
        except LeakmapError:
            return None  # the plan says so where it shows the drawing

    def _joints(self, blue: Laid) -> Iterator[OverlayLine]:
        """The joints of the level in blue, as they would lie."""
        for joint in self.kept.joints.values():
            path = plan_path(joint) if joint.sheet == blue.sheet else None
            if path is not None:
                yield OverlayLine(points=tuple(map(blue.to_shown, path.corners)))

    def _uprights(self, blue: Laid) -> Iterator[Point]:
        """Where the vertical joints of the level in blue would stand."""
        for joint in self.kept.joints.values():
            if joint.sheet == blue.sheet and joint.vertical and joint.point is not None:
                yield blue.to_shown(joint.point)

    def _sheet(self, key: UUID | None) -> Sheet | None:
        return self.kept.sheets.get(key) if key is not None else None

    def _name(self, key: UUID | None) -> str:
        sheet = self._sheet(key)
        return sheet.name if sheet is not None else "the level"

    def _deed(self) -> Edit:
        assert self.moving is not None
        assert self.over is not None
        sheet = self.kept.sheets[self.moving]
        with_scale = self._scale_open(sheet) and len(self.places) > 1
        return lay_over(self.kept, sheet=self.moving, over=self.over, places=self.places, with_scale=with_scale)
