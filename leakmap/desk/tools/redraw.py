"""A new drawing of a level, laid under what is marked on it: in blue over the old one until Enter keeps it.

Both drawings are looked through aside for what says where the new one lies; what was found is proposed, with its
reason. Or places are clicked in pairs, first on the new drawing, then the same place on the old one: one shifts, two
turn as well, and three or more share what they are out by.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from leakmap.base.errors import LeakmapError
from leakmap.base.measures import Units
from leakmap.base.progress import Progress
from leakmap.base.sentences import listed
from leakmap.desk.aside import WatchedAside
from leakmap.desk.state import Desk
from leakmap.desk.tools.laid import Laid, Lays
from leakmap.desk.tools.tool import Catching, Choice, Grip, Overlay, OverlayGrip, OverlayLine, Pointer, Stroke
from leakmap.desk.trouble import Answer, Trouble
from leakmap.geometry.fit import Pair
from leakmap.geometry.path import Point
from leakmap.geometry.placement import Placement
from leakmap.work.catch import Aim, Catch, nearest
from leakmap.work.drawing_fits import NewUnder, Placed, beginning, by_places, proposals
from leakmap.work.snap_drawing import DrawingPlaces, caught_on_drawing, drawing_places

_ALL_SAID: Final = 6
"""Places that are told one by one; of more only the worst."""


class Redraw(Lays):
    """New drawing of a level: reached from Import drawing (I).

    Args:
        desk: The desk.
        new: The new drawing and the level.
        give: Is given where it lies.
        again: Takes it in hand again, after something else was done.
    """

    name = "Import drawing"
    key = "I"
    under_new = True

    def __init__(
        self, desk: Desk, new: NewUnder, give: Callable[[Placed], object], again: Callable[[], object]
    ) -> None:
        super().__init__(desk)
        self.new, self.start = new, beginning(new)
        self.proposals: tuple[Placed, ...] | None = None  # None: the drawings are still being compared
        self.placed: Placed | None = None
        self.pairs: list[Pair] = []
        self.here: Point | None = None  # clicked on the new drawing, its units, and not yet on the old one
        self.with_scale = False
        self._give, self._again = give, again
        self._places: DrawingPlaces | None = None
        self._given = False

    # What is said and seen -------------------------------------------------------------------------

    def sentence(self) -> str:
        """What the next click does."""
        level = self.new.sheet.name
        if self.here is not None:
            return (
                f"Click the same place on the old drawing of {level}." if self.new.before else f"Click it on {level}."
            )
        if self.pairs:
            return self._ready()
        if self.proposals is None:
            return f"{self.new.source.name} is being compared with {level}. Or click a place on it, in blue."
        if self.placed is not None:
            return f"Enter lays the new drawing so, {self.placed.words}. Or click a place on it, in blue."
        return "Nothing says where it lies: click a place on the new drawing, in blue."

    def _ready(self) -> str:
        placed = self._by_places()
        if placed is None or len(self.pairs) == 1:
            return "Enter lays it so. Or click a second place on the new drawing, far from the first, to turn it too."
        out = _out_words(self.desk.units, placed.residuals_m)
        if placed.doubtful:
            return f"{out}: Esc takes the last back, or check both scales. Enter lays it so."
        return f"{out}. Enter lays it so; or click another place, in blue."

    def choices(self) -> tuple[Choice, ...]:
        """What was found that says where the drawing lies; and whether places say its scale."""
        found = [
            Choice(
                key=str(number),
                words=f"{number} {placed.words}",
                chosen=placed is self.placed and not self.pairs and self.here is None,
                take=lambda placed=placed: self._propose(placed),  # type: ignore[misc] # the default binds each
            )
            for number, placed in enumerate(self.proposals or (), start=1)
        ]
        if len(self.pairs) > 1 and self.new.scale_known:
            found.append(Choice(key="T", words="T scale too", chosen=self.with_scale, take=self._turn_scale))
        return tuple(found)

    def aim(self) -> Aim:
        """On the old drawing its own places count; on a blank level joints and grid do."""
        return Aim(drawing_only=self.new.before is not None)

    def own_catching(self) -> Catching | None:
        """The first place of a pair is caught on the new drawing, where it is shown."""
        return self._caught_on_new if self.here is None else None

    def laid(self) -> Laid:
        """The new drawing, as it would lie."""
        new = (self.new.placed(self.start), self.new.drawing)
        return Laid(sheet=self.new.sheet.id, kept=self.start, shown=self._shown(), new=new)

    def overlay(self) -> Overlay:
        """The places picked, and for each a line from where it comes to lie to where it should."""
        shown = self._shown()
        placed = [shown.to_site(pair.drawn) for pair in self.pairs]
        lines = tuple(
            OverlayLine(points=(at, pair.site), stroke=Stroke.REPAIR)
            for at, pair in zip(placed, self.pairs, strict=True)
            if at != pair.site
        )
        spots = [pair.site for pair in self.pairs] + ([shown.to_site(self.here)] if self.here is not None else [])
        return Overlay(lines=lines, grips=tuple(OverlayGrip(at=at, grip=Grip.JUNCTION) for at in spots))

    # What the hand does ----------------------------------------------------------------------------

    def taken(self) -> None:
        """Look through both drawings aside; what is found is proposed."""
        super().taken()
        self.desk.changed.connect(self._look_again)
        new, start = self.new, self.start

        def compared(progress: Progress) -> tuple[tuple[Placed, ...], DrawingPlaces]:
            progress.report(f"Comparing {new.source.name} with {new.sheet.name}", 0, None)
            self._places = places = drawing_places(
                new.drawing, new.placed(start)
            )  # stands, even if the rest is stopped
            return proposals(new, progress=progress), places

        self._comparing = WatchedAside(compared, self.desk)
        self._comparing.finished.connect(self._compared)
        self._comparing.stopped.connect(lambda: self._compared(((), self._places)))
        self.desk.working.emit(self._comparing)

    @property
    def begun(self) -> bool:
        """Whether the drawing goes along with the hand."""
        return self.here is not None

    def pressed(self, pointer: Pointer) -> None:
        """Take a place on the new drawing, or the same place on the old one."""
        self.pointer = pointer
        if self.here is None:
            self.here = self._shown().to_drawing(pointer.at)
            self.desk.troubled.emit(None)  # what spoke for a proposal no longer counts
        else:
            self.pairs.append(Pair(drawn=self.here, site=pointer.at))
            self.here = None
        self.refresh()

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Keep the new drawing where it is shown."""
        placed = self._by_places() if self.pairs else self.placed
        if placed is not None and self.here is None:
            self._given = True
            self.desk.take_tool(None)
            self._give(placed)
        return True

    @property
    def half_done(self) -> bool:
        """Whether a place is clicked."""
        return bool(self.pairs) or self.here is not None

    def escaped(self) -> bool:
        """Step back click by click."""
        if self.here is not None:
            self.here = None
        elif self.pairs:
            self.here = self.pairs.pop().drawn
        else:
            return False
        self.refresh()
        return True

    def dropped(self) -> None:
        """A drawing that was not laid yet waits; the band keeps the way back to it."""
        self.desk.changed.disconnect(self._look_again)
        super().dropped()
        if not self._given and self.desk.open_job is not None:
            sentence = f"{self.new.source.name} is read, but does not lie under {self.new.sheet.name} yet."
            again = Answer(words="Lay it", give=self._again)
            self.desk.troubled.emit(Trouble(sentence=sentence, answers=(again,), grave=False))

    def let_go(self) -> None:
        """Another level: this one's drawing is not seen there."""
        super().let_go()
        self._put_away(self.desk.level != self.new.sheet.id)

    # Steps -----------------------------------------------------------------------------------------

    def _look_again(self, _rows: object) -> None:
        """A deed or an undo may have changed the level under the new drawing."""
        self._put_away(self.kept.sheets.get(self.new.sheet.id) != self.new.sheet)

    def _put_away(self, wanted: bool) -> None:  # noqa: FBT001 - a question asked just before
        if wanted and self.desk.tool is self:
            self.desk.take_tool(None)

    def _compared(self, found: object) -> None:
        assert isinstance(found, tuple)
        self.proposals, self._places = found
        if self.desk.tool is not self:
            return
        if self.proposals and not self.pairs and self.here is None:
            self._propose(self.proposals[0])
        self.refresh()

    def _propose(self, placed: Placed) -> None:
        self.placed, self.pairs, self.here = placed, [], None
        self.hint(placed.why)
        self.refresh()

    def _turn_scale(self) -> None:
        self.with_scale = not self.with_scale
        self.refresh()

    def _by_places(self, *more: Pair) -> Placed | None:
        """Where the pairs lay the drawing; None where they say nothing."""
        start = self.start if self.placed is None else self.placed.placement
        with_scale = self.with_scale and len(self.pairs) + len(more) > 1
        try:
            return by_places(self.new, [*self.pairs, *more], start=start, with_scale=with_scale)
        except LeakmapError:
            return None

    def _shown(self) -> Placement:
        """Where the drawing is shown: with the place in hand at the hand, else by the pairs, else as proposed."""
        hand = (
            [Pair(drawn=self.here, site=self.pointer.at)] if self.here is not None and self.pointer is not None else []
        )
        for placed in (self._by_places(*hand), self._by_places(), self.placed):
            if placed is not None:
                return placed.placement
        return self.start

    def _caught_on_new(self, at: Point, radius_m: float) -> Catch | None:
        """What a place of the site is caught on, on the new drawing as it is shown."""
        if self._places is None:
            return None
        shown, start = self._shown(), self.start
        times = start.x_m_per_unit / shown.x_m_per_unit
        there = start.to_site(shown.to_drawing(at))
        found = caught_on_drawing(self._places, there, radius_m * times)
        catch = nearest((found.point,), there) or found.line
        return None if catch is None else replace(catch, at=shown.to_site(start.to_drawing(catch.at)), line=None)


def _out_words(units: Units, residuals_m: tuple[float, ...]) -> str:
    """What places are out by, one by one while they are few.

    >>> _out_words(Units.METRIC, (0.002, 0.0051, 0.0))
    'The 3 places are out by 2 mm, 5 mm and 1 mm'
    """
    if len(residuals_m) > _ALL_SAID:
        return f"The {len(residuals_m)} places are out by {units.out_by(max(residuals_m))} at most"
    return f"The {len(residuals_m)} places are out by {listed([units.out_by(each) for each in residuals_m])}"
