"""Field sheets: what the blank strips are printed on, and the way back of their filled table."""

from __future__ import annotations

from typing import Final

from leakmap.desk.field_table import make_field_sheets, take_field_table
from leakmap.desk.state import Desk
from leakmap.desk.tools.kinds import taken_by_key
from leakmap.desk.tools.tool import Choice, Tool
from leakmap.issue.office_paper import OFFICE_MM, office_papers

_TAKE: Final = "T"


class FieldSheets(Tool):
    """Makes blank strips of every joint and a table to fill, or takes a filled table in."""

    name = "Field sheets"
    key = "F"
    by_cross = False

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        assert desk.job is not None
        own = office_papers(desk.job.rules)
        self.papers = (*own, *(name for name in OFFICE_MM if name not in own))
        self.paper = own[0]

    def sentence(self) -> str:
        """What the next key does."""
        return f"Enter makes blank strips of every joint, and a table to fill, on {self.paper}; T takes a filled table."

    def choices(self) -> tuple[Choice, ...]:
        """The papers, those of the job's own series first; then the filled table."""
        papers = tuple(
            Choice(
                key=str(number),
                words=f"{number} {paper}",
                chosen=paper == self.paper,
                take=lambda paper=paper: self._choose(paper),  # type: ignore[misc] # a default keeps the value of each turn
            )
            for number, paper in enumerate(self.papers, start=1)
        )
        make = Choice(key="", words="Make them", take=self._make)
        return (*papers, make, Choice(key=_TAKE, words=f"{_TAKE} filled table", take=self._take))

    def typed(self, text: str) -> bool:
        """The digit of a paper, or the letter of the filled table."""
        return taken_by_key(self.choices(), text.upper())

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Make them."""
        self._make()
        return True

    def _choose(self, paper: str) -> None:
        self.paper = paper
        self.refresh()

    def _make(self) -> None:
        make_field_sheets(self.desk, self.paper)

    def _take(self) -> None:
        take_field_table(self.desk)
