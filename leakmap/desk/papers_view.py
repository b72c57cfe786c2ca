"""Papers in the plan's place: the pages of the repair schedule, the plan set, or the marked drawing of the level.

All come from the paper that an issue would make, made in a process of its own and marked as not issued. The schedule's
pages lie under each other: the wheel turns them, Ctrl and the wheel bring them nearer. The plan set is leafed through,
a whole page at a time, in the same ways. The marked drawing is one sheet: the wheel brings it nearer. Dragging moves
the paper.
"""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QAccessible,
    QColor,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QWidget

from leakmap.base.counted import many
from leakmap.desk.faces import text
from leakmap.desk.larger import scaled
from leakmap.desk.long_work import LongWork
from leakmap.desk.page_tiles import PageTiles
from leakmap.desk.paper_making import PaperMaking, made_of
from leakmap.desk.pens import CENTRE, frame, painting, write
from leakmap.desk.state import Desk
from leakmap.desk.theme import tokens
from leakmap.desk.things import Paper
from leakmap.desk.tokens import BODY_TYPE, CAPTION_TYPE, MARGIN
from leakmap.drawings.pdf_pages import PdfPages
from leakmap.work.previews import PLAN_HEADING

_MARGIN: Final = 24.0
_GAP: Final = 16.0
_WIDEST: Final = 860.0
"""Widest page of the schedule before it is brought nearer."""
_STEP: Final = 2**0.25
_NOTCH: Final = 120
_NEAREST: Final = 8.0
_FARTHEST: Final = 1.0
_SCROLL_PX: Final = 100.0
_NAMES: Final[dict[Paper | None, str]] = {Paper.MARKED: "Marked drawing", Paper.PLAN_SET: "Plan set"}
_LEAVES: Final = {Qt.Key.Key_PageDown: 1, Qt.Key.Key_PageUp: -1, Qt.Key.Key_Home: -10_000, Qt.Key.Key_End: 10_000}
_LAYING: Final = "Laying out the pages…"
_NOTHING: Final = "Nothing is drawn on this level yet, so there is no marked drawing of it."


class PapersView(QWidget):
    """The paper that the desk has laid in the plan's place."""

    heard_as: Final = QAccessible.Role.Document

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.desk = desk
        self.pages: PdfPages | None = None
        self._making = PaperMaking(desk, self)
        self._making.made.connect(self._made)
        self._making.broken_off.connect(self._broken_off)
        self._making.stopped.connect(self._stopped)
        self._made_of: tuple[object, ...] | None = None  # the job and what else; None: to be made
        self._kind: object = None  # which file the pages are of
        self._leaf = 0  # of the plan set, the page that is looked at
        self._turned = 0.0  # notches of the wheel that turned no page yet
        self._headings: dict[str, int] = {}
        self.tiles = PageTiles(self)
        self.tiles.more.connect(self.update)
        self._zoom = 1.0
        self._offset = QPointF(0, 0)
        self._dragged_from: QPointF | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        for signal in (desk.paper_changed, desk.level_changed):
            signal.connect(self._another)
        for signal in (desk.changed, desk.draft_changed, desk.picked_changed):
            signal.connect(self.renew)
        desk.opened.connect(self.forget)
        self.renew()

    # What is shown -----------------------------------------------------------------------------------

    @property
    def work(self) -> LongWork | None:
        """What makes the file; None: nothing is being made."""
        return self._making.work

    def renew(self, _rows: object = None) -> None:
        """Make the papers anew where the job is another one now; give up what is looked at no more."""
        open_job = self.desk.open_job
        if open_job is None:
            return
        if self.desk.paper is None:
            self._give_up()
            return
        wanted = (open_job.job, *made_of(self.desk))
        if self._made_of is not None and self._made_of[0] is wanted[0] and self._made_of[1:] == wanted[1:]:
            self.update()
            return
        self._give_up()
        if self._kind is not wanted[1]:
            self._take(None)  # another paper: its pages must not be taken for these
        self._made_of = wanted
        self._kind = wanted[1]
        self.desk.attempt(self._making.begin)
        self.update()

    def forget(self) -> None:
        """Let go of the papers: another job is on the desk."""
        self._making.give_up()
        self._take(None)
        self._made_of = self._kind = None

    def _give_up(self) -> None:
        """Let go of what is not finished; it is made anew when it is looked at again."""
        if self.work is not None:
            self._making.give_up()
            self._made_of = None

    def _another(self) -> None:
        self._zoom, self._offset, self._leaf = 1.0, QPointF(0, 0), 0
        self.renew()

    def _made(self, data: bytes) -> None:
        self.desk.attempt(lambda: self._take(PdfPages(data)))

    def _broken_off(self) -> None:
        self._made_of = None

    def _stopped(self) -> None:
        """Nothing is laid out: the plan again."""
        self._made_of = None
        self.desk.take_tool(None)

    def _take(self, pages: PdfPages | None) -> None:
        if self.pages is not None:
            self.pages.close()
        self.pages = pages
        self._headings = dict(pages.headings()) if pages is not None else {}
        self.tiles.forget()
        self._hold()
        self.update()

    # Where pages lie ---------------------------------------------------------------------------------

    def shown_pages(self) -> tuple[int, ...]:
        """Numbers of the pages of the paper that is looked at, 0 first."""
        if self.pages is None or self.desk.job is None:
            return ()
        if self.desk.paper is Paper.PLAN_SET:
            return (min(self._leaf, len(self.pages) - 1),)
        if self.desk.paper is not Paper.MARKED:
            return tuple(range(len(self.pages)))
        sheet = self.desk.job.sheets.get(self.desk.level) if self.desk.level is not None else None
        page = self._headings.get(PLAN_HEADING.format(sheet.name)) if sheet is not None else None
        return () if page is None else (page,)

    def places(self) -> tuple[tuple[int, QRectF], ...]:
        """Each page and where it lies in the pane."""
        assert self.pages is not None or not self.shown_pages()
        if self.pages is None:
            return ()
        top, found = _MARGIN, []
        for page in self.shown_pages():
            width, height = self._size(*self.pages.size_pt(page))
            left = max((self.width() - width) / 2, _MARGIN)
            if self._whole:
                top = max((self.height() - height) / 2, _MARGIN)
            found.append((page, QRectF(left, top, width, height).translated(-self._offset)))
            top += height + _GAP
        return tuple(found)

    @property
    def _whole(self) -> bool:
        """Whether one page is seen at a time, whole."""
        return self.desk.paper in (Paper.MARKED, Paper.PLAN_SET)

    def _size(self, width_pt: float, height_pt: float) -> tuple[float, float]:
        """Pixels of a page: the schedule's all equally wide, one that is seen alone as large as the pane."""
        if not self._whole:
            scale = min(self.width() - 2 * _MARGIN, _WIDEST) / width_pt
        else:
            scale = min((self.width() - 2 * _MARGIN) / width_pt, (self.height() - 2 * _MARGIN) / height_pt)
        scale = max(scale, 0.05) * self._zoom
        return width_pt * scale, height_pt * scale

    def _hold(self) -> None:
        """Keep the paper in the pane."""
        shown = self.shown_pages()
        self.setAccessibleName(_NAMES.get(self.desk.paper, "Repair schedule"))
        self.setAccessibleDescription(self._heard(shown))
        places = [place.translated(self._offset) for _, place in self.places()]
        right = max((place.right() for place in places), default=0.0) + _MARGIN
        bottom = max((place.bottom() for place in places), default=0.0) + _MARGIN
        self._offset = QPointF(
            min(max(self._offset.x(), 0.0), max(right - self.width(), 0.0)),
            min(max(self._offset.y(), 0.0), max(bottom - self.height(), 0.0)),
        )

    def _heard(self, shown: tuple[int, ...]) -> str:
        """How many pages there are, or which one is seen, in words."""
        if not shown or self.pages is None:
            return _LAYING
        if self.desk.paper is Paper.PLAN_SET:
            return f"page {shown[0] + 1} of {len(self.pages)}"
        return many(len(shown), "page")

    # Painting ----------------------------------------------------------------------------------------

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the pages that are seen, and which they are."""
        with painting(self) as painter:
            painter.fillRect(self.rect(), QColor(tokens().board))
            places = self.places()
            for page, place in places:
                if place.intersects(QRectF(self.rect())):
                    self._paint_page(painter, page, place)
            if not places:
                words = _LAYING if self.work is not None or self.pages is None else _NOTHING
                write(painter, QRectF(self.rect()), words, text(BODY_TYPE), ink=tokens().ink2, align=CENTRE)
            elif len(places) > 1 or self.desk.paper is Paper.PLAN_SET:
                self._paint_count(painter, places)
            if self.hasFocus():
                frame(painter, QRectF(self.rect()), tokens().focus, 3.0)

    def _paint_page(self, painter: QPainter, page: int, place: QRectF) -> None:
        assert self.pages is not None
        self.tiles.paint(painter, self.pages, page, place, QRectF(self.rect()))
        frame(painter, place, tokens().edge)

    def _paint_count(self, painter: QPainter, places: tuple[tuple[int, QRectF], ...]) -> None:
        """Which page lies in the middle, at the foot of the pane."""
        middle = self.height() / 2
        page = min(places, key=lambda item: abs(item[1].center().y() - middle))[0]
        assert self.pages is not None
        wide, high = scaled(116.0), scaled(24.0)
        box = QRectF(self.width() - MARGIN - wide, self.height() - MARGIN - high, wide, high)
        painter.fillRect(box, QColor(tokens().panel))
        frame(painter, box, tokens().edge)
        write(painter, box, f"page {page + 1} of {len(self.pages)}", text(CAPTION_TYPE), align=CENTRE)

    # The hand ----------------------------------------------------------------------------------------

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep the paper in the pane."""
        super().resizeEvent(event)
        self._hold()

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """Turn pages, or bring the paper nearer."""
        turned = event.angleDelta().y() / _NOTCH
        ctrl = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        if ctrl or self.desk.paper is Paper.MARKED:
            self._nearer(_STEP**turned, event.position())
        elif self.desk.paper is Paper.PLAN_SET:
            self._turn_by_wheel(turned)
        else:
            self._move(0.0, -turned * _SCROLL_PX)
        event.accept()

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Take hold of the paper."""
        self._dragged_from = event.position()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Move the paper."""
        if self._dragged_from is not None:
            step = self._dragged_from - event.position()
            self._dragged_from = event.position()
            self._move(step.x(), step.y())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Let go of the paper."""
        del event
        self._dragged_from = None

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Turn pages by keys; what is no such key goes to the window."""
        page = self.height() - 2 * _MARGIN
        key = Qt.Key(event.key())
        if self.desk.paper is Paper.PLAN_SET and key in _LEAVES:
            self._turn_to(self._leaf + _LEAVES[key])
            return
        schedule = self.desk.paper is not Paper.MARKED
        steps = {Qt.Key.Key_Down: (0.0, _SCROLL_PX), Qt.Key.Key_Up: (0.0, -_SCROLL_PX)}
        steps |= {Qt.Key.Key_Left: (-_SCROLL_PX, 0.0), Qt.Key.Key_Right: (_SCROLL_PX, 0.0)}
        if schedule:
            steps |= {Qt.Key.Key_PageDown: (0.0, page), Qt.Key.Key_PageUp: (0.0, -page)}
            steps |= {Qt.Key.Key_Home: (0.0, -1e9), Qt.Key.Key_End: (0.0, 1e9)}
        if key in steps:
            self._move(*steps[key])
        elif key in {Qt.Key.Key_Plus, Qt.Key.Key_Equal, Qt.Key.Key_Minus}:
            self._nearer(_STEP**2 if key is not Qt.Key.Key_Minus else _STEP**-2, QPointF(self.rect().center()))
        else:
            super().keyPressEvent(event)

    def _turn_by_wheel(self, turned: float) -> None:
        """Move down a page that was brought nearer, and from its end on to the next one; a whole notch turns a page."""
        before = self._offset.y()
        self._move(0.0, -turned * _SCROLL_PX)
        self._turned = 0.0 if self._offset.y() != before else self._turned - turned
        if abs(self._turned) >= 1.0:
            self._turn_to(self._leaf + (1 if self._turned > 0 else -1))

    def _turn_to(self, leaf: int) -> None:
        """Look at another page of the plan set, as near as the one before."""
        last = len(self.pages) - 1 if self.pages is not None else 0
        self._turned, self._leaf = 0.0, min(max(leaf, 0), last)
        self._offset = QPointF(self._offset.x(), 0.0)
        self._hold()
        self.update()

    def _move(self, right: float, down: float) -> None:
        self._offset += QPointF(right, down)
        self._hold()
        self.update()

    def _nearer(self, factor: float, about: QPointF) -> None:
        """Zoom so that the paper under a place stays there."""
        before = self._zoom
        self._zoom = min(max(before * factor, _FARTHEST), _NEAREST)
        ratio = self._zoom / before
        self._offset = (self._offset + about) * ratio - about
        self._hold()
        self.update()
