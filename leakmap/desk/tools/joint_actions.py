"""What the action strip offers in stage Joints."""

from __future__ import annotations

from typing import Final

from leakmap.desk.state import Stage
from leakmap.desk.tools.tool import Action, Tool

JOINT_ACTIONS: Final[tuple[Action, ...]] = (
    Action(stage=Stage.JOINTS, key="J", label="Draw joint", tool=Tool),
    Action(stage=Stage.JOINTS, key="V", label="Vertical joint", tool=Tool),
    Action(stage=Stage.JOINTS, key="B", label="Bend points", tool=Tool),
    Action(stage=Stage.JOINTS, key="S", label="Split", tool=Tool),
    Action(stage=Stage.JOINTS, key="C", label="Combine", tool=Tool),
)
"""Its actions, left to right."""
