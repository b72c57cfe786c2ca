"""What the action strip offers in stage Leaks."""

from __future__ import annotations

from typing import Final

from leakmap.desk.tools.tool import Action

LEAK_ACTIONS: Final[tuple[Action, ...]] = ()
"""Its actions, left to right."""
