"""Taking an action of a stage: by its button, its letter, a line of the ledger or the find box."""

from __future__ import annotations

from leakmap.desk.state import Desk
from leakmap.desk.things import Stage
from leakmap.desk.tools.tool import Action


def take(desk: Desk, action: Action) -> None:
    """Take an action: its tool in hand, or what it does at once; an action that waits or may not be done says why."""
    waits = action.ready(desk)
    if action.changes and not desk.may_change():
        return
    if waits is not None:
        desk.said.emit(waits)
    elif action.tool is not None:
        desk.take_tool(action.tool(desk))
    elif action.lays is not None:
        desk.turn(action.lays)
    elif action.run is not None:
        run = action.run
        desk.attempt(lambda: run(desk))


def in_hand(desk: Desk, action: Action) -> bool:
    """Whether an action's tool is the one in hand, or what it lays in the plan's place lies there."""
    if action.lays is not None:
        return desk.declared is action.lays
    tool = desk.tool
    return tool is not None and action.tool is not None and tool.key == action.key


def brings_first_drawing(action: Action) -> bool:
    """Whether an action can be done before a job is open."""
    return action.stage is Stage.DRAWING and action.key == "I"
