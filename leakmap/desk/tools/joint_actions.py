"""What the action strip offers in stage Joints."""

from __future__ import annotations

from typing import Final

from leakmap.desk.state import Desk
from leakmap.desk.things import Stage
from leakmap.desk.tools.late import Late
from leakmap.desk.tools.tool import Action, ToolMaker


def level_first(desk: Desk) -> str | None:
    """Why a tool waits for a level; None where there is one."""
    return "Import a drawing or make a level first." if desk.level is None else None


def _action(key: str, label: str, tool: ToolMaker, longer: str) -> Action:
    return Action(stage=Stage.JOINTS, key=key, label=label, longer=longer, tool=tool, ready=level_first)


JOINT_ACTIONS: Final[tuple[Action, ...]] = (
    _action(
        "J",
        "Draw joint",
        Late("draw_joint", "DrawJoint"),
        "Choose the kind with 1 to 6, the face with 7, in a corner the room side with 8. Click the start and each bend, "
        "or type a length and press Enter; Shift keeps to 45°, Ctrl catches on nothing, W follows lines of the drawing by "
        "the shortest way, Backspace takes a click back. Enter or a double click ends it, on a joint with a junction.",
    ),
    _action(
        "F",
        "From lines",
        Late("from_lines", "FromLines"),
        "Click a layer in the list, or a place inside a closed outline: what its lines would make is shown in blue and "
        "listed, what lies on joints already in red. Choose kind and face, Tab sets the least length. A click takes a "
        "line, Enter all of them, Delete leaves one out, Backspace brings it back. Nothing is a joint before.",
    ),
    _action(
        "V",
        "Vertical joint",
        Late("vertical_joint", "VerticalJoint"),
        "Press 1 to 5 for the kind and click where the joint stands, such as in a wall corner or at the end of a joint. "
        "Type its height, Tab, then 1 where it goes up, 2 down or 3 through, and press Enter. Its leaks are marked by "
        "their heights over its foot.",
    ),
    _action(
        "B",
        "Bend points",
        Late("bend_points", "BendPoints"),
        "Click a joint to see its bends as squares. Drag one, or click it and use the arrows (Shift far), "
        "or type x, y and press Enter. A click on the line adds a bend, Delete removes the picked one. Leaks keep their "
        "distance from the nearer end that did not move.",
    ),
    _action(
        "S",
        "Split",
        Late("split", "Split"),
        "Click a joint where it should become two, type either length if it matters, and press Enter. The first part "
        "keeps the name. A leak across the cut is cut too, and both halves keep their wetness.",
    ),
    _action(
        "C",
        "Combine",
        Late("combine", "Combine"),
        "Click the joint that keeps its name, near the end where the other one goes on, then click the other; Enter "
        "makes them one. A gap of more than 5 cm is drawn as a straight piece and said. Nothing happens before Enter.",
    ),
)
"""Its actions, left to right."""
