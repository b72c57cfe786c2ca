"""The foot: six ruled cells that say where the hand is, and whether scale and file can be trusted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from PySide6.QtCore import QPoint, QRectF, Qt, QUrl
from PySide6.QtGui import QAccessible, QColor, QDesktopServices, QFont, QFontMetricsF, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from leakmap.base.measures import System, Units
from leakmap.desk.faces import text
from leakmap.desk.larger import larger, scaled
from leakmap.desk.pens import across, down, fitting, frame, painting, when_pressed, width_of, write, write_fitting
from leakmap.desk.pressed import Pressed
from leakmap.desk.state import Desk
from leakmap.desk.taking import take
from leakmap.desk.theme import tokens
from leakmap.desk.things import Stage
from leakmap.desk.tokens import BODY_TYPE, CAPTION_TYPE, WIDE, Sizes
from leakmap.desk.tools.table import action_for
from leakmap.geometry.path import Point
from leakmap.model.grid import position_words
from leakmap.model.job import Job
from leakmap.model.sheet import (
    AGREE_SHARE,
    Sheet,
    Source,
    disagreement,
    pixel_m,
    scale_is_checked,
    third_length_needed,
    unscaled_unit,
)
from leakmap.work.aloud import aloud
from leakmap.work.open_job import OpenJob

_NONE: Final = "–"
_DOES: Final = ("asks for a known length", "switches metric, and feet and inches", "opens the folder of the job")
"""What a press on Scale, Units and Saved does."""
_UNITS: Final = {System.METRIC: "metric", System.IMPERIAL: "feet, inches"}
_SHARES: Final = (285, 229, 190, 400, 133, 363)
"""Widths of the cells of a window of 1600 px."""

_USUAL: Final = (
    "C+12.20 / 4+10.35",
    "112.35, 112.35",
    "2 lengths agree",
    "crossing of J-01 and J-05",
    "feet, inches",
    "all changes on disk",
)
"""What is usually read there, by which cells share the foot where letters are large."""

_LEFT: Final = 14
_AROUND: Final = 18


@dataclass(frozen=True, slots=True)
class Known:
    """What a cell says, and whether it is in order.

    Attributes:
        words: The value.
        good: Whether it is in order.
        beside: What stands beside the caption where there is room.
    """

    words: str
    good: bool = True
    beside: str = ""


def scale_known(sheet: Sheet, units: Units = Units.METRIC) -> Known:
    """How the scale of a level is known."""
    lengths = len(sheet.lengths)
    if sheet.source is None:
        return Known(f"blank sheet in {units.words}")
    if not lengths:
        return Known(_without_lengths(sheet, sheet.source), good=False)
    if any(abs(disagreement(sheet, known)) > AGREE_SHARE for known in sheet.lengths):
        return Known(f"{lengths} lengths disagree" if lengths > 1 else "length disagrees", good=False)
    if third_length_needed(sheet):
        return Known("a third length to agree", good=False)
    if not scale_is_checked(sheet):
        return Known("one way only", good=False)
    return Known(f"{lengths} lengths agree")


def pixel_words(sheet: Sheet) -> str:
    """How large a pixel of a scan is on site; empty where that is not known, or the drawing is no picture."""
    metres = pixel_m(sheet)
    if metres is None or sheet.source is None or (sheet.source.unit is None and not sheet.lengths):
        return ""
    return f"1 px = {float(f'{metres * 1000:.3g}'):g} mm"


def _without_lengths(sheet: Sheet, source: Source) -> str:
    """How the scale of a drawing is known that no known length was measured on."""
    if source.unit is None:
        if not source.on_paper and source.pixel is None:
            return "from the file, to check"
        return "not known yet" if unscaled_unit(sheet) is not None else "laid by places, to check"
    return f"printed 1:{source.unit * 1000:g}, to check" if source.on_paper else "as you said, to check"


class FootCell(Pressed):
    """A caption over a value."""

    def __init__(self, caption: str, press: Callable[[], object] | None, parent: QWidget) -> None:
        super().__init__(parent)
        self.caption = caption
        self.known = Known(_NONE)
        self.sizes = WIDE
        self.heard_as = QAccessible.Role.StaticText if press is None else None
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus if press is not None else Qt.FocusPolicy.NoFocus)
        self.setAccessibleName(f"{caption}: none")
        if press is not None:
            self.setCursor(Qt.CursorShape.PointingHandCursor)
            when_pressed(self, press)

    def show_known(self, known: Known) -> None:
        """Show a value."""
        if known != self.known:
            self.known = known
            self.setText(known.words)
            self.setAccessibleName(aloud(f"{self.caption}: {', '.join(filter(None, (known.words, known.beside)))}"))
            self._tip()
            self.update()

    def _tip(self) -> None:
        """Say in a tip what has no room in the cell."""
        self.setToolTip("" if fitting(self._value(), self.known.words, self._fonts()) else self.known.words)

    def _fonts(self) -> tuple[QFont, QFont]:
        """Letters of the value: as usual, and smaller where it needs two lines."""
        return text(self.sizes.foot_type, strong=True), text(CAPTION_TYPE, strong=True)

    def _value(self) -> QRectF:
        """Where the value stands: a line, or two smaller ones where letters are large."""
        width, middle = self.width() - _AROUND, self.height() / 2
        if not larger().large:
            return QRectF(_LEFT, middle - 3, width, 20)
        top = round(QFontMetricsF(text(CAPTION_TYPE)).height()) + 3
        return QRectF(_LEFT, top, width, self.height() - top)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Another room for the words."""
        super().resizeEvent(event)
        self._tip()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint caption and value."""
        with painting(self) as painter:
            width = self.width() - _AROUND
            ink = tokens().ink if self.known.good else tokens().repair
            caption = f"{self.caption}, {self.known.beside}" if self.known.beside else self.caption
            caption = caption if width_of(caption, text(CAPTION_TYPE)) <= width else self.caption
            top = 3.0 if larger().large else self.height() / 2 - 20
            line = QRectF(_LEFT, top, width, scaled(18))
            write(painter, line, caption, text(CAPTION_TYPE), ink=tokens().ink2)
            write_fitting(painter, self._value(), self.known.words, self._fonts(), ink=ink)
            if self.hasFocus():
                frame(painter, QRectF(self.rect()).adjusted(2, 2, -2, -2), tokens().focus, 3.0)


class Foot(QWidget):
    """From grid, Position m, Scale, Caught on, Units, Saved."""

    heard_as: Final = QAccessible.Role.StatusBar

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.desk = desk
        self.from_grid = FootCell("From grid", None, self)
        self.position = FootCell("Position m", None, self)
        self.scale = FootCell("Scale", self._ask_scale, self)
        self.caught = FootCell("Caught on", None, self)
        self.units = FootCell("Units", self._offer_units, self)
        self.saved = FootCell("Saved", self._open_folder, self)
        self.setAccessibleName("Foot")
        for cell, does in zip((self.scale, self.units, self.saved), _DOES, strict=True):
            cell.setAccessibleDescription(does)
        self.cells = (self.from_grid, self.position, self.scale, self.caught, self.units, self.saved)
        desk.caught_changed.connect(self._show_hand)
        desk.saved_changed.connect(self._show_saved)
        for signal in (desk.opened, desk.changed, desk.level_changed):
            signal.connect(self.refresh)
        self.set_sizes(WIDE)
        self.refresh()

    def set_sizes(self, sizes: Sizes) -> None:
        """Lay the foot out for wide or compact."""
        self.setFixedHeight(sizes.foot)
        for cell in self.cells:
            cell.sizes = sizes
        self._lay_out()

    def refresh(self) -> None:
        """Read everything anew from the desk."""
        job = self.desk.job
        sheet = job.sheets.get(self.desk.level) if job is not None and self.desk.level is not None else None
        scale = (
            Known(_NONE) if sheet is None else replace(scale_known(sheet, self.desk.units), beside=pixel_words(sheet))
        )
        self.scale.show_known(scale)
        self.units.show_known(Known(_NONE if job is None else _UNITS[job.units.system]))
        self._show_hand()
        self._show_saved()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep the shares of the cells."""
        super().resizeEvent(event)
        self._lay_out()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint ground and rules."""
        with painting(self) as painter:
            painter.fillRect(self.rect(), QColor(tokens().panel))
            across(painter, 0, 0, self.width(), tokens().rule_strong, px=2)
            for cell in self.cells[1:]:
                down(painter, cell.x() - 1, 2, self.height())

    def _show_hand(self) -> None:
        pointer, job = self.desk.caught, self.desk.job
        if pointer is None or job is None:
            self.position.caption = self.desk.units.after("Position")
            for cell in (self.from_grid, self.position, self.caught):
                cell.show_known(Known(_NONE))
            return
        grid = position_words(job.grid, pointer.at, job.units) if job.grid is not None else ""
        self.from_grid.show_known(Known(grid or "no grid set"))
        self.position.show_known(self._position(job, pointer.at))
        self.caught.show_known(Known(pointer.catch.words if pointer.catch is not None else _NONE))

    def _position(self, job: Job, at: Point) -> Known:
        """Where the hand is: in metres, or in what stands for them while nothing says how large the drawing is."""
        sheet = job.sheets.get(self.desk.level) if self.desk.level is not None else None
        unscaled = unscaled_unit(sheet) if sheet is not None else None
        self.position.caption = job.units.after("Position") if unscaled is None else f"Position {unscaled[1]}"
        if unscaled is None:
            return Known(job.units.place(*at))
        return Known(", ".join(f"{value / unscaled[0]:.0f}" for value in at).replace("-", "−"))

    def _show_saved(self) -> None:
        open_job = self.desk.open_job
        self.saved.show_known(Known("nothing to save") if open_job is None else _saved(open_job))

    def _ask_scale(self) -> None:
        if self.desk.open_job is not None:
            self.desk.go_to(Stage.DRAWING)
            action = action_for(Stage.DRAWING, "S")
            if action is not None:
                take(self.desk, action)

    def _offer_units(self) -> None:
        """Offer units and glove mode above the cell, the first of them ready for Enter."""
        from leakmap.desk.units_menu import units_menu  # noqa: PLC0415 - late

        menu = units_menu(self.desk, self)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.popup(self.units.mapToGlobal(QPoint(0, -menu.sizeHint().height())))
        menu.setActiveAction(next(action for action in menu.actions() if action.isEnabled()))

    def _open_folder(self) -> None:
        if self.desk.open_job is not None:
            show_folder(self.desk.open_job.file.path.parent)

    def _lay_out(self) -> None:
        shares = [width_of(words, text(BODY_TYPE)) for words in _USUAL] if larger().large else _SHARES
        x, whole = 0.0, sum(shares)
        for cell, share in zip(self.cells, shares, strict=True):
            wide = self.width() * share / whole
            cell.setGeometry(round(x), 2, round(x + wide) - round(x), self.height() - 2)
            x += wide


def show_folder(folder: Path) -> None:
    """Open a folder in the system's own window."""
    QDesktopServices.openUrl(QUrl.fromLocalFile(str(folder)))


def _saved(open_job: OpenJob) -> Known:
    if open_job.look_only:
        return Known("look only")
    return Known(open_job.saved_words, good=not open_job.unsaved)
