"""A leaflet in the plan's place: cautions, what is new, or what a field table would do; headings at the left, what they say at the right.

Arrows and Page Up and Down move it, Esc or Back shows the plan again.
"""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QAccessible, QKeyEvent, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QScrollArea, QVBoxLayout, QWidget

from leakmap.desk.declared_line import wrapped_words
from leakmap.desk.faces import text
from leakmap.desk.larger import grown, larger, scaled
from leakmap.desk.pens import across, frame, painting
from leakmap.desk.state import Desk
from leakmap.desk.theme import tokens
from leakmap.desk.things import Declared
from leakmap.desk.titled_column import TitledColumn
from leakmap.desk.tokens import BODY_TYPE, SECOND_TYPE, UNIT
from leakmap.work.leaflets import Leaflet, Passage, cautions_leaflet, changes_leaflet

_WIDEST: Final = 900
_HEADING: Final = 190
_BESIDE: Final = 560
"""From this width on the words stand beside their heading, else under it."""


class PassageRow(QWidget):
    """One heading with its paragraphs, ruled off below."""

    def __init__(self, passage: Passage) -> None:
        super().__init__()
        self.setAccessibleName(f"{passage.heading}. {' '.join(passage.paragraphs)}")
        self._across = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        self._across.setContentsMargins(0, UNIT + 2, 0, UNIT + 3)
        self._across.setSpacing(UNIT)
        self._heading = wrapped_words(passage.heading, text(BODY_TYPE, strong=True))
        self._across.addWidget(self._heading, 0, Qt.AlignmentFlag.AlignTop)
        told = QVBoxLayout()
        told.setSpacing(UNIT)
        for paragraph in passage.paragraphs:
            told.addWidget(wrapped_words(paragraph, text(BODY_TYPE)))
        self._across.addLayout(told, 1)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Put the words under the heading where there is no room beside it."""
        super().resizeEvent(event)
        beside = self.width() >= scaled(_BESIDE)
        ways = QBoxLayout.Direction
        self._across.setDirection(ways.LeftToRight if beside else ways.TopToBottom)
        self._heading.setFixedWidth(grown(_HEADING) if beside else self.width())

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Rule the lower edge."""
        with painting(self) as painter:
            across(painter, self.height() - 1, 0, self.width())


class Leaf(QScrollArea):
    """What is moved to be read."""

    heard_as: Final = QAccessible.Role.Document


class LeafletView(TitledColumn):
    """The leaflet that the desk has laid in the plan's place.

    Attributes:
        rows: A row for each passage, in order.
    """

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(desk, Leaf(), parent)
        self.rows: tuple[PassageRow, ...] = ()
        self._shown: object = None
        self._scroll.setAccessibleDescription("arrows and Page Down move it")
        self._scroll.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._scroll.installEventFilter(self)
        self.setFocusProxy(self._scroll)
        self.refresh()

    def refresh(self, _rows: object = None) -> None:
        """Show the leaflet that is laid out."""
        leaflet = self._leaflet()
        shown = (leaflet, larger().share, larger().glove)
        if leaflet is not None and shown != self._shown:
            self._shown = shown
            self._make(leaflet)

    def _leaflet(self) -> Leaflet | None:
        declared = self.desk.declared
        if isinstance(declared, Leaflet):
            return declared
        if declared is Declared.CAUTIONS:
            return cautions_leaflet(self.desk.units)
        return changes_leaflet() if declared is Declared.CHANGES else None

    def _make(self, leaflet: Leaflet) -> None:
        sheet, column = self._begin(leaflet.title, widest=_WIDEST)
        words = " ".join(f"{each.heading}. {' '.join(each.paragraphs)}" for each in leaflet.passages)
        for widget in (self, self._scroll):
            widget.setAccessibleName(leaflet.title)
            widget.setAccessibleDescription(f"{leaflet.hint} {words}")
        column.addWidget(wrapped_words(leaflet.hint, text(SECOND_TYPE), quiet=True))
        self.rows = tuple(PassageRow(passage) for passage in leaflet.passages)
        for row in self.rows:
            column.addWidget(row)
        column.addStretch(1)
        self._scroll.setWidget(sheet)
        self._scroll.verticalScrollBar().setValue(0)

    def eventFilter(self, watched: object, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Esc shows the plan again; letters take no tool while it is hidden."""
        if watched is self._scroll and isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            if event.key() == Qt.Key.Key_Escape:
                self.desk.show_declared(None)
                return True
            if event.text().isalnum():
                return not event.modifiers() & Qt.KeyboardModifier.AltModifier
        elif watched is self._scroll and event.type() in (QEvent.Type.FocusIn, QEvent.Type.FocusOut):
            self.update()
        return False

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Show where the keyboard is."""
        if self._scroll.hasFocus():
            with painting(self) as painter:
                frame(painter, self.rect().toRectF(), tokens().focus, 3.0)
