"""Tools whose modules are imported when they are first taken, so that the window does not wait for them."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING, cast

if TYPE_CHECKING:
    from leakmap.desk.state import Desk
    from leakmap.desk.tools.tool import Tool, ToolMaker


@dataclass(frozen=True, slots=True)
class Late:
    """Makes a tool, and imports its module then.

    Attributes:
        module: The module, beside this one.
        name: What makes the tool there: its class, or a function that chooses one.
    """

    module: str
    name: str

    @property
    def maker(self) -> ToolMaker:
        """What makes the tool."""
        return cast("ToolMaker", getattr(import_module(f"leakmap.desk.tools.{self.module}"), self.name))

    def __call__(self, desk: Desk) -> Tool:
        """The tool on a desk."""
        return self.maker(desk)
