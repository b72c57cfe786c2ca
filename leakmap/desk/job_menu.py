"""What the job cell offers: other jobs, the rules of this one, the settings, and jobs that were open before."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QPoint, QTimer
from PySide6.QtWidgets import QApplication, QMenu, QWidget

from leakmap.desk.doings import EVERYWHERE
from leakmap.desk.faces import text
from leakmap.desk.larger import larger
from leakmap.desk.roles import tell_focus
from leakmap.desk.theme import tokens
from leakmap.desk.things import Declared
from leakmap.desk.tokens import BODY_TYPE
from leakmap.work.recent import recent

if TYPE_CHECKING:
    from leakmap.desk.window import MainWindow

_MOST: Final = 6
_PAD: Final = (9, 16)
"""Over and under the words of an entry, px; and for a glove."""

_LOOK: Final = (
    "QMenu {{ background: {0.sheet}; color: {0.ink}; border: 1px solid {0.edge}; }}"
    "QMenu::item {{ padding: {1}px 16px; }} QMenu::item:selected {{ background: {0.mark}; color: {0.on_mark}; }}"
    "QMenu::item:disabled {{ color: {0.ink3}; }} QMenu::separator {{ height: 1px; background: {0.rule}; }}"
)


def job_menu(window: MainWindow) -> QMenu:
    """The menu of the job cell, as things stand now."""
    desk, sitting = window.desk, window.sitting
    menu = plain_menu(window, "Job")
    menu.setMinimumWidth(window.sizes.job_cell)
    menu.addAction(_with_key("New job"), sitting.close).setEnabled(desk.open_job is not None)
    menu.addAction(_with_key("Open a job"), window.start.choose_job)
    menu.addAction("Find in old jobs", lambda: window.old_jobs.open())  # noqa: PLW0108 - the pane is late
    menu.addSeparator()
    rules = menu.addAction("Rules of this job", lambda: desk.show_declared(Declared.RULES))
    materials = menu.addAction("Materials of this job", lambda: desk.show_declared(Declared.MATERIALS))
    rates = menu.addAction("Rates of this job", lambda: desk.show_declared(Declared.RATES))
    for each in (rules, materials, rates):
        each.setEnabled(desk.open_job is not None)
    menu.addAction(_with_key("Settings"), lambda: desk.show_declared(Declared.SETTINGS))
    here = desk.open_job.file.path.absolute() if desk.open_job is not None else None
    others = [path for path in recent().jobs if path.is_file() and path != here]
    if others:
        menu.addSeparator()
    for path in others[:_MOST]:
        menu.addAction(path.stem).triggered.connect(lambda *_, path=path: sitting.open_job(path))
    return menu


def _with_key(words: str) -> str:
    """What an entry is called, and the key that does the same, which stands at its right."""
    key = next(doing.key for doing in EVERYWHERE if doing.words == words)
    return f"{words}\t{key.replace('+', ' ')}"


def plain_menu(parent: QWidget, name: str) -> QMenu:
    """A menu without entries, in the letters and colours in force; when it closes, who has the keyboard again is told."""
    menu = QMenu(parent)
    menu.setAccessibleName(name)
    menu.aboutToHide.connect(lambda: QTimer.singleShot(0, parent, lambda: tell_focus(QApplication.focusWidget())))
    menu.setFont(text(BODY_TYPE))
    menu.setStyleSheet(_LOOK.format(tokens(), _PAD[larger().glove]))
    return menu


def below(widget: QWidget) -> QPoint:
    """The lower left corner of a widget on the screen."""
    return widget.mapToGlobal(QPoint(0, widget.height()))
