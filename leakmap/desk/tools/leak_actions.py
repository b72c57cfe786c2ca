"""What the action strip offers in stage Leaks."""

from __future__ import annotations

from typing import Final

from leakmap.desk.state import Stage
from leakmap.desk.tools.leaks import LeakStretch
from leakmap.desk.tools.tool import Action
from leakmap.desk.tools.worst_point import WorstPoint

LEAK_ACTIONS: Final[tuple[Action, ...]] = (
    Action(stage=Stage.LEAKS, key=LeakStretch.key, label=LeakStretch.name, tool=LeakStretch),
    Action(stage=Stage.LEAKS, key=WorstPoint.key, label=WorstPoint.name, tool=WorstPoint),
)
"""Its actions, left to right."""
