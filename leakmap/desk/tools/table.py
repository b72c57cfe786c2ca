"""Every button of the action strip as data, stage by stage.

An action is listed when its deed exists. Each stage keeps its actions in a module of its own; this
table puts them together.
"""

from __future__ import annotations

from typing import Final

from leakmap.desk.state import Desk, Stage
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


AT_START: Final = (
    "Choose a drawing to start a job from it, open a job that is there already, or look round the sample. A job is one "
    "file; every finished step is written to it at once, so there is nothing to save."
)
"""What F1 says before a job is open."""

AT_REST: Final = {
    Stage.DRAWING: (
        "Bring in the drawing of each level with I, and prove its scale with S by two lengths that you know on site. G "
        "names the axes of the grid; F2 renames the level, or the axis whose bubble the pointer is on. The wheel zooms, "
        "dragging moves the paper, and Home shows all of the plan."
    ),
    Stage.JOINTS: (
        "Draw every joint where two pours or parts meet: J along the plan, V where one goes up or down. Click a joint, or "
        "step to it with [ and ]: digits change its kind, F2 its name, arrows move it. Without a mouse arrows move the "
        "cross of a tool (Shift far, Ctrl fine) and Space clicks there. Ctrl-Z takes back any step."
    ),
    Stage.LEAKS: (
        "Mark each wet stretch on its joint with L. Click a leak, or step to it with , and . and drag its ends, press 0 to "
        "5 for its wetness, or F2 for its date, flow and note. Arrows move it along its joint, or only the end that was "
        "clicked. Zones are worked out at once; stage Repair shows them."
    ),
    Stage.REPAIR: (
        "Zones follow every change of joints and leaks by themselves. Click a band or its row to pick a zone, or "
        "step to it with , and . Then drag its ends for another overrun, or press a letter. The ledger adds up the metres; the foot counts this level or the "
        "whole job."
    ),
    Stage.ISSUE: (
        "C lists what needs a look, R begins a revision for price or for work, D and S show its papers, and I issues it. "
        "What was issued stays in the job file with its papers and their checksums."
    ),
    Stage.AS_BUILT: "What was really done on site cannot be recorded here yet. The issued papers are in stage Issue.",
}
"""What F1 says of a stage while no tool is in hand."""


def longer_sentence(desk: Desk) -> str:
    """What F1 says: more of the tool in hand, else of the stage."""
    if desk.open_job is None:
        return AT_START
    action = action_for(desk.stage, desk.tool.key) if desk.tool is not None else None
    return action.longer if action is not None else AT_REST[desk.stage]


def actions_of(stage: Stage) -> tuple[Action, ...]:
    """The actions of one stage, left to right; none for a stage whose deeds are still to come."""
    return tuple(action for action in ACTIONS if action.stage is stage)


def action_for(stage: Stage, key: str) -> Action | None:
    """The action of a stage that a letter takes, whichever case it is typed in."""
    return next((action for action in actions_of(stage) if action.key == key.upper()), None)
