"""Panes that lie in the plan's place only at times: each is imported and made when it is first taken.

What stands on such a pane is shown when it is made, and afterwards by the signals of the desk as on any other.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QWidget

from leakmap.desk.sitting import Sitting
from leakmap.desk.state import Desk
from leakmap.desk.things import TO_READ, Declared

if TYPE_CHECKING:
    from leakmap.desk.declared_view import DeclaredView
    from leakmap.desk.find.old_jobs import OldJobs
    from leakmap.desk.leaflet_view import LeafletView
    from leakmap.desk.pages_view import PagesView
    from leakmap.desk.papers_view import PapersView


class LatePanes(QWidget):
    """A window with such panes.

    Attributes:
        desk: What they show.
        sitting: Opens what is chosen on them.
    """

    desk: Desk
    sitting: Sitting

    @cached_property
    def papers(self) -> PapersView:
        """Papers of the job."""
        from leakmap.desk.papers_view import PapersView  # noqa: PLC0415 - late

        return PapersView(self.desk)

    @cached_property
    def declared(self) -> DeclaredView:
        """Settings, or a sheet of the job."""
        from leakmap.desk.declared_view import DeclaredView  # noqa: PLC0415 - late

        return DeclaredView(self.desk)

    @cached_property
    def leaflets(self) -> LeafletView:
        """What is only read."""
        from leakmap.desk.leaflet_view import LeafletView  # noqa: PLC0415 - late

        return LeafletView(self.desk)

    @cached_property
    def pages(self) -> PagesView:
        """Pages of a file to choose from."""
        from leakmap.desk.pages_view import PagesView  # noqa: PLC0415 - late

        return PagesView(self.desk)

    @cached_property
    def old_jobs(self) -> OldJobs:
        """Zones of many jobs to choose from."""
        from leakmap.desk.find.old_jobs import OldJobs  # noqa: PLC0415 - late

        return OldJobs(self.sitting)

    def late_pane(self) -> QWidget | None:
        """The one that lies in the plan's place now; None: another pane does."""
        desk = self.desk
        if desk.page_choice is not None:
            return self.pages
        if desk.declared is Declared.OLD_JOBS:
            return self.old_jobs
        if desk.declared is not None:
            return self._column()
        return self.papers if desk.open_job is not None and desk.paper is not None else None

    def refresh_column(self) -> None:
        """Show what is declared as it stands, before it is given the keyboard."""
        if self.desk.declared not in (None, Declared.OLD_JOBS):
            self._column().refresh()

    def passed_by(self, value: QWidget) -> frozenset[QWidget]:
        """What Tab passes by behind a value of what is declared."""
        return self.declared.passed_by(value) if "declared" in vars(self) else frozenset()

    def _column(self) -> DeclaredView | LeafletView:
        read = not isinstance(self.desk.declared, Declared) or self.desk.declared in TO_READ
        return self.leaflets if read else self.declared
