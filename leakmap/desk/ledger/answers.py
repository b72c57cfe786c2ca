"""What the ledger's buttons and notes do: go to the stage that helps, take its tool, come back."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from PySide6.QtCore import QObject

from leakmap.desk.state import Desk
from leakmap.desk.taking import take as take_action
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tools.table import action_for
from leakmap.work.check_list import Where, levels_of
from leakmap.work.edits.sheets import show_layer
from leakmap.work.ledger_notes import Note, Sign

_MENDS: Final = {
    Sort.SHEET: Stage.DRAWING,
    Sort.JOINT: Stage.JOINTS,
    Sort.LEAK: Stage.LEAKS,
    Sort.ZONE: Stage.REPAIR,
    Sort.REVISION: Stage.ISSUE,
}
"""Where what is the matter with a thing is put right."""


def take(desk: Desk, stage: Stage, key: str) -> None:
    """Go to a stage and do the action of a letter there, if it can be done; the band says why not."""
    desk.go_to(stage)
    action = action_for(stage, key)
    if action is not None:
        take_action(desk, action)


def mark_leaks(desk: Desk) -> None:
    """Take the tool that marks leaks."""
    take(desk, Stage.LEAKS, "L")


def set_scale(desk: Desk) -> None:
    """Take the tool that sets the scale."""
    take(desk, Stage.DRAWING, "S")


def draw_joint_then_return(desk: Desk) -> None:
    """Take the tool that draws joints; when a joint is drawn, go back to marking leaks."""
    take(desk, Stage.JOINTS, "J")
    Return(desk)


def show_level_of(desk: Desk, thing: Thing) -> None:
    """Put a level of a thing on the plan, if it does not lie on the one that is there."""
    if desk.job is None or desk.repairs is None:
        return
    sheets = levels_of(desk.job, desk.repairs, Where(thing.sort.value, thing.key))
    if sheets and desk.level not in sheets:
        desk.show_level(sheets[0])


def look_at(desk: Desk, thing: Thing) -> None:
    """Pick a thing and bring it into view on the plan; a level asks for its scale instead."""
    if thing.sort is Sort.SHEET:
        show_level_of(desk, thing)
        set_scale(desk)
        return
    if desk.paper is not None:
        desk.take_tool(None)  # the tool laid the paper over the plan
    desk.pick(thing)
    show_level_of(desk, thing)
    desk.look_at.emit(thing)


def mend(desk: Desk, thing: Thing) -> None:
    """Go to the stage that mends what the check list says of a thing, and show it; the strip leads back."""
    desk.mend(_MENDS[thing.sort])
    look_at(desk, thing)


def turn_layer(desk: Desk, note: Note) -> None:
    """Show a layer of the level's drawing the next way: full, faint, hidden, full."""
    job, sheet = desk.job, desk.level
    if job is None or sheet is None:
        return
    if note.sign is Sign.FULL:
        desk.show_faint(sheet, note.layer, faint=True)
        return
    shown = note.sign is Sign.HIDDEN
    if desk.attempt(lambda: desk.do(show_layer(job, sheet=sheet, layer=note.layer, shown=shown))):
        desk.show_faint(sheet, note.layer, faint=False)


def choose_layer(desk: Desk, note: Note) -> None:
    """Offer what a layer proposes as joints, or no more."""
    from leakmap.desk.tools.from_lines import FromLines  # noqa: PLC0415 - late

    if isinstance(desk.tool, FromLines):
        desk.tool.choose(note.layer)


class Return(QObject):
    """Goes back to stage Leaks when a joint was drawn; gives up when the user goes elsewhere."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._desk = desk
        self._joints = self._drawn()
        desk.changed.connect(self._changed)
        desk.stage_changed.connect(self._left)
        desk.opened.connect(self._left)

    def _drawn(self) -> set[object]:
        return set(self._desk.job.joints) if self._desk.job is not None else set()

    def _changed(self, _rows: Iterable[object]) -> None:
        if self._drawn() - self._joints:
            self._end()
            mark_leaks(self._desk)

    def _left(self) -> None:
        self._end()

    def _end(self) -> None:
        self._desk.changed.disconnect(self._changed)
        self._desk.stage_changed.disconnect(self._left)
        self._desk.opened.disconnect(self._left)
        self.deleteLater()
