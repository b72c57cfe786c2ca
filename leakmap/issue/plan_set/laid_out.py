"""What stands on each view of a set, laid out once: for finding crowded places, and for drawing."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TypeAlias

from leakmap.geometry.path import Box
from leakmap.issue.heading import Heading
from leakmap.issue.marks.labels import HARD
from leakmap.issue.marks.plan import Marks
from leakmap.issue.marks.primitives import Coat, What
from leakmap.issue.plan_set.notes import Notes
from leakmap.issue.plan_set.views import PlanSheet, Sheets, View

_Kept: TypeAlias = tuple[tuple[Box, ...], Notes, Marks]


@dataclass(eq=False)
class LaidOut:
    """The notes and marks of the views of a set; a view is laid out anew when details that it frames changed.

    Attributes:
        sheets: All sheets of the set, and the details that they show.
        heading: What the paper says of itself.
    """

    sheets: Sheets
    heading: Heading
    _kept: dict[View, _Kept] = field(default_factory=dict)

    def of(self, sheet: PlanSheet, view: View) -> tuple[Notes, Marks]:
        """What stands on a view of a sheet."""
        framed = tuple(detail.box for detail in self.sheets.details_in(view)) if view.detail is None else ()
        kept = self._kept.get(view)
        if kept is None or kept[0] != framed:
            notes = Notes(sheet, view, self.sheets, self.heading)
            marks = view.marks([(view.on_site(box), HARD) for box in notes.boxes()], notes.names)
            kept = self._kept[view] = framed, notes, marks
        return kept[1:]

    def named_leaks(self, sheet: PlanSheet) -> set[str]:
        """References of the leaks that stand on a sheet by name."""
        return {
            mark.ref
            for view in sheet.views
            for mark in self.of(sheet, view)[1]
            if mark.what is What.LEAK and mark.coat is Coat.LABEL
        }
