"""What the plan shows of the job on one level: its things, its references, what lies under the pointer.

Things and references are made a little at a time, so that a large job never holds the window up; what
is not made yet is shown as it was. While something is dragged, references keep their places.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from time import perf_counter
from typing import Final
from uuid import UUID

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QPainterPath

from leakmap.desk.plan.detail import Detail, Show, shown_in
from leakmap.desk.plan.drawn import Drawn, Key
from leakmap.desk.plan.ink import Look, looks_of, width_of
from leakmap.desk.plan.labels import ON_TEXT, Board, Placed, Wish, kept
from leakmap.desk.plan.paper import Paper
from leakmap.desk.plan.references import Lettering, extent_of, off_its_line, shows, take_thing, wish_of, wishes_of
from leakmap.desk.plan.things import Level
from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.geometry.path import Box, Point
from leakmap.issue.marks.primitives import Coat
from leakmap.work.changes_since import Changes
from leakmap.work.hits import Hit, Hits, Target
from leakmap.work.staffs import NO_STAFFS, height_at, hit_at

AT_ONCE_S: Final = 0.020
"""What may be made before the next frame, however often it is asked for until then; the rest follows in slices."""

SLICE_S: Final = 0.010
SAY_EVERY_S: Final = 0.6
"""Repaints are asked for no more often than this while things are made."""

ORDERS: Final = {
    Stage.DRAWING: (Target.JOINT,),
    Stage.JOINTS: (Target.JOINT,),
    Stage.LEAKS: (Target.LEAK, Target.JOINT),
}
"""What a click finds first in a stage; from Repair on, zones."""

_FROM_REPAIR: Final = (Target.RELIEF, Target.ZONE, Target.LEAK, Target.JOINT)
_REACH_PX: Final = 260.0  # how far a reference may stand from its thing, and how wide it may be
_MOST_WIDE: Final = 2.5
_SORTS: Final = {
    Target.JOINT: Sort.JOINT,
    Target.LEAK: Sort.LEAK,
    Target.ZONE: Sort.ZONE,
    Target.RELIEF: Sort.ZONE,
}


class Scene(QObject):
    """Things and references of the level on the plan.

    Signals: ``changed`` when more can be shown.

    Attributes:
        edge: Of the site as it is seen whole, which no reference crosses; None: nothing is fitted.
    """

    changed = Signal()

    def __init__(self, desk: Desk, paper: Paper, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.paper = paper
        self.desk = desk
        self.detail = Detail(px_per_m=30.0)
        self.raised: frozenset[UUID] = frozenset()  # vertical joints of which the staff shows though they are dry
        self.lettering = Lettering(px=14.5, width_of=width_of)
        self.level = Level()
        self.edge: Box | None = None
        self.seen: Box | None = None
        self._window: Box | None = None
        self._moved = False
        self._said = 0.0
        self._left_s = AT_ONCE_S
        self._references_due = False
        self._asked: set[Key] | None = None
        self._taken: set[Key] = set()
        self._stood: set[int] = set()
        self.labels: dict[Key, Placed] = {}
        self.board = Board(30.0)
        self._paths: dict[Key, tuple[Drawn, Show, list[tuple[Look, QPainterPath]]]] = {}
        self._waiting: Iterator[tuple[Wish, Placed | None] | None] | None = None
        self._fresh: dict[Key, Placed] = {}
        self._touched: list[Box] | None = None  # None: all of it
        self._besides: dict[Key, tuple[tuple[object, ...], Placed]] = {}
        self._hits: tuple[tuple[object, ...], Hits] | None = None
        self._due: tuple[object, ...] = ()
        self._raised: frozenset[UUID] = frozenset()
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self._go_on)

    @property
    def show(self) -> Show:
        """What the stage shows; where it tells changes since a revision, as on paper, no leaks."""
        shown = shown_in(self.desk.stage)
        return shown if self.changes is None else replace(shown, leaks=False)

    @property
    def changes(self) -> Changes | None:
        """What changed since a revision, where the stage shows zones and it was chosen to be told."""
        return self.desk.since.on_plan if shown_in(self.desk.stage).zones else None

    @property
    def busy(self) -> bool:
        """Whether something that is seen is still to be made."""
        return not self.level.ready(self._near) or self._waiting is not None or self._references_due

    def forget(self) -> None:
        """Another job or level: nothing shown before belongs to it."""
        self.level, self.labels, self._paths, self._waiting, self._due = Level(), {}, {}, None, ()
        self._hits, self._references_due, self._touched = None, False, None
        self.desk.staffs = NO_STAFFS

    @property
    def _near(self) -> Box | None:
        """The window, and as far round it as its references may reach."""
        return None if self._window is None else _wider(self._window, _REACH_PX / self.detail.px_per_m)

    def look(self, seen: Box) -> None:
        """Take note of what part of the site is seen; what is made reaches half as far again each way."""
        self.seen = seen
        if self._window is None or not _holds(self._window, seen) or _wide(self._window) > _MOST_WIDE * _wide(seen):
            self._window = _wider(seen, _wide(seen) / 2)
            self._moved = True

    def renew(self) -> bool:
        """Bring everything up to date, as far as there is time before the next frame; whether anything changed."""
        job, repairs, sheet = self.desk.job, self.desk.repairs, self.desk.level
        if job is None or repairs is None or sheet is None:
            self.forget()
            return True
        changes = self.changes
        due = (job, repairs, sheet, self.detail, self.show, self.lettering, changes, self.edge)
        same = (
            len(self._due) == len(due) and self._due[0] is job and self._due[1] is repairs and self._due[2:] == due[2:]
        )
        if len(self._due) != len(due) or self._due[2:] != due[2:]:
            self._touched = None
        as_raised = self._raised == self.raised
        if same and as_raised and not self._moved and not self.busy:
            return False
        if not same or not as_raised:  # a staff that is raised moves no reference: none stands in its place
            wet = self.show.leaks or changes is not None
            self.level.plan(job, repairs, sheet, self.detail, raised=self.raised, wet=wet, changes=changes)
            self.desk.staffs = self.level.staffs
        if not same:
            self._asked = self._waiting = None
            self._besides = {}
        self._references_due = self._references_due or self._moved or not same
        self._due, self._raised, self._moved = due, self.raised, False
        begun = perf_counter()
        self._make(self._left_s)
        self._left_s = max(self._left_s - (perf_counter() - begun), 0.0)
        return True

    def painted(self) -> None:
        """A frame was painted: as much as before may be made until the next one."""
        self._left_s = AT_ONCE_S

    def finish(self) -> None:
        """Make all that is left now."""
        while self.busy:
            self._make(1.0)

    def _go_on(self) -> None:
        if not self.busy:
            self._gather()
            return
        self._make(SLICE_S)
        now = perf_counter()
        if not self.busy or now - self._said >= SAY_EVERY_S:
            self._said = now
            self.changed.emit()

    def _gather(self) -> None:
        """Gather what a click finds in this stage while nothing is to be made, so that the first hover is as fast as any."""
        hits, end = self._hits_now(), perf_counter() + SLICE_S
        if hits is None or self.desk.dragging:
            return
        for _ in hits.gather(ORDERS.get(self.desk.stage, _FROM_REPAIR)):
            if perf_counter() >= end:
                self._timer.start(0)
                return

    def _make(self, seconds: float) -> None:
        end = perf_counter() + seconds
        if self.level.make(lambda: perf_counter() < end, self._near):
            if self._waiting is None and self._references_due:
                self._references_due = False
                self._begin_references()
            self._place(end)
        if self.busy or not self.desk.dragging:  # a drag looks for nothing
            self._timer.start(0)

    def _begin_references(self) -> None:
        """Ask for places: anew after a change, else only for what came into the window; nothing placed moves."""
        if self.desk.dragging and self.board.px_per_m == self.detail.px_per_m:
            self._bear(kept(self.labels, self._wishes(None)))
            return
        if self._asked is None:
            job, sheet = self.desk.job, self.desk.level
            extent = extent_of(job, sheet) if job is not None and sheet is not None else None
            self.board, self._asked, self._taken, self._fresh = Board(self.detail.px_per_m, extent), set(), set(), {}
            self._stood = set()
            if self.edge is not None:
                self.board.stay_within(self.edge)
        self._waiting = self._placing(self._asked)

    def _placing(self, asked: set[Key]) -> Iterator[tuple[Wish, Placed | None] | None]:
        """Take what stands there, then place references one by one; None for a step that places none."""
        yield from self._signs_taken()
        yield from self._texts_taken()
        wishes = [wish for wish in self._wishes(self._window) if wish.key not in asked]
        asked.update(wish.key for wish in wishes)
        yield from self.board.place(wishes)

    def _texts_taken(self) -> Iterator[None]:
        """Let references rather stand beside the texts that can be read in the window or near it, one a step."""
        if not self.detail.references or not (self.detail.texts_of_drawing or self.show.full_drawing):
            return
        texts = self.paper.standing
        new = set(texts.legible(self._near, self.detail.px_per_m)) - self._stood
        self._stood |= new
        for number in sorted(new):
            x0, y0, x1, y1 = texts.boxes[number].tolist()
            self.board.take((x0, y0, x1, y1), weight=ON_TEXT)
            yield

    def _signs_taken(self) -> Iterator[None]:
        """Keep references off all that lies in the window or near it, one thing a step."""
        if not self.detail.references:
            return
        near, show = self._near, self.show
        for key, drawn in list(self.level.drawn) if near is None else self.level.meeting(near):
            if key not in self._taken and shows(key, drawn, show):
                self._taken.add(key)
                take_thing(self.board, key, drawn, self.detail)
                yield

    def _place(self, end: float) -> None:
        while self._waiting is not None and perf_counter() < end:
            step = next(self._waiting, self._waiting)
            if step is self._waiting:
                self._waiting = None
                self._bear(self._fresh)
            elif isinstance(step, tuple) and step[1] is not None:
                self._fresh[step[0].key] = step[1]
                if self.labels is self._fresh:
                    self._touch(step[1])

    def _bear(self, labels: dict[Key, Placed]) -> None:
        """Bear other references than before."""
        before, self.labels = self.labels, labels
        for key in before.keys() | labels.keys():
            one, other = before.get(key), labels.get(key)
            if one != other:
                for label in (one, other):
                    if label is not None:
                        self._touch(label)

    def _touch(self, label: Placed) -> None:
        if self._touched is not None:
            self._touched.append(label.reach(self.detail.px_per_m))

    def take_touched(self) -> list[Box] | None:
        """Boxes of the site in which something is shown otherwise since this was last asked; None: everywhere."""
        found, self._touched = self._touched, []
        boxes, self.level.touched = self.level.touched, []
        return None if found is None else [*found, *boxes]

    def _wishes(self, box: Box | None) -> list[Wish]:
        return wishes_of(self.level, self.show, self.detail, self.lettering, box)

    # What is asked of it ------------------------------------------------------------------------

    def looks(self, box: Box, without_strokes: frozenset[UUID]) -> Iterator[tuple[Look, QPainterPath]]:
        """Paths of all that reaches into a box of the site.

        Args:
            box: Metres.
            without_strokes: Leaks whose strokes are left out.
        """
        show = self.show
        for key, drawn in self.level.meeting(box):  # more may be made while these are painted
            if not shows(key, drawn, show):
                continue
            for look, path in self._looks_of(key, drawn, show):
                if look[0] is Coat.STROKE and key[1] in without_strokes:
                    continue
                yield look, path

    def _looks_of(self, key: Key, drawn: Drawn, show: Show) -> list[tuple[Look, QPainterPath]]:
        held = self._paths.get(key)
        if held is None or held[0] is not drawn or held[1] != show:
            held = (drawn, show, list(looks_of(drawn.coats)))
            self._paths[key] = held
        return held[2]

    def strokes_let_go(self) -> frozenset[UUID]:
        """Leaks of picked zones, whose strokes hide at middle zoom so that handles stand free."""
        repairs = self.desk.repairs
        if repairs is None or not self.detail.lets_strokes_go or not self.show.zones:
            return frozenset()
        numbers = {thing.key for thing in self.desk.picked if thing.sort is Sort.ZONE}
        zones = (zone for zone in repairs.zones if zone.number in numbers) if numbers else ()
        return frozenset(leak for zone in zones for piece in zone.pieces for leak in piece.leaks)

    def marked_label(self, thing: Thing) -> Placed | None:
        """The reference of something picked or pointed at: in its place, or beside it if it has none."""
        key: Key = (str(thing.sort), thing.key)
        if key in self.labels:
            return self.labels[key]
        drawn = self.level.of(thing)
        if drawn is None or not drawn.words or not shows(key, drawn, self.show):
            return None
        return self._beside(key, drawn)

    def _beside(self, key: Key, drawn: Drawn) -> Placed:
        """A place for a reference that has none: looked for once, as long as nothing about it changes."""
        of = (drawn, self.detail, self.lettering, self.show)
        held = self._besides.get(key)
        if held is not None and held[0] == of:
            return held[1]
        wish = wish_of(key, drawn, self.detail, self.lettering)
        if key[0] == Sort.JOINT and self.desk.dragging:
            wish = off_its_line(wish, drawn, self.detail.px_per_m)
        board = (
            self.board if self.detail.references else Board(self.detail.px_per_m)
        )  # from afar marks lie too close for any room
        found = board.at_any_cost(wish)
        self._besides[key] = (of, found)
        return found

    def at(self, point: Point, radius_m: float, order: tuple[Target, ...] | None = None) -> Thing | None:
        """What a click at a place of the site would pick.

        Args:
            point: The place.
            radius_m: How far from it.
            order: What is found first; None: as the stage has it.
        """
        hit = self.hit(point, radius_m, order)
        return Thing(_SORTS[hit.target], hit.key) if hit is not None else None

    def hit(self, point: Point, radius_m: float, order: tuple[Target, ...] | None = None) -> Hit | None:
        """The same as a hit."""
        job, repairs = self.desk.job, self.desk.repairs
        order = ORDERS.get(self.desk.stage, _FROM_REPAIR) if order is None else order
        staffs = self.level.staffs
        height = height_at(staffs, point, radius_m)
        if height is not None and job is not None and repairs is not None:
            return hit_at(job, repairs, height, radius_m / staffs[height.joint].share, order)
        hits = self._hits_now()
        return None if hits is None else hits.at(point, radius_m, order)

    def _hits_now(self) -> Hits | None:
        """What finds things of the level on the plan; None where there is none."""
        job, repairs, sheet = self.desk.job, self.desk.repairs, self.desk.level
        if job is None or repairs is None or sheet is None:
            return None
        staffs = {key: staff.path for key, staff in self.level.staffs.items()}
        source = (job, repairs, sheet, staffs)
        held = self._hits
        if held is not None and held[0][0] is job and held[0][1] is repairs and held[0][2:] == source[2:]:
            return held[1]
        hits = Hits(job, repairs, sheet, staffs, before=None if held is None or held[0][2] != sheet else held[1])
        self._hits = (source, hits)
        return hits


def _wide(box: Box) -> float:
    return box[2] - box[0]


def _wider(box: Box, by: float) -> Box:
    return box[0] - by, box[1] - by, box[2] + by, box[3] + by


def _holds(box: Box, other: Box) -> bool:
    return box[0] <= other[0] and box[1] <= other[1] and box[2] >= other[2] and box[3] >= other[3]
