"""The button that two stages have in common: since which revision the plan tells changes."""

from __future__ import annotations

from typing import Final

from leakmap.desk.things import Stage
from leakmap.desk.tools.late import Late
from leakmap.desk.tools.tool import Action

_LONGER: Final = (
    "The plan tells what changed since the revision that you choose: crossed lines fill a new zone, single lines what "
    "one grew by, bars stand where it shrank, crosses where one is gone. It follows every deed and stays on with other "
    "tools in hand; 0 shows leaks and zones as usual."
)


def since_action(stage: Stage) -> Action:
    """Its button in a stage."""
    return Action(
        stage=stage, key="E", label="Since", longer=_LONGER, tool=Late("since", "SinceRevision"), changes=False
    )
