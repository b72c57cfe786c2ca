"""Tools whose modules are imported when they are first taken, so that the window does not wait for them."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, cast

if TYPE_CHECKING:
    from leakmap.desk.state import Desk
    from leakmap.desk.tools.tool import Tool, ToolMaker


def late(module: str, name: str) -> ToolMaker:
    """Makes a tool; its module is imported then.

    Args:
        module: Its module beside this one.
        name: What makes it there: its class, or a function that chooses one.
    """

    def made(desk: Desk) -> Tool:
        maker = cast("ToolMaker", getattr(import_module(f"leakmap.desk.tools.{module}"), name))
        return maker(desk)

    return made
