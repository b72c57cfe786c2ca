"""What the action strip offers in stage Drawing."""

from __future__ import annotations

from typing import Final

from leakmap.desk.things import Stage
from leakmap.desk.tools.import_drawing import import_drawing
from leakmap.desk.tools.late import Late
from leakmap.desk.tools.tool import Action

DRAWING_ACTIONS: Final[tuple[Action, ...]] = (
    Action(
        stage=Stage.DRAWING,
        key="I",
        label="Import drawing",
        longer=(
            "Choose a DXF, DWG, PDF or scan, or drop its file on the window. It becomes a level of its own, or a new drawing "
            "of one that is there: it lies in blue over the old one until Enter keeps it, where both agree, or by places "
            "that you click first on it and then on the old one. What is marked stays where it is."
        ),
        run=import_drawing,
    ),
    Action(
        stage=Stage.DRAWING,
        key="S",
        label="Set scale",
        longer=(
            "Click both ends of a length that you know on site, then type it (31.20, or 102' 4 3/8\") and press Enter. A second length "
            "across the first shows that the drawing is not stretched; before that nothing can be issued for work. "
            "“straighten” (T) turns the drawing by two points of one line, “lay flat” (F) a photo by the corners of its sheet."
        ),
        tool=Late("set_scale", "SetScale"),
    ),
    Action(
        stage=Stage.DRAWING,
        key="G",
        label="Set grid",
        longer=(
            "Click two points of the first axis with letters and type its name, then click the axes after it; bays are "
            "read and can be typed over. Enter goes on to the numbers and then keeps the grid. Once there is one, a "
            "click picks an axis: type its bay or its name, drag or Delete it; a click beside the outermost adds one."
        ),
        tool=Late("set_grid", "grid_tool"),
    ),
    Action(
        stage=Stage.DRAWING,
        key="N",
        label="New level",
        longer=(
            "Type the name of the level, Tab, and the level of its slab, then Enter. It is a blank sheet; "
            "“drawing” makes it from a file, “this level” changes the one on the plan, and “lay over” moves it so that "
            "places that you click on both levels lie on each other: one shifts it, more turn it as well."
        ),
        tool=Late("new_level", "NewLevel"),
    ),
    Action(
        stage=Stage.DRAWING,
        key="L",
        label="Layers",
        longer=(
            "The ledger lists the layers of the drawing. Each click turns one from full to faint, from faint to hidden, "
            "and back. “crop” keeps a part of the drawing, for this level or another one, and “letters” reads the texts of "
            "an old drawing in another way. Joints and leaks stay where they are."
        ),
        tool=Late("layers", "Layers"),
        changes=False,
    ),
)
"""Its actions, left to right."""
