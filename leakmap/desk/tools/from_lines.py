"""Take joints from lines of the drawing: whole layers or closed outlines, proposed first and taken one by one or all.

The ledger lists the layers to choose from and, below them, what is proposed. Nothing is a joint before it is taken.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Final

import shapely
from PySide6.QtCore import QTimer

from leakmap.base.counted import many
from leakmap.base.errors import LeakmapError
from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Thing
from leakmap.desk.tools.fields import Fields, Part
from leakmap.desk.tools.handles import Gesture
from leakmap.desk.tools.kinds import taken_by_key
from leakmap.desk.tools.line_search import LineSearch
from leakmap.desk.tools.many_lines import AT_ONCE, ManyLines
from leakmap.desk.tools.next_joint import NextJoint
from leakmap.desk.tools.places import REACH_PX
from leakmap.desk.tools.tool import Choice, LiveField, Overlay, OverlayLine, Pointer, Stroke
from leakmap.geometry.path import Path, Point
from leakmap.model.drawing import Drawing
from leakmap.model.words import Face
from leakmap.work.catch import NOTHING, Aim
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.taking import take_proposals
from leakmap.work.offered import Offered, OfferedLine, refs_words
from leakmap.work.offering import Offering
from leakmap.work.proposals import LEAST_M, AsJoint, layers_with_lines, lines_on
from leakmap.work.snap_lines import Lines
from leakmap.work.typed import Entry

ALL_KEY: Final = "9"
"""The key that takes all that lie on no joint."""

_CHOICES, _LEAST, _HEIGHT = 0, 1, 2


class FromLines(Gesture):
    """From lines (F)."""

    name = "From lines"
    key = "F"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.next = NextJoint(desk, self._another_sort, self._offer)
        self.fields = self._fresh()
        self.pointer: Pointer | None = None
        self.search = LineSearch(desk)
        self._drawing: Drawing | None = None
        self._offering: Offering | None = None
        self._tree: shapely.STRtree | None = None
        self._many = ManyLines(desk)
        self._taking = False

    def taken(self) -> None:
        """Offer the layers of the level's drawing."""
        super().taken()
        self.desk.level_changed.connect(self._begin)
        self.desk.changed.connect(self._offer)
        self._begin()

    def dropped(self) -> None:
        """Offer nothing any more."""
        self.desk.level_changed.disconnect(self._begin)
        self.desk.changed.disconnect(self._offer)
        super().dropped()

    def let_go(self) -> None:
        """Forget what was offered of the level."""
        self.search.give_up()
        self._many.give_up_looking()
        self._drawing = self._offering = self._tree = None
        self.fields = self._fresh()
        self._unpick()
        self.desk.offer(None)
        super().let_go()

    # What is said and seen -----------------------------------------------------------------------------

    @property
    def offered(self) -> Offered | None:
        """What is offered now."""
        return self.desk.offered

    def sentence(self) -> str:
        """What the next click does."""
        if self.offered is None or not self.offered.layers:
            return "The drawing of this level has no lines, so no joints can be taken from them."
        if self.search.looking:
            return "Looking for the outline round this place."
        if self._many.taking:
            return "Joints are being made of the lines; Esc stops that."
        if not self.offered.lines:
            return "Click a layer in the list, or a place inside a closed outline."
        return self._sentence_of(self.offered)

    def _sentence_of(self, offered: Offered) -> str:
        if self.fields.active == _LEAST:
            return "Type the least length; shorter lines are left out."
        if self.fields.active == _HEIGHT:
            return "Type the height over the floor."
        if self._picked():
            return "Enter takes what is picked, Delete leaves it out."
        every = f", Enter takes {_all(len(offered.free))}" if offered.free else ""
        return f"Click a line to take it{every}; Delete leaves one out."

    def choices(self) -> tuple[Choice, ...]:
        """Kind, face and room side, and all at once."""
        free = len(self.offered.free) if self.offered is not None else 0
        every = (Choice(key=ALL_KEY, words=f"{ALL_KEY} take {_all(free)}", take=self._take_all),) if free else ()
        return (*self.next.choices(), *every)

    def aim(self) -> Aim:
        """Lines are pointed at as they are; nothing catches."""
        return NOTHING

    def overlay(self) -> Overlay:
        """What is offered, in the colour of the hand; what lies on joints, as something to look at."""
        if self.offered is None or not self.offered.lines:
            return Overlay()
        marked = {*self._picked(), *self._pointed()}
        lines = [_seen(line.proposal.path, Stroke.REPAIR if line.on else Stroke.LIVE) for line in self.offered.lines]
        under = [_seen(line.proposal.path, Stroke.MARKER) for line in self.offered.lines if line.number in marked]
        return Overlay(lines=(*under, *lines), field=self._field(self.offered))

    def thing_at(self, pointer: Pointer) -> Thing | None:
        """The proposal under the pointer."""
        line = self._line_at(pointer)
        return Thing(Sort.PROPOSAL, line.number) if line is not None else None

    # What the hand does --------------------------------------------------------------------------------

    def choose(self, layer: str) -> None:
        """Offer what a layer proposes, or no more."""
        offering, drawing = self._offering, self._drawing
        if offering is None or drawing is None:
            return
        if offering.is_chosen(layer):
            offering.put_back(layer)
            self._offer()
        elif offering.knows(layer):
            offering.choose(layer)
            self._offer()
        else:
            placement = self.kept.sheets[offering.sheet].placement
            self.search.layer(drawing, placement, layer, then=lambda found: self._learn(offering, layer, *found))

    def moved(self, pointer: Pointer) -> None:
        """Take note of where the hand is."""
        self.pointer = pointer
        self.refresh()

    def pressed(self, pointer: Pointer) -> None:
        """Take the line under the pointer, or look for the outline round it."""
        self.pointer = pointer
        offering = self._offering
        if offering is None or self.offered is None:
            self.desk.said.emit(self.sentence())
            return
        line = self._line_at(pointer)
        if line is None:
            self._look_round(offering, pointer.raw)
        elif line.on and line.number not in self._picked():
            self.desk.pick(Thing(Sort.PROPOSAL, line.number))
            self.hint(f"This line {refs_words(line.on)} already. Enter takes it all the same; Delete leaves it out.")
        else:
            self._take([line])
        self.refresh()

    def typed(self, text: str) -> bool:
        """Digits choose kind and face; after Tab they are the least length, or the height."""
        if self.fields.active == _CHOICES:
            return taken_by_key(self.choices(), text)
        used = self.fields.typed(text)
        if used:
            self._offer()
        return used

    def tabbed(self) -> bool:
        """From the choices to the least length, on a wall to the height, and back."""
        if self.offered is None or not self.offered.lines:
            return False
        self.fields.next()
        self.refresh()
        return True

    def entered(self, *, both: bool = False) -> bool:
        """Finish a figure; else take what is picked, or with Ctrl or with nothing picked all that lie on no joint."""
        if self.offered is None or not self.offered.lines:
            return False
        picked = self._picked()
        if self.fields.active != _CHOICES:
            self.fields.active = _CHOICES
            self.refresh()
        elif picked and not both:
            self._take([line for line in self.offered.lines if line.number in picked])
        else:
            self._take_all()
        return True

    def deleted(self) -> bool:
        """Leave out what is picked, else what is pointed at."""
        numbers = self._picked() or self._pointed()
        if self._offering is None or not numbers:
            return False
        self._offering.leave_out(sorted(numbers))
        self._unpick()
        self._offer()
        return True

    def erased(self) -> bool:
        """Take back a digit, else what was left out last."""
        if self.fields.active == _CHOICES:
            used = self._offering is not None and self._offering.bring_back()
        else:
            used = self.fields.erased()
        if used:
            self._offer()
        return used

    def escaped(self) -> bool:
        """Step back: out of a figure, from what is picked, from what is offered."""
        if self.search.looking:
            self.search.give_up()
        elif self.fields.active != _CHOICES:
            self.fields.active = _CHOICES
        elif self._picked():
            self._unpick()
        elif self._offering is not None and not self._offering.empty:
            self._offering.clear()
            self._offer()
        else:
            return False
        self.refresh()
        return True

    # Steps ---------------------------------------------------------------------------------------------

    def _begin(self) -> None:
        """Offer the layers of the drawing on the plan."""
        desk, level = self.desk, self.desk.level
        if desk.open_job is None or level is None:
            return
        try:
            self._drawing = desk.open_job.drawing(level)
        except LeakmapError:
            self._drawing = None  # the plan says so where it shows the drawing
        if self._drawing is not None:
            self._offering = Offering(level, layers_with_lines(self._drawing))
        self._offer()

    def _offer(self, _rows: object = None) -> None:
        """Show what is offered now."""
        if self._taking:
            return
        if self._offering is not None and self._offering.sheet in self.kept.sheets:
            least = self.fields.figure(_LEAST)
            self._offering.least_m = LEAST_M if least is None else least
            if not self._many.look(self._offering, self.kept, self._as_joint(), then=self._offer):
                self.desk.offer(self._offering.offered(self.kept, self._as_joint()))
                self._tree = None
        self.refresh()

    def _learn(self, offering: Offering, layer: str, *found: object) -> None:
        offering.learn(layer, *found)  # type: ignore[arg-type] # what proposed_by_layer gives
        offering.choose(layer)
        self._offer()

    def _look_round(self, offering: Offering, at: Point) -> None:
        """Look for the outline round a place: of lines of the chosen layers, where some are, else of all that show."""
        drawing, shown, chosen = self._drawing, self.desk.linework, offering.chosen
        assert drawing is not None
        placement = self.kept.sheets[offering.sheet].placement
        if not chosen and shown is None:
            self.hint("The lines of this drawing are not gathered yet; click again in a moment.")
            return

        def lines() -> Lines:
            if chosen:
                return lines_on(drawing, placement, chosen)
            assert shown is not None
            return shown

        self.search.outline(lines, at, then=lambda path: self._add(offering, path))

    def _add(self, offering: Offering, path: Path) -> None:
        """Offer an outline, and pick it, so that Enter takes it."""
        number = offering.add_outline(path)
        self._offer()
        self.desk.pick(Thing(Sort.PROPOSAL, number))
        self.refresh()

    def _take_all(self) -> None:
        free = self.offered.free if self.offered is not None else ()
        if free:
            self._take(free)
        else:
            self.hint("Every line that is offered lies on a joint already; click one to take it all the same.")

    def _take(self, lines: Sequence[OfferedLine]) -> None:
        """Make joints of some lines, as one step of undo: few at once, many in slices."""
        offering = self._offering
        assert offering is not None
        if self._many.taking:
            return
        as_joint, proposals = self._as_joint(), [line.proposal for line in lines]
        self._unpick()
        if len(lines) > AT_ONCE:
            self._take_many(offering, lines)
            return
        self._taking = True  # what is taken is offered no more, so nobody needs to know what it lies on meanwhile
        edit = self.keep(
            lambda: take_proposals(self.kept, sheet=offering.sheet, proposals=proposals, as_joint=as_joint)
        )
        self._taking = False
        if edit is not None:
            offering.take_note([line.number for line in lines], edit.made)
        self._offer()

    def _take_many(self, offering: Offering, lines: Sequence[OfferedLine]) -> None:
        """Make joints of many lines in slices; they leave the list at once, and come back where that is stopped."""
        if not self.desk.may_change():
            return
        assert self.offered is not None
        gone = {line.number for line in lines}
        left = tuple(line for line in self.offered.lines if line.number not in gone)
        self.desk.offer(replace(self.offered, lines=left))
        self._tree = None
        proposals = [line.proposal for line in lines]
        self._many.take(
            offering.sheet, proposals, self._as_joint(), then=lambda edit: self._do_many(offering, lines, edit)
        )

    def _do_many(self, offering: Offering, lines: Sequence[OfferedLine], edit: Edit | None) -> None:
        """Do the deed that was made in slices, whichever tool is in hand by now; what is offered then follows."""
        if edit is not None:
            self._taking = True
            if self.desk.attempt(lambda: self.desk.do(edit)):
                offering.take_note([line.number for line in lines], edit.made)
            self._taking = False
        QTimer.singleShot(0, self.desk, self._offer_again)

    def _offer_again(self) -> None:
        if self.desk.tool is self:
            self._offer()

    def _as_joint(self) -> AsJoint:
        """What proposals become."""
        wall, corner = self.next.face is Face.WALL, self.next.corner
        height = self.fields.figure(_HEIGHT) if wall and len(self.fields.parts) > _HEIGHT else None
        side = self.next.side if corner else None
        return AsJoint(kind=self.next.kind, face=self.next.face, height_m=height or 0.0, room_side=side)

    def _another_sort(self) -> None:
        """Another kind or face was taken; the least length stays."""
        least, self.fields = self.fields.texts[_LEAST], self._fresh()
        self.fields.texts[_LEAST] = least
        self._offer()

    def _fresh(self) -> Fields:
        high = (Part(Entry.LEVEL, "high"),) if self.next.face is Face.WALL else ()
        return Fields(self.desk, Part(Entry.LENGTH), Part(Entry.LENGTH, "least"), *high)

    def _field(self, offered: Offered) -> LiveField:
        """The length of what is pointed at or of all, the least length, and on a wall the height."""
        marked = self._pointed() or self._picked()
        lines = [line for line in offered.lines if line.number in marked] or offered.free
        total = sum(line.proposal.path.length_m for line in lines)
        at = self.pointer.raw if self.pointer is not None else offered.lines[0].proposal.path.points[0]
        measures = tuple(map(self.desk.units.shown, (total, LEAST_M, 0)))
        return self.fields.live(at, measures[: len(self.fields.parts)])

    def _line_at(self, pointer: Pointer) -> OfferedLine | None:
        """The nearest line within reach of the pointer; of several at one place one that lies on no joint."""
        lines = self.offered.lines if self.offered is not None else ()
        if not lines:
            return None
        if self._tree is None:
            self._tree = shapely.STRtree([shapely.LineString(line.proposal.path.corners) for line in lines])
        at = shapely.Point(pointer.raw)
        near = self._tree.query(at, predicate="dwithin", distance=REACH_PX * pointer.m_per_px).tolist()
        apart = {number: round(self._tree.geometries[number].distance(at), 3) for number in near}
        best = min(near, key=lambda number: (apart[number], bool(lines[number].on)), default=None)
        return None if best is None else lines[best]

    def _picked(self) -> frozenset[int]:
        return _numbers(self.desk.picked)

    def _pointed(self) -> frozenset[int]:
        return _numbers((self.desk.pointed,) if self.desk.pointed is not None else ())

    def _unpick(self) -> None:
        if self._picked():
            self.desk.pick()


def _numbers(things: Iterable[Thing]) -> frozenset[int]:
    """Numbers of the proposals among some things."""
    return frozenset(thing.key for thing in things if thing.sort is Sort.PROPOSAL and isinstance(thing.key, int))


def _all(count: int) -> str:
    return f"all {count}" if count > 1 else many(count, "line")


def _seen(path: Path, stroke: Stroke) -> OverlayLine:
    return OverlayLine(points=path.points, stroke=stroke, closed=path.closed)
