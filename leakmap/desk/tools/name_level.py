"""The name of a level whose drawing was just read: asked for in the live field, with a proposal from the file."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final
from uuid import UUID

from leakmap.desk.state import Desk
from leakmap.desk.tools.asking import Asking, Held
from leakmap.desk.tools.fields import Part
from leakmap.desk.tools.tool import Choice
from leakmap.desk.trouble import Answer, Trouble
from leakmap.model.sheet import Sheet
from leakmap.work.edits.edit import refused
from leakmap.work.typed import Entry

_NAME_IT: Final = "Name the level"


class NameLevel(Asking):
    """Asks for the name of the level that a drawing shows.

    Args:
        desk: The desk.
        file: Name of the drawing's file.
        proposal: What stands in the field.
        give: Is given the name.
        instead: Is given a level that is there, for which this is a new drawing; None: that is not offered.
    """

    def __init__(
        self,
        desk: Desk,
        file: str,
        proposal: str,
        give: Callable[[str], object],
        instead: Callable[[UUID], object] | None = None,
    ) -> None:
        super().__init__(desk, Held(desk, Part(Entry.NAME, "level"), texts=(proposal,)), empty=("name",))
        self._file, self._give, self._instead = file, give, instead
        self._job_file = desk.open_job
        self._given = False

    def sentence(self) -> str:
        """What the next key does."""
        return f"{self._file} is read. Type the name of its level, such as B2, and press Enter."

    def choices(self) -> tuple[Choice, ...]:
        """A level of its own, or a new drawing of one that is there."""
        level = self._there() if self._instead is not None else None
        if level is None:
            return ()
        words = f"drawing of {level.name}" if level.source is None else f"new drawing of {level.name}"
        return (
            Choice(key="", words="new level", chosen=True),
            Choice(key="D", words=f"D {words}", alt=True, take=lambda: self._take_for(level.id)),
        )

    def take(self) -> bool:
        """Give the name; one that is refused can be typed again."""
        name = self.fields.texts[0].strip()
        self._given = self.desk.attempt(lambda: self._named(name))
        return self._given

    def dropped(self) -> None:
        """Without a name the drawing waits; the band keeps the way back to it."""
        super().dropped()
        if not self._given and self._job_file is not None and self.desk.open_job is self._job_file:
            self.wait()

    def wait(self) -> None:
        """Say in the band that the drawing waits for a name."""
        again = Answer(words=_NAME_IT, give=self._ask_again)
        self.desk.troubled.emit(
            Trouble(sentence=f"{self._file} is read, but its level has no name yet.", answers=(again,), grave=False)
        )

    def _ask_again(self) -> None:
        if self.desk.open_job is self._job_file:
            self.desk.take_tool(NameLevel(self.desk, self._file, self.fields.texts[0], self._give, self._instead))

    def _there(self) -> Sheet | None:
        """The level of the name that is typed, else the one on the plan."""
        sheets = self.desk.job.sheets if self.desk.job is not None else {}
        name = self.fields.texts[0].strip()
        named = next((sheet for sheet in sheets.values() if sheet.name == name), None)
        return named or (sheets.get(self.desk.level) if self.desk.level is not None else None)

    def _take_for(self, level: UUID) -> None:
        assert self._instead is not None
        self._given = True
        self.desk.take_tool(None)
        self._instead(level)

    def _named(self, name: str) -> None:
        if not name:
            raise refused("A level needs a name, such as B2; type it first.")
        self._given = True  # the level may be shown, and this tool dropped, before this returns
        self._give(name)


def ask_for_level(
    desk: Desk,
    file: str,
    proposal: str,
    give: Callable[[str], object],
    *,
    instead: Callable[[UUID], object] | None = None,
) -> None:
    """Ask for the name of a drawing's level: at once, or from the band while a tool is in hand."""
    asking = NameLevel(desk, file, proposal, give, instead)
    if desk.tool is None:
        desk.take_tool(asking)
    else:
        asking.wait()
