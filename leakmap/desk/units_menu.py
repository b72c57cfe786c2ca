"""What the Units cell of the foot offers: the units of the job, and glove mode."""

from __future__ import annotations

from functools import partial
from typing import Final

from PySide6.QtWidgets import QMenu, QWidget

from leakmap.base.measures import Units
from leakmap.desk.job_menu import plain_menu
from leakmap.desk.state import Desk
from leakmap.desk.theme import tokens
from leakmap.work.edits.rules import set_units

UNITS_WORDS: Final = ((Units.METRIC, "Metric"), (Units.IMPERIAL, "Feet and inches"))
GLOVE_WORDS: Final = "Glove mode"
_LOOK: Final = (
    "QMenu::item {{ padding-left: 40px; }}"
    "QMenu::indicator {{ left: 16px; width: 9px; height: 9px; border: 1px solid {0.ink}; }}"
    "QMenu::indicator:checked {{ background: {0.ink}; }}"
)


def units_menu(desk: Desk, parent: QWidget) -> QMenu:
    """The menu as things stand now; a full square stands before what is in force."""
    menu, job = plain_menu(parent, "Units"), desk.job
    menu.setStyleSheet(menu.styleSheet() + _LOOK.format(tokens()))
    for units, words in UNITS_WORDS:
        action = menu.addAction(words, partial(_take, desk, units))
        action.setCheckable(True)
        action.setChecked(job is not None and job.units.system is units.system)
        action.setEnabled(job is not None)
    menu.addSeparator()
    glove = desk.settings.glove_mode
    action = menu.addAction(GLOVE_WORDS, lambda: desk.change_setting("glove_mode", not glove))
    action.setCheckable(True)
    action.setChecked(glove)
    return menu


def _take(desk: Desk, units: Units) -> None:
    """Read the job in these units: a deed, for its papers print in them."""
    job = desk.job
    if job is not None and job.units.system is not units.system and desk.may_change():
        desk.attempt(lambda: desk.do(set_units(job, units=units)))
