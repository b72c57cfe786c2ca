"""What the window shows and what the hand has picked: the one place that all panes watch.

Panes never talk to each other. A pane reads from the desk, tells it what the user did, and repaints
when a signal says that something it shows has changed. The job itself is changed by deeds alone.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING
from uuid import UUID

from PySide6.QtCore import QObject, Signal

from leakmap.base.errors import LeakmapError
from leakmap.base.measures import Units
from leakmap.desk.since import Since
from leakmap.desk.things import OF_JOB, Declared, LedgerView, Paper, Stage, Thing, keys_of, renumbered
from leakmap.desk.tools.tool import Pointer, Tool
from leakmap.desk.trouble import Trouble, trouble_of
from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.model.revision import Begun
from leakmap.model.words import Face, Kind, Purpose, Wetness
from leakmap.repair.results import Repairs
from leakmap.work.edits.edit import Edit
from leakmap.work.kept_settings import keep_setting
from leakmap.work.offered import Offered
from leakmap.work.open_job import OpenJob
from leakmap.work.recent import Recent, remember
from leakmap.work.settings import DEFAULTS, Role, Settings, Value
from leakmap.work.snap_lines import Lines
from leakmap.work.staffs import NO_STAFFS, Staffs

if TYPE_CHECKING:
    from leakmap.desk.long_work import LongWork
    from leakmap.desk.pages_in import PageChoice
    from leakmap.repair.junctions import Junctions
    from leakmap.repair.worked_out import WorkedOut
    from leakmap.work.leaflets import Leaflet


class Desk(QObject):
    """The state of one window. ``None`` as open job is the start window."""

    opened = Signal()  # another job, or none, is on the desk
    changed = Signal(object)  # a deed was done, undone or redone: the rows that differ, (collection, id)
    shown_changed = Signal()  # a drag shows another job than the kept one, or no longer does
    stage_changed = Signal()
    level_changed = Signal()
    picked_changed = Signal()
    pointed_changed = Signal()
    tool_changed = Signal()  # another tool, or the tool's sentence or choices changed
    caught_changed = Signal()  # pointer position, catch, or live field
    role_changed = Signal()
    settings_changed = Signal()  # a setting of the person who works here, and what is in force at once
    scope_changed = Signal()
    ledger_view_changed = Signal()
    faint_changed = Signal()  # other layers of a drawing are shown faint
    offered_changed = Signal()  # lines are offered as joints, or no longer are
    draft_changed = Signal()  # a revision was begun, issued or given up
    paper_changed = Signal()  # a paper lies in the plan's place, or the plan again
    declared_changed = Signal()  # settings, rules, a leaflet or old jobs lie in the plan's place, or the plan again
    look_at = Signal(object)  # Thing: bring it into view on the plan
    spot_marked = Signal()  # a mere spot of the level is marked and to be brought into view, or is no longer marked
    said = Signal(str)  # one sentence for the band at the foot of the plan
    troubled = Signal(object)  # leakmap.desk.trouble.Trouble: a sentence with buttons
    photos_given = Signal(object, object)  # id of a leak, files: photos to be read and added to it
    pages_offered = Signal()  # pages of a file lie in the plan's place to choose from, or no longer do
    reading_asked = Signal(object, object, bool)  # level, Reading: read its file so, for it or (True) for another level
    working = Signal(object)  # leakmap.desk.watched.Watched: long work that the band shows and Esc stops
    saved_changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.open_job: OpenJob | None = None
        self._stage = Stage.DRAWING
        self._level: UUID | None = None
        self._picked: tuple[Thing, ...] = ()
        self._pointed: Thing | None = None
        self._settings = DEFAULTS
        self._whole_job = False
        self._ledger_view = LedgerView.LEVELS
        self._faint: dict[UUID, frozenset[str]] = {}
        self._paper: Paper | None = None
        self._declared: Declared | Leaflet | None = None
        self._mending = False
        self._page_choice: PageChoice | None = None
        self.system = Units.METRIC  # what the system of this computer measures in
        self.wetness = Wetness.SEEP  # of the next leak
        self.kind = Kind.CONSTRUCTION  # of the next joint
        self.face: Face | None = None  # of the next joint; None: the usual one of its kind
        self.follows = False  # whether the next joint follows lines of the drawing from click to click
        self.linework: Lines | None = None  # of the drawing on the plan; None: no drawing, or not yet gathered
        self._offered: Offered | None = None
        self.staffs: Staffs = NO_STAFFS  # seen beside vertical joints: where their heights are pointed at
        self.on_tape: UUID | None = None  # the joint that is laid out on the tape
        self.since = Since(self)  # changes that plan and ledger show
        self.issuing: LongWork | None = None  # makes the papers of the next revision, whatever tool is in hand
        self._preview: WorkedOut | None = None
        self._tool: Tool | None = None
        self.at_rest: Tool | None = None  # what works in the stage without a tool; see leakmap.desk.tools.at_rest
        self._caught: Pointer | None = None
        self._spot: Point | None = None

    # What is shown ------------------------------------------------------------------------------

    @property
    def units(self) -> Units:
        """In what lengths are shown and typed; without a job, in what those of a new one would be."""
        return self._settings.units.on(self.system) if self.job is None else self.job.units

    @property
    def job(self) -> Job | None:
        """The job as shown: that of a drag in hand, else the kept one."""
        if self._preview is not None:
            return self._preview.job
        return self.open_job.job if self.open_job is not None else None

    @property
    def repairs(self) -> Repairs | None:
        """The work-out of ``job``."""
        if self._preview is not None:
            return self._preview.repairs
        return self.open_job.repairs if self.open_job is not None else None

    @property
    def junctions(self) -> Junctions | None:
        """How the joints of ``job`` meet."""
        if self._preview is not None:
            return self._preview.ground.junctions
        return self.open_job.junctions if self.open_job is not None else None

    @property
    def marked(self) -> tuple[Thing, ...]:
        """What is picked, as the job that is shown calls it: a drag may give a zone another number."""
        if self._preview is None or self.open_job is None:
            return self._picked
        kept, shown = self.open_job.repairs, self._preview.repairs
        return tuple(renumbered(thing, kept, shown) for thing in self._picked)

    @property
    def dragging(self) -> bool:
        """Whether ``job`` is what a drag would do, not the kept job."""
        return self._preview is not None

    @property
    def level(self) -> UUID | None:
        """The sheet on the plan."""
        return self._level

    @property
    def stage(self) -> Stage:
        """The stage that the user is in."""
        return self._stage

    @property
    def picked(self) -> tuple[Thing, ...]:
        """What is picked, oldest first."""
        return self._picked

    @property
    def pointed(self) -> Thing | None:
        """What the pointer is on, in whichever pane."""
        return self._pointed

    @property
    def tool(self) -> Tool | None:
        """The tool in hand; None: a click picks."""
        return self._tool

    @property
    def caught(self) -> Pointer | None:
        """Where the pointer is on the plan, and what it is caught on; None when it is elsewhere."""
        return self._caught

    @property
    def spot(self) -> Point | None:
        """A spot that was looked for and is marked until something else is picked, metres of the site plane."""
        return self._spot

    @property
    def role(self) -> Role:
        """Whose columns the ledger shows."""
        return self._settings.role

    @property
    def settings(self) -> Settings:
        """The settings of the person who works here, as they are in force."""
        return self._settings

    @property
    def whole_job(self) -> bool:
        """Whether ledger totals count the whole job, not this level."""
        return self._whole_job

    @property
    def ledger_view(self) -> LedgerView:
        """What the ledger lists in stage Drawing."""
        return self._ledger_view

    def faint_layers(self, sheet: UUID) -> frozenset[str]:
        """Names of a sheet's layers that this window shows faint: a look of the window, not of the job."""
        return self._faint.get(sheet, frozenset())

    @property
    def offered(self) -> Offered | None:
        """Lines that are offered as joints, which the ledger lists meanwhile; None: none are."""
        return self._offered

    @property
    def draft(self) -> Purpose | None:
        """Purpose of the revision that is being made; None: none was begun. It freezes nothing."""
        return self.begun.purpose if self.begun is not None else None

    @property
    def begun(self) -> Begun | None:
        """The revision that is being made, with to whom it will go; None: none was begun."""
        return self.open_job.begun if self.open_job is not None else None

    @property
    def paper(self) -> Paper | None:
        """The paper that lies in the plan's place; None: the plan."""
        return self._paper

    @property
    def declared(self) -> Declared | Leaflet | None:
        """What is declared, or to be read, and lies in the plan's place; None: nothing of the kind."""
        return self._declared

    @property
    def page_choice(self) -> PageChoice | None:
        """The pages of a file to choose from, in the place of plan or start sheet; None: there are none."""
        return self._page_choice

    @property
    def mending(self) -> bool:
        """Whether the user came here from the check list, to which the strip leads back."""
        return self._mending

    # What the hand does ------------------------------------------------------------------------

    def put(self, open_job: OpenJob | None) -> None:
        """Put another job on the desk; the caller closes the one before."""
        if self._tool is not None:
            self.take_tool(None)
        self.offer_pages(None)
        self.show_declared(None)
        self.open_job = open_job
        self._preview = None
        self.at_rest = None
        self._picked, self._pointed = (), None
        self._spot = None
        self._faint = {}
        self._paper, self._mending = None, False
        self.linework = None
        self._level = next(iter(open_job.job.sheets), None) if open_job is not None else None
        self.opened.emit()

    def attempt(self, deed: Callable[[], object]) -> bool:
        """Run what may be refused; whether it was done. What went wrong is told in the band, never raised.

        >>> Desk().attempt(lambda: None)
        True
        """
        try:
            deed()
        except LeakmapError as problem:
            self.troubled.emit(trouble_of(problem))
            return False
        return True

    def may_change(self) -> bool:
        """Whether the job on the desk can be changed; why not is told in the band.

        >>> Desk().may_change()
        True
        """
        sentence = self.open_job.only_to_look if self.open_job is not None else ""
        if sentence:
            self.troubled.emit(Trouble(sentence=sentence))
        return not sentence

    def do(self, edit: Edit) -> None:
        """Keep a deed: on disk before the next frame, then shown everywhere."""
        assert self.open_job is not None
        self._preview = None
        self.open_job.do(edit)
        self.settle(edit.changed)
        for sentence in edit.said:
            self.said.emit(sentence)

    def show(self, edit: Edit | None) -> None:
        """Show what a drag would do, without keeping it; None: back to the kept job."""
        assert self.open_job is not None
        self._preview = None if edit is None else self.open_job.worked_out_of(edit)
        self.shown_changed.emit()

    def undo(self) -> None:
        """Take back one step of what is half-done; where nothing is, undo the last deed, if there is one."""
        tool = self._tool
        if self.open_job is None or (tool is not None and (self.dragging or tool.half_done) and tool.escaped()):
            return
        if self.open_job.undo_words:
            self._preview = None  # of the job as it was
            self.settle(self.open_job.undo())

    def redo(self) -> None:
        """Redo the last deed undone, if there is one; what is half-done goes with its tool."""
        if self.open_job is not None and self.open_job.redo_words:
            if self.dragging:
                self.take_tool(None)
            self._preview = None
            self.settle(self.open_job.redo())

    def go_to(self, stage: Stage) -> None:
        """Go to another stage; nothing is locked, and the tool in hand stays behind."""
        if stage is not self._stage:
            if self._tool is not None:
                self.take_tool(None)
            self.show_declared(None)
            self._stage = stage
            self._mending = self._mending and stage is not Stage.ISSUE
            self.stage_changed.emit()

    def mend(self, stage: Stage) -> None:
        """Go from the check list to the stage that mends something; until stage Issue comes again there is a way back."""
        self._mending = True
        self.go_to(stage)

    def show_level(self, sheet: UUID) -> None:
        """Put another level on the plan."""
        if sheet != self._level:
            self._level, self.linework = sheet, None
            self.mark_spot(None)
            self.level_changed.emit()

    def pick(self, *things: Thing, add: bool = False) -> None:
        """Pick things instead of, or besides, what is picked; picking again with ``add`` lets go."""
        kept = self._picked if add else ()
        again = {thing for thing in things if thing in kept}
        picked = (*(thing for thing in kept if thing not in again), *(thing for thing in things if thing not in again))
        self.mark_spot(None)
        if picked != self._picked:
            self._picked = picked
            self.picked_changed.emit()

    def mark_spot(self, at: Point | None) -> None:
        """Mark a spot of the level on the plan and bring it into view; None: no more."""
        if at is not None or self._spot is not None:
            self._spot = at
            self.spot_marked.emit()

    def point_at(self, thing: Thing | None) -> None:
        """Point at something, or at nothing."""
        if thing != self._pointed:
            self._pointed = thing
            self.pointed_changed.emit()

    def take_tool(self, tool: Tool | None) -> None:
        """Take a tool in hand, or put the one in hand away."""
        before, self._tool = self._tool, tool
        if tool is not None:
            self.show_declared(None)
            self.point_at(None)  # what lay under the pointer is no longer what a click means
        if before is not None:
            before.dropped()
        if tool is not None:
            tool.taken()
        self.tool_changed.emit()

    def catch(self, pointer: Pointer | None) -> None:
        """Say where the pointer is on the plan; None: it left."""
        if pointer != self._caught:
            self._caught = pointer
            self.caught_changed.emit()

    def take_role(self, role: Role) -> None:
        """Show another role's columns."""
        self.change_setting("role", role)

    def take_settings(self, settings: Settings) -> None:
        """Put settings in force without keeping them."""
        before, self._settings = self._settings, settings
        if settings != before:
            self.settings_changed.emit()
        if settings.role is not before.role:
            self.role_changed.emit()

    def change_setting(self, name: str, value: Value) -> bool:
        """Put one setting in force and keep it; whether it could be. Why not is told in the band."""
        return self.attempt(lambda: self.set_value(name, value))

    def set_value(self, name: str, value: Value) -> None:
        """Put one setting in force and keep it.

        Raises:
            LeakmapError: It cannot be that; or it could not be kept, and is in force until the window is closed.
        """
        new = self._settings.with_value(name, value)
        if new != self._settings:
            self.take_settings(new)
            keep_setting(name, value)

    def count_whole_job(self, whole: bool) -> None:  # noqa: FBT001 - a switch
        """Count the whole job in the totals, or this level."""
        if whole is not self._whole_job:
            self._whole_job = whole
            self.scope_changed.emit()

    def list_in_drawing(self, view: LedgerView) -> None:
        """Choose what the ledger lists in stage Drawing."""
        if view is not self._ledger_view:
            self._ledger_view = view
            self.ledger_view_changed.emit()

    def show_faint(self, sheet: UUID, layer: str, *, faint: bool) -> None:
        """Show a layer of a sheet's drawing faint in this window, or in full."""
        before = self.faint_layers(sheet)
        after = before | {layer} if faint else before - {layer}
        if after != before:
            self._faint[sheet] = after
            self.faint_changed.emit()

    def offer(self, offered: Offered | None) -> None:
        """Offer lines as joints, or no more."""
        if offered is not self._offered:
            self._offered = offered
            self.offered_changed.emit()

    def begin_revision(self, purpose: Purpose | None, *, to_whom: str | None = None) -> None:
        """Begin the next revision for a purpose, or give it up; it is kept over restarts.

        Args:
            purpose: What it is for; None: it is given up.
            to_whom: To whom it will go; None: as said before.
        """
        open_job, before = self.open_job, self.begun
        if open_job is None:
            return
        whom = to_whom if to_whom is not None else before.to_whom if before is not None else ""
        after = None if purpose is None else Begun(purpose=purpose, to_whom=whom)
        if after != before:
            self.attempt(lambda: open_job.begin(after))
        if before is None or after is None or after.purpose is not before.purpose:
            self.draft_changed.emit()

    def lay_out(self, paper: Paper | None) -> None:
        """Lay a paper in the plan's place, or the plan again."""
        if paper is not self._paper:
            self._paper = paper
            self.paper_changed.emit()

    def remember(self, change: Callable[[Recent], Recent]) -> None:
        """Change what is remembered of recent work, where anything is."""
        if self._settings.remember:
            remember(change)

    def show_declared(self, which: Declared | Leaflet | None) -> None:
        """Lay settings, the rules of the job, a leaflet or old jobs in the plan's place; None: what was there before."""
        if which is not self._declared and not (which in OF_JOB and self.open_job is None):
            if which is not None and self._tool is not None:
                self.take_tool(None)
            self._declared = which
            self.declared_changed.emit()

    def turn(self, which: Declared) -> None:
        """Lay what is declared in the plan's place, or where it lies there what was there before."""
        self.show_declared(None if self._declared is which else which)

    def offer_pages(self, choice: PageChoice | None) -> None:
        """Lay the pages of a file out to choose from, or put them away."""
        if choice is not self._page_choice:
            self._page_choice = choice
            self.pages_offered.emit()

    def settle(self, rows: object) -> None:
        """After rows of the job changed: let go of what is no longer there and tell every pane."""
        job, repairs = self.job, self.repairs
        assert job is not None
        assert repairs is not None
        there = keys_of(job, repairs, self._offered)
        self._picked = tuple(thing for thing in self._picked if thing.key in there[thing.sort])
        if self._pointed is not None and self._pointed.key not in there[self._pointed.sort]:
            self._pointed = None
        if self._level not in job.sheets:
            self._level = next(iter(job.sheets), None)
            self.level_changed.emit()
        self.changed.emit(rows)
        self.saved_changed.emit()
