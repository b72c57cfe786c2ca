"""Every button of the action strip as data, stage by stage.

An action is listed when its deed exists. Each stage keeps its actions in a module of its own; this
table puts them together.
"""

from __future__ import annotations

from typing import Final

from leakmap.desk.things import Stage
from leakmap.desk.tools.drawing_actions import DRAWING_ACTIONS
from leakmap.desk.tools.issue_actions import ISSUE_ACTIONS
from leakmap.desk.tools.joint_actions import JOINT_ACTIONS
from leakmap.desk.tools.leak_actions import LEAK_ACTIONS
from leakmap.desk.tools.repair_actions import REPAIR_ACTIONS
from leakmap.desk.tools.tool import Action

ACTIONS: Final[tuple[Action, ...]] = (
    *DRAWING_ACTIONS,
    *JOINT_ACTIONS,
    *LEAK_ACTIONS,
    *REPAIR_ACTIONS,
    *ISSUE_ACTIONS,
)
"""All actions, in the order of the stages and from left to right."""


def actions_of(stage: Stage) -> tuple[Action, ...]:
    """The actions of one stage, left to right; none for a stage whose deeds are still to come."""
    return tuple(action for action in ACTIONS if action.stage is stage)


def action_for(stage: Stage, key: str) -> Action | None:
    """The action of a stage that a letter takes, whichever case it is typed in."""
    return next((action for action in actions_of(stage) if action.key == key.upper()), None)
