"""What the action strip offers in stage Repair."""

from __future__ import annotations

from typing import Final

from leakmap.desk.state import Stage
from leakmap.desk.tools.keep_apart import KeepApart
from leakmap.desk.tools.method import ZoneMethod
from leakmap.desk.tools.overrun import Overrun
from leakmap.desk.tools.relief import ReliefTool
from leakmap.desk.tools.tool import Action

REPAIR_ACTIONS: Final[tuple[Action, ...]] = tuple(
    Action(stage=Stage.REPAIR, key=tool.key, label=tool.name, tool=tool)
    for tool in (Overrun, ZoneMethod, KeepApart, ReliefTool)
)
"""Its actions, left to right."""
