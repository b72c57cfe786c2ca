"""What the action strip offers in stage Drawing."""

from __future__ import annotations

from typing import Final

from leakmap.desk.state import Stage
from leakmap.desk.tools.tool import Action, Tool

DRAWING_ACTIONS: Final[tuple[Action, ...]] = (
    Action(stage=Stage.DRAWING, key="I", label="Import drawing", tool=Tool),
    Action(stage=Stage.DRAWING, key="S", label="Set scale", tool=Tool),
    Action(stage=Stage.DRAWING, key="G", label="Set grid", tool=Tool),
    Action(stage=Stage.DRAWING, key="N", label="New level", tool=Tool),
    Action(stage=Stage.DRAWING, key="L", label="Layers", tool=Tool),
)
"""Its actions, left to right."""
