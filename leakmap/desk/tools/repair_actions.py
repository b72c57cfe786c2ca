"""What the action strip offers in stage Repair."""

from __future__ import annotations

from typing import Final

from leakmap.desk.things import Declared, Stage
from leakmap.desk.tools.late import Late
from leakmap.desk.tools.since_action import since_action
from leakmap.desk.tools.tool import Action

_LONGER: Final = {
    "O": (
        "The overrun is the sound length repaired beyond each end of a leak. Pick a zone, then drag an end of its band, "
        "round junctions too, or click one and type the overrun, or nudge it with arrows: Enter sets this end, Ctrl-Enter "
        "every end. A black square in the ledger marks what is set by hand; Delete gives the end back to the rule."
    ),
    "M": (
        "The rules of the job give every zone its method. Pick a zone, then press the digit of another one, click it, "
        "or go along them with the arrow keys and press Enter; 0 gives the zone back to the rules. What needs another "
        "method is measured here, not repaired."
    ),
    "K": (
        "Where zones merged, their hatch is crossed. Click it once to see the cut, again to keep the zones apart: the "
        "length that merging saved is repaired again. Click a cut to merge the zones again. Nothing happens before the "
        "second click."
    ),
    "R": (
        "A relief point lets the water out while the slot is filled. Drag its ring along the wet part to where water "
        "can be led away, click a wet leak to add one, or click a ring and press Delete to remove it."
    ),
}

_OF_TOOLS: Final = tuple(
    Action(stage=Stage.REPAIR, key=key, label=label, longer=_LONGER[key], tool=Late(module, name))
    for key, label, module, name in (
        ("O", "Overrun", "overrun", "Overrun"),
        ("M", "Method", "method", "ZoneMethod"),
        ("K", "Keep apart", "keep_apart", "KeepApart"),
        ("R", "Relief point", "relief", "ReliefTool"),
    )
)
_PRICE: Final = Action(
    stage=Stage.REPAIR,
    key="P",
    label="Price",
    longer=(
        "The rates of the job, in the plan's place beside the ledger: type what a length of each method costs, and what is "
        "added by face, for a relief point, a zone and the job. With the estimator's columns the ledger shows the price of "
        "every zone, and says what is not priced. Esc shows the plan again."
    ),
    lays=Declared.RATES,
    changes=False,
)
REPAIR_ACTIONS: Final[tuple[Action, ...]] = (*_OF_TOOLS, _PRICE, since_action(Stage.REPAIR))
"""Its actions, left to right."""
