"""The ledger's foot: four figures that follow every change, and the switch of what they count."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QAccessible, QColor, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QButtonGroup, QWidget

from leakmap.desk.faces import text
from leakmap.desk.larger import scaled
from leakmap.desk.ledger.head import Word
from leakmap.desk.ledger.listing import sheet_listed
from leakmap.desk.pens import across, down, painting, width_of, write
from leakmap.desk.state import Desk
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import BODY_TYPE, CAPTION_TYPE, MARGIN, UNIT, WIDE, Sizes
from leakmap.work.kept import Kept
from leakmap.work.ledger_totals import LedgerTotals, ledger_totals

NAMES: Final = ("Joints", "Wet", "Repair", "Saved by merging")
SAVED_SHORT: Final = "Saved, whole job"
NOTHING: Final = "–"
_RULE: Final = 2
_APART: Final = 10
_SWITCH: Final = (("this level", "whole job"), ("level", "job"))
"""What the switch says, and where that has no room."""


class TotalsFoot(QWidget):
    """Joints, Wet, Repair, Saved by merging: of this level, or of the whole job."""

    heard_as: Final = QAccessible.Role.Grouping

    def __init__(self, desk: Desk, kept: Kept, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)  # painted anew when the pointer comes or goes
        self._desk, self._kept = desk, kept
        self._sizes: Sizes = WIDE
        self._short = False
        self._totals: LedgerTotals | None = None
        self._group = QButtonGroup(self)
        self._switch = {whole: self._word(whole) for whole in (False, True)}
        self.take_sizes(WIDE)
        self.refresh()

    def _word(self, whole: bool) -> Word:  # noqa: FBT001 - one of two
        word = Word(_SWITCH[0][whole], CAPTION_TYPE, self, underline=2, pad=6, hangs=True)
        word.setAccessibleDescription("Totals count")
        self._group.addButton(word)

        def chosen() -> None:
            self._desk.count_whole_job(whole)

        word.clicked.connect(chosen)
        return word

    @property
    def figures(self) -> tuple[str, ...]:
        """The four figures as shown, in the order of ``NAMES``; dashes where no job is open."""
        return tuple(NOTHING if value is None else self._shown(value) for value in self._values())

    @property
    def words(self) -> tuple[Word, ...]:
        """The switch of what is counted."""
        return tuple(self._switch.values())

    def refresh(self) -> None:
        """Work the figures out anew."""
        job, repairs = self._desk.job, self._desk.repairs
        found = None
        if job is not None and repairs is not None:
            sheet, kept = sheet_listed(self._desk), self._kept
            found = kept.of(("totals", sheet), (job, repairs), lambda: ledger_totals(job, repairs, sheet, kept))
        for whole, word in self._switch.items():
            word.setVisible(found is not None)
            word.setChecked(whole is self._desk.whole_job)
        self._totals = found
        spoken = (
            f"{name} none"
            if figure == NOTHING
            else f"{name} {figure} {self._desk.units.before('') and 'metres'}".rstrip()
            for name, figure in zip(NAMES, self.figures, strict=True)
        )
        self.setAccessibleName(", ".join(spoken))
        self.update()

    def take_sizes(self, sizes: Sizes) -> None:
        """Take the sizes of another layout."""
        self._sizes = sizes
        self.be_short(False)
        self._place()

    def be_short(self, short: bool) -> None:  # noqa: FBT001 - a switch
        """Show the metres of wet and repair alone, where rows need the room of the others; a tip says all."""
        self._short = short
        self.setToolTip(self.accessibleName() if short else "")
        self.setFixedHeight(_RULE + (self._sizes.totals - _RULE) // (2 if short else 1))

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Place the switch anew."""
        super().resizeEvent(event)
        self._place()

    def _place(self) -> None:
        right, half = self.width() - MARGIN, round(self.width() / 2)
        room = self.width() - half - 2 * MARGIN - width_of(NAMES[1], text(CAPTION_TYPE)) - UNIT
        for short in (False, True):
            for whole, word in self._switch.items():
                word.setText(_SWITCH[short][whole])
            if sum(word.sizeHint().width() for word in self._switch.values()) + _APART <= room:
                break
        for word in reversed(self._switch.values()):
            hint = word.sizeHint()
            word.setGeometry(right - hint.width(), _RULE + self._up(), hint.width(), hint.height())
            right -= hint.width() + _APART

    def _up(self) -> int:
        """Top of captions and switch in a cell: the lower a cell, the nearer they stand to its upper edge."""
        return 8 if self._sizes.wide else 4

    def _shown(self, value: Decimal) -> str:
        units = self._desk.units
        return units.measured(value) if self.underMouse() else units.shown(value)

    def _values(self) -> tuple[Decimal | None, ...]:
        found = self._totals
        if found is None:
            return (None,) * len(NAMES)
        return found.joint_m, found.wet_m, found.repair_m, found.saved_m

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the four cells."""
        with painting(self) as painter:
            room = QRectF(self.rect())
            painter.fillRect(room, QColor(tokens().sheet))
            cells = list(zip(NAMES, self.figures, strict=True))
            cells = [cells[2], cells[1]] if self._short else cells
            half, high = round(room.width() / 2), (room.height() - _RULE) / (len(cells) // 2)
            across(painter, _RULE + high, 0, room.right())
            down(painter, half, _RULE, room.bottom())
            for at, (name, figure) in enumerate(cells):
                left = half * (at % 2) + MARGIN
                top = _RULE + high * (at // 2)
                number, unit = text(self._sizes.totals_type, strong=True), text(BODY_TYPE)
                caption = QRectF(left, top + self._up() - 1, half - MARGIN, scaled(18))
                write(painter, caption, self._caption(name, caption.width()), text(CAPTION_TYPE), ink=tokens().ink2)
                line = QRectF(left, top + 6 + scaled(18), half - MARGIN, 0.0)
                line.setBottom(top + high - 3)
                write(painter, line, figure, number)
                if figure != NOTHING:
                    beside = line.adjusted(width_of(figure, number) + 7, 2, 0, 2)
                    write(painter, beside, self._desk.units.before(""), unit, ink=tokens().ink2)
            across(painter, 0, 0, room.right(), tokens().rule_strong, px=_RULE)

    def _caption(self, name: str, room_px: float) -> str:
        """What is saved counts the whole job: overruns merge across levels; shorter where it has no room."""
        several = self._desk.job is not None and len(self._desk.job.sheets) > 1
        if name == NAMES[3] and several and not self._desk.whole_job:
            long = f"{name}, whole job"
            return long if width_of(long, text(CAPTION_TYPE)) <= room_px else SAVED_SHORT
        return name
