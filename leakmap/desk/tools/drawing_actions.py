"""What the action strip offers in stage Drawing."""

from __future__ import annotations

from typing import Final

from leakmap.desk.state import Stage
from leakmap.desk.tools.import_drawing import import_drawing
from leakmap.desk.tools.layers import Layers
from leakmap.desk.tools.new_level import NewLevel
from leakmap.desk.tools.set_grid import SetGrid
from leakmap.desk.tools.set_scale import SetScale
from leakmap.desk.tools.tool import Action

DRAWING_ACTIONS: Final[tuple[Action, ...]] = (
    Action(stage=Stage.DRAWING, key="I", label="Import drawing", run=import_drawing),
    Action(stage=Stage.DRAWING, key="S", label="Set scale", tool=SetScale),
    Action(stage=Stage.DRAWING, key="G", label="Set grid", tool=SetGrid),
    Action(stage=Stage.DRAWING, key="N", label="New level", tool=NewLevel),
    Action(stage=Stage.DRAWING, key="L", label="Layers", tool=Layers),
)
"""Its actions, left to right."""
