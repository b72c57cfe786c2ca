"""What the action strip offers in stage Leaks."""

from __future__ import annotations

from typing import Final

from leakmap.desk.photos_in import choose_photos
from leakmap.desk.things import Stage
from leakmap.desk.tools.late import Late
from leakmap.desk.tools.tool import Action

LEAK_ACTIONS: Final[tuple[Action, ...]] = (
    Action(
        stage=Stage.LEAKS,
        key="L",
        label="Leak stretch",
        longer=(
            "Press 0 to 5 for the wetness, click on a joint where the wet stretch starts, then where it stops, or type "
            "its length and press Enter; it follows the joint round bends. Enter after the first click makes a spot. On "
            "a vertical joint click on its staff, or type both heights. Stretches may overlap: the wettest counts."
        ),
        tool=Late("leaks", "LeakStretch"),
    ),
    Action(
        stage=Stage.LEAKS,
        key="W",
        label="Worst point",
        longer=(
            "Click a leak, then the place on it where the flow is highest, or type where that is and press Enter. A "
            "relief point starts there where the method of the zone has one. Delete forgets the worst point."
        ),
        tool=Late("worst_point", "WorstPoint"),
    ),
    Action(
        stage=Stage.LEAKS,
        key="P",
        label="Photo",
        longer=(
            "Pick a leak and press P to choose its photos, PNG, JPEG or TIFF, or drop them on the leak on the plan or on its "
            "row. They are kept in the job and shown small under the rows: arrows choose one, Enter opens it, Delete removes "
            "it. Undo takes back either."
        ),
        run=choose_photos,
    ),
    Action(
        stage=Stage.LEAKS,
        key="F",
        label="Field sheets",
        longer=(
            "Every joint as a blank strip at a true scale, to write leaks on while it leaks, and a table with a row for "
            "each. Digits choose the paper, Enter asks for the folder that both go into. T reads a filled table: its leaks "
            "and what is wrong with it are listed first; dropping the table on the window does the same."
        ),
        tool=Late("field_sheets", "FieldSheets"),
        changes=False,
    ),
)
"""Its actions, left to right."""
