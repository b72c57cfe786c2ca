"""What the hand does in a stage while no tool is in it: handles of what is picked, and keys that change it."""

from __future__ import annotations

from typing import Any, Final

from leakmap.desk.state import Desk
from leakmap.desk.things import Stage
from leakmap.desk.tools.handles import HandleTool
from leakmap.desk.tools.joint_at_rest import JointAtRest
from leakmap.desk.tools.leak_handles import LeakAtRest
from leakmap.desk.tools.zone_handles import ZoneAtRest

_AT_REST: Final[dict[Stage, type[HandleTool[Any]]]] = {
    Stage.JOINTS: JointAtRest,
    Stage.LEAKS: LeakAtRest,
    Stage.REPAIR: ZoneAtRest,
}


def tool_at_rest(desk: Desk) -> HandleTool[Any] | None:
    """What works in the stage without a tool, the same one for every pane; None where clicks only pick."""
    kind = _AT_REST.get(desk.stage)
    if kind is None or desk.open_job is None:
        return None
    if isinstance(desk.at_rest, kind):
        return desk.at_rest
    desk.at_rest = rest = kind(desk)
    return rest
