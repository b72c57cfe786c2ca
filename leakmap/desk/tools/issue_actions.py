"""What the action strip offers in stage Issue."""

from __future__ import annotations

from typing import Final

from leakmap.desk.things import Declared, Stage
from leakmap.desk.tools.late import Late
from leakmap.desk.tools.since_action import since_action
from leakmap.desk.tools.tool import Action

_LONGER: Final = {
    "C": (
        "The ledger lists what needs a look before the next revision is issued; a click on a line leads to it. A red "
        "mark only warns: an unchecked scale keeps a revision from being issued for work, and provisional zones count "
        "for price only."
    ),
    "R": (
        "Begin the next revision with P for price or C for work. Nothing freezes before it is issued: its zones follow "
        "every change until then. Delete gives it up."
    ),
    "D": (
        "The marked drawing of this level as it would be issued now. The wheel brings it nearer, dragging moves it, and "
        "Page Up and Page Down show the other levels. Esc shows the plan again."
    ),
    "S": (
        "The repair schedule as it would be issued now. The wheel and Page Down turn its pages, Ctrl and the wheel bring "
        "them nearer. Esc shows the plan again."
    ),
    "P": (
        "The plan set as it would be issued now: every level at a true scale, crowded places larger, and where zones are "
        "set out from. The wheel, Page Up and Page Down turn its pages, Ctrl and the wheel bring a page nearer, dragging "
        "moves it. Esc shows the plan again."
    ),
    "H": (
        "What changed since the last revision: zones whose metres add up, every stretch, and a plan of each level. Pick a "
        "revision in the ledger to compare it with now, or two with Ctrl to compare them. Esc shows the plan again."
    ),
    "I": (
        "Say what it is for, type who gets it, and press Enter. The revision is sealed with its date; its papers go into "
        "a folder and, with their checksums, into the job. Nothing of it can be changed: what changes later belongs to "
        "the next revision."
    ),
}


_CAUTIONS: Final = Action(
    stage=Stage.ISSUE,
    key="A",
    label="Cautions",
    longer=(
        "What to mind before a slot is cut: dust, cement, steel and services, power, confined spaces, old coatings, where "
        "the water goes, and what only an engineer decides. Every repair schedule prints these. Arrows and Page Down go "
        "on, Esc shows the plan again."
    ),
    lays=Declared.CAUTIONS,
    changes=False,
)

_OF_TOOLS: Final = tuple(
    Action(
        stage=Stage.ISSUE,
        key=key,
        label=label,
        longer=_LONGER[key],
        tool=Late("issue_tools", name),
        changes=key in {"R", "I"},
    )
    for key, label, name in (
        ("C", "Check", "Check"),
        ("R", "New revision", "NewRevision"),
        ("D", "Marked drawing", "MarkedDrawing"),
        ("S", "Schedule", "RepairSchedule"),
        ("P", "Plan set", "PlanSet"),
        ("H", "Changes", "Changes"),
        ("I", "Issue", "IssueRevision"),
    )
)
ISSUE_ACTIONS: Final[tuple[Action, ...]] = (*_OF_TOOLS, since_action(Stage.ISSUE), _CAUTIONS)
"""Its actions, left to right."""
