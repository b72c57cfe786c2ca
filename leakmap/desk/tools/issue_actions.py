"""What the action strip offers in stage Issue."""

from __future__ import annotations

from typing import Final

from leakmap.desk.state import Stage
from leakmap.desk.tools.issue_tools import Check, IssueRevision, MarkedDrawing, NewRevision, RepairSchedule
from leakmap.desk.tools.tool import Action

ISSUE_ACTIONS: Final[tuple[Action, ...]] = tuple(
    Action(stage=Stage.ISSUE, key=tool.key, label=tool.name, tool=tool)
    for tool in (Check, NewRevision, MarkedDrawing, RepairSchedule, IssueRevision)
)
"""Its actions, left to right."""
