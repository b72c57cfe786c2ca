"""What the action strip offers in stage Joints."""

from __future__ import annotations

from typing import Final

from leakmap.desk.state import Desk, Stage
from leakmap.desk.tools.bend_points import BendPoints
from leakmap.desk.tools.combine import Combine
from leakmap.desk.tools.draw_joint import DrawJoint
from leakmap.desk.tools.split import Split
from leakmap.desk.tools.tool import Action, ToolMaker
from leakmap.desk.tools.vertical_joint import VerticalJoint


def level_first(desk: Desk) -> str | None:
    """Why a tool waits for a level; None where there is one."""
    return "Import a drawing or make a level first." if desk.level is None else None


def _action(key: str, label: str, tool: ToolMaker) -> Action:
    return Action(stage=Stage.JOINTS, key=key, label=label, tool=tool, ready=level_first)


JOINT_ACTIONS: Final[tuple[Action, ...]] = (
    _action("J", "Draw joint", DrawJoint),
    _action("V", "Vertical joint", VerticalJoint),
    _action("B", "Bend points", BendPoints),
    _action("S", "Split", Split),
    _action("C", "Combine", Combine),
)
"""Its actions, left to right."""
