"""Delete in the ledger: the picked things go, as one step that Undo takes back."""

from __future__ import annotations

from typing import Final
from uuid import UUID

from leakmap.base.counted import many
from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Stage
from leakmap.desk.tools.at_rest import tool_at_rest
from leakmap.desk.trouble import Trouble
from leakmap.work.edits.edit import Edit, together
from leakmap.work.edits.sheets import remove_sheet

_ZONES: Final = "Zones come and go with their leaks; remove a leak, or give an end back to its rule on the plan."


def remove_picked(desk: Desk) -> bool:
    """Remove what is picked; whether anything is. What cannot go says why in the band."""
    if not desk.picked or desk.open_job is None or not desk.may_change():
        return False
    if desk.stage is Stage.DRAWING:
        levels = [thing.key for thing in desk.picked if thing.sort is Sort.SHEET and isinstance(thing.key, UUID)]
        return bool(levels) and desk.attempt(lambda: desk.do(_without(desk, levels)))
    tool = desk.tool or tool_at_rest(desk)
    if tool is not None and tool.deleted():
        return True
    if any(thing.sort is Sort.ZONE for thing in desk.picked):
        desk.troubled.emit(Trouble(sentence=_ZONES, grave=False))
    return False


def _without(desk: Desk, levels: list[UUID]) -> Edit:
    assert desk.open_job is not None
    job, edits = desk.open_job.job, list[Edit]()
    for level in levels:
        edits.append(remove_sheet(job, sheet=level))
        job = edits[-1].job
    return edits[0] if len(edits) == 1 else together(edits, words=f"remove {many(len(edits), 'level')}")
