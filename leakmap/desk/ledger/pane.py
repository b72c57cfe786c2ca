"""The ledger: the live schedule beside the plan."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from itertools import pairwise
from typing import Final

from PySide6.QtCore import QSize, Qt, QTimer
from PySide6.QtGui import QAccessible, QPaintEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from leakmap.desk.larger import larger, scaled, sizes_for
from leakmap.desk.ledger.ahead import Ahead
from leakmap.desk.ledger.answers import choose_layer, look_at, mend, turn_layer
from leakmap.desk.ledger.columns import Form, columns_of, room_step
from leakmap.desk.ledger.head import LedgerHead
from leakmap.desk.ledger.issued_papers import IssuedPapers
from leakmap.desk.ledger.issued_sums import IssuedSums
from leakmap.desk.ledger.listing import Listing, listing_of
from leakmap.desk.ledger.models import Entry, LedgerModel
from leakmap.desk.ledger.nothing import Nothing
from leakmap.desk.ledger.photos import LeakPhotos
from leakmap.desk.ledger.pricing import Pricing
from leakmap.desk.ledger.table import LedgerTable
from leakmap.desk.ledger.totals import TotalsFoot
from leakmap.desk.pens import down, painting
from leakmap.desk.state import Desk
from leakmap.desk.theme import tokens
from leakmap.desk.things import Stage
from leakmap.desk.tokens import LEDGER_LIMITS, WIDE, Sizes
from leakmap.work.kept import Kept
from leakmap.work.ledger_rows import NO_SUMS
from leakmap.work.row_days import RowDays
from leakmap.work.settings import Role

_EDGE: Final = 1
_LEAST_ROWS: Final = 3
"""Rows that are seen before photos and the choice of columns have their usual room."""
_MANY: Final = 1000  # rows; as many take about a frame
_REST_MS: Final = 150
_COMPACT_BELOW: Final = 400
_BY_PICK: Final = (Stage.REPAIR, Stage.ISSUE)  # which show prices, too
_BY_LEVEL: Final = (Stage.JOINTS, Stage.LEAKS, Stage.REPAIR, Stage.AS_BUILT)
_SORT: Final = "sort_"

Order = tuple[str, bool]
"""A column, and whether rows fall by it."""


class LedgerPane(QWidget):
    """Head, table and totals; it reads the desk, tells it what was picked, and follows its signals.

    Attributes:
        head: Title, level and whose columns are shown.
        table: The rows.
        model: What the rows are.
        nothing: What is said where there are no rows.
        photos: Photos of the picked leak.
        totals: The foot.
        ahead: Rows that are made before their stage comes.
        pricing: Prices zones.
        sums: What revisions came to.
        orders: What each stage is sorted by, where that is not the order in which rows come.
    """

    heard_as: Final = QAccessible.Role.Grouping

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._stale = True
        self._kept = Kept()
        self._days = RowDays(desk.open_job.file) if desk.open_job is not None else None
        self._listed: Stage | None = None
        self.orders: dict[Stage, Order] = {}
        self._sizes: Sizes = WIDE
        self._step = 0  # of its width, by which columns are chosen
        self.model = LedgerModel(self)
        self.head = LedgerHead(desk, self)
        self.table = LedgerTable(desk, self.model, self)
        self.nothing = Nothing(desk, self)
        self.photos = LeakPhotos(desk, self)
        self.totals = TotalsFoot(desk, self._kept, self)
        self._rest = QTimer(self, singleShot=True, interval=_REST_MS)
        self._rest.timeout.connect(self._refresh)
        self._papers = IssuedPapers(desk)
        self.pricing = Pricing(desk, self._kept, self.model.entry_of, self)
        self.sums = IssuedSums(desk, self)
        for known in (self.pricing.done, self.sums.done):
            known.connect(self._refresh)
        self.ahead = Ahead(desk, self.pricing, self)
        self._lay_out()
        self.table.acted.connect(self._act)
        self.table.editing.draft_edited.connect(self._refresh)
        self.table.sorted_by.connect(self._note_order)
        self._watch()
        self._refresh()

    def _lay_out(self) -> None:
        self.setAccessibleName("Ledger")
        self.setAccessibleDescription("what the stage is about, row by row, and its sums")
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setMinimumWidth(LEDGER_LIMITS[0])
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)
        column = QVBoxLayout(self)
        column.setContentsMargins(_EDGE, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.head)
        column.addWidget(self.table, 1)
        column.addWidget(self.nothing, 1)
        column.addWidget(self.photos)
        column.addWidget(self.totals)
        chain = (*self.head.words, self.table.horizontalHeader(), self.table, *self.totals.words)
        for one, other in pairwise(chain):
            self.setTabOrder(one, other)

    def _watch(self) -> None:
        desk = self._desk
        for signal in (
            desk.changed,
            desk.stage_changed,
            desk.level_changed,
            desk.role_changed,
            desk.scope_changed,
            desk.ledger_view_changed,
            desk.faint_changed,
            desk.draft_changed,
            desk.offered_changed,
        ):
            signal.connect(self._refresh)
        desk.since.changed.connect(self._follow_changes)
        desk.opened.connect(self._open)
        desk.shown_changed.connect(self._follow_drag)
        desk.picked_changed.connect(self._follow_pick)
        desk.pointed_changed.connect(self.table.viewport().update)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """As wide as the layout says."""
        return QSize(self._sizes.ledger, 600)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Take the sizes of the window's layout, and drop columns where it is narrow."""
        super().resizeEvent(event)
        self.take_sizes()
        self._share()

    def take_sizes(self) -> None:
        """Take the sizes that are in force."""
        sizes = sizes_for(self.window().width()) if self.window() is not self else WIDE
        step = room_step(self.width())
        if sizes is not self._sizes or self.compact is not self.model.compact or step != self._step:
            self._sizes, self._step = sizes, step
            for part in (self.head, self.table, self.totals):
                part.take_sizes(sizes)
            self._refresh()
            self._share()

    def _share(self) -> None:
        """Leave rows their room: photos stand in a line; then, where letters are large, other things go.

        First the choice of columns, then half of the totals, at last all of them as long as photos are shown.
        """
        sizes, least = self._sizes, _LEAST_ROWS * self._sizes.row
        rows, photos = self.height() - sizes.totals - sizes.row_head - sizes.ledger_head, not self.photos.isHidden()
        if photos:
            self.photos.fit(rows - least)
            rows -= self.photos.height()
        scarce = larger().large and rows < least
        self.head.be_short(scarce)
        rows += sizes.ledger_head - self.head.height()
        self.totals.be_short(scarce and rows < least)
        self.totals.setVisible(not (photos and scarce and rows + self.totals.height() < least))

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Catch up with what changed while it was hidden."""
        super().showEvent(event)
        if self._stale:
            self._refresh()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Rule the left edge."""
        with painting(self) as painter:
            down(painter, 0, 0, self.height(), tokens().rule_strong)

    @property
    def compact(self) -> bool:
        """Whether it is too narrow for every column."""
        return self.width() < scaled(_COMPACT_BELOW)

    def _open(self) -> None:
        """Show another job."""
        self.ahead.stop()
        self.pricing.stop()
        self._kept.forget()
        self._days = RowDays(self._desk.open_job.file) if self._desk.open_job is not None else None
        self._refresh()

    def _follow_pick(self) -> None:
        """Select what is picked; papers of a revision, and what a zone is mixed of, are listed once the click is over."""
        self.table.follow()
        self._share()
        if self._desk.stage in _BY_PICK:
            QTimer.singleShot(0, self, self._refresh)

    def _follow_changes(self) -> None:
        """List what changed since a revision, in the turn after the plan has shown it."""
        QTimer.singleShot(0, self, self._refresh)

    def _follow_drag(self) -> None:
        """Follow a drag: totals at once, and the rows too unless there are so many that the hand would feel it."""
        if len(self.model.entries) <= _MANY:
            self._refresh()
        elif self.isVisible():
            self.totals.refresh()
            self._rest.start()

    def _refresh(self) -> None:
        """Show the desk as it is; while the ledger is hidden, later."""
        self._rest.stop()
        self._stale = not self.isVisible() and self.parent() is not None
        if self._stale:
            return
        self.model.order = self.orders.get(self._desk.stage)
        stage, role = self._desk.stage, self._desk.role
        prices = self.pricing.look() if stage in _BY_PICK else None
        sums = self.sums.look() if stage is Stage.ISSUE and role is Role.ESTIMATOR else NO_SUMS
        listing = listing_of(self._desk, self._kept, self._days, prices=prices, sums=sums)
        self._show(listing)
        self.head.show_words(listing.title, self._level_words())
        self.totals.refresh()
        self._share()
        self.ahead.look()

    def _show(self, listing: Listing) -> None:
        self.table.setVisible(not listing.empty)
        self.nothing.setVisible(bool(listing.empty))
        self.setFocusProxy(self.head.words[0] if listing.empty else self.table)
        self.nothing.say(listing.empty, listing.answers)
        stage, role, units = self._desk.stage, self._desk.role, self._desk.units
        columns = columns_of(stage, role, compact=self.compact, units=units, room=self.width(), money=listing.money)
        table = listing.table
        if not any(column.form is Form.LENGTH for column in columns):  # a subtotal without a figure says nothing
            table = replace(table, sums=table.sums[-1:])
        if self.model.show(columns, table, listing.sections, compact=self.compact, above=listing.above):
            self.table.shape()
        if self._listed is not self._desk.stage:
            self._listed = self._desk.stage
            self.table.scrollToTop()
            self.table.follow()
        self.table.keep()

    def _level_words(self) -> str:
        job, level = self._desk.job, self._desk.level
        if job is None or level is None:
            return ""
        whole = self._desk.whole_job and self._desk.stage in _BY_LEVEL
        return "whole job" if whole else f"level {job.sheets[level].name}"

    def _note_order(self) -> None:
        """Keep what the stage is sorted by."""
        if self.model.order is None:
            self.orders.pop(self._desk.stage, None)
        else:
            self.orders[self._desk.stage] = self.model.order

    def remembered(self) -> dict[str, str]:
        """What each stage is sorted by, in words to be remembered; a minus stands before what rows fall by."""
        orders = ((stage, self.orders.get(stage)) for stage in Stage)
        return {f"{_SORT}{stage.value}": "" if order is None else "-" * order[1] + order[0] for stage, order in orders}

    def take_remembered(self, known: Mapping[str, str | int]) -> None:
        """Sort each stage as it was; what names no column of it sorts nothing."""
        for stage in Stage:
            words = known.get(f"{_SORT}{stage.value}", "")
            if isinstance(words, str) and words.strip("-"):
                self.orders[stage] = (words.removeprefix("-"), words.startswith("-"))
        self._refresh()

    def _act(self, entry: Entry) -> None:
        """Do what a note does when it is clicked, and tell what it says then."""
        QTimer.singleShot(0, self.table, partial(self.table.tell_changed, entry))
        if entry.note.each_way:
            from leakmap.desk.tools.set_scale import give_each_way  # noqa: PLC0415 - late

            give_each_way(self._desk)
        elif entry.note.layer and self._desk.offered is not None:
            choose_layer(self._desk, entry.note)
        elif entry.note.layer:
            turn_layer(self._desk, entry.note)
        elif entry.note.paper is not None:
            self._papers.open(entry.note.paper)
        elif entry.note.shows and entry.thing is not None:
            show = mend if self._desk.stage is Stage.ISSUE else look_at
            show(self._desk, entry.thing)
